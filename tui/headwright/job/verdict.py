"""Holding a figure to its limits."""

from __future__ import annotations

from enum import StrEnum

SLACK = 1e-7
"""Canonical units (mm for a length): far below any gauge, far above what floats lose, so a value on a limit is in."""


class Verdict(StrEnum):
    """How a figure stands to what it is held to."""

    OPEN = "open"
    """Not enough readings yet."""
    FREE = "free"
    """Worked out, and held to nothing."""
    IN = "in"
    NEAR = "near"
    """In, and within one graduation of a limit."""
    UNPROVEN = "not proven"
    """In, and too near a limit for the uncertainty of the figure, where the plan asks for proof."""
    LOW = "low"
    HIGH = "high"
    YES = "yes"
    """The word passes."""
    WRONG = "wrong"
    """The word does not pass."""

    @property
    def fails(self) -> bool:
        """Tell whether the figure is out, or cannot be shown to be in where that is asked for."""
        return self in {Verdict.LOW, Verdict.HIGH, Verdict.WRONG, Verdict.UNPROVEN}


def judge(least: float, most: float, low: float | None, high: float | None, graduation: float = 0.0) -> Verdict:
    """Hold a span (least = most for a single figure) to its limits, both ends inside.

    When both ends are out, the one that is out by more counts.
    """
    below = -1.0 if low is None else low - least
    above = -1.0 if high is None else most - high
    if below > SLACK or above > SLACK:
        return Verdict.LOW if below >= above else Verdict.HIGH
    if low is None and high is None:
        return Verdict.FREE
    band = graduation - SLACK
    if graduation and ((low is not None and least - low < band) or (high is not None and high - most < band)):
        return Verdict.NEAR
    return Verdict.IN


def beyond(least: float, most: float, low: float | None, high: float | None) -> float:
    """Tell by how much a span is out of its limits, 0 when it is in."""
    below = 0.0 if low is None else low - least
    above = 0.0 if high is None else most - high
    return max(below, above, 0.0)
