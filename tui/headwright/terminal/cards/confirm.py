"""Cards that ask for one line of text before something is done: stop, resume, confirm, release, reopen."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, Static

from headwright.terminal.cards.card import Card
from headwright.terminal.cards.words import like_a_reading, plain
from headwright.terminal.cards.words_line import WordsLine
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import LINE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.binding import BindingType
    from textual.widget import Widget


class ReasonCard(Card[str]):
    """Ask for a reason; Enter gives it, and None means that nothing is to be done.

    Args:
        title: what is asked.
        body: what it means; an empty line between paragraphs.
        label: what the line wants: `Reason`, `Source`.
        expected: what is said when the line is empty or holds a bare figure.
        without: the words that stand for an empty line; left out, it is not taken.
    """

    KEYS: ClassVar[tuple[Key, ...]] = LINE
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(LINE)]

    def __init__(self, title: str, body: str, label: str, expected: str = "", without: str = "") -> None:
        super().__init__(title)
        self._body = body
        self._label = plain(label, 20)
        self._expected = expected or f"{self._label} expected, in words."
        self._without = without

    def body(self) -> Iterator[Widget]:
        """Give what it means, and the line."""
        paragraphs = [plain(paragraph) for paragraph in self._body.split("\n\n")]
        with VerticalScroll(classes="card-text elastic"):
            yield Static(Text("\n\n".join(paragraphs)))
        with Horizontal(classes="card-line"):
            yield Static(Text(self._label), classes="card-label")
            yield WordsLine()

    def on_mount(self) -> None:
        """Begin on the line."""
        self.query_one(Input).focus()

    @on(Input.Submitted)
    def _give(self, event: Input.Submitted) -> None:
        text = plain(event.value).strip() or self._without
        if not text:
            self.say(self._expected)
        elif like_a_reading(text):
            event.input.value = ""
            self.say(f"'{text}' looks like a reading from a gauge: it was not taken. {self._expected}")
        else:
            self.settle(text)

    async def action_card_settle(self) -> None:
        """Give what stands on the line."""
        await self.query_one(Input).action_submit()
