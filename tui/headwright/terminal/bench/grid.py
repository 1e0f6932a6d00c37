"""The columns that all figures under the table share: name, low limit, scale, high limit, value, verdict and a note."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.terminal.bench.scale import axis, drawn
from headwright.terminal.drawn import Line, Span, fit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.terminal.bench.scale import Held

NAME = 12
"""Cells that a name has at least."""
LIMIT = 5
"""Cells that a limit has at least, so that the scale does not move from one reading to the next."""
LIMIT_MOST = 9
"""Cells of a column of limits, beyond which their decimal points do not stand under one another."""
VALUE = 12
"""Cells that a value has at least: one for a sign, which stands between the columns, and a span of clearances."""
VALUE_MOST = 16
WORD = 6
"""Cells that a verdict has at least."""
LONG_WORD = 8
"""Cells of `expected` and `conceded`."""
PROOF_WORD = 12
"""Cells of `■ not proven`."""
WIDEST = 64
"""Cells of the scale: wider, and the eye no longer takes it in at once."""
LEAST = 8
"""Cells of the scale below which it is not drawn."""
TOLD = 14
"""Cells that the scale keeps beside a note; with fewer, the note is left out."""
SHARE = 18
"""Cells that the scale gives up to no name: a longer one is cut."""
ROOMY = 72
"""Cells of a line from which columns stand two cells apart."""

_NUMBER = re.compile(r"[-+]?\d*")


class Scale(NamedTuple):
    """A figure to be drawn on a line: how it is called, its limits in figures and texts, what it comes to and is said.

    `grain` is the smallest span that makes sense. `usual` are the cells that its value is likely to take, `long` those
    that what is said of it may take.
    """

    name: str
    limits: Held
    low: str
    high: str
    grain: float
    usual: int
    figure: tuple[float, float] | None = None
    neighbours: tuple[float, ...] = ()
    text: str = ""
    style: str = ""
    word: str = ""
    said: str = ""
    """The style of the word."""
    long: int = WORD
    note: str = ""
    """What the limits come from, where they are not those of the item."""


class Column(NamedTuple):
    """A column of figures, their decimal points in one line; `before` are the cells before the point."""

    before: int
    width: int

    def put(self, text: str) -> str:
        """Give a text of the column in exactly its cells; one that is no figure begins at its left."""
        lead = self.before - _before(text) if _is_figure(text) else 0
        return fit(" " * lead + text, self.width)


class Grid(NamedTuple):
    """The cells of each column; `scale` and `note` are 0 where there is no room for them."""

    name: int
    low: Column
    scale: int
    high: Column
    value: Column
    word: int
    note: int
    gap: int


def grid_of(scales: Sequence[Scale], width: int) -> Grid:
    """Give the columns for figures that stand under one another.

    Args:
        scales: all that may be seen together, seen or not, so that nothing moves where another one comes into sight.
        width: cells of a line.
    """
    gap = 2 if width >= ROOMY else 1
    low = _column((each.low for each in scales), LIMIT, LIMIT_MOST)
    high = _column((each.high for each in scales), LIMIT, LIMIT_MOST)
    # With room for a sign and the digits of the limits, whatever is typed so far: no column moves while it is.
    texts = [text for each in scales for text in (each.text, f"-{'0' * _before(each.high or each.low)}")]
    value = _column(texts, max(VALUE, *(each.usual + 1 for each in scales)), VALUE_MOST)
    word = max(max(each.long, cell_len(each.word)) for each in scales)
    left = width - gap - low.width - 2 - high.width - (gap - 1) - value.width - 1 - word
    note = max(cell_len(each.note) for each in scales)
    if note and left - NAME - note - gap < TOLD:
        note = 0
    left -= note + gap if note else 0
    name = min(max(NAME, *(cell_len(each.name) for each in scales)), max(NAME, width // 4, left - SHARE))
    scale = min(WIDEST, left - name)
    return Grid(name, low, scale if scale >= LEAST else 0, high, value, word, note, gap)


def _column(texts: Iterable[str], least: int, most: int) -> Column:
    """Give the column of texts; where points under one another would take more than `most`, texts begin at the left."""
    found = [text for text in texts if text]
    figures = [text for text in found if _is_figure(text)]
    before = max(map(_before, figures), default=0)
    after = max((cell_len(text) - _before(text) for text in figures), default=0)
    longest = max(map(cell_len, found), default=0)
    if before + after > max(most, longest):
        return Column(0, max(least, longest))
    return Column(before, max(least, before + after, longest))


def _is_figure(text: str) -> bool:
    return text[:1] in "-+.0123456789" and bool(text)


def _before(text: str) -> int:
    """Give the cells before the decimal point, or of all digits where there is none."""
    found = _NUMBER.match(text)
    return found.end() if found else 0


@lru_cache(256)
def line(scale: Scale, grid: Grid, name: Span) -> Line:
    """Draw a figure in the columns; what a key leaves as it was is not drawn again.

    Args:
        scale: what is drawn.
        grid: the columns, made for it and those that stand with it.
        name: what stands in the first column, in its style.
    """
    limits, gap = scale.limits, (" " * grid.gap, "")
    ends = axis(limits, scale.figure or (), scale.grain, grid.scale) if grid.scale else None
    drawing: Line = ((" " * grid.scale, ""),)
    if ends is not None:
        style = scale.style or "now"
        drawing = drawn(ends, limits, scale.figure, scale.neighbours, grid.scale, style=style)
    low, high = grid.low, grid.high
    shown = name[0] if cell_len(name[0]) <= grid.name else fit(name[0], grid.name)
    return (
        (shown, name[1]),
        (" " * (grid.name + grid.gap - cell_len(shown)), ""),
        (low.put(scale.low), "quiet"),
        (" ", ""),
        *drawing,
        (" ", ""),
        (high.put(scale.high), "quiet"),
        (" " * (grid.gap - 1), ""),
        (grid.value.put(scale.text), scale.style),
        (" ", ""),
        (fit(scale.word, grid.word), scale.said),
        *([gap, (fit(scale.note, grid.note), "quiet")] if grid.note and scale.note else []),
    )
