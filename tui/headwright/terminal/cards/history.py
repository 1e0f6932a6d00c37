"""Everything that was read at a place: what counts, what was struck, what was set aside, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from headwright.job.agenda import point_words
from headwright.job.index import place_words
from headwright.job.show import unit_sign
from headwright.terminal.bench.digits import short
from headwright.terminal.cards.card import TextCard
from headwright.terminal.cards.words import moment, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from headwright.job.state import Attempt, State, Taken

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
        text = Text()
        for line, style in history_lines(self._state, self._operation, self._place):
            text.append(plain(line), style)
            text.append("\n")
        with self.scroll():
            yield Static(text or Text(NOTHING))


def history_lines(state: State, operation: str, place: str) -> Iterator[tuple[str, str]]:
    """Give the lines of a place's history with their styles, the latest attempt first."""
    at = (operation, place)
    attempts = [*state.past.get(at, ()), *([state.attempts[at]] if at in state.attempts else [])]
    for attempt in reversed([each for each in attempts if each.readings or each.struck or each.ended]):
        heading = f"Attempt {attempt.number}"
        if attempt.ended:
            yield f"{heading}, {'doubted' if attempt.doubted else 'set aside'}: {attempt.ended}", "bold"
        else:
            yield f"{heading}: {'complete' if attempt.closed else 'what counts now'}", "bold"
        yield from _attempt_lines(state, attempt)
        yield "", ""


def _attempt_lines(state: State, attempt: Attempt) -> Iterator[tuple[str, str]]:
    counting = [each for taken in attempt.readings.values() for each in (*taken.others, taken)]
    sign = "×" if attempt.ended else "✓"
    lines = [(each, sign, "") for each in counting] + [(each, "×", f"struck: {why}") for each, why in attempt.struck]
    for each, mark, why in sorted(lines, key=lambda line: line[0].number):
        yield f"  {mark} {_reading(state, each)}{f'; {why}' if why else ''}", "" if mark == "✓" else "dim"


def _reading(state: State, taken: Taken) -> str:
    event = taken.event
    reading = state.index.readings[event.operation, event.reading]
    label = point_words(reading.label, (event.reading, event.station, event.angle))
    if event.value is None:
        figure = event.word
    else:
        figure = f"{short(state.plan, reading, event.value)} {unit_sign(reading.unit)}".strip()
    with_gauge = f", {event.gauge}" if event.gauge else ""
    questioned = f", kept although it looked like {event.questioned}" if event.questioned else ""
    return f"{label}  {figure}  ({taken.operator}{with_gauge}, {moment(taken.time)}{questioned})"
