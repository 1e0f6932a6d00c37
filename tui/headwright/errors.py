"""What can go wrong, as a person would say it.

- `HeadwrightError`: one message and one hint; `exit_code` for the command line
  - `UsageError` (2): the command or a definition is wrong
    - `DefinitionsFaulty` (2): procedures with problems; carries them all
  - `StoreError` (3): jobs cannot be read or kept
    - `Outdated` (3): someone else wrote first
  - `RecordBroken` (1): a job record does not verify; carries the event number
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


class HeadwrightError(Exception):
    """An expected failure: `message` says what and where, `hint` what to do next."""

    exit_code = 1

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class UsageError(HeadwrightError):
    """The request cannot be carried out as it was put."""

    exit_code = 2


class DefinitionsFaulty(UsageError):
    """Procedures have problems; `problems` are their one-line texts, in file and line order."""

    def __init__(self, problems: Sequence[str]) -> None:
        count = len(problems)
        super().__init__(
            "\n".join(problems),
            f"{count} problem{'s' if count != 1 else ''} in the procedures; 'headwright check' lists them again.",
        )
        self.problems = tuple(problems)


class StoreError(HeadwrightError):
    """Jobs cannot be read or kept where they are."""

    exit_code = 3


class Outdated(StoreError):
    """Someone else wrote to the job first; nothing was written."""


class RecordBroken(HeadwrightError):
    """A job record does not verify; `number` is the first event that does not fit, 0 for the plan."""

    def __init__(self, message: str, number: int, hint: str = "") -> None:
        super().__init__(message, hint)
        self.number = number
