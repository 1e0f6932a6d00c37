"""Standard fits for pressed parts of the sizes that a head has: ISO 286-2 limits, ASME B4.1 force fits."""

from dataclasses import dataclass

from headwright.calc.errors import CalcError, finite, in_order, positive
from headwright.calc.limits import Limits

# Diameter over which a step starts and up to which it goes, mm; tolerance grades 6 to 8 and shaft deviations, µm, of
# ISO 286-1 and -2. A shaft letter stands for the deviation nearest to the nominal size.
_ISO_STEPS: tuple[tuple[float, float, dict[int, int], dict[str, int]], ...] = (
    (6, 10, {6: 9, 7: 15, 8: 22}, {"k": 1, "n": 10, "p": 15, "s": 23}),
    (10, 18, {6: 11, 7: 18, 8: 27}, {"k": 1, "n": 12, "p": 18, "s": 28}),
    (18, 30, {6: 13, 7: 21, 8: 33}, {"k": 2, "n": 15, "p": 22, "s": 35}),
)

# Steps in inches and, in thousandths over nominal, the most of the hole (the least is nominal) and both limits of the
# shaft; ASME B4.1-1967, hole and shaft limits from memory, held to the published interferences by a test.
_FORCE_FITS: tuple[tuple[float, float, dict[str, tuple[float, float, float]]], ...] = (
    (0.24, 0.40, {"FN1": (0.4, 0.5, 0.75), "FN2": (0.6, 1.0, 1.4)}),
    (0.40, 0.56, {"FN1": (0.4, 0.5, 0.8), "FN2": (0.7, 1.2, 1.6)}),
)
_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Interference:
    """Least and most interference of a pressed part in its hole, mm; below zero the part is loose."""

    least: float
    most: float


def interference(*, hole_least: float, hole_most: float, part_least: float, part_most: float) -> Interference:
    """Give the interference that a hole and a part can meet with.

    Args:
        hole_least: smallest hole, mm, above zero.
        hole_most: largest hole, mm, not below the smallest.
        part_least: smallest part, mm, above zero.
        part_most: largest part, mm, not below the smallest.

    Returns:
        Smallest part less largest hole, and largest part less smallest hole.

    Raises:
        Impossible: a size is not above zero, or a smallest is above its largest.
    """
    positive(hole_least=hole_least, part_least=part_least)
    in_order(hole_least=hole_least, hole_most=hole_most)
    in_order(part_least=part_least, part_most=part_most)
    return Interference(part_least - hole_most, part_most - hole_least)


def iso_limits(nominal: float, code: str) -> Limits:
    """Give the limits of size of an ISO tolerance class.

    Args:
        nominal: nominal diameter, mm, over 6 up to 30.
        code: H6 to H8 for a hole; h, k, n, p or s with grade 6 (h also 7 and 8) for a shaft.

    Returns:
        Least and most size, mm.

    Raises:
        CalcError: the size or the class is not in the table.
    """
    finite(nominal=nominal)
    step = next((each for each in _ISO_STEPS if each[0] < nominal <= each[1]), None)
    if step is None:
        raise CalcError(f"standard limits are kept for over 6 up to 30 mm, not for {nominal:g} mm")
    letter, grade = code[:1], code[1:]
    grades, deviations = step[2], step[3]
    if not grade.isdecimal() or int(grade) not in grades:
        raise _unknown(code)
    width = grades[int(grade)]
    if letter == "H":
        low, high = 0, width
    elif letter == "h":
        low, high = -width, 0
    elif letter in deviations and grade == "6":
        low, high = deviations[letter], deviations[letter] + width
    else:
        raise _unknown(code)
    return Limits(nominal + low / 1000, nominal + high / 1000)


def _unknown(code: str) -> CalcError:
    return CalcError(f"{code!r} is not in the table: holes H6 H7 H8; shafts h6 h7 h8 k6 n6 p6 s6")


def force_fit(nominal: float, fit: str) -> Interference:
    """Give the interference of an ASME B4.1 force fit.

    Args:
        nominal: nominal diameter, mm, over 0.24 up to 0.56 in.
        fit: FN1 (light drive) or FN2 (medium drive).

    Returns:
        Least and most interference, mm.

    Raises:
        CalcError: the size or the fit is not in the table.
    """
    positive(nominal=nominal)
    step = next((each for each in _FORCE_FITS if each[0] * _INCH < nominal <= each[1] * _INCH), None)
    if step is None:
        raise CalcError(f"force fits are kept for over 6.096 up to 14.224 mm (0.24 to 0.56 in), not for {nominal:g} mm")
    if fit not in step[2]:
        raise CalcError(f"{fit!r} is not in the table: FN1 FN2")
    hole, least, most = (thousandth / 1000 * _INCH for thousandth in step[2][fit])
    return Interference(least - hole, most)
