"""Work that takes a while, done beside the screen: a card with a bar where it lasts, and Esc to give it up."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual import work

from headwright.errors import HeadwrightError
from headwright.terminal.cards.card import Card
from headwright.terminal.drawn import Drawn
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import LONG_WORK

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.binding import BindingType
    from textual.widget import Widget

    Progress = Callable[[int, int], None]
    """Is told how much is done, and of how much."""

Result = TypeVar("Result")

SOON = 0.3
"""Seconds that work takes before its card comes up: what is done sooner needs none."""
_OFTEN = 0.1
_WIDEST = 60


class GivenUp(Exception):
    """Work was given up between two of its steps; nothing of it is kept."""


class WorkCard(Card["Result | HeadwrightError"]):
    """Do some work and show how far it is; the answer is what came of it, None where it was given up.

    Args:
        title: what is done.
        task: does it, beside the screen. It tells how far it is; where it was given up, telling raises `GivenUp`.
    """

    KEYS: ClassVar[tuple[Key, ...]] = LONG_WORK
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(LONG_WORK)]

    def __init__(self, title: str, task: Callable[[Progress], Result]) -> None:
        super().__init__(title)
        self._to_do = task
        self._far = (0, 0)
        self._left = False

    def body(self) -> Iterator[Widget]:
        """Give the bar."""
        yield Drawn(classes="card-bar")

    def on_mount(self) -> None:
        """Begin; the card is not seen before the work has lasted a moment."""
        self.add_class("-unseen")
        self.set_timer(SOON, lambda: self.remove_class("-unseen"))
        self.set_interval(_OFTEN, self._draw)
        self._do()

    @work(exit_on_error=False)
    async def _do(self) -> None:
        try:
            found: Result | HeadwrightError = await asyncio.to_thread(self._to_do, self._told)
        except GivenUp:
            self.dismiss(None)
        except HeadwrightError as error:
            self.dismiss(error)
        else:
            self.dismiss(found)

    def _told(self, done: int, of: int) -> None:
        self._far = (done, of)
        if self._left:
            raise GivenUp

    def _draw(self) -> None:
        drawn = self.query_one(".card-bar", Drawn)
        width = max(0, min(_WIDEST, drawn.size.width - 20))
        done, of = self._far
        full = round(width * done / of) if of else 0
        count = f"  {done} of {of}" if of else "  one moment"
        drawn.put(((("━" * full, "now"), ("─" * (width - full), "line"), (count, "")),))

    def action_card_leave(self) -> None:
        """Give the work up at its next step; what is done by then is taken back."""
        self._left = True
        self.say("One moment: it stops.")
