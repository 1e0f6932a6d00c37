"""Ends that come from outside: the terminal is gone, or the machine asks the program to end."""

from __future__ import annotations

import os
import signal
import sys
from concurrent.futures import CancelledError
from contextlib import contextmanager
from threading import Event, Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import FrameType

    from textual.app import App

LONGEST = 5.0
"""Seconds for leaving in order; all that was said to be saved is on disk, so the program may end at any time."""
BETWEEN = 1.0
"""Seconds between two looks whether the terminal is still there: not every way of closing it sends a signal."""
GONE = 1 if sys.platform == "win32" else signal.SIGHUP
"""Whoever loses the terminal ends as if the signal for it had come."""


@contextmanager
def heeded(app: App[None]) -> Iterator[None]:
    """Let the screens be left in order when the terminal goes or the machine asks for an end, as long as they run.

    The exit status is 128 and the number of the signal, as a shell has it: 129 and 143.

    Args:
        app: the screens.
    """
    if sys.platform == "win32":
        yield
        return
    over = Event()

    def asked(number: int, _: FrameType | None) -> None:
        # Not here: whatever the signal interrupted may hold what leaving waits for.
        Thread(target=_leave, args=(app, number, over), daemon=True).start()

    before = {number: signal.signal(number, asked) for number in (signal.SIGHUP, signal.SIGTERM)}
    Thread(target=_watch, args=(app, over), daemon=True).start()
    try:
        yield
    finally:
        over.set()
        for number, handler in before.items():
            signal.signal(number, handler)


def _watch(app: App[None], over: Event) -> None:
    """Leave when the terminal is gone."""
    while not over.wait(BETWEEN):
        if not os.isatty(0):
            _leave(app, GONE, over)
            return


def _leave(app: App[None], number: int, over: Event) -> None:
    """Leave the screens; where they do not come to an end by themselves, end the program."""
    if not os.isatty(0):
        _away_from_terminal()
    Thread(target=_ask, args=(app, 128 + number, over), daemon=True).start()
    if not over.wait(LONGEST):
        os._exit(128 + number)


def _ask(app: App[None], status: int, over: Event) -> None:
    """Ask the screens to end, as soon as they are there."""
    while not over.is_set():
        try:
            app.call_from_thread(app.exit, None, status)
        except (RuntimeError, CancelledError):  # not there yet, or already over
            over.wait(0.1)
        else:
            return


def _away_from_terminal() -> None:
    """Let reads end and writes go nowhere, so that nothing waits for a terminal that is gone, or fails on it."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for standard in (0, 1, 2):
        os.dup2(nowhere, standard)
    os.close(nowhere)
