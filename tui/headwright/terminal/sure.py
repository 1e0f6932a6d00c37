"""A question that Enter raised and Enter answers: a key that bounces, or is pressed twice by habit, is no answer."""

from __future__ import annotations

PAUSE = 0.4
"""s between the press that raised a question and one that answers it: nobody has read it sooner (our choice)."""


class Question:
    """Knows when it was asked. All times are monotonic seconds of when the key came."""

    def __init__(self) -> None:
        self._asked: float | None = None

    def ask(self, at: float | None) -> None:
        """Note that it was asked at a time; None where no key asked it, so that any answers it."""
        self._asked = at

    def may_answer(self, at: float | None) -> bool:
        """Tell whether a press at a time answers it; one whose time is not known does."""
        return at is None or self._asked is None or at - self._asked >= PAUSE
