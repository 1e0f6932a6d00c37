"""The signs that the drawings are made of, and the same drawings in plain ASCII."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from headwright.terminal.drawn import Line, Span

UNKNOWN = "?"
"""Stands for every cell of a character that plain ASCII has no sign for."""

_PLAIN = {
    "✓": "+", "■": "#", "▸": ">", "◂": "<", "·": ".", "◦": "-", "▏": "_", "…": "~", "–": "-", "×": "x", "°": "o",
    "µ": "u", "«": "<", "»": ">", "²": "2", "³": "3", "±": "~", "↑": "^", "↓": "v", "←": "<", "→": ">",
    "─": "-", "│": "|", "┌": "+", "┐": "+", "└": "+", "┘": "+", "├": "|", "┤": "|", "┬": "+", "┴": "+", "┼": "+",
    "╭": ".", "╮": ".", "╰": "'", "╯": "'", "╵": "'", "╷": ".",
    "═": "*", "║": "*", "╔": "*", "╗": "*", "╚": "*", "╝": "*",
    "━": "=", "┃": "|", "┏": "+", "┓": "+", "┗": "+", "┛": "+", "┯": "+", "┷": "+", "┇": ":", "┆": "!", "┊": ":",
    "╱": "/", "╲": "\\", "█": "#", "▌": "#", "▐": "#", "░": ":", "▒": "%", "●": "*", "○": "o", "◆": "@", "◇": "o",
    "◉": "@", "▔": "'", "▁": "_",
}  # fmt: skip


class Marks(NamedTuple):
    """What each sign is drawn as: one cell for one cell, so that no drawing moves; `plain` keeps to ASCII alone."""

    table: Mapping[int, str]
    plain: bool

    def text(self, text: str) -> str:
        """Give a text in these signs, cell for cell."""
        if not self.plain or text.isascii():
            return text
        return "".join(c if c.isascii() else self.table.get(ord(c), UNKNOWN * cell_len(c)) for c in text)

    def lines(self, lines: Iterable[Line]) -> tuple[Line, ...]:
        """Give lines in these signs."""
        if not self.plain:
            return tuple(lines)
        return tuple(tuple(self._span(span) for span in line) for line in lines)

    def _span(self, span: Span) -> Span:
        return self.text(span[0]), span[1]


SIGNS = Marks({}, plain=False)
"""The drawings as they are made."""
ASCII = Marks({ord(sign): plain for sign, plain in _PLAIN.items()}, plain=True)
"""For a terminal or a font that has nothing else."""
