"""A problem in the definitions: where it is, and what a person would say about it."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

LONGEST = 600
"""Characters in a line; what a file holds may be far longer."""

KeyPath = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One line: file, line (0: the file as a whole), key in words (empty: none), and what is wrong there."""

    file: str
    line: int
    key: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        line = f"{place}  {self.key}: {self.message}" if self.key else f"{place}  {self.message}"
        return _plain(line if len(line) <= LONGEST else f"{line[: LONGEST - 1]}…")


def _plain(text: str) -> str:
    """Show control characters by their code: what stands in a file must not steer the terminal."""
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text)


def close_to(name: str, names: Iterable[str]) -> str:
    """Give the nearest of the names, or nothing where none is near."""
    known = list(names)
    same = [each for each in known if each.lower() == name.lower()]
    close = same or get_close_matches(name, known, n=1, cutoff=0.6)
    return close[0] if close else ""


def nearest(name: str, names: Iterable[str]) -> str:
    """Give "; did you mean 'x'?" for the nearest of the names, or nothing where none is near."""
    close = close_to(name, names)
    return f"; did you mean '{close}'?" if close else ""


def listed(names: Iterable[str], last: str = "or") -> str:
    """Give names as a person lists them: "a, b or c"."""
    known = list(names)
    if len(known) < 2:
        return "".join(known)
    return f"{', '.join(known[:-1])} {last} {known[-1]}"
