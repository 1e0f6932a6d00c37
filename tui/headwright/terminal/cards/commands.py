"""Everything that can be done on a screen, with search: what the line of keys has no room for is here too."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal.cards.search import Entry, SearchCard
from headwright.terminal.keymap import name_of
from headwright.terminal.keys import in_use

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.terminal.keys import Key


class CommandsCard(SearchCard):
    """Offer the actions of a screen; the answer is the id of the one to be done.

    Args:
        keys: every key of the screen.
    """

    def __init__(self, keys: Sequence[Key]) -> None:
        entries = [
            Entry(key.id, key.label, key.tooltip, key.sign, also=f"{name_of(key).replace('_', ' ')} {key.also}")
            for key in map(in_use, keys)
        ]
        width = max((len(entry.title) for entry in entries), default=8)
        super().__init__("What can be done here", entries, width, "Nothing here has that in its name. Esc leaves.")
