"""The card on which the bench is handed over: how the job stands, for whoever leaves and for whoever comes."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Static

from headwright.job.handover import handover
from headwright.terminal.cards.card import facts
from headwright.terminal.cards.read import ReadCard
from headwright.terminal.cards.words import plain
from headwright.terminal.keys import Key, bindings, sign_in
from headwright.terminal.outer_keys import HANDOVER

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.job.events import Entry
    from headwright.job.state import State

LEAVES = "{name}: is that how it stands? Then press {key}, and let whoever takes over come to the screen."
TOGETHER = ("State now", "Still to do")
"""Sections that run on: nobody goes through them one by one, and the page is to be seen whole."""
COMES = "{name}: press {key} when you have read it; the bench is yours then, and every gauge is zeroed anew."


class HandoverCard(ReadCard):
    """Show how the job stands until it is acknowledged (True) or left (None).

    Args:
        state: the job.
        leaver: the initials of whoever leaves.
        now: the time, UTC as records have it.
        name: who reads it.
        at: the operation and place where the work stands at the bench; None for none.
        comes: whether that is the one who takes over.
        entries: the record, of which the news of the shift are told.
        typed: what is typed at the bench and not saved.
    """

    KEYS: ClassVar[tuple[Key, ...]] = HANDOVER
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(HANDOVER)]

    def __init__(
        self,
        state: State,
        leaver: str,
        now: str,
        name: str,
        *,
        at: tuple[str, str] | None = None,
        comes: bool = False,
        entries: Sequence[Entry] = (),
        typed: str = "",
    ) -> None:
        super().__init__(f"Job {state.job} is {'taken over from' if comes else 'handed over by'} {leaver}")
        self._sections = handover(state, leaver, now, at, entries=entries, typed=typed)
        self._reader = plain(name, 40)
        self._comes = comes

    def body(self) -> Iterator[Widget]:
        """Give the sections."""
        with self.scroll():
            for title, lines in self._sections:
                first, *more = ("; ".join(lines),) if title in TOGETHER else lines
                yield Static(facts([(title, first), *((" ", line) for line in more)]))

    def on_mount(self) -> None:
        """Say what the reader is asked."""
        key = sign_in(HANDOVER, "card_read")
        self.say((COMES if self._comes else LEAVES).format(name=self._reader, key=key))
