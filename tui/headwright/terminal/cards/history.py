"""Everything that was read at a place: what counts, what was struck, what was set aside, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text
from textual.widgets import Static

from headwright.job.agenda import point_words
from headwright.job.index import place_words
from headwright.job.show import unit_sign
from headwright.terminal.bench.digits import short
from headwright.terminal.bench.verdicts import DONE
from headwright.terminal.cards.card import TextCard
from headwright.terminal.cards.words import moment, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from headwright.job.state import Attempt, State, Taken

NOT = "×"
"""Before what does not count."""
NOTHING = "Nothing was read here yet."


class HistoryCard(TextCard[None]):
    """List the attempts at an operation at a place, the latest first."""

    def __init__(self, state: State, operation: str, place: str) -> None:
        title = state.index.operations[operation].title
        super().__init__(f"{title}, {place_words(state.index.places[place])}: everything on record")
        self._state = state
        self._operation = operation
        self._place = place

    def body(self) -> Iterator[Widget]:
        """Give the attempts."""
        at = (self._operation, self._place)
        state = self._state
        attempts = [*state.past.get(at, ()), *([state.attempts[at]] if at in state.attempts else [])]
        found = [each for each in reversed(attempts) if each.readings or each.struck or each.ended]
        with self.scroll():
            for attempt in found:
                yield Static(Text(plain(heading(attempt)), "bold"))
                yield Static(_table(state, attempt), classes="card-attempt")
            if not found:
                yield Static(NOTHING)


def heading(attempt: Attempt) -> str:
    """Say what became of an attempt."""
    if attempt.ended:
        return f"Attempt {attempt.number}, {'doubted' if attempt.doubted else 'set aside'}: {attempt.ended}"
    return f"Attempt {attempt.number}: {'complete' if attempt.closed else 'what counts now'}"


def lines(state: State, attempt: Attempt) -> Iterator[tuple[str, str, str, str]]:
    """Give a line for each reading of an attempt: a sign, the figure, what it is of, and by whom, when, and why not."""
    counting = [each for taken in attempt.readings.values() for each in (*taken.others, taken)]
    sign = NOT if attempt.ended else DONE
    found = [(each, sign, "") for each in counting] + [(each, NOT, f"struck: {why}") for each, why in attempt.struck]
    for each, mark, why in sorted(found, key=lambda line: line[0].number):
        event = each.event
        label = state.index.readings[event.operation, event.reading].label
        who = (each.operator, event.gauge, moment(each.time))
        kept = f"kept although it looked like {event.questioned}" if event.questioned else ""
        about = "; ".join(part for part in (", ".join(filter(None, who)), kept, why) if part)
        yield mark, _figure(state, each), point_words(label, (event.reading, event.station, event.angle)), about


def _table(state: State, attempt: Attempt) -> Table:
    table = Table.grid(padding=(0, 1), expand=True)
    for ratio in (0, 0, 2, 3):
        table.add_column(ratio=ratio or None)
    for mark, figure, label, about in lines(state, attempt):
        table.add_row(Text(f" {mark}"), Text(plain(figure), "bold"), Text(plain(label)), Text(plain(about)))
    return table


def _figure(state: State, taken: Taken) -> str:
    event = taken.event
    if event.value is None:
        return event.word
    reading = state.index.readings[event.operation, event.reading]
    return f"{short(state.plan, reading, event.value)} {unit_sign(reading.unit)}".strip()
