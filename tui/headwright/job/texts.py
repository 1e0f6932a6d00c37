"""What may be written down as a text: bounded, on one line, and with nothing in it that steers a terminal."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from headwright.job.blocks import BlockKind
from headwright.job.refusal import Refused, refuse

if TYPE_CHECKING:
    from headwright.job.events import Event

LONGEST_TEXT = 2000
"""Characters of a note, a reason, a source or an answer: a page of a notebook."""
LONGEST_NAME = 80
"""Characters of a name, a number or a tag."""

_TEXTS = frozenset({"text", "reason", "note", "source", "agreed", "typed", "word"})
"""Fields of events that are texts; all others are names."""
_STEERING = frozenset({"Cc", "Cs", "Zl", "Zp"})
"""Categories of Unicode: control characters, halves of pairs, and ends of lines and paragraphs."""
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""What turns the direction of the text after it, so that a note could show other words than it has."""


def text_refused(wanted: Event, operator: str, terminal: str) -> Refused | None:
    """Refuse an event with a text that cannot be kept or shown as it is; None where all are well.

    Args:
        wanted: the event, with texts of any length and any characters.
        operator: who wants it.
        terminal: where.
    """
    named = [(name, getattr(wanted, name)) for name in wanted.__struct_fields__]
    for name, text in (*named, ("operator", operator), ("terminal", terminal)):
        if isinstance(text, str):
            most = LONGEST_TEXT if name in _TEXTS else LONGEST_NAME
            if len(text) > most:
                return _refuse(name, f"it has {len(text)} characters.", f"At most {most} are kept.")
            sign = next((each for each in text if _steers(each)), "")
            if sign:
                why = f"it has a character that does not print (U+{ord(sign):04X})."
                return _refuse(name, why, "Type it again without that.")
    return None


def _steers(sign: str) -> bool:
    return not sign.isprintable() and (unicodedata.category(sign) in _STEERING or sign in _TURNING)


def _refuse(name: str, why: str, clears: str) -> Refused:
    return refuse(BlockKind.ENTRY, name.capitalize(), why, clears)
