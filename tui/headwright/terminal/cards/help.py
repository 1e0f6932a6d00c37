"""The help: how to begin, and every key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text
from textual.widgets import Static

from headwright.terminal import outer_keys
from headwright.terminal.cards.card import TextCard

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from textual.widget import Widget

    from headwright.terminal.keys import Key

_WIDTH = 24
"""Columns of keys and signs."""

BASICS = """\
A job is one head, or the heads of one engine, from receiving to release. The program knows the order of the work and \
says in one line what comes next.
Type a figure and press Enter: it is on disk before it says saved. While you type, you see where it falls between its \
limits and what it would make of the clearance.
A step is ticked with Space, and with nothing else: a figure that comes while a step waits is not taken.
A figure that is out holds its place (■) until somebody decides: rework, remeasure, concession or scrap. The other \
places go on meanwhile.
Nothing is ever erased. A wrong reading is struck with a reason and stays on record.
A caution is shown before the work that it belongs to. Local codes, the safety data sheet, the machine's manual and \
the shop's rules win over it.""".splitlines()
FIGURES = (
    (".3446   0.3446   0,3446", "as it is read, with a point or a comma"),
    ("3446", "without the point: it is shown in full before it counts"),
    ("11/32   1 5/8", "fractions of an inch"),
    ("8.73 mm   0.3437 in", "with its unit, where it is not the reading's own"),
    ("+2   -1.5", "graduations off the size that the gauge was mastered at"),
)
SIGNS = (("✓", "done"), ("▸", "now"), ("■", "held"), ("·", "not yet"), ("◦", "not here"))
_GROUPS = (
    ("On every card", outer_keys.TEXT),
    ("On a card with choices", outer_keys.CHOICES[:-1]),
    ("On a caution", outer_keys.CAUTION[:1]),
    ("Who is at the bench", outer_keys.WHO[:-1]),
    ("Somebody who was not here before", outer_keys.WHO_FORM[:-1]),
    ("The list of jobs", outer_keys.JOBS),
    ("A new job", outer_keys.NEW_JOB),
)


class HelpScreen(TextCard[None]):
    """Show how to begin, and every key.

    Args:
        keys: those of the screen from which help was asked; they stand first.
    """

    def __init__(self, keys: Sequence[Key]) -> None:
        super().__init__("Help")
        self._keys = tuple(keys)

    def body(self) -> Iterator[Widget]:
        """Give the help, all of it in one text that scrolls."""
        with self.scroll():
            yield Static(Text("How it works", "bold"))
            for text in BASICS:
                yield Static(Text(text), classes="help-text")
            yield from _listed("Keys here", _rows(self._keys))
            yield from _listed("Figures, as they may be typed", FIGURES)
            yield from _listed("Signs", SIGNS)
            for title, keys in _GROUPS:
                if keys != self._keys:
                    yield from _listed(title, _rows(keys))


def _rows(keys: Sequence[Key]) -> Iterator[tuple[str, str]]:
    return ((key.sign, key.tooltip) for key in keys)


def _listed(title: str, rows: Iterable[tuple[str, str]]) -> Iterator[Static]:
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    table.add_column(width=_WIDTH)
    table.add_column(ratio=1)
    for sign, text in rows:
        table.add_row(Text(sign, "bold"), Text(text))
    yield Static(Text(title, "bold"), classes="help-title")
    yield Static(table)
