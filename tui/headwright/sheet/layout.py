"""How the sheet is laid out: 80 columns, labels to the left, long texts wrapped beside them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from headwright.sheet.plain import plain, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

WIDTH = 80
BODY = 6
"""Blanks before what was done at a place."""
_WIDEST = 30
"""Signs in a column before the text; a longer one pushes its own text on."""


Row = Sequence[str]
"""A line of the sheet: its columns, and last the text that is wrapped beside them."""


def headed(title: str) -> Iterator[str]:
    """Give the heading of a part."""
    yield ""
    yield title.upper()
    yield "-" * WIDTH


def titled(title: str, right: str) -> Iterator[str]:
    """Give a title with something at the right edge, on the next line where both do not fit."""
    title, right = plain(title), plain(right)
    if len(title) + len(right) + 2 <= WIDTH:
        yield f"{title}{right.rjust(WIDTH - len(title))}"
    else:
        yield from wrapped(title, WIDTH)
        yield right.rjust(WIDTH)


def rows_of(rows: Iterable[Row], indent: int = 2) -> Iterator[str]:
    """Give rows as lines, their columns under one another; a column that is empty in all of them takes no room."""
    cells = [[plain(cell) for cell in row] for row in rows]
    wide = [min(_WIDEST, max(map(len, column))) for column in zip(*cells, strict=True)]
    for *columns, text in cells:
        parts = [cell.ljust(width) + "  " for cell, width in zip(columns, wide, strict=False) if width]
        rest = indent + sum(width + 2 for width in wide[:-1] if width)
        yield from wrapped(text, WIDTH, " " * indent + "".join(parts), " " * rest)
