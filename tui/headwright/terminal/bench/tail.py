"""The rest of an answer whose first key was enough: `y` is saved at once, and `es` and Enter still come."""

from __future__ import annotations

from time import monotonic

SECONDS = 0.6
"""How long the rest may take: longer than a practised hand between two keys, shorter than a new thought."""


class Tail:
    """Lets the rest of a word pass, and the Enter after it, so that they do not land in the next reading."""

    def __init__(self) -> None:
        self._rest = ""
        self._until = 0.0

    def begin(self, rest: str) -> None:
        """Begin after an answer of one key; `rest` are the letters that may follow."""
        self._rest = rest
        self._until = monotonic() + SECONDS

    def lets_pass(self, key: str, character: str | None) -> bool:
        """Tell whether a key belongs to the answer before; the first one that does not ends it."""
        if monotonic() >= self._until:
            return False
        if self._rest and character == self._rest[0]:
            self._rest = self._rest[1:]
            return True
        self._until = 0.0
        return key == "enter"
