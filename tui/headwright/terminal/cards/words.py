"""Text that a person typed or a file held, made fit to be shown."""

from __future__ import annotations

import re
from datetime import datetime
from typing import TYPE_CHECKING

from headwright.terminal.drawn import clean

if TYPE_CHECKING:
    from headwright.errors import HeadwrightError

_UNITS = (
    r"in|inch|inches|mm|cm|um|µm|thou|\"|'|psi|k?pa|mpa|bar|in ?hg|mm ?hg|%|°|deg|(°|deg)?[cf]|s|sec|min|h|"
    r"cc|ml|cm3|cm³|lb|lbf|k?n|nm|g|kg|rpm"
)
"""Units as gauges send them and people type them behind a figure."""
_GAUGE = re.compile(rf"err(or)?|[-+]?\s*((\d+[ -])?\d+/\d+|\d+([.,]\d*)?|[.,]\d+)\s*({_UNITS})?", re.IGNORECASE)


def plain(text: str, most: int = 0) -> str:
    """Give a text on one line, with a blank for every character that could steer a terminal.

    Args:
        text: anything at all.
        most: the longest that it may be, in characters; 0 for no bound. What is cut off shows as an ellipsis.
    """
    line = clean(text)
    return f"{line[: most - 1]}…" if most and len(line) > most else line


def like_a_reading(text: str) -> bool:
    """Tell whether a text is a figure, perhaps with a unit, or ERR: what a gauge types, and no reason."""
    return _GAUGE.fullmatch(text.strip()) is not None


def error_words(error: HeadwrightError, after: str = "") -> str:
    """Give an error as one line of sentences: what is wrong, and what to do.

    Args:
        error: what could not be done.
        after: words that the first sentence begins with.
    """
    first, _, more = error.message.partition("\n")
    first = f"{after}{first}"
    end = "" if first.endswith(".") else "."
    return f"{first[:1].upper()}{first[1:]}{end}{' …' if more else ''} {error.hint}".strip()


def moment(time: str) -> str:
    """Give a time on record (UTC, ISO 8601) as the clock of this place shows it: `2025-03-04 09:12`."""
    try:
        return datetime.fromisoformat(time).astimezone().strftime("%Y-%m-%d %H:%M")
    except ValueError:
        return plain(time, 40)
