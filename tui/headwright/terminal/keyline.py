"""The line of keys at the bottom of a screen; a click on a label does what its key does."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from headwright.terminal.drawn import Line, Lines, Span
from headwright.terminal.keys import Key, in_line, in_use

if TYPE_CHECKING:
    from textual import events


FEW = 6
"""Keys that a narrow line shows at most, so that each is found at a glance."""
ROOMY = 100
"""Columns from which it shows as many as fit."""


class KeyLine(Lines):
    """The keys with a rank, as many as fit; never more than six below 100 columns.

    Attributes:
        keys: every key of the screen, those without a rank too.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {"drawn--now", "drawn--quiet"}

    def __init__(self, keys: tuple[Key, ...]) -> None:
        super().__init__()
        self.keys = keys
        self._ends: list[tuple[int, str]] = []

    def show(self, keys: tuple[Key, ...]) -> None:
        """Show other keys."""
        self.keys = keys
        self.put((self._line(self.size.width),))

    def on_resize(self, event: events.Resize) -> None:
        """Lay the labels out for the width."""
        self.put((self._line(event.size.width),))

    def _line(self, width: int) -> Line:
        spans: list[Span] = []
        self._ends = []
        used = 0
        for key in map(in_use, in_line(self.keys)[: FEW if width < ROOMY else None]):
            text = f" {key.sign} {key.label} "
            if used + len(text) > width:
                break
            spans += [(f" {key.sign}", "now"), (f" {key.label} ", "quiet")]
            used += len(text)
            self._ends.append((used, key.id))
        return tuple(spans)

    async def on_click(self, event: events.Click) -> None:
        """Do what the key under the mouse does."""
        for end, action in self._ends:
            if event.x < end:
                await self.screen.run_action(action)
                return
