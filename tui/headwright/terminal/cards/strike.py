"""The strike card: a reading that was wrong is struck with a reason, and stays on record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.widgets import Static

from headwright.job.show import unit_sign
from headwright.terminal.cards.card import facts
from headwright.terminal.cards.choice_card import ChoiceCard
from headwright.terminal.cards.choices import Choice
from headwright.terminal.cards.words import moment

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from headwright.job.state import Taken

# The usual slips of hand and eye; common practice, no source.
_REASONS = (
    Choice("Typed wrong", reason="typed wrong"),
    Choice("Misread", "the gauge or the vernier", reason="gauge misread"),
    Choice("Wrong place", "another position, station or angle was measured", reason="measured at the wrong place"),
    Choice("Gauge moved", "its zero has shifted, or it was not mastered", reason="gauge zero had moved"),
    Choice("Not clean", "chips, oil or abrasive under the gauge", reason="place or gauge was not clean"),
    Choice("Something else", "in your own words"),
)


class StrikeCard(ChoiceCard[str]):
    """Ask why a reading does not count.

    Args:
        taken: the reading on record.
        words: what it is a reading of, as it is spoken of: `2I: Finished bore, top, 90°`.
    """

    def __init__(self, taken: Taken, words: str) -> None:
        super().__init__("Strike a reading", _REASONS, lambda _, reason: reason, "strikes it")
        self._taken = taken
        self._words = words

    def above(self) -> Iterator[Widget]:
        """Say which reading it is."""
        taken = self._taken
        event = taken.event
        figure = event.typed or event.word
        sign = f" {unit_sign(event.unit)}" if event.unit and figure[-1:].isdigit() else ""
        with VerticalScroll(classes="card-facts elastic"):
            yield Static(
                facts(
                    (
                        ("Reading", self._words),
                        ("As typed", f"{figure}{sign}"),
                        ("Taken", f"by {taken.operator}, entry {taken.number}, {moment(taken.time)}"),
                        ("Afterwards", "It stays on record as struck, and whatever rested on it is open again."),
                    )
                )
            )
