"""What comes from a cable or a scanner: figures that arrive twice, and bar codes where a figure is expected.

A gauge on a cable and a hand scanner both type like a keyboard, a few milliseconds between characters, with Enter at
the end (common practice, no source).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.slips import Doubt

if TYPE_CHECKING:
    from collections.abc import Collection

BURST = 0.035
"""s between the characters of a cable, at most; a hand that rolls over two keys is as quick, over three it is not."""
TWICE = 0.150
"""s after an arrival in which the next one is taken for the same press of the gauge's button."""
TWO = "two arrivals"
"""Name of the doubt about a figure that came so."""
SHORTEST = 3
"""Characters, Enter among them, that a burst must have to be told from two keys hit together."""
GS1_LENGTHS = (8, 12, 13, 14)
"""Digits of the codes that trade goods carry, ISO/IEC 15420 and GS1 General Specifications; from memory."""

_SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_LIKE_A_FIGURE = re.compile(r"[-+.,/\d\s]+")
_SEPARATORS = re.compile(r"[\s:;|,=]+")


class Arrival(Struct, frozen=True):
    """How an entry came: from a `cable` or by hand; `second` within 150 ms of another from the cable."""

    cable: bool = False
    second: bool = False


class Arrivals:
    """Told when characters and Enter come, tells a cable's entry from a hand's, and one that came twice.

    All times are monotonic seconds of when the key came, not of when it was dealt with: keys that waited while a
    reading was saved look like a burst otherwise.
    """

    def __init__(self) -> None:
        self._count = 0
        self._first = self._last = 0.0
        self._quick = True
        self._entered: float | None = None
        self._ended: float | None = None

    def key(self, at: float) -> None:
        """Note a character that came at a time (s)."""
        if self._count:
            self._quick = self._quick and at - self._last <= BURST
        else:
            self._first, self._quick = at, True
        self._count += 1
        self._last = at
        self._ended = None

    def is_apart(self, at: float) -> bool:
        """Tell whether a character at a time (s) comes so late that no cable sent it with the one before."""
        return self._count > 0 and at - self._last > TWICE

    def enter(self, at: float) -> Arrival:
        """Note Enter at a time (s), and tell how the entry that it ends came."""
        cable = self._count + 1 >= SHORTEST and self._quick and at - self._last <= BURST
        second = cable and self._entered is not None and self._first - self._entered <= TWICE
        # A hand's Enter between two arrivals parts them; a lone Enter or foot switch (nothing typed) does not.
        if self._count:
            self._entered = at if cable else None
        self._count = 0
        self._ended = at
        return Arrival(cable, second)

    def ends_line(self, at: float) -> bool:
        """Tell whether a line feed at a time (s) belongs to the carriage return just before it."""
        return self._ended is not None and at - self._ended <= BURST

    def runs_on(self, at: float) -> bool:
        """Tell whether a key at a time (s) comes from a cable that has gone on sending since the last Enter."""
        if self._ended is None or at - self._ended > TWICE:
            return False
        self._ended = at
        return True

    def forget(self) -> None:
        """Forget what was typed so far: it was cleared, or pasted, or belonged to something else than a reading."""
        self._count = 0
        self._entered = None


def twice(figure: str, unit: str = "") -> Doubt:
    """Question a figure (as shown, with its unit's sign) that is the second of two arrivals."""
    what = f"{figure} {unit}".strip()
    return Doubt(TWO, f"Two arrivals within {TWICE * 1000:.0f} ms: {what} came right after another figure.")


def bar_code(text: str, longest: int, tags: Collection[str] = ()) -> str:
    """Tell in words which bar code or tag a text is where a figure is expected; empty where it may be a figure.

    Args:
        text: the text as typed.
        longest: digits of the longest figure that could be typed without its point.
        tags: texts on the tags of the shop: ids of gauges, rings, balls and tools, the number of the job. One that
            could be a figure is not told here.
    """
    text = text.strip()
    known = {tag.casefold(): tag for tag in tags if tag and not _LIKE_A_FIGURE.fullmatch(tag)}
    for part in (text, *_SEPARATORS.split(text)):
        if part.casefold() in known:
            return f"the tag of {known[part.casefold()]}"
    if _SYMBOLOGY.match(text):
        return "a bar code"
    if not (text.isascii() and text.isdecimal()):
        return ""
    if is_gs1(text) or len(text) > longest:
        return f"a bar code of {len(text)} digits"
    return ""


def is_gs1(digits: str) -> bool:
    """Tell whether digits are as many as a GS1 number has, and end in its check digit.

    From the last but one leftwards they weigh 3, 1, 3 …; the check digit fills up to the next ten (GS1 General
    Specifications, section on check digit calculations; the code is that of ISO/IEC 15420).
    """
    if len(digits) not in GS1_LENGTHS or not (digits.isascii() and digits.isdecimal()):
        return False
    total = sum(int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(reversed(digits[:-1])))
    return (total + int(digits[-1])) % 10 == 0
