"""The why-card: what something is, how it is measured, why it matters here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from headwright.terminal.cards.card import TextCard
from headwright.terminal.cards.words import plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.widget import Widget


class WhyCard(TextCard[None]):
    """Show an explanation.

    Args:
        title: what it is about.
        paragraphs: texts, each alone or after a heading: `("How", "With the bore gauge …")`, each line of them a line;
            empty ones are left out.
    """

    def __init__(self, title: str, paragraphs: Sequence[str | tuple[str, str]]) -> None:
        super().__init__(title)
        self._paragraphs = [p for p in paragraphs if (p if isinstance(p, str) else p[1])]

    def body(self) -> Iterator[Widget]:
        """Give the paragraphs."""
        text = Text()
        for number, paragraph in enumerate(self._paragraphs):
            heading, words = ("", paragraph) if isinstance(paragraph, str) else paragraph
            text.append("\n\n" if number else "")
            if heading:
                text.append(f"{plain(heading)}\n", "bold")
            text.append("\n".join(map(plain, words.splitlines())))
        with self.scroll():
            yield Static(text)
