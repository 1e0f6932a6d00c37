"""What the commands look up: the store, and a job named by its number or by a record's file."""

from __future__ import annotations

import os
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from headwright.cli import progress, say
from headwright.errors import HeadwrightError, UsageError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.state import State
    from headwright.store import JobStore
    from headwright.store.front import SqlFront
    from headwright.store.record import Record

JOB_OR_RECORD = "the number of a job, or the file of a record"


@contextmanager
def opened_store() -> Iterator[JobStore]:
    """Open the user's jobs store for as long as it is wanted.

    Raises:
        StoreError: it cannot be opened.
    """
    with opened_front() as front:
        yield front.whole()


@contextmanager
def opened_front() -> Iterator[SqlFront]:
    """Open it for the screens, which begin before all that works on jobs is loaded; raises as `opened_store`."""
    from headwright.store import open_front  # noqa: PLC0415 - not for --help

    with progress.shown("Working the lists out again", "jobs") as told:
        front = open_front(progress=told)
    try:
        yield front
    finally:
        front.close()


def record_named(name: str) -> Record:
    """Get a job by its number in the store, or from a record's file, and verify all of it.

    Args:
        name: a record where it ends in `.toml`, or has a folder in it and is there; else a job's number.

    Raises:
        UsageError: there is no such job or file.
        RecordBroken: it does not verify.
        StoreError: the store cannot be read.
    """
    from headwright.store.record import read_record, record_of  # noqa: PLC0415 - not for --help

    path = Path(name)
    if name.endswith(".toml") or (os.sep in name and path.exists()):
        with progress.shown("Checking the record") as told:
            return read_record(path, told)
    with opened_store() as store, progress.shown("Checking the job"):
        return record_of(store, known(name))


def known(job: str) -> str:
    """Give a job's number back, if a store can have it at all.

    Raises:
        UsageError: it has bytes in it that are no text.
    """
    try:
        job.encode()
    except UnicodeEncodeError as error:
        raise UsageError(f"there is no job '{job}'", "'headwright jobs' lists those there are.") from error
    return job


def standing_code(state: State) -> int:
    """Give the exit code for where a job stands, and tell why it is not 0.

    It is 1 for a job that is held, stopped or scrapped, and for one with readings that are in doubt.
    """
    from headwright.job.summary import summary  # noqa: PLC0415 - not for --help
    from headwright.sheet.doubts import in_doubt_words  # noqa: PLC0415

    short, doubt = summary(state), in_doubt_words(state)
    if short.status not in {"held", "stopped", "scrapped"} and not doubt:
        return 0
    say.talk(f"Job '{short.job}' is {short.status}{', with ' if doubt else ''}{doubt}.")
    return HeadwrightError.exit_code
