"""Engineering: plain numbers in, plain numbers out.

Every function takes and gives floats in canonical units: mm, N, MPa, °C, s, cm³, degrees, and what follows from them
(mm² for an area, N/mm for a spring rate, mm/s for a surface speed, 1/K for an expansion coefficient). A sum with more
than one answer gives a small frozen dataclass. Nothing here reads a file, a clock or the rest of the project.
"""

from headwright.calc.errors import CalcError, Impossible, NotEnough

__all__ = ["CalcError", "Impossible", "NotEnough"]
