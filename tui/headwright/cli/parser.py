"""Reading the words on the command line; a wrong one is answered in one message and one hint."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Never

from headwright.errors import UsageError
from headwright.nearest import nearest

if TYPE_CHECKING:
    from collections.abc import Sequence


class Told(Exception):
    """Help or the version was asked for and has been shown: there is nothing more to do."""


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
            Told: help or the version was asked for.
            UsageError: a word does not belong here, or one is missing.
        """
        asked, stray = self.parse_known_args(words)
        if stray:
            known = [option for action in self._actions for option in action.option_strings]
            near = nearest(stray[0], known) if stray[0].startswith("-") else ""
            hint = f"Nearest: {near}." if near else self._hint()
            raise UsageError(f"{self.prog}: '{stray[0]}' does not belong here", hint)
        return asked

    def error(self, message: str) -> Never:
        """Answer a wrong or missing word."""
        raise UsageError(f"{self.prog}: {message}", self._hint())

    def exit(self, status: int = 0, message: str | None = None) -> Never:
        """Go back to the caller instead of ending the process."""
        del status, message
        raise Told

    def _hint(self) -> str:
        return f"'{self.prog} --help' shows what it takes."
