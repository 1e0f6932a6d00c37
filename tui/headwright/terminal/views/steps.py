"""Round figures for scales: steps of 1, 2 and 5, and two digits where more would only seem exact."""

from __future__ import annotations

from math import ceil, floor, log10


def round_step(least: float) -> float:
    """Give the smallest of 1, 2 or 5 times a power of ten that is not below a figure above 0."""
    power = 10.0 ** floor(log10(least) + 1e-9)
    return next(n * power for n in (1, 2, 5, 10) if n * power >= least * (1 - 1e-9))


def ticks(first: float, last: float, most: int, least: float = 0.0) -> tuple[float, ...]:
    """Give round figures between two ends, evenly apart, at most so many.

    Args:
        first: the lower end.
        last: the upper end, above it.
        most: how many at most, 2 or more.
        least: how far they stand apart at least, so that the digits they are written with tell them from one another.
    """
    step = max(least, round_step((last - first) / max(1, most - 1)))
    begin = ceil(first / step - 1e-9)
    return tuple(n * step for n in range(begin, begin + most + 1) if n * step <= last + step * 1e-9)


def rounded(value: float) -> int:
    """Give a figure in two digits and noughts."""
    step: int = 10 ** max(0, floor(log10(max(value, 1.0))) - 1)
    return round(value / step) * step
