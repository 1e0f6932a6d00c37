"""The commands by name, each with the line that says what it is for; its file is loaded when it is asked for."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, NamedTuple, Protocol, cast

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


class Command(NamedTuple):
    """A command: the module that it is in, and its purpose in one line."""

    module: str
    purpose: str


class CommandModule(Protocol):
    """What the file of a command holds."""

    def arguments(self, parser: ArgumentParser) -> None:
        """Say what may follow the command."""

    def run(self, asked: Namespace) -> int:
        """Do it, and give the exit code."""


COMMANDS = {
    "new": Command("new", "open a new job for a head"),
    "jobs": Command("jobs", "list the jobs"),
    "open": Command("open_job", "go to the bench with a job"),
    "check": Command("check", "check procedures, and list every problem in them"),
    "replay": Command("replay", "go through a job event by event, with every hold and how it cleared"),
    "sheet": Command("sheet", "print the job sheet"),
    "export": Command("export", "write a job as a portable record"),
    "import": Command("import_job", "bring a portable record in"),
    "audit": Command("audit", "recompute every hash, and name the first event that does not fit"),
    "operator": Command("operators", "list the shop's people, and keep roles and the leads' PINs"),
    "calc": Command("calc", "do one sum of the trade, with units"),
}

BENCH = Command("bench", "open the jobs board")
"""What happens when no command is named."""


def loaded(command: Command) -> CommandModule:
    """Load the file of a command."""
    return cast("CommandModule", import_module(f"headwright.cli.{command.module}"))
