"""Starts the program at a moment that stays, in a folder, at a terminal of a fixed name and without a blinking cursor.

Files of that folder are shown by their names within it. Its arguments: the folder, the moment (ISO 8601), and then
those of the program.
"""

from __future__ import annotations

import datetime as dt
import os
import sys
from pathlib import Path
from typing import Self


def at(moment: dt.datetime) -> type[dt.datetime]:
    """Give a `datetime` for which it is always this moment."""

    class Standing(dt.datetime):
        @classmethod
        def now(cls, tz: dt.tzinfo | None = None) -> Self:
            now = moment.astimezone(tz)
            return cls(*now.timetuple()[:6], tzinfo=now.tzinfo)

    return Standing


def main() -> int:
    """Run the program."""
    folder, moment, *words = sys.argv[1:]
    os.chdir(folder)
    Path.absolute = lambda self: self  # type: ignore[method-assign] # so that what is shown of it names no folder above
    dt.datetime = at(dt.datetime.fromisoformat(moment))  # type: ignore[misc] # before anybody takes it

    from textual.widgets import Input  # noqa: PLC0415 - as all that follows: with that clock

    from headwright.cli import main as run  # noqa: PLC0415
    from headwright.store import desk  # noqa: PLC0415
    from headwright.terminal import run as start  # noqa: PLC0415

    desk.monotonic = lambda: 0.0  # type: ignore[attr-defined] # imported there by its name
    start.terminal_name = lambda: "bench 1"
    Input.cursor_blink._default = False
    return run(words)


if __name__ == "__main__":
    sys.exit(main())
