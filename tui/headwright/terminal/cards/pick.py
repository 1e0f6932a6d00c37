"""A card with a few numbered choices and nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.widgets import OptionList

from headwright.terminal.cards.card import Card
from headwright.terminal.cards.choices import Choice, Numbered
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import PICK

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.binding import BindingType
    from textual.widget import Widget


class PickCard(Card[int]):
    """Ask which of a few texts is meant; the answer is its number, from 0."""

    KEYS: ClassVar[tuple[Key, ...]] = PICK
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(PICK)]

    def __init__(self, title: str, choices: Sequence[str]) -> None:
        super().__init__(title)
        self._choices = tuple(choices)

    def body(self) -> Iterator[Widget]:
        """Give the choices."""
        yield Numbered([Choice(text) for text in self._choices])

    def on_mount(self) -> None:
        """Begin on the list."""
        options = self.query_one(Numbered)
        options.highlighted = 0
        options.focus()

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        self.settle(event.option_index)

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    def action_card_number(self) -> None:
        """Go to the list."""
        self.query_one(Numbered).focus()

    def action_card_settle(self) -> None:
        """Take the choice."""
        self.query_one(Numbered).action_select()
