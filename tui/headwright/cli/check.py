"""Check procedures, and list every problem in them.

Each problem is one line: file, line, key, what was found and what was expected.
A folder is checked whole; a single file is checked among the procedures that
come with headwright. Without a path those are checked themselves.
Exit code 2 when there is any problem.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.cli import say
from headwright.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("path", nargs="*", metavar="PATH", help="a folder of procedures, or one definition file")


def run(asked: Namespace) -> int:
    """Check, and give 0 for sound procedures, 2 for faulty ones."""
    from headwright.procedure.check import check  # noqa: PLC0415 - loads pydantic and pint

    report = check(asked.path)
    for problem in report.problems:
        say.data(problem)
    say.talk(report.summary)
    return 0 if report.is_clean else UsageError.exit_code
