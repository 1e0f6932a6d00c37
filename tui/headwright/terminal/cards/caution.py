"""The caution card: a hazard, what protects, and whom to defer to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import Static

from headwright.terminal.cards.card import facts
from headwright.terminal.cards.read import ReadCard
from headwright.terminal.keys import sign_in
from headwright.terminal.outer_keys import CAUTION

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from headwright.procedure.plan import Caution

STANDING = (
    "Local codes, the safety data sheet, the machine's manual and the shop's rules win over anything said here. "
    "Where they ask for more, do more; where they forbid it, stop."
)
"""Holds for every caution."""
QUALIFIED = "Only for a qualified person: if you are not, fetch one first."


class CautionCard(ReadCard):
    """Show a caution until it is acknowledged (True) or left (None); unread text must be scrolled past first."""

    TONE = "-near"

    def __init__(self, caution: Caution, operator_name: str) -> None:
        super().__init__(f"! Caution: {caution.title}")
        self._caution = caution
        self._operator = operator_name

    def waits_for(self) -> str:
        """Say that the caution comes first."""
        return "acknowledge the caution first"

    def body(self) -> Iterator[Widget]:
        """Give the caution's text."""
        caution = self._caution
        with self.scroll():
            yield Static(
                facts(
                    (
                        ("Hazard", caution.hazard),
                        ("Protection", caution.protection),
                        ("Defer to", caution.defer),
                        ("Qualified", QUALIFIED if caution.qualified else ""),
                        ("Always", STANDING),
                        ("Source", caution.source),
                    )
                )
            )

    def on_mount(self) -> None:
        """Say who acknowledges it."""
        press = f"press {sign_in(CAUTION, 'card_read')} when you have read it; it goes on record."
        self.say(f"{self._operator}: {press}" if self._operator else f"{press[:1].upper()}{press[1:]}")
