"""Text that was typed or read from a file, made safe to print: no control character, no escape for a terminal."""

from __future__ import annotations

import json
import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def plain(text: str) -> str:
    """Give a text on one line: blanks and line breaks as blanks, every other sign that does not print as its code."""
    return "".join(_printing(sign) for sign in " ".join(text.split()))


def lines_of(text: str) -> str:
    """Give a text of several lines with every sign that does not print as its code; line breaks stay."""
    return "\n".join("".join(_printing(sign) for sign in line) for line in text.split("\n"))


def json_lines(text: str) -> str:
    """Give JSON, the same in meaning, with every sign that does not print as JSON's own code; line breaks stay."""
    return "".join(sign if sign.isprintable() or sign == "\n" else json.dumps(sign)[1:-1] for sign in text)


def _printing(sign: str) -> str:
    if sign.isprintable():
        return sign
    if sign.isspace():
        return " "
    code = ord(sign)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Break a text into lines of at most `width` signs, the first begun with `first`, the others with `rest`.

    A word that is longer than a line stays whole: it may be a hash or a file name, which somebody wants to copy.
    """
    return textwrap.wrap(
        plain(text),
        width,
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def columns(rows: Sequence[Sequence[str]], gap: str = "  ") -> list[str]:
    """Give rows of cells as lines, each column as wide as its widest cell."""
    wide = [max(map(len, cells)) for cells in zip(*rows, strict=True)]
    return [gap.join(cell.ljust(width) for cell, width in zip(row, wide, strict=True)).rstrip() for row in rows]


def counted(count: int, one: str) -> str:
    """Give a number with what it counts: `1 event`, `2 events`."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"
