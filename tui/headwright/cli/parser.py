"""Reading the words on the command line; a wrong one is answered in one message and one hint."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Never

from headwright.cli import say
from headwright.errors import UsageError
from headwright.nearest import nearest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from _typeshed import SupportsWrite


class Told(Exception):
    """Help was asked for and has been shown: there is nothing more to do."""


class Parser(argparse.ArgumentParser):
    """Takes the words of one command; it neither ends the process nor writes to standard error."""

    def __init__(self, prog: str, description: str | None, epilog: str = "", usage: str | None = None) -> None:
        super().__init__(
            prog=prog,
            description=description,
            epilog=epilog,
            usage=usage,
            allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )

    def taken(self, words: Sequence[str]) -> argparse.Namespace:
        """Take the words.

        Raises:
            Told: help was asked for.
            UsageError: a word does not belong here, or one is missing.
        """
        asked, stray = self.parse_known_args(words)
        if stray:
            known = [option for action in self._actions for option in action.option_strings]
            near = nearest(stray[0], known) if stray[0].startswith("-") else ""
            hint = f"Nearest: {near}." if near else self._hint()
            raise UsageError(f"{self._command}'{stray[0]}' does not belong here", hint)
        return asked

    def error(self, message: str) -> Never:
        """Answer a wrong or missing word."""
        raise UsageError(f"{self._command}{message}", self._hint())

    def print_help(self, file: SupportsWrite[str] | None = None) -> None:
        """Show the help as every command shows data: a write that fails is told, which argparse would not do."""
        del file
        say.data(self.format_help().rstrip("\n"))

    def exit(self, status: int = 0, message: str | None = None) -> Never:
        """Go back to the caller instead of ending the process."""
        del status, message
        raise Told

    @property
    def _command(self) -> str:
        _, _, name = self.prog.partition(" ")
        return f"{name}: " if name else ""

    def _hint(self) -> str:
        return f"'{self.prog} --help' shows what it takes."
