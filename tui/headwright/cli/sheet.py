"""Print the job sheet: plain text of 80 columns.

It names the head, every operation with what was read, worked out, struck and
set aside, the holds and how they were closed, the cautions, the sources of the
values, the notes, the release and the hashes.
Exit code 1 when the job is held, stopped or scrapped, or when readings of a job
that was released are in doubt; the sheet is printed all the same.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.cli import say
from headwright.cli.where import JOB_OR_RECORD, record_named, standing_code

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("job", metavar="JOB|RECORD", help=JOB_OR_RECORD)


def run(asked: Namespace) -> int:
    """Print the sheet."""
    from headwright.sheet.history import history  # noqa: PLC0415 - not for --help
    from headwright.sheet.sheet import job_sheet  # noqa: PLC0415

    record = record_named(asked.job)
    told = history(record.plan, record.entries)
    say.data(job_sheet(told))
    return standing_code(told.state)
