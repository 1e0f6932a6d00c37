"""The first piece after a change of tool: its figures, and whether the others may follow."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from textual.content import Content
from textual.widgets import Static

from headwright.job.decide import Refused, decide
from headwright.job.figures import Bench
from headwright.job.index import place_words
from headwright.job.show import unit_sign
from headwright.terminal.bench.digits import figure_text, item_of, limits_text
from headwright.terminal.bench.verdicts import word_of
from headwright.terminal.cards.card import facts
from headwright.terminal.cards.read import ReadCard
from headwright.terminal.cards.words import plain
from headwright.terminal.drawn import fit
from headwright.terminal.keys import Key, bindings, sign_in
from headwright.terminal.outer_keys import FIRST_PIECE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.job.events import FirstPieceReleased
    from headwright.job.state import State

LOOK = "Look at every figure: what is wrong here is wrong in all that follow. Then press {key}, and the others follow."

_STYLES = {"good": "$success", "near": "$warning", "bad": "bold $error"}
"""How a verdict is written, by the name of its style at the bench."""


class FirstPieceCard(ReadCard):
    """Show the figures of a first piece until the others may follow (True) or it is left (None).

    Args:
        state: the job.
        wanted: which first piece.
        operator: who looks at it.
        terminal: the name of this terminal.
    """

    KEYS: ClassVar[tuple[Key, ...]] = FIRST_PIECE
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(FIRST_PIECE)]

    def __init__(self, state: State, wanted: FirstPieceReleased, operator: str, terminal: str) -> None:
        self._state = state
        self._wanted = wanted
        self._operation = state.index.operations[wanted.operation]
        where = place_words(state.index.places[wanted.place])
        super().__init__(f"First piece: {where}, {self._operation.title}")
        answer = decide(state, wanted, operator, terminal)
        self._barred = str(answer.blocks[0]) if isinstance(answer, Refused) else ""

    def body(self) -> Iterator[Widget]:
        """Give the tool and the figures."""
        group = self._state.index.group(self._operation, self._wanted.place)
        tool = self._state.tools.get((self._operation.id, group))
        words = f"{tool.tool} {tool.item}" if tool else ""
        with self.scroll():
            yield Static(facts((("Made with", words),)))
            yield Static(self._figures(), classes="card-figures")

    def _figures(self) -> Content:
        rows: list[tuple[str, str, str, str, str]] = []
        bench = Bench(self._state, self._operation, self._wanted.place)
        judged = {figure.item for figure in bench.figures()}
        others = [
            bench.reading(reading)
            for reading in self._operation.readings
            if reading.name not in judged and reading.sort.value == "number"
        ]
        for figure in (*bench.figures(), *others):
            item = item_of(self._state, self._operation.id, figure.item)
            word, style = word_of(self._state, figure)
            text = f"{figure_text(self._state, figure) or '–'} {unit_sign(item.unit)}".rstrip()
            rows.append((plain(figure.label), text, limits_text(self._state, figure), word, style))
        widths = [max(cell_len(row[column]) for row in rows) + 2 for column in range(3)] if rows else []
        lines = []
        for row in rows:
            label, text, limits = (fit(cell, width) for cell, width in zip(row, widths, strict=False))
            lines.append(Content.assemble(label, (text, "bold"), limits, (row[3], _STYLES.get(row[4], ""))))
        return Content("\n").join(lines)

    def on_mount(self) -> None:
        """Say what is to be done, or who may."""
        self.say(f"Not for you: {self._barred}" if self._barred else LOOK.format(key=sign_in(FIRST_PIECE, "card_read")))

    def action_card_read(self) -> None:
        """Let the others follow, where whoever looks at it may."""
        if self._barred:
            self.say(f"Not for you: {self._barred}")
        else:
            super().action_card_read()
