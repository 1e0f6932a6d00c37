"""The line on which a card takes a name or a figure, and lets pass what was typed for the work before it."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from textual.message import Message
from textual.widgets import Input

if TYPE_CHECKING:
    from textual import events

LONGEST = 40
"""Characters of a gauge's or ring's name, and of a figure."""
UNREAD = 0.5
"""s after the card came up by itself in which nobody can have read it (our choice): keys are of the work before it."""


class FigureLine(Input):
    """The line to type on; what somebody goes on typing while the card comes up is let pass, to its last key."""

    class Early(Message):
        """A key was let pass."""

    class Why(Message):
        """Somebody asks what is wanted here: the sign for that is part of no figure and no name."""

    def __init__(self) -> None:
        super().__init__(compact=True, max_length=LONGEST)
        self._came: float | None = None

    def end(self) -> None:
        """Take every key: something was chosen, so whoever types has seen the card."""
        self._came = None

    def begin(self) -> None:
        """Begin here: nobody had to choose anything first, so what is typed may be meant for elsewhere."""
        self._came = inf

    def on_show(self, event: events.Show) -> None:
        """Note when it came in sight (monotonic s)."""
        if self._came == inf:
            self._came = event.time

    def on_key(self, event: events.Key) -> None:
        """Let a key pass that comes too soon, or runs on after one that did."""
        if event.character == "?":
            event.stop()
            event.prevent_default()
            self.post_message(self.Why())
            return
        if self._came is None:
            return
        if event.time - self._came >= UNREAD:
            self._came = None
        elif event.is_printable or event.key in {"enter", "ctrl+j", "backspace"}:
            self._came = max(event.time, self._came)
            event.stop()
            event.prevent_default()
            self.post_message(self.Early())
