"""The why-card: what something is, how it is measured and where, why it matters here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from headwright.terminal.cards.card import TextCard
from headwright.terminal.cards.words import plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.widget import Widget

HOW = "How"
"""The heading of the paragraph under which the drawing stands."""


class WhyCard(TextCard[None]):
    """Show an explanation.

    Args:
        title: what it is about.
        paragraphs: texts, each alone or after a heading: `("How", "With the bore gauge …")`, each line of them a line;
            empty ones are left out.
        drawing: shows where it is measured; it stands under how that is done, else above everything.
    """

    SAYS_MORE = False

    def __init__(self, title: str, paragraphs: Sequence[str | tuple[str, str]], drawing: Widget | None = None) -> None:
        super().__init__(title)
        pairs = (("", each) if isinstance(each, str) else each for each in paragraphs)
        self._paragraphs = [(heading, words) for heading, words in pairs if words]
        self._drawing = drawing

    def body(self) -> Iterator[Widget]:
        """Give the paragraphs, and the drawing among them."""
        at = next((number for number, (heading, _) in enumerate(self._paragraphs, 1) if heading == HOW), 0)
        with self.scroll():
            if self._drawing is None:
                yield Static(_set(self._paragraphs))
                return
            if at:
                yield Static(_set(self._paragraphs[:at]))
            self._drawing.add_class("why-where")
            yield self._drawing
            yield Static(_set(self._paragraphs[at:]))


def _set(paragraphs: Sequence[tuple[str, str]]) -> Text:
    """Set paragraphs with a blank line between them."""
    text = Text()
    for number, (heading, words) in enumerate(paragraphs):
        text.append("\n\n" if number else "")
        if heading:
            text.append(f"{plain(heading)}\n", "bold")
        text.append("\n".join(map(plain, words.splitlines())))
    return text
