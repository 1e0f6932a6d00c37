"""A figure that is still being typed: its first digits say nothing yet of what it comes to."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from headwright.job.show import decimals, unit_of
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from headwright.procedure.plan import Plan, Reading

_BEGUN = re.compile(r"(\d*)(?:([.,])(\d*))?")
_MOST_WHOLE = 2
"""Further digits before the point that are thought of: a temperature has two or three."""
_SOME = 2
"""Digits that a number lacks whose point may be far off."""


def half_typed(text: str, reading: Reading, plan: Plan, window: tuple[float, float] | None) -> int:
    """Tell how many digits a typed figure lacks, 0 where it is whole or no further digit makes it an expected one.

    Args:
        text: what is typed so far.
        reading: what is being read.
        plan: the job's plan, for its units.
        window: the span in which the figure is expected, canonical; None where nothing is.
    """
    begun = _BEGUN.fullmatch(text.strip())
    if reading.sort is not Sort.NUMBER or begun is None:
        return 0
    unit = unit_of(plan, reading.unit, reading.dimension)
    places = decimals(reading.resolution, unit)
    whole, point, after = begun[1], begun[2], begun[3] or ""
    if window is None:
        return max(0, places - len(after)) if point else 0
    low, high = ((end - unit.offset) / unit.factor for end in window)

    def expected(first: float, step: float) -> bool:
        return first <= high and first + step > low

    if point:
        missing = max(0, places - len(after))
        return missing if expected(float(f"{whole or 0}.{after or 0}"), 10.0 ** -len(after)) else 0
    number = float(whole or 0)
    if whole and low <= number <= high:
        return 0
    if len(whole) < places and expected(float(f"0.{whole or 0}"), 10.0 ** -len(whole)):
        return places - len(whole)
    grown = any(expected(number * 10**more, 10.0**more) for more in range(_MOST_WHOLE + 1))
    return _SOME if grown and len(whole) <= _MOST_WHOLE else 0
