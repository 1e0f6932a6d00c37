"""What the inputs and answers of a sum can be, with the units that they are written in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, eq=False)
class Dimension:
    """A dimension: what the sums count in, and what people write.

    Attributes:
        name: its name; the units of `headwright.units` under that name may be written.
        called: the name with its article, for messages.
        canonical: the unit that the sums count in, as pint writes it.
        metric: the unit for answers, and for bare numbers of a metric reader.
        inch: the unit for bare numbers and answers of a reader who works in inches.
        example: a quantity as it may be written, metric, then in inch units.
        more: further names with their unit as pint writes it.
        bare: a number without unit is taken, in the canonical unit.
        most: what no true figure reaches, canonical; it catches a forgotten power of ten.
    """

    name: str
    called: str
    canonical: str
    metric: str
    inch: str
    example: tuple[str, str]
    more: Mapping[str, str] = field(default_factory=dict)
    bare: bool = False
    most: float | None = None


def _per_degree() -> dict[str, str]:
    """Give the ways in which an expansion coefficient is written."""
    names: dict[str, str] = {}
    for degree, unit in (("K", "delta_degC"), ("°C", "delta_degC"), ("degC", "delta_degC"), ("C", "delta_degC")):
        names |= {f"{one}/{degree}": f"1/{unit}" for one in ("", "1")}
        names |= {f"{one}/{degree}": f"ppm/{unit}" for one in ("ppm", "1e-6", "µm/m", "um/m")}
    for degree in ("°F", "degF", "F"):
        names |= {f"{one}/{degree}": "1/delta_degF" for one in ("", "1")}
        names |= {f"{one}/{degree}": "ppm/delta_degF" for one in ("ppm", "1e-6", "µin/in", "uin/in")}
    return names


LENGTH = Dimension(
    "length", "a length", "mm", "mm", "in", ("9.525mm", "0.375in"), {"inch": "inch", '"': "inch", "m": "m"}
)
AREA = Dimension("area", "an area", "mm**2", "mm²", "in²", ("3650mm²", "5.66in²"))
VOLUME = Dimension("volume", "a volume", "cm**3", "cm³", "in³", ("80cm³", "4.88in³"), {"L": "liter", "mL": "ml"})
FORCE = Dimension("force", "a force", "N", "N", "lbf", ("490N", "110lbf"), {"kgf": "kgf"})
PRESSURE = Dimension(
    "pressure",
    "a pressure",
    "N/mm**2",
    "MPa",
    "psi",
    ("0.2758MPa", "40psi"),
    {"Pa": "Pa", "GPa": "GPa", "hPa": "hPa", "N/mm²": "N/mm**2", "N/mm2": "N/mm**2", "ksi": "ksi", "atm": "atm"}
    | {"Mpsi": "Mpsi"},
)
STIFFNESS = Dimension("stiffness", "a spring rate", "N/mm", "N/mm", "lbf/in", ("66.5N/mm", "380lbf/in"))
TIME = Dimension(
    "time", "a time", "s", "s", "s", ("600s", "10min"), {"sec": "s", "hour": "hour", "hr": "hour", "d": "day"}
)
VELOCITY = Dimension(
    "velocity",
    "a speed",
    "mm/s",
    "m/min",
    "ft/min",
    ("45m/min", "150ft/min"),
    {"in/min": "inch/min", "sfm": "ft/min", "fpm": "ft/min"},
)
TEMPERATURE = Dimension(
    "temperature",
    "a temperature",
    "degC",
    "degC",
    "degF",
    ("150degC", "300degF"),
    {"C": "degC", "F": "degF", "K": "kelvin"},
)
DIFFERENCE = Dimension(
    "temperature difference",
    "a difference of temperatures",
    "delta_degC",
    "K",
    "delta_degF",
    ("5K", "9delta_degF"),
    {"C": "delta_degC", "F": "delta_degF"},
)
ANGLE = Dimension(
    "angle",
    "an angle",
    "degree",
    "deg",
    "deg",
    ("45deg", "45°"),
    {"degree": "degree", "degrees": "degree", "rad": "radian"},
    bare=True,
)
EXPANSION = Dimension(
    "expansion",
    "an expansion coefficient",
    "1/delta_degC",
    "1/K",
    "1/K",  # a bare coefficient is per kelvin to every reader; one per °F is typed with its unit
    ("11.4e-6/K", "6.3e-6/°F"),
    _per_degree(),
    bare=True,
    most=1e-3,
)
FLOW = Dimension(
    "flow",
    "a flow",
    "cm**3/s",
    "cm³/min",
    "in³/min",
    ("11cm³/min", "0.7in³/min"),
    {
        "cm³/min": "cm**3/min",
        "cm3/min": "cm**3/min",
        "cc/min": "cm**3/min",
        "ml/min": "cm**3/min",
        "cm³/s": "cm**3/s",
        "cm3/s": "cm**3/s",
        "cc/s": "cm**3/s",
        "l/min": "liter/min",
        "L/min": "liter/min",
        "l/h": "liter/hour",
        "in³/min": "inch**3/min",
        "in3/min": "inch**3/min",
    },
)
SPEED = Dimension("speed", "a speed of rotation", "rpm", "rpm", "rpm", ("1534rpm", "1534rpm"), {"rev/min": "rpm"})
RATIO = Dimension("ratio", "a number", "", "", "", ("0.34", "0.34"), bare=True)

DIMENSIONS = (
    LENGTH,
    AREA,
    VOLUME,
    FORCE,
    PRESSURE,
    STIFFNESS,
    TIME,
    VELOCITY,
    TEMPERATURE,
    DIFFERENCE,
    ANGLE,
    EXPANSION,
    FLOW,
    SPEED,
    RATIO,
)

ANY = Dimension("any", "a quantity of any one dimension", "", "", "", ("8.7075mm", "0.3428in"), bare=True)
"""Of a sum that serves every dimension: its inputs of this kind share the one that the first of them is written in."""
