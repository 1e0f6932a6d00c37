"""Large letters and digits, drawn cell by cell in five columns and seven lines, or in three and five."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

_TALL = {
    "0": ".###. #...# #...# #...# #...# #...# .###.",
    "1": "..#.. .##.. ..#.. ..#.. ..#.. ..#.. .###.",
    "2": ".###. #...# ....# ...#. ..#.. .#... #####",
    "3": "####. ....# ....# .###. ....# ....# ####.",
    "4": "...#. ..##. .#.#. #..#. ##### ...#. ...#.",
    "5": "##### #.... ####. ....# ....# #...# .###.",
    "6": ".###. #.... #.... ####. #...# #...# .###.",
    "7": "##### ....# ...#. ...#. ..#.. ..#.. ..#..",
    "8": ".###. #...# #...# .###. #...# #...# .###.",
    "9": ".###. #...# #...# .#### ....# ....# .###.",
    "A": ".###. #...# #...# ##### #...# #...# #...#",
    "B": "####. #...# #...# ####. #...# #...# ####.",
    "C": ".###. #...# #.... #.... #.... #...# .###.",
    "D": "####. #...# #...# #...# #...# #...# ####.",
    "E": "##### #.... #.... ####. #.... #.... #####",
    "F": "##### #.... #.... ####. #.... #.... #....",
    "G": ".###. #...# #.... #.### #...# #...# .###.",
    "H": "#...# #...# #...# ##### #...# #...# #...#",
    "I": "### .#. .#. .#. .#. .#. ###",
    "J": "..### ....# ....# ....# ....# #...# .###.",
    "K": "#...# #..#. #.#.. ##... #.#.. #..#. #...#",
    "L": "#.... #.... #.... #.... #.... #.... #####",
    "M": "#...# ##.## #.#.# #.#.# #...# #...# #...#",
    "N": "#...# ##..# ##..# #.#.# #..## #..## #...#",
    "O": ".###. #...# #...# #...# #...# #...# .###.",
    "P": "####. #...# #...# ####. #.... #.... #....",
    "Q": ".###. #...# #...# #...# #.#.# #..#. .##.#",
    "R": "####. #...# #...# ####. #.#.. #..#. #...#",
    "S": ".#### #.... #.... .###. ....# ....# ####.",
    "T": "##### ..#.. ..#.. ..#.. ..#.. ..#.. ..#..",
    "U": "#...# #...# #...# #...# #...# #...# .###.",
    "V": "#...# #...# #...# #...# #...# .#.#. ..#..",
    "W": "#...# #...# #...# #.#.# #.#.# ##.## #...#",
    "X": "#...# #...# .#.#. ..#.. .#.#. #...# #...#",
    "Y": "#...# #...# .#.#. ..#.. ..#.. ..#.. ..#..",
    "Z": "##### ....# ...#. ..#.. .#... #.... #####",
    ".": ". . . . . . #",
    ",": ". . . . . # #",
    "-": "... ... ... ### ... ... ...",
    "+": "... ... .#. ### .#. ... ...",
    "/": "....# ....# ...#. ..#.. .#... #.... #....",
    " ": "... ... ... ... ... ... ...",
    "·": ". . . # . . .",
    "✓": "....# ....# ...#. #..#. #.#.. .##.. .#...",
    "■": "##### ##### ##### ##### ##### ##### #####",
    "~": "..... ..... .#..# #.#.# #..#. ..... .....",
    "?": ".###. #...# ....# ...#. ..#.. ..... ..#..",
}
_LOW = {
    "0": "### #.# #.# #.# ###",
    "1": ".#. ##. .#. .#. ###",
    "2": "### ..# ### #.. ###",
    "3": "### ..# ### ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# ..# .#. .#.",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    "A": ".#. #.# ### #.# #.#",
    "B": "##. #.# ##. #.# ##.",
    "C": ".## #.. #.. #.. .##",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ##. #.. ###",
    "F": "### #.. ##. #.. #..",
    "G": ".### #... #.## #..# .###",
    "H": "#.# #.# ### #.# #.#",
    "I": "# # # # #",
    "J": "..# ..# ..# #.# .#.",
    "K": "#.# #.# ##. #.# #.#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "O": ".##. #..# #..# #..# .##.",
    "P": "##. #.# ##. #.. #..",
    "Q": ".##. #..# #..# #.## .###",
    "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# .#. .#. .#.",
    "Z": "### ..# .#. #.. ###",
    ".": ". . . . #",
    ",": ". . . # #",
    "-": "... ... ### ... ...",
    "+": "... .#. ### .#. ...",
    "/": "..# ..# .#. #.. #..",
    " ": ".. .. .. .. ..",
    "·": ". . # . .",
    "✓": "....# ...#. #.#.. .#... .....",
    "■": ".... #### #### #### ....",
    "~": "..... .#..# #.#.# #..#. .....",
    "?": "### ..# .#. ... .#.",
}
FONTS = {7: _TALL, 5: _LOW}
"""The letters by the lines that they take."""
INK, UPPER, LOWER = "█", "▀", "▄"
"""A cell that is all ink, and one of which only half is."""


class Size(NamedTuple):
    """How large letters are drawn: the lines of the face, and how many half lines and cells a dot takes."""

    face: int
    halves: int
    across: int

    @property
    def lines(self) -> int:
        """Lines that a letter takes."""
        return (self.face * self.halves + 1) // 2


WORD_SIZES = (*(Size(5, dot, dot) for dot in (6, 5, 4, 3, 2)), Size(5, 2, 1))
"""Sizes of words in the one face that they have, from the largest to the least, which is for want of room."""
FIGURE_SIZES = (*(Size(7, dot, dot) for dot in (6, 5, 4, 3, 2)), Size(5, 2, 2), Size(7, 2, 1), Size(5, 2, 1))
"""The same of figures; the low face is for want of room too."""
SIZES = (*FIGURE_SIZES, *WORD_SIZES[:-1])
"""Every size that anything is written in."""


def can_write(text: str) -> bool:
    """Tell whether there is a large letter for every one of a text."""
    return all(letter in _TALL for letter in text.upper())


@lru_cache(maxsize=64)
def written(text: str, size: Size) -> tuple[str, ...]:
    """Write a text in large letters; all lines have the same length.

    Args:
        text: letters, digits and signs that have a large form; others are left out.
        size: how large.
    """
    face = FONTS[size.face]
    letters = [face[letter].split() for letter in text.upper() if letter in face]
    rows = []
    for row in range(size.face):
        dots = ".".join(letter[row] for letter in letters)
        rows += ["".join(dot * size.across for dot in dots)] * size.halves
    if len(rows) % 2:
        rows.append("." * len(rows[0]))
    return tuple(
        "".join(_CELLS[upper, lower] for upper, lower in zip(*rows[at : at + 2], strict=True))
        for at in range(0, len(rows), 2)
    )


_CELLS = {("#", "#"): INK, ("#", "."): UPPER, (".", "#"): LOWER, (".", "."): " "}
"""What a cell shows by its upper and its lower half."""


def width_of(text: str, size: Size) -> int:
    """Give the cells that a text takes in large letters."""
    face = FONTS[size.face]
    dots = [len(face[letter].split()[0]) for letter in text.upper() if letter in face]
    return (sum(dots) + max(0, len(dots) - 1)) * size.across


def fitting(text: str, width: int, height: int) -> Size | None:
    """Give the largest size of words in which a text fits, None where it fits in none."""
    if not text or not can_write(text):
        return None
    return next((size for size in WORD_SIZES if size.lines <= height and width_of(text, size) <= width), None)
