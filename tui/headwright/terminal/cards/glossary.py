"""The words of the trade, searched while one types."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import TYPE_CHECKING, ClassVar

from headwright.terminal.cards.search import Entry, SearchCard
from headwright.terminal.outer_keys import SEARCH

if TYPE_CHECKING:
    from headwright.terminal.keys import Key

_WIDTH = 22


class GlossaryCard(SearchCard):
    """Show the words of the trade with what they mean."""

    KEYS: ClassVar[tuple[Key, ...]] = SEARCH[1:]

    def __init__(self) -> None:
        super().__init__("Words of the trade", glossary(), _WIDTH, "No word here has that. Esc leaves.")

    def taken(self, name: str) -> None:
        """Stay: a word is there to be read."""


def glossary() -> list[Entry]:
    """Give the words in the order of the alphabet; other names of a word stand under it."""
    text = (files("headwright.terminal") / "glossary.toml").read_text(encoding="utf-8")
    words = sorted(tomllib.loads(text).items(), key=lambda word: word[0].lower())
    return [_entry(name, means) for name, means in words]


def _entry(name: str, means: str) -> Entry:
    title, _, others = name.removesuffix(")").partition(" (")
    return Entry(name, title, means, under=others)
