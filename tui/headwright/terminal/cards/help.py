"""The help: the keys at hand, how it works, how figures are typed, and what signs and words of a verdict mean."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.table import Table
from rich.text import Text
from textual.widgets import Static

from headwright.terminal.cards.card import TextCard
from headwright.terminal.config import config_file
from headwright.terminal.keymap import may_change, name_of
from headwright.terminal.keys import Key, bindings, in_use
from headwright.terminal.outer_keys import GROUPS, HELP_CARD, TEXT

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from textual.binding import BindingType
    from textual.widget import Widget

_WIDTH = 24
"""Columns of signs, figures and words."""
_KEY, _LABEL = 11, 11
"""Columns of keys and, at least, of their labels, as the list of commands has them."""

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
SIGNS = (
    ("✓", "done; beside a figure: in its limits"),
    ("▸", "to be done now"),
    ("›", "the operation that is looked at, where another one is next"),
    ("◆", "a step that leads to the figure at hand; it is not ticked"),
    ("■", "held or stopped; beside a figure: out of its limits"),
    ("·", "not yet"),
    ("◦", "not at this place"),
    ("~", "near a limit"),
    ("├────●───┤", "low limit, the figure, high limit; « or » points to a figure beyond the drawing"),
    ("┼ ╵", "the same figure at other places"),
)
VERDICTS = (
    ("ok", "within its limits"),
    ("near", "ok, and within one graduation of a limit"),
    ("not proven", "within them, but too near a limit for how surely it was measured, where the plan asks for proof"),
    ("low, high", "out of its limits: the place is held until somebody decides"),
    ("yes, wrong", "an answer that passes, and one that does not"),
    ("conceded", "out, and a lead has let it stand with a reason"),
    ("expected, far off", "no limit: where such a figure should be, and a hint that this one may be a slip"),
    ("again", "was done, and has to be done once more because of later work"),
    ("locked", "something has to be done before it; ? says what"),
)


class HelpScreen(TextCard[None]):
    """Show every key, those at hand first, and how it works.

    Args:
        keys: those of the screen from which help was asked; they stand first.
    """

    KEYS: ClassVar[tuple[Key, ...]] = HELP_CARD
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(HELP_CARD)]

    def __init__(self, keys: Sequence[Key]) -> None:
        super().__init__("Help")
        self._keys = tuple(keys)

    def body(self) -> Iterator[Widget]:
        """Give the help, all of it in one text that scrolls."""
        with self.scroll():
            yield from _listed("Keys here", _rows(self._keys), first=True)
            yield Static(Text("How it works", "bold"), classes="help-title")
            for text in BASICS:
                yield Static(Text(text), classes="help-text")
            yield from _listed("Figures, as they may be typed", FIGURES)
            yield from _listed("Signs", SIGNS)
            yield from _listed("Words beside figures and places", VERDICTS)
            for group in GROUPS:
                if group.keys != self._keys:
                    known = () if group.keys == TEXT else TEXT
                    yield from _listed(group.title, _rows([key for key in group.keys if key not in known]))
            yield from _listed("Keys of your own", _own())

    def action_help_words(self) -> None:
        """Show the words of the trade."""
        from headwright.terminal.cards.glossary import GlossaryCard  # noqa: PLC0415 - on first use

        self.app.push_screen(GlossaryCard())

    def action_help_commands(self) -> None:
        """Leave the help, and offer what can be done on the screen below."""
        self._leave_for("commands")

    def action_help_look(self) -> None:
        """Leave the help, and offer the themes and signs."""
        self._leave_for("look")

    def _leave_for(self, action: str) -> None:
        self.dismiss(None)
        self.app.call_later(self.app.run_action, action)


def _own() -> Iterator[tuple[str, str]]:
    names = sorted({name_of(key) for group in GROUPS for key in group.keys if may_change(key)})
    yield '[keys]\nstrike = "F12"', f"in {config_file()} sets another key; the names are {', '.join(names)}"


def _rows(keys: Sequence[Key]) -> Iterator[tuple[str, str, str]]:
    return ((key.sign, key.label, key.tooltip) for key in map(in_use, keys))


def _listed(title: str, rows: Iterable[tuple[str, ...]], *, first: bool = False) -> Iterator[Static]:
    """Give rows under a title: signs and texts, or keys with their labels and texts."""
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    told = [*rows]
    labels = [len(row[1]) for row in told if len(row) > 2]
    for width in (_KEY, max(_LABEL, *labels)) if labels else (_WIDTH,):
        table.add_column(width=width)
    table.add_column(ratio=1, overflow="fold")
    for sign, *texts in told:
        table.add_row(Text(sign, "bold"), *map(Text, texts))
    yield Static(Text(title, "bold"), classes="" if first else "help-title")
    yield Static(table)
