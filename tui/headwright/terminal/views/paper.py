"""A sheet of cells to draw on: text of any script goes where it is put, and never past the edge."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from rich.cells import cell_len, set_cell_size

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.terminal.drawn import Line, Span


class Paper:
    """Cells, each with a style; what is drawn later lies on top.

    Args:
        width: cells across.
        height: lines.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = max(0, width), max(0, height)
        self._signs = [[" "] * self.width for _ in range(self.height)]
        self._styles = [[""] * self.width for _ in range(self.height)]

    def put(self, x: int, y: int, text: str, style: str = "") -> None:
        """Write a text from a cell to the right; what lies outside is left out."""
        if not 0 <= y < self.height:
            return
        signs, styles = self._signs[y], self._styles[y]
        if text.isascii() or cell_len(text) == len(text):
            begin, end = max(0, x), min(self.width, x + len(text))
            if begin < end:
                self._free(signs, begin, end)
                signs[begin:end] = text[begin - x : end - x]
                styles[begin:end] = [style] * (end - begin)
            return
        for sign in text:
            wide = cell_len(sign)
            if wide and x >= 0 and x + wide <= self.width:
                self._free(signs, x, x + wide)
                signs[x : x + wide] = [sign, *[""] * (wide - 1)]
                styles[x : x + wide] = [style] * wide
            x += wide

    @staticmethod
    def _free(signs: list[str], begin: int, end: int) -> None:
        """Make room: of a sign two cells wide that is drawn over by half, a blank remains."""
        if not signs[begin] and begin:
            signs[begin - 1] = " "
        if end < len(signs) and not signs[end]:
            signs[end] = " "

    def fill(self, x: int, y: int, wide: int, sign: str, style: str = "") -> None:
        """Repeat a sign of one cell to the right."""
        self.put(x, y, sign * max(0, wide), style)

    def down(self, x: int, y: int, high: int, sign: str, style: str = "") -> None:
        """Repeat a sign of one cell downwards."""
        for row in range(y, y + high):
            self.put(x, row, sign, style)

    def box(self, corner: tuple[int, int], size: tuple[int, int], signs: str, style: str = "") -> None:
        """Draw a frame from its signs: four corners clockwise from the top left, the level and the upright."""
        (x, y), (wide, high), level, upright = corner, size, signs[4], signs[5]
        self.put(x, y, signs[0] + level * (wide - 2) + signs[1], style)
        self.put(x, y + high - 1, signs[3] + level * (wide - 2) + signs[2], style)
        self.down(x, y + 1, high - 2, upright, style)
        self.down(x + wide - 1, y + 1, high - 2, upright, style)

    def lines(self) -> tuple[Line, ...]:
        """Give the lines, from the top."""
        return tuple(_merged(signs, styles) for signs, styles in zip(self._signs, self._styles, strict=True))


def _merged(signs: list[str], styles: list[str]) -> Line:
    found: list[Span] = []
    begin = 0
    for at in range(1, len(signs) + 1):
        if at == len(signs) or styles[at] != styles[begin]:
            found.append(("".join(signs[begin:at]), styles[begin]))
            begin = at
    return tuple(found)


@lru_cache(maxsize=1024)
def cut(text: str, width: int) -> str:
    """Give a text in at most so many cells, one line of it, ended with … where it is longer."""
    text = "".join(c if c.isprintable() else " " for c in text)
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1) + "…" if width > 0 else ""


def said(parts: Sequence[Span], width: int) -> Line:
    """Set pieces of text beside one another in a line; what does not fit is cut with …."""
    found: list[Span] = []
    room = width
    for text, style in parts:
        shown = cut(text, room)
        if shown:
            found.append((shown, style))
        room -= cell_len(shown)
        if room <= 0 or shown != text:
            break
    return tuple(found)


def flowed(pieces: Sequence[Sequence[Span]], width: int, most: int, gap: str = "   ") -> tuple[Line, ...]:
    """Set pieces beside one another in at most so many lines; the last ends with … where more would follow.

    A piece is broken between its words only where it is wider than a line.
    """
    lines: list[list[Span]] = [[]]
    used = 0
    for piece in (part for whole in pieces for part in _broken(whole, width)):
        size = sum(cell_len(text) for text, _ in piece)
        if lines[-1] and used + len(gap) + size > width:
            lines.append([])
            used = 0
        if lines[-1]:
            lines[-1].append((gap, ""))
            used += len(gap)
        lines[-1].extend(piece)
        used += size
    shown = [said(line, width) for line in lines[:most] if line]
    if len(lines) > most > 0 and shown:
        last = said(shown[-1], width - 2)
        shown[-1] = last if last and last[-1][0].endswith("…") else (*last, (" …", "quiet"))
    return tuple(shown)


def _broken(piece: Sequence[Span], width: int) -> list[list[Span]]:
    """Break a piece that is wider than a line between its words."""
    if sum(cell_len(text) for text, _ in piece) <= width:
        return [list(piece)]
    lines: list[list[Span]] = [[]]
    used = 0
    for text, style in ((word, look) for words, look in piece for word in words.split()):
        blank = " " if lines[-1] else ""
        if lines[-1] and used + 1 + cell_len(text) > width:
            lines.append([])
            used, blank = 0, ""
        lines[-1].append((blank + text, style))
        used += len(blank) + cell_len(text)
    return lines
