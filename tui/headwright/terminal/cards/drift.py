"""The card of a gauge whose zero had not held: what was struck with it, here and in other jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from headwright.terminal.cards.card import TextCard
from headwright.terminal.cards.words import plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.widget import Widget

    from headwright.store.quarantine import Elsewhere

AFTERWARDS = (
    "They stay on record as struck, and are taken again with the zero that was set just now. A position that rested on "
    "them is open again."
)


class DriftCard(TextCard[None]):
    """List the readings that were struck.

    Args:
        gauge: the gauge.
        here: the readings of this job, in words.
        elsewhere: what it means for other jobs.
    """

    TONE = "-bad"

    def __init__(self, gauge: str, here: Sequence[str], elsewhere: Sequence[Elsewhere]) -> None:
        super().__init__(f"■ {gauge} had moved: {len(here)} {'reading' if len(here) == 1 else 'readings'} struck")
        self._here = tuple(here)
        self._elsewhere = tuple(elsewhere)

    def body(self) -> Iterator[Widget]:
        """Give the lists."""
        text = Text()
        for heading, lines in (("In this job", self._here), *map(_of_job, self._elsewhere)):
            if lines:
                text.append(f"{plain(heading)}\n", "bold")
                text.append("".join(f"  {plain(line)}\n" for line in lines))
                text.append("\n")
        text.append(AFTERWARDS)
        with self.scroll():
            yield Static(text)


def _of_job(found: Elsewhere) -> tuple[str, tuple[str, ...]]:
    """Say what the gauge means for another job: the heading, and its readings in words."""
    if found.waiting:
        return f"In job {found.job}, not yet told there", (found.waiting,)
    released = ": released, so they are on record as doubtful" if found.released else ""
    return f"In job {found.job}{released}", found.words
