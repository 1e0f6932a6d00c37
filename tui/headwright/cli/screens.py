"""The way from the command line to the screens."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from headwright.cli.where import opened_store
from headwright.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.store import JobStore


def shown(choose: Callable[[JobStore], str]) -> int:
    """Open the screens on a job.

    Args:
        choose: names the job, given the store; an empty name opens the jobs board.

    Returns:
        The exit code of the screens.

    Raises:
        UsageError: there is no terminal to draw on, or no such job.
        StoreError: the store cannot be opened.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise UsageError("the screens need a terminal", "'headwright --help' lists what works without one.")
    with opened_store() as store:
        job = choose(store)
        from headwright.terminal.run import run  # noqa: PLC0415 - loads textual

        return run(store, job=job)
