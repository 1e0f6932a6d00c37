"""A figure drawn between its limits: ├────●───┤, with the neighbours as ticks."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.verdict import SLACK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.terminal.drawn import Line

BEYOND = 1 / 6
"""How much of a drawing lies beyond each limit, as a share of its width."""

UNPROVED = "·"
"""Draws the guard band: inside the limits, and too near one of them to be proved."""

_BRACKETS = "├┤"


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


class Held(NamedTuple):
    """What a figure is held to: low and high, either of which may be missing.

    `guard` is the width of the band inside each limit in which a figure is not proved to be in; 0 for plain limits.
    `firm` tells limits from the span in which a figure is only expected, which is drawn without brackets.
    """

    low: float | None
    high: float | None
    guard: float = 0.0
    firm: bool = True


def axis(limits: Held, values: Sequence[float], grain: float, width: int) -> Axis | None:
    """Give the ends of a drawing in which limits stand in the same two cells, whatever they are.

    Where one is missing, its cell has nought if the other lies above it, else what is drawn farthest out.

    Args:
        limits: what the figure is held to.
        values: what is to be drawn.
        grain: the smallest span that makes sense, above 0.
        width: cells, 8 or more.

    Returns:
        The ends; None where there is nothing to draw to.
    """
    low, high = limits.low, limits.high
    if low is None:
        if high is None:
            return None
        low = 0.0 if high > 0 else min([high - 4 * grain, *values])
    if high is None:
        high = max([low + 8 * grain, *values])
    beyond = round(BEYOND * (width - 1))
    cell = (high - low or grain) / (width - 1 - 2 * beyond)
    return Axis(low - beyond * cell, high + beyond * cell)


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
        least, most = (_cell(ends, limits, end, width) for end in figure)
        _put(cells, least, most, style)
    merged: list[tuple[str, str]] = []
    for text, name in cells:
        if merged and merged[-1][1] == name:
            merged[-1] = (merged[-1][0] + text, name)
        else:
            merged.append((text, name))
    return tuple(merged)


def _between(ends: Axis, limits: Held, width: int) -> list[tuple[str, str]]:
    """Draw the limits alone; a missing one leaves that end open, and nought ends it where it is in sight."""
    low, high, guard, firm = limits
    left = 0 if low is None and (high is None or high <= 0) else max(0, ends.at(low or 0.0, width))
    right = width - 1 if high is None else min(width - 1, ends.at(high, width))
    cells = [("─" if left <= i <= right else " ", "line") for i in range(width)]
    if guard:
        first = left if low is None else ends.at(low + guard, width)
        last = right if high is None else ends.at(high - guard, width)
        cells = [
            (UNPROVED if text == "─" and not first <= i <= last else text, style)
            for i, (text, style) in enumerate(cells)
        ]
    if firm and low is not None:
        cells[left] = ("├", "quiet")
    if firm and high is not None:
        cells[right] = ("┤", "quiet")
    return cells


def _put(cells: list[tuple[str, str]], least: int, most: int, style: str) -> None:
    """Put the figure on the drawing; limits that it goes beyond show through, an end outside points to where it went.

    Args:
        cells: the drawing.
        least: the cell of its least end.
        most: the cell of its greatest end.
        style: the style of the figure.
    """
    width = len(cells)
    for i in range(max(0, least), min(width - 1, most) + 1):
        cells[i] = (cells[i][0] if cells[i][0] in _BRACKETS else "━", style)
    for at in (least, most):
        if 0 <= at < width:
            cells[at] = ("●", style)
    if least < 0:
        cells[0] = ("«", style)
    if most >= width:
        cells[-1] = ("»", style)


def _cell(ends: Axis, limits: Held, value: float, width: int) -> int:
    """Give the cell of a value: beyond a limit it is never in that limit's own cell, however little it is out."""
    at = ends.at(value, width)
    if limits.high is not None and value > limits.high + SLACK:
        return max(at, ends.at(limits.high, width) + 1)
    if limits.low is not None and value < limits.low - SLACK:
        return min(at, ends.at(limits.low, width) - 1)
    return at
