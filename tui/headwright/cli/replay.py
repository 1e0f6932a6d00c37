"""Go through a job event by event, with every hold and how it cleared.

The whole record is verified first: an event that was changed, added or left out
is named by its number. It ends with where the job stands, operation by
operation, and the results that count. Exit code 1 when the record does not
verify, when the job is held, stopped or scrapped, or when readings of a job
that was released are in doubt.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.cli import progress, say
from headwright.cli.where import JOB_OR_RECORD, record_named, standing_code

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("record", metavar="RECORD", help=f"{JOB_OR_RECORD}; a record's name ends in .toml")
    parser.add_argument("--json", action="store_true", help="as JSON, for another program")


def run(asked: Namespace) -> int:
    """Replay the record."""
    from headwright.sheet import replayed  # noqa: PLC0415 - not for --help
    from headwright.sheet.history import history  # noqa: PLC0415

    record = record_named(asked.record)
    with progress.shown("Going through the job") as far:
        told = history(record.plan, record.entries, far)
    if asked.json:
        say.json(replayed.as_json(told))
    else:
        for line in replayed.lines(told):
            say.data(line)
    return standing_code(told.state)
