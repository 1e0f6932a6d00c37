"""Figures as people read them: rounded on screen only, in a reading's own unit and resolution."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.verdict import Verdict

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.procedure.plan import Plan, Reading, Result, Unit

_SIGNS = {"degC": "°C", "degF": "°F", "delta_degC": "°C", "delta_degF": "°F", "deg": "°", "cm3": "cm³", "mm2": "mm²"}

FINEST = 9
"""Decimals beyond which no limit of the trade goes."""

_SAID = {"in": "inches", "min": "minutes", "s": "seconds", "deg": "degrees"}


def unit_sign(unit: str) -> str:
    """Give a unit as it is written on screen."""
    return _SIGNS.get(unit, unit)


def unit_words(unit: str) -> str:
    """Give a unit as it is said in a sentence: `in` would read as a word."""
    return _SAID.get(unit, unit_sign(unit))


BEYOND = 1e12
"""No size of this trade; a record from elsewhere may hold one, and floats have no decimals left so far out."""


def unit_of(plan: Plan, name: str, dimension: str) -> Unit:
    """Find a unit of the plan by name and dimension.

    Raises:
        KeyError: the plan has no such unit.
    """
    for unit in plan.units:
        if unit.name == name and unit.dimension == dimension:
            return unit
    raise KeyError(f"{name} ({dimension})")


def decimals(resolution: float, unit: Unit) -> int:
    """Give the decimals that show a resolution (canonical units) in a unit; 0 to 6."""
    if resolution <= 0:
        return 4
    return min(6, max(0, math.ceil(-math.log10(resolution / unit.factor) - 1e-6)))


def show(value: float, unit: Unit, places: int) -> str:
    """Give a canonical value as digits in a unit, halves rounded away from zero, never `-0`."""
    typed = (value - unit.offset) / unit.factor
    if abs(typed) > BEYOND:
        return f"{typed:.6g}"
    scale = 10**places
    rounded = math.copysign(math.floor(abs(typed) * scale + 0.5 + 1e-7), typed) / scale
    return f"{rounded + 0.0:.{places}f}"


def short_digits(value: float, unit: Unit, places: int) -> str:
    """Give it as people at the bench write it: inches go without the nought before the point."""
    text = show(value, unit, places)
    if unit.name != "in":
        return text
    return text[1:] if text.startswith("0.") else f"-{text[2:]}" if text.startswith("-0.") else text


def with_sign(plan: Plan, item: Reading | Result, value: float) -> str:
    """Give a canonical value in the item's own unit and resolution, with the unit's sign: `0.3133 in`."""
    unit = unit_of(plan, item.unit, item.dimension)
    return f"{show(value, unit, decimals(item.resolution, unit))} {unit_sign(unit.name)}"


def telling_decimals(plan: Plan, item: Reading | Result, figure: Figure) -> int:
    """Give the decimals of a reading or result, or as many more as tell a figure that is out from its limit.

    Args:
        plan: the job's plan, for its units.
        item: the reading or result.
        figure: what it came to, with its limits and verdict.
    """
    unit = unit_of(plan, item.unit, item.dimension)
    places = decimals(item.resolution, unit)
    ends = {Verdict.LOW: (figure.least, figure.low), Verdict.HIGH: (figure.most, figure.high)}
    value, limit = ends.get(figure.verdict, (None, None))
    if value is None or limit is None:
        return places
    # A difference of temperatures has no offset.
    bare = replace(unit, offset=0.0)
    while places < FINEST and (
        show(value, unit, places) == show(limit, unit, places) or not float(show(figure.out, bare, places))
    ):
        places += 1
    return places
