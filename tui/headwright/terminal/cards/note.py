"""The note card."""

from __future__ import annotations

from headwright.terminal.cards.confirm import ReasonCard


class NoteCard(ReasonCard):
    """Ask for a note about a place (or the job), as it is spoken of: `2I`, `head A`, `the job`."""

    def __init__(self, place_words: str) -> None:
        super().__init__(
            f"Note on {place_words}",
            "What the next person at this head should know. It stays on record and goes on the sheet.",
            "Note",
            "Type the note in words; Esc leaves without one.",
        )
