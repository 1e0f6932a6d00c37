"""The list of sums: those that fit what is typed, one of them at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

from headwright.sums.catalogue import SUMS
from headwright.terminal.drawn import Drawn, Line, fit

if TYPE_CHECKING:
    from textual import events

    from headwright.sums.model import Sum


class SumList(Drawn):
    """The names of the sums. Where the list is longer than its place, the one at hand stays in sight."""

    class Clicked(Message):
        """A sum of the list was clicked; it is at hand now."""

    def __init__(self, *, id: str) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id)
        self._shown = [*SUMS.values()]
        self._at = 0
        self._top = 0
        self._led = True

    def lead(self, *, led: bool) -> None:
        """Show whether the keys move in this list (`led`), or somewhere else."""
        if led != self._led:
            self._led = led
            self.draw()

    @property
    def at_hand(self) -> Sum | None:
        """Give the sum at hand; None where none fits what is typed."""
        return self._shown[self._at] if self._shown else None

    def narrow(self, wanted: str) -> None:
        """Show the sums that have every word in name, purpose or labels; those with it in their name come first."""
        words = wanted.lower().split()
        kept = self.at_hand
        found = [each for each in SUMS.values() if all(word in _searched(each) for word in words)]
        self._shown = sorted(found, key=lambda each: not all(word in each.name for word in words))
        self._at = 0
        if not words and kept is not None:
            self._at = self._shown.index(kept)
        self.draw()

    def move(self, step: int) -> None:
        """Take the sum so many places on in hand; from the last it goes on with the first."""
        if self._shown:
            self._at = (self._at + step) % len(self._shown)
            self.draw()

    def draw(self) -> None:
        """Draw the list, the sum at hand in sight."""
        if not self._shown:
            self.put([((fit("  no sum has that", self.size.width), "quiet"),)])
            return
        room = max(1, self.size.height)
        self._top = max(min(self._top, self._at, len(self._shown) - room), self._at - room + 1, 0)
        self.put([self._row(place) for place in range(self._top, min(len(self._shown), self._top + room))])

    def _row(self, place: int) -> Line:
        here = place == self._at
        text = f"{'▸' if here else ' '} {self._shown[place].name}"
        return ((fit(text, self.size.width), ("hand" if self._led else "strong") if here else ""),)

    def on_resize(self) -> None:
        """Draw the list anew."""
        self.draw()

    def on_click(self, event: events.Click) -> None:
        """Take the sum under the mouse in hand."""
        place = self._top + event.y
        if place < len(self._shown):
            self._at = place
            self.draw()
            self.post_message(self.Clicked())


def _searched(each: Sum) -> str:
    labels = [one.label for one in each.inputs] + [one.label for one in each.results]
    return " ".join((each.name, each.purpose, *labels)).lower()
