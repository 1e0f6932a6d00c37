"""Go to the bench with a job.

Without a number it is the job that was last worked on. --sample takes the job
that comes with headwright, as it stood before its liners were sized; it is
brought in when it is asked for the first time, and is a job like any other from
then on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.cli.screens import shown
from headwright.cli.where import known
from headwright.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from headwright.store import JobStore
    from headwright.store.front import SqlFront


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    which = parser.add_mutually_exclusive_group()
    which.add_argument("job", nargs="?", metavar="JOB", help="the number of the job")
    which.add_argument("--sample", action="store_true", help="the job that comes with headwright")


def run(asked: Namespace) -> int:
    """Open the job at the bench."""
    return shown(lambda front: _sample(front.whole()) if asked.sample else _named(front, asked.job or ""))


def _sample(store: JobStore) -> str:
    from headwright.store.sample import bring_sample  # noqa: PLC0415 - not for --help

    job, _ = bring_sample(store)
    return job


def _named(front: SqlFront, job: str) -> str:
    if job:
        if front.glance(known(job)) is None:
            front.whole().plan_json(job)  # an unknown number is told before the screens come up
        return job
    newest = front.newest()
    if not newest:
        raise UsageError("there is no job yet", "'headwright new' opens one, 'headwright open --sample' shows one.")
    return newest
