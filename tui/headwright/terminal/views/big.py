"""The figure at hand in digits that are read from across the shop, with its verdict in a word and its position."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.terminal.views.glyphs import (
    FIGURE_SIZES,
    INK,
    LOWER,
    UPPER,
    WORD_SIZES,
    Size,
    can_write,
    fitting,
    width_of,
    written,
)
from headwright.terminal.views.paper import Paper, flowed, said

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.terminal.drawn import Line, Span

NOTHING = "nothing read here yet"
"""Stands for a figure that is not there yet."""
INKED = re.compile(f"[{INK}{UPPER}{LOWER}]+")
"""What of a large letter takes its style: an underline under the blanks would draw over the letter below."""
APART = 4
"""Cells between the position and the verdict."""
LEAST_LINES = 5
"""Lines of the least of the large letters."""
LEAST_FIGURE = 7
"""Lines of the figure that has to have room before place and verdict are large too."""
USUAL = "■ high"
"""The verdict that room is kept for: place and verdict keep their size whatever the verdict comes to, if it fits."""


class Big(NamedTuple):
    """What is shown large.

    `place` is the position, `point` what is read there, `figure` the digits as they are typed or stand on record,
    `unit` its sign; `sign` and `word` say how it stands, `by` by which limits; `style` is their colour. `usual` is the
    length of a whole figure: the digits keep their size and place while it is typed. `saved` is said beside the point
    of a figure that was just recorded, `instead` where there is none.
    """

    place: str
    point: str
    figure: str
    unit: str
    sign: str
    word: str
    by: str
    style: str
    usual: int = 0
    saved: str = ""
    instead: str = NOTHING


def drawn_big(big: Big, width: int, height: int) -> tuple[Line, ...]:
    """Draw a figure, its verdict and its place as large as they fit: place and verdict above, the figure below.

    The first line and the last say the same in ordinary letters, for what no large letter can write.

    Args:
        big: what to show.
        width: cells across.
        height: lines.
    """
    paper = Paper(width, height)
    figure, verdict = big.figure or big.instead, f"{big.sign} {big.word}".strip()
    beside = cell_len(big.unit) + 2 if big.unit else 0
    heads = _heads(big.place, verdict, width, _above(height))
    size = _size(big, width - beside, height - 2 - sum(lines + 1 for _, lines in heads))
    if size is None:
        heads = _heads(big.place, verdict, width, height - 4)
    free = height - 2 - sum(lines + 1 for _, lines in heads) - (size.lines if size else 1)
    gap = max(0, free) // (len(heads) + 2)
    _say(paper, 0, [(f"{big.place}  ", "now"), (big.point, "strong"), (f"   {big.saved}" if big.saved else "", "good")])
    y = 1 + gap
    for row, lines in heads:
        for x, text, scale, style in row:
            _large(paper, (x, y), text, scale, big.style if style == "verdict" else style)
        y += lines + 1 + gap
    _figure(paper, (beside, y), figure, size, big)
    verdict = verdict or ("no verdict yet" if big.usual or big.by else "")
    words = [(f"{verdict}   ", big.style or "strong"), (big.by, "")]
    last = flowed([words], width, 2 if gap else 1)
    for number, line in enumerate(last):
        _say(paper, height - len(last) + number, line)
    return paper.lines()


def _above(height: int) -> int:
    """Give the lines that place and verdict may take, a blank one below them; the figure gets the larger part."""
    room = height - 2 - 1
    return max(LEAST_LINES, room * 2 // 5) if room >= LEAST_LINES + LEAST_FIGURE else 0


def _size(big: Big, width: int, room: int) -> Size | None:
    """Choose how large the digits are: as large as a whole figure of this reading still fits."""
    figure = big.figure
    if not figure or not can_write(figure):
        return None
    fits = [size for size in FIGURE_SIZES if size.lines <= room and width_of(figure, size) <= width]
    usual = [size for size in fits if width_of(_whole(big), size) <= width]
    return next(iter(usual or fits), None)


def _whole(big: Big) -> str:
    """Give a figure as long as a whole one of this reading."""
    return "." + "8" * (big.usual - 1) if big.usual else ""


Row = tuple[tuple[tuple[int, str, Size, str], ...], int]
"""Texts beside one another, each with its cell, size and style; and the lines that they take."""


def _heads(place: str, verdict: str, width: int, room: int) -> list[Row]:
    """Set place and verdict beside one another, else under one another, else the verdict alone, in so many lines."""
    texts = [text for text in (place, verdict) if text and can_write(text)]
    if not texts:
        return []
    kept = [width_of(place, size) + APART + width_of(USUAL, size) <= width for size in WORD_SIZES]
    for size, room_kept in zip(WORD_SIZES, kept, strict=True):
        across = sum(width_of(text, size) for text in texts) + APART * (len(texts) - 1)
        if size.lines <= room and across <= width and (room_kept or not any(kept)):
            row = [(0, texts[0], size, _style(texts[0], place))]
            if len(texts) > 1:
                row.append((width - width_of(verdict, size), verdict, size, "verdict"))
            return [(tuple(row), size.lines)]
    half = (room - 1) // 2
    sizes = [(text, fitting(text, width, half)) for text in texts]
    if all(size is not None for _, size in sizes):
        return [(((0, text, size, _style(text, place)),), size.lines) for text, size in sizes if size is not None]
    least = fitting(texts[-1], width, room)
    return [(((0, texts[-1], least, _style(texts[-1], place)),), least.lines)] if least is not None else []


def _style(text: str, place: str) -> str:
    return "now" if text == place else "verdict"


def _figure(paper: Paper, at: tuple[int, int], figure: str, size: Size | None, big: Big) -> None:
    """Draw the figure, its unit beside its foot; in ordinary letters where it is too long."""
    beside, y = at
    style = "strong" if big.figure else "quiet"
    if size is None:
        _say(paper, y, [(figure, style), (f" {big.unit}", "strong")])
        return
    across = width_of(figure, size)
    whole = max(across, width_of(_whole(big), size))
    x = max(0, (paper.width - beside - whole) // 2)
    _large(paper, (x, y), figure, size, style)
    paper.put(x + across + 1, y + size.lines - 1, big.unit, "strong")


def _large(paper: Paper, at: tuple[int, int], text: str, size: Size, style: str) -> None:
    for down, line in enumerate(written(text, size)):
        for run in INKED.finditer(line):
            paper.put(at[0] + run.start(), at[1] + down, run[0], style)


def _say(paper: Paper, y: int, parts: Sequence[Span]) -> None:
    x = 0
    for text, style in said(parts, paper.width):
        paper.put(x, y, text, style)
        x += cell_len(text)
