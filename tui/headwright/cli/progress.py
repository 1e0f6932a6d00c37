"""How far long work is: one line on standard error, written over and wiped, where somebody is there to see it."""

from __future__ import annotations

import shutil
import sys
import time
from contextlib import contextmanager
from threading import Event, Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

SOON = 0.5
"""Seconds that work takes before anything is said of it."""
_EVERY = 0.2
_BAR = 24


class Told:
    """Takes in how far the work is; called with how much is done, and of how much (0: not known)."""

    def __init__(self) -> None:
        self.far = (0, 0)

    def __call__(self, done: int, of: int) -> None:
        """Take in how far it is."""
        self.far = (done, of)


class _Line:
    """The line, drawn by a thread of its own: the work need not call often, or at all."""

    def __init__(self, what: str, unit: str, told: Told) -> None:
        self._what, self._unit, self._told = what, unit, told
        self._over = Event()
        self._wide = 0
        self._began = time.monotonic()
        self._drawer = Thread(target=self._draw, name="progress", daemon=True)

    def begin(self) -> None:
        self._drawer.start()

    def end(self) -> None:
        self._over.set()
        self._drawer.join()
        if self._wide:
            sys.stderr.write("\r" + " " * self._wide + "\r")
            sys.stderr.flush()

    def _draw(self) -> None:
        wait = SOON
        while not self._over.wait(wait):
            wait = _EVERY
            text = self._text()
            sys.stderr.write("\r" + text.ljust(self._wide))
            sys.stderr.flush()
            self._wide = len(text)

    def _text(self) -> str:
        done, of = self._told.far
        # A line that wraps could not be written over.
        room = shutil.get_terminal_size().columns - 1
        if not of:
            return f"{self._what}: {time.monotonic() - self._began:.0f} s (Ctrl+C stops)"[:room]
        count = f"{done} of {of} {self._unit} (Ctrl+C stops)"
        wide = min(_BAR, room - len(self._what) - len(count) - 4)
        full = wide * done // of
        bar = f"[{'=' * full}{' ' * (wide - full)}] " if wide > 0 else ""
        return f"{self._what} {bar}{count}"[:room]


@contextmanager
def shown(what: str, unit: str = "events", *, wanted: bool = True) -> Iterator[Told]:
    """Show how far work is that lasts longer than half a second, if standard error is a terminal.

    Ctrl+C ends the work where it is, as everywhere; the line is wiped in any case.

    Args:
        what: what is done, in a few words.
        unit: what is counted, in plural.
        wanted: False where other output tells how far it is.
    """
    told = Told()
    if not (wanted and sys.stderr.isatty()):
        yield told
        return
    line = _Line(what, unit, told)
    line.begin()
    try:
        yield told
    finally:
        line.end()
