"""Colours and signs: chosen here, seen at once, and kept for the next start."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.widgets import OptionList, Static

from headwright.errors import HeadwrightError
from headwright.terminal.cards.card import Card
from headwright.terminal.cards.choices import Choice, Numbered
from headwright.terminal.cards.words import error_words, plain
from headwright.terminal.config import SIGNS, config_file
from headwright.terminal.keys import Key, bindings
from headwright.terminal.look import LookingApp
from headwright.terminal.outer_keys import LOOK_CARD
from headwright.terminal.theme import TITLES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.binding import BindingType
    from textual.widget import Widget

_SIGNS = {
    # Words and no signs: they are read through the signs in use, where each would look like its plain twin.
    "full": ("Full signs", "a tick, an arrowhead, a block; fine lines and the sign for degrees"),
    "plain": ("Plain signs", "ASCII only, where a terminal has no others: lines of dashes, degrees as a word"),
}
_CHOICES = (*(("theme", name) for name in TITLES), *(("signs", name) for name in SIGNS))


class LookCard(Card[None]):
    """Choose the theme and the signs."""

    KEYS: ClassVar[tuple[Key, ...]] = LOOK_CARD
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(LOOK_CARD)]

    def __init__(self) -> None:
        super().__init__("Colours and signs")

    def body(self) -> Iterator[Widget]:
        """Give the choices, where they are kept, and what is wrong there."""
        yield Numbered(self._choices())
        yield Static(
            Text(plain(f"Kept in {config_file()}; keys of your own go there too, under [keys].")), classes="look"
        )
        faults = self._looking.faults
        if faults:
            yield Static(Text("\n".join(map(plain, faults))), classes="look-faults elastic")

    @property
    def _looking(self) -> LookingApp[None]:
        app = self.app
        assert isinstance(app, LookingApp)  # noqa: S101 - no other app opens this card
        return app

    def _choices(self) -> list[Choice]:
        theme, signs = self._looking.look
        no_colour = "Without colours (NO_COLOR) all themes look alike." if self._looking.no_color else ""
        texts = {**{name: title.partition(", ")[::2] for name, title in TITLES.items()}, **_SIGNS}
        return [
            Choice(
                f"{texts[name][0].capitalize()}{' (now)' if name in (theme, signs) else ''}",
                texts[name][1],
                more=(no_colour,) if no_colour and kind == "theme" and name == theme else (),
            )
            for kind, name in _CHOICES
        ]

    def on_mount(self) -> None:
        """Begin at the theme in use."""
        choices = self.query_one(Numbered)
        choices.highlighted = list(TITLES).index(self._looking.look[0])
        choices.focus()

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        kind, name = _CHOICES[event.option_index]
        if name in self._looking.look:
            self.dismiss(None)
            return
        try:
            self._looking.choose(kind, name)
        except HeadwrightError as error:
            self.say(error_words(error))
        else:
            self.say("This is how it looks now. Enter once more closes the card.")
        self.query_one(Numbered).change(self._choices())

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    def action_card_number(self) -> None:
        """Go to the choices."""
        self.query_one(Numbered).focus()

    def action_card_settle(self) -> None:
        """Take the choice."""
        self.query_one(Numbered).action_select()
