"""One person on the shop's list, and what may stand there as initials and name."""

from __future__ import annotations

import unicodedata
from typing import NamedTuple

from msgspec import Struct

from headwright.errors import UsageError
from headwright.procedure.plan import Role

LONGEST_INITIALS, LONGEST_NAME = 12, 80
"""Characters, as many as the card of who is at the bench takes."""


WITHOUT_PIN = "taken off the list without a PIN, by whoever keeps this machine"
"""How the changes tell of somebody who was taken off with nobody's PIN."""


class Operator(Struct, frozen=True):
    """Somebody on the list; `misses` counts wrong PINs on end, and none is taken before `not_before` after them."""

    initials: str
    name: str
    role: Role
    since: str
    pin: bool = False
    misses: int = 0
    not_before: str = ""


class Change(Struct, frozen=True):
    """One change to the list; `approver` has the initials of the lead whose PIN was given, empty where none was."""

    time: str
    initials: str
    what: str
    approver: str = ""

    @property
    def unsigned(self) -> bool:
        """Tell whether this was done past the leads, which everybody should see."""
        return self.what.startswith(WITHOUT_PIN)


class Approval(NamedTuple):
    """A lead who approves, and the PIN as he typed it."""

    initials: str
    pin: str


def tidy(text: str) -> str:
    """Give initials or a name as they count: single blanks, and accented letters put together in one way."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def fitting_initials(text: str) -> str:
    """Give initials as they are kept.

    Raises:
        UsageError: there are none, they are too long, or have a character that cannot be printed.
    """
    return _fitting(text, "initials", LONGEST_INITIALS)


def fitting_name(text: str) -> str:
    """Give a name as it is kept; raises as `fitting_initials` does."""
    return _fitting(text, "a name", LONGEST_NAME)


def _fitting(text: str, what: str, most: int) -> str:
    text = tidy(text)
    if not text:
        raise UsageError(f"{what} expected, and there is nothing", "Type it again.")
    if not text.isprintable():
        raise UsageError(f"{text[:20]!r} has a character that cannot be printed", "Type it again.")
    if len(text) > most:
        raise UsageError(f"'{text[:20]}…' is too long for {what}", f"At most {most} characters are kept.")
    return text
