"""Styled text broken into lines between its pieces."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rich.cells import cell_len

from headwright.terminal.drawn import fit

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
    """Cut spans on one line to a width."""
    found: list[Span] = []
    left = max(0, width)
    for text, style in spans:
        size = cell_len(text)
        shown = text if size <= left else fit(text.rstrip(), min(cell_len(text.rstrip()), left))
        if shown:
            found.append((shown, style))
        left -= cell_len(shown)
    return found
