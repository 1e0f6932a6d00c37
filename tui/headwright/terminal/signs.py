"""The signs that the screens draw, and their twins in plain ASCII for terminals and fonts that have nothing else."""

from __future__ import annotations

import locale
import os
import sys
import unicodedata
from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.segment import Segment
from textual.filter import LineFilter

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.color import Color

VARIABLE = "HEADWRIGHT_ASCII"
"""The environment variable that asks for plain signs (1) or for the full ones whatever else is said (0)."""

TWINS = {
    # States: no two of them alike.
    "✓": "+", "■": "#", "▸": ">", "◂": "<", "·": ".", "◦": "-", "▏": "_",
    # Words and figures.
    "…": "~", "–": "-", "—": "-", "−": "-", "×": "x", "°": "d", "µ": "u", "μ": "u", "±": "~", "«": "<", "»": ">",
    "‹": "<", "›": ">", "≤": "<", "≥": ">", "≈": "~", "∞": "I", "√": "V", "²": "2", "³": "3", "⁴": "4", "½": "5",
    "÷": "/", "‘": "'", "’": "'", "“": '"', "”": '"', "•": "*", "§": "S",
    "π": "p", "α": "a", "δ": "d", "Δ": "D", "ν": "n", "Φ": "F", "Σ": "S", "σ": "s", "Ø": "O", "⌀": "O",
    "↑": "^", "↓": "v", "←": "<", "→": ">",
    # Frames, scales and drawings.
    "─": "-", "│": "|", "┌": "+", "┐": "+", "└": "+", "┘": "+", "├": "|", "┤": "|", "┬": "+", "┴": "+", "┼": "+",
    "╭": ".", "╮": ".", "╰": "'", "╯": "'", "╵": "'", "╷": ".", "╶": "-", "╴": "-",
    "═": "*", "║": "*", "╔": "*", "╗": "*", "╚": "*", "╝": "*",
    "━": "=", "┃": "|", "┏": "+", "┓": "+", "┗": "+", "┛": "+", "┯": "+", "┷": "+", "┇": ":", "┆": "!", "┊": ":",
    "╸": "=", "╺": "=", "╱": "/", "╲": "\\", "█": "#", "▌": "|", "▐": "|", "░": ":", "▒": "%", "▓": "#", "●": "*",
    "○": "o", "◆": "@", "◇": "o", "◉": "@", "▲": "^", "▼": "v", "△": "^", "▽": "v", "▪": "#", "▫": "-",
    "▀": "#", "▄": "#",
    # Ends of scroll bars.
    "▁": "_", "▂": "_", "▃": "_", "▅": "=", "▆": "#", "▇": "#", "▉": "#", "▊": "#", "▋": "#", "▍": "|",
    "▎": "|", "▔": "-", "▕": "|",
}  # fmt: skip
"""One cell for one cell, so that no drawing moves."""
WORDS = {
    "°": "deg", "±": "+/-", "≤": "<=", "≥": ">=", "≈": "about", "∞": "inf", "√": "sqrt", "½": "1/2", "π": "pi",
    "α": "alpha", "δ": "delta", "Δ": "delta", "ν": "nu", "Φ": "Phi", "Σ": "sum", "σ": "sigma", "Ø": "dia", "⌀": "dia",
}  # fmt: skip
"""Longer twins, taken where blanks nearby give them room."""
UNKNOWN = "?"

_UPRIGHT = frozenset("│┃║▏▕├┤┼┊┆┇")
"""Strokes that must stay where they are: no blank beyond them makes room."""


def wanted_plain(configured: str) -> bool:
    """Tell whether plain signs are wanted.

    Args:
        configured: what the person's settings say, `plain` or `full`.
    """
    asked = os.environ.get(VARIABLE, "").strip()
    if asked:
        return asked != "0"
    return configured == "plain" or not speaks_unicode()


def speaks_unicode() -> bool:
    """Tell whether the terminal takes more than ASCII, as far as the locale says."""
    # Python's own streams speak UTF-8 in the C locale too; the terminal need not.
    encoding = (sys.stdout.encoding or "") if sys.platform == "win32" else locale.getencoding()
    return encoding.lower().replace("-", "").replace("_", "") in {"utf8", "cp65001"}


class PlainSigns(LineFilter):
    """Puts the plain twin in place of every sign of ours that is drawn.

    Args:
        letters: letters of what people wrote stay as they are; left out, their base letter stands for them.
    """

    def __init__(self, *, letters: bool) -> None:
        super().__init__()
        self._letters = letters

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002 - as Textual calls it
        """Give the segments in plain signs; they take the cells that they took."""
        if all(segment.text.isascii() for segment in segments):
            return segments
        line = "".join(segment.text for segment in segments)
        parts = iter(plain_cells(line, letters=self._letters))
        return [
            Segment("".join(next(parts) for _ in segment.text), segment.style, segment.control) for segment in segments
        ]


def plain_cells(line: str, *, letters: bool) -> list[str]:
    """Give for each character of a line what is drawn in its place; together they take the cells of the line.

    Args:
        line: what a screen draws from one edge to the other.
        letters: letters of any script stay as they are.
    """
    parts = list(line)
    for at, sign in enumerate(line):
        if sign.isascii():
            continue
        word = "..." if sign == "…" and line[max(0, at - 1) : at] == " " else WORDS.get(sign, "")
        if not parts[at]:
            continue
        if word and (_make_room(parts, line, at, len(word) - 1) or _cut_further(parts, line, at, len(word) - 1)):
            parts[at] = word
        else:
            parts[at] = twin(sign, letters=letters)
    return parts


def twin(sign: str, *, letters: bool, table: Mapping[str, str] = TWINS) -> str:
    """Give what is drawn for a character outside ASCII, in as many cells."""
    known = table.get(sign)
    if known is not None:
        return known
    if letters and (sign.isalnum() or unicodedata.combining(sign)):
        return sign
    cells = cell_len(sign)
    base = "".join(c for c in unicodedata.normalize("NFKD", sign) if c.isascii() and c.isprintable())
    return base if base and len(base) == cells else UNKNOWN * cells


def _make_room(parts: list[str], line: str, at: int, need: int) -> bool:
    """Take so many blanks away, the nearest that are not the only ones between two words; tell whether there were."""
    for way in (range(at + 1, len(line)), range(at - 1, -1, -1)):
        run: list[int] = []
        stroke = False
        for number in way:
            if line[number] == " " and parts[number]:
                run.append(number)
                continue
            stroke = line[number] in _UPRIGHT
            if len(run) > need or (stroke and number > at and len(run) == need):
                break
            run = []
            if stroke:
                break
        # The farthest of them: what lies between moves, and one blank at least stays beside it, but before a stroke.
        if len(run) >= need and (len(run) > need or stroke):
            for number in run[-need:]:
                parts[number] = ""
            return True
    return False


def _cut_further(parts: list[str], line: str, at: int, need: int) -> bool:
    """Take so many letters away before the … of a text that is cut anyway; tell whether that text is one of them."""
    end = line.find("…", at)
    between = line[at:end]
    if end < 0 or len(between) < 4 * need or "   " in between or any(sign in _UPRIGHT for sign in between):
        return False
    gone = range(end - need, end)
    if any(not parts[number] or cell_len(line[number]) != 1 for number in gone):
        return False
    for number in gone:
        parts[number] = ""
    return True
