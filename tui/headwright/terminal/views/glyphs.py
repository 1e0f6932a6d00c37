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
    "✓": "....# ...#. #.#.. .#... .....",
    "■": ".... #### #### #### ....",
    "~": "..... .#..# #.#.# #..#. .....",
    "?": "### ..# .#. ... .#.",
}
FONTS = {7: _TALL, 5: _LOW}
"""The letters by the lines that they take."""
INK = "█"


class Size(NamedTuple):
    """How large letters are drawn: the lines of the face, and how many cells a dot takes down and across."""

    face: int
    down: int
    across: int

    @property
    def lines(self) -> int:
        """Lines that a letter takes."""
        return self.face * self.down


SIZES = (Size(7, 3, 6), Size(7, 2, 4), Size(5, 2, 4), Size(7, 1, 2), Size(5, 1, 2), Size(7, 1, 1), Size(5, 1, 1))
"""From the largest to the least."""


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
        line = "".join((INK if dot == "#" else " ") * size.across for dot in dots)
        rows += [line] * size.down
    return tuple(rows)


def width_of(text: str, size: Size) -> int:
    """Give the cells that a text takes in large letters."""
    face = FONTS[size.face]
    dots = [len(face[letter].split()[0]) for letter in text.upper() if letter in face]
    return (sum(dots) + max(0, len(dots) - 1)) * size.across


def fitting(text: str, width: int, height: int) -> Size | None:
    """Give the largest size in which a text fits, None where it fits in none."""
    if not text or not can_write(text):
        return None
    return next((size for size in SIZES if size.lines <= height and width_of(text, size) <= width), None)
