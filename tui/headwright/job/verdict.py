"""Holding a figure to its limits."""

from __future__ import annotations

from enum import StrEnum
from math import inf

from headwright.calc.conformity import acceptance

SLACK = 1e-7
"""Canonical units (mm for a length): far below any gauge, far above what floats lose, so a value on a limit is in."""


class Verdict(StrEnum):
    """How a figure stands to what it is held to, in words that are no unit: `in` beside a figure would be inches."""

    OPEN = "open"
    """Not enough readings yet."""
    FREE = "free"
    """Worked out, and held to nothing."""
    IN = "ok"
    """Within its limits, or a word that passes: `yes` beside the answer to "Cracks seen" would say that there are."""
    NEAR = "near"
    """In, and within one graduation of a limit that is no natural zero."""
    UNPROVEN = "not proven"
    """In, and too near a limit for the uncertainty of the figure, where the plan asks for proof."""
    LOW = "low"
    HIGH = "high"
    WRONG = "wrong"
    """The word does not pass."""

    @property
    def fails(self) -> bool:
        """Tell whether the figure is out, or cannot be shown to be in where that is asked for."""
        return self in _FAILING


_FREE, _IN, _NEAR, _LOW, _HIGH = Verdict.FREE, Verdict.IN, Verdict.NEAR, Verdict.LOW, Verdict.HIGH
# A member by its own name costs a third of what it costs through its class, and every figure wants one.
_FAILING = frozenset({Verdict.LOW, Verdict.HIGH, Verdict.WRONG, Verdict.UNPROVEN})


def judge(least: float, most: float, low: float | None, high: float | None, graduation: float = 0.0) -> Verdict:
    """Hold a span (least = most for a single figure) to its limits, both ends inside.

    When both ends are out, the one that is out by more counts. Zero as the lower limit is a natural end, as of a
    run-out: being within a graduation of it is no warning.
    """
    below = -inf if low is None else low - least
    above = -inf if high is None else most - high
    if below > SLACK or above > SLACK:
        return _LOW if below >= above else _HIGH
    if low is None and high is None:
        return _FREE
    near = SLACK - graduation
    return _NEAR if graduation and ((below > near and low != 0) or above > near) else _IN


def prove(least: float, most: float, low: float | None, high: float | None, guard: float | None) -> Verdict:
    """Hold a span to its limits with a guard band inside each: out where it is out, in only where that is proved.

    Args:
        least: the least of the span, in the unit of the limits; equal to `most` for a single figure.
        most: the greatest of the span.
        low: the lower limit, None for none.
        high: the upper limit, None for none.
        guard: width of the guard band, zero or more; None where the uncertainty is not known, which proves nothing.

    Returns:
        The verdict: low or high beyond a limit, not proven inside a guard band, in between the bands.
    """
    plain = judge(least, most, low, high)
    if plain is not Verdict.IN:
        return plain
    bottom, top = provable(low, high, guard)
    if bottom is None and top is None:
        return Verdict.UNPROVEN
    proved = (bottom is None or least >= bottom - SLACK) and (top is None or most <= top + SLACK)
    return Verdict.IN if proved else Verdict.UNPROVEN


def provable(low: float | None, high: float | None, guard: float | None) -> tuple[float | None, float | None]:
    """Give the least and the greatest figure that prove the limits; both None where no figure can."""
    return (None, None) if guard is None else acceptance(low=low, high=high, guard=guard)


def beyond(least: float, most: float, low: float | None, high: float | None) -> float:
    """Tell by how much a span is out of its limits, 0 when it is in."""
    below = 0.0 if low is None else low - least
    above = 0.0 if high is None else most - high
    return max(below, above, 0.0)
