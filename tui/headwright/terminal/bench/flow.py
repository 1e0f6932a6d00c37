"""Styled text broken into lines between its pieces."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rich.cells import cell_len, set_cell_size

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.terminal.drawn import Span

Piece = tuple["Span", ...]
"""Spans that stay on one line."""


def by_words(spans: Iterable[Span]) -> list[Piece]:
    """Give each word of styled text as a piece, with the blanks before it."""
    return [((word, style),) for text, style in spans for word in re.findall(r"\s*\S+", text)]


def flowed(pieces: Iterable[Piece], width: int, most: int) -> list[list[Span]]:
    """Set pieces one after the other in at most so many lines of a width; what is left over is cut with an ellipsis.

    Args:
        pieces: what stays together.
        width: cells of a line.
        most: lines, 1 or more.
    """
    lines: list[list[Span]] = [[]]
    used = 0
    for piece in pieces:
        size = cell_len("".join(text for text, _ in piece).rstrip())
        shown = list(piece)
        if used and used + size > width and len(lines) < most:
            lines.append([])
            used = 0
            shown[0] = (shown[0][0].lstrip(), shown[0][1])
        lines[-1] += shown
        used += sum(cell_len(text) for text, _ in shown)
    return [fitted(line, width) for line in lines]


def fitted(spans: Sequence[Span], width: int) -> list[Span]:
    """Cut spans on one line to a width; what is cut ends with an ellipsis, wherever it is cut."""
    whole = cell_len("".join(text for text, _ in spans).rstrip()) <= width
    left = width if whole else width - 1
    found: list[Span] = []
    for text, style in spans:
        size = cell_len(text)
        if size <= left:
            found.append((text, style))
            left -= size
        elif whole:  # nothing but blanks is left out
            return [*found, (set_cell_size(text, left), style)]
        else:
            return [*found, (set_cell_size(text, left) + "…", style)] if width > 0 else []
    return found


def cells(spans: Iterable[Span]) -> int:
    """Give the cells that spans take."""
    return sum(cell_len(text) for text, _ in spans)
