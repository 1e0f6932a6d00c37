"""The way from the command line to the screens."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from headwright.cli.where import opened_front
from headwright.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.store.front import SqlFront


def shown(choose: Callable[[SqlFront], str]) -> int:
    """Open the screens on a job.

    Args:
        choose: names the job, given the store; an empty name opens the jobs board.

    Returns:
        The exit code of the screens.

    Raises:
        UsageError: there is no terminal to draw on, or no such job.
        StoreError: the store cannot be opened.
    """
    # They are drawn on standard error, so that is looked at too.
    if not all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        raise UsageError("the screens need a terminal", "'headwright --help' lists what works without one.")
    if os.environ.get("TERM") == "dumb":
        raise UsageError(
            "the screens cannot be drawn on a terminal of the kind 'dumb', as TERM names it",
            "Set TERM to what it is; 'headwright --help' lists what works without screens.",
        )
    with opened_front() as store:
        job = choose(store)
        from headwright.terminal.run import run  # noqa: PLC0415 - loads textual

        return run(store, job=job)
