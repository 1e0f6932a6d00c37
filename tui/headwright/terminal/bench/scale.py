"""A figure drawn between its limits: ├────●───┤, with the neighbours as ticks."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.terminal.drawn import Line

BEYOND = 0.25
"""How far the drawing goes on beyond each limit, as a share of the span between them."""

UNPROVED = "·"
"""Draws the guard band: inside the limits, and too near one of them to be proved."""


class Axis(NamedTuple):
    """The values at the two ends of a drawing."""

    first: float
    last: float

    def at(self, value: float, width: int) -> int:
        """Give the cell of a value; below 0 or from `width` on where it lies outside."""
        share = (value - self.first) / (self.last - self.first)
        if share < -1e-9:
            return -1
        return width if share > 1 + 1e-9 else round(share * (width - 1))


def axis(low: float | None, high: float | None, values: Sequence[float], grain: float) -> Axis | None:
    """Give the ends of a drawing for limits of which one may be missing; None where there is nothing to draw to.

    Args:
        low: the lower limit.
        high: the upper limit.
        values: what is to be drawn.
        grain: the smallest span that makes sense, above 0.
    """
    if low is not None and high is not None:
        beyond = max((high - low) * BEYOND, grain)
        return Axis(low - beyond, high + beyond)
    if high is not None:
        first = min([0.0 if high > 0 else high - 4 * grain, *values])
        return Axis(first, high + max((high - first) * BEYOND, grain))
    if low is not None:
        last = max([low + 8 * grain, *values])
        return Axis(low - max((last - low) * BEYOND, grain), last)
    return None


class Held(NamedTuple):
    """What a figure is held to: low and high, either of which may be missing.

    `guard` is the width of the band inside each limit in which a figure is not proved to be in; 0 for plain limits.
    """

    low: float | None
    high: float | None
    guard: float = 0.0


def drawn(
    ends: Axis, limits: Held, figure: tuple[float, float] | None, ticks: Sequence[float], width: int, *, style: str
) -> Line:
    """Draw a figure (a single value has two equal ends) between limits.

    Args:
        ends: what the drawing spans.
        limits: what the figure is held to.
        figure: the least and the greatest of what is drawn.
        ticks: other places' values.
        width: cells, 8 or more.
        style: the style of the figure.
    """
    cells = _between(ends, limits, width)
    inside = [i for i, (text, _) in enumerate(cells) if text in {"─", UNPROVED}]
    for at in (ends.at(tick, width) for tick in ticks):
        if 0 <= at < width:
            cells[at] = ("┼" if at in inside else "╵", "quiet")
    if figure is not None:
        _put(cells, ends.at(figure[0], width), ends.at(figure[1], width), style)
    merged: list[tuple[str, str]] = []
    for text, name in cells:
        if merged and merged[-1][1] == name:
            merged[-1] = (merged[-1][0] + text, name)
        else:
            merged.append((text, name))
    return tuple(merged)


def _between(ends: Axis, limits: Held, width: int) -> list[tuple[str, str]]:
    """Draw the limits alone; a missing one leaves that end open."""
    left = 0 if limits.low is None else max(0, ends.at(limits.low, width))
    right = width - 1 if limits.high is None else min(width - 1, ends.at(limits.high, width))
    cells = [("─" if left <= i <= right else " ", "line") for i in range(width)]
    if limits.guard:
        first = left if limits.low is None else ends.at(limits.low + limits.guard, width)
        last = right if limits.high is None else ends.at(limits.high - limits.guard, width)
        cells = [
            (UNPROVED if text == "─" and not first <= i <= last else text, style)
            for i, (text, style) in enumerate(cells)
        ]
    if limits.low is not None:
        cells[left] = ("├", "quiet")
    if limits.high is not None:
        cells[right] = ("┤", "quiet")
    return cells


def _put(cells: list[tuple[str, str]], least: int, most: int, style: str) -> None:
    """Put the figure on the drawing; an end that lies outside points to where it went."""
    width = len(cells)
    for i in range(max(0, least), min(width - 1, most) + 1):
        cells[i] = ("━", style)
    for at in (least, most):
        if at < 0:
            cells[0] = ("«", style)
        elif at >= width:
            cells[-1] = ("»", style)
        else:
            cells[at] = ("●", style)
