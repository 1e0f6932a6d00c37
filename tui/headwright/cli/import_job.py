"""Bring a portable record in: the job in it, whole or not at all.

The whole record is verified first: an event that was changed, added or left out
is named by its number. A job that is there already, just so, is left as it is;
another job of the same number is never touched.
The number of the job goes to standard output. Exit code 1 when the record does
not verify, 2 when the file is no record at all.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from headwright.cli import progress, say
from headwright.cli.where import opened_store
from headwright.sheet.plain import counted

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("file", metavar="FILE", help="the record")


def run(asked: Namespace) -> int:
    """Bring the record in."""
    from headwright.store.record import import_job, read_record  # noqa: PLC0415 - not for --help

    with progress.shown("Checking the record") as told:
        record = read_record(Path(asked.file), told)
    with opened_store() as store, progress.shown("Bringing the job in"):
        count = import_job(store, record)
    say.data(record.job)
    say.talk(f"{counted(count, 'event')} brought in." if count else "It is there already, with the same events.")
    return 0
