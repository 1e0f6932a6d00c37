"""When a program that runs in the test's own loop has done all that it was given to do, and what a hand gives it.

Textual's pilot waits after every key until the process has been still for 20 ms, twice. Here what is left to do is
looked at itself: callbacks that are ready, timers that are nearly due, and threads that work. Keys then follow one
another as those of a cable do, so they are given the times of a hand.
"""

from __future__ import annotations

import asyncio
import threading
from typing import TYPE_CHECKING

from textual import _wait

if TYPE_CHECKING:
    from concurrent.futures import ThreadPoolExecutor

    from textual.pilot import Pilot

NEARLY = 0.05
"""Seconds within which a timer is waited for: longer than a frame, and than a Space is looked at for what follows."""
MOST = 12
"""Timers that are waited for one after the other: what moves all the time would never come to an end."""

BETWEEN = 0.045
"""Seconds between two keys of a hand, at least: a cable's are 35 ms apart at most."""


class Hand:
    """Gives keys the times at which a hand would have pressed them, however soon after one another a test sends them.

    Time that a test lets pass between them passes here too.
    """

    def __init__(self) -> None:
        self._ahead = 0.0
        self._last = 0.0

    def presses(self, at: float) -> float:
        """Give the time (monotonic s) of a key that a test sends at a time."""
        self._last = max(at + self._ahead, self._last + BETWEEN)
        self._ahead = self._last - at
        return self._last


async def wait_for_idle(min_sleep: float = 0.0, max_sleep: float = 1.0) -> None:
    """Wait until nothing is left to be done; in place of Textual's function of that name, with its arguments."""
    loop = asyncio.get_running_loop()
    await _none_ready(loop)
    if _works(loop):
        # How long a thread takes can only be told from the processor.
        await _wait.wait_for_idle(min_sleep, max_sleep)
    for _ in range(MOST):
        due = _soonest(loop) - loop.time()
        if due > NEARLY:
            return
        await asyncio.sleep(max(0.0, due))
        await _none_ready(loop)


async def settled(pilot: Pilot[None]) -> None:
    """Wait until everything is laid out, and what that asked for."""
    for _ in range(2):
        await pilot.pause()


async def _none_ready(loop: asyncio.AbstractEventLoop) -> None:
    """Let everything run that is ready to, and what becomes ready by it."""
    while True:
        await asyncio.sleep(0)
        if not loop._ready:  # type: ignore[attr-defined]
            return


def _soonest(loop: asyncio.AbstractEventLoop) -> float:
    """Give when the next timer is due, by the loop's own clock."""
    return min((each.when() for each in loop._scheduled if not each.cancelled()), default=float("inf"))  # type: ignore[attr-defined]


def _works(loop: asyncio.AbstractEventLoop) -> bool:
    """Tell whether a thread is at work beside this one; those of a pool that wait for work are not."""
    pool: ThreadPoolExecutor | None = loop._default_executor  # type: ignore[attr-defined]
    threads = set(threading.enumerate()) - {threading.current_thread(), threading.main_thread()}
    if pool is None:
        return bool(threads)
    idle: int = pool._idle_semaphore._value
    return bool(threads - pool._threads) or idle < len(pool._threads) or not pool._work_queue.empty()
