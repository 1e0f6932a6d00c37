"""The part of the sheet that tells of the work: each operation, and at each place every attempt with its readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.figures import Bench, Figure
from headwright.job.index import place_words
from headwright.job.progress import standings
from headwright.job.temperature import correction
from headwright.procedure.plan import Sort, Tick
from headwright.sheet.layout import BODY, Row, rows_of, titled
from headwright.sheet.words import (
    accepted_words,
    figure_words,
    held_to_words,
    moment,
    point_value,
    spot,
    verdict_mark,
    with_unit,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.index import PointKey
    from headwright.job.progress import Standing
    from headwright.job.state import Attempt, Taken
    from headwright.procedure.plan import Operation, Reading
    from headwright.sheet.history import History

_BLANK = "____"
"""Stands for a point that is still to be taken."""


def operation_lines(history: History) -> Iterator[str]:
    """Give the lines of every operation, in route order."""
    for number, standing in enumerate(standings(history.state), start=1):
        operation = history.state.index.operations[standing.operation]
        yield ""
        yield from titled(f"{number}. {operation.title}", _stands(standing))
        yield from _OperationPart(history, operation).lines()


def _stands(standing: Standing) -> str:
    if not standing.applies:
        return "at no place"
    held = f", {standing.held} held" if standing.held else ""
    given_up = f", given up at {standing.given_up}" if standing.given_up else ""
    return f"done at {standing.done} of {standing.applies}{held}{given_up}"


class _OperationPart:
    def __init__(self, history: History, operation: Operation) -> None:
        self.history = history
        self.state = history.state
        self.index = history.state.index
        self.operation = operation

    def lines(self) -> Iterator[str]:
        places = self.index.places_of(self.operation)
        apart = tuple(dict.fromkeys(self.index.head_of(p) for p in places if self.index.head_of(p) not in places))
        for place in (*apart, *places):
            for attempt in self._attempts(place):
                yield from self._attempt(place, attempt)
        left = [place_words(self.index.places[p]) for p in places if not self._attempts(p)]
        if left:
            yield from rows_of([(f"nothing written down at {', '.join(left)}",)])

    def _attempts(self, place: str) -> tuple[Attempt, ...]:
        at = (self.operation.id, place)
        found = (*self.state.past.get(at, ()), self.state.attempt(*at))
        return tuple(a for a in found if a.begun or a.struck)

    def _attempt(self, place: str, attempt: Attempt) -> Iterator[str]:
        name = place_words(self.index.places[place])
        if self._belongs(place):
            yield from rows_of([(name, f"attempt {attempt.number}", self._standing(place, attempt))])
        else:
            yield from rows_of([(name, "for all its places")])
        yield from rows_of(self._figures(place, attempt), BODY)
        yield from rows_of((*self._ticks(place, attempt), *self._exceptions(place, attempt)), BODY)

    def _belongs(self, place: str) -> bool:
        """Tell whether the operation is done at the place; a head may only carry the ticks of its places."""
        return place in self.index.places_of(self.operation)

    def _standing(self, place: str, attempt: Attempt) -> str:
        left = "given up" if self.state.is_given_up(self.operation, place) else "not complete"
        parts = [f"set aside: {attempt.ended}" if attempt.ended else "done" if attempt.closed else left]
        if not attempt.ended and not self.state.applies(self.operation, place):
            parts.append("not on its path now")
        taken = sorted(attempt.readings.values(), key=lambda t: t.number)
        if taken:
            parts.append(", ".join(dict.fromkeys(t.operator for t in taken)))
            parts.append(moment(taken[-1].time))
        return "; ".join(parts)

    def _figures(self, place: str, attempt: Attempt) -> Iterator[Row]:
        figures = {f.item: f for f in self._worked_out(place, attempt)}
        for reading in self.operation.readings:
            figure = figures.pop(reading.name, None)
            points = self.index.points(self.operation.id, reading.name)
            if any(point in attempt.readings for point in points):
                yield self._reading(reading, {p: attempt.readings.get(p) for p in points}, figure)
                yield from self._at_20(reading, place, attempt)
        for figure in figures.values():
            if figure.least is not None or (figure.judged and attempt.readings):
                yield verdict_mark(figure), figure.label, figure_words(figure, self.index)

    def _at_20(self, reading: Reading, place: str, attempt: Attempt) -> Iterator[Row]:
        """Give what the warmth of head and gauge did to a reading, where that is worth telling."""
        taken = [t for point, t in attempt.readings.items() if point[0] == reading.name and t.value is not None]
        last = max(taken, key=lambda t: t.number, default=None)
        if last is not None and last.value is not None:
            found = correction(self.state, reading, place, last.value, last.number)
            if found is not None:
                yield "", reading.label, f"{spot(_point_of(last))}: {found.say}" if spot(_point_of(last)) else found.say

    def _worked_out(self, place: str, attempt: Attempt) -> tuple[Figure, ...]:
        if attempt.ended:
            return self.history.figures.get((self.operation.id, place, attempt.number), ())
        return Bench(self.state, self.operation, place).figures() if self._belongs(place) else ()

    def _ticks(self, place: str, attempt: Attempt) -> Iterator[Row]:
        for step in self.operation.steps:
            if step.name in attempt.ticks:
                entry = self.history.tick(self.operation.id, place, step.name, attempt.number)
                said = step.do if step.tick is Tick.ONCE else step.name
                yield "ticked", f"{entry.operator} {moment(entry.time)}", said

    def _reading(self, reading: Reading, taken: dict[PointKey, Taken | None], figure: Figure | None) -> Row:
        mark = verdict_mark(figure) if figure is not None else ""
        stations: dict[str, list[str]] = {}
        for point, each in taken.items():
            value = point_value(reading, each, self.index, figure) if each is not None else _BLANK
            stations.setdefault(point[1], []).append(value)
        values = ", ".join(f"{station} {' '.join(found)}".strip() for station, found in stations.items())
        if reading.sort is Sort.NUMBER:
            values = with_unit(values, reading.unit)
        if reading.angles:
            values += f" at {' '.join(f'{angle}°' for angle in reading.angles)}"
        limits = held_to_words(figure, self.index) if figure is not None else ""
        return mark, reading.label, ", ".join(filter(None, (values, limits)))

    def _exceptions(self, place: str, attempt: Attempt) -> Iterator[Row]:
        """Give what is out of the ordinary: figures kept against doubt, readings struck, figures let stand."""
        for point, taken in attempt.readings.items():
            if taken.event.questioned:
                said = f"{self._point(point)}: '{taken.event.typed}' was questioned ({taken.event.questioned})"
                yield "kept", "", f"{said} and entered again by {taken.operator}"
        for taken, reason in sorted(attempt.struck, key=lambda pair: pair[0].number):
            event = taken.event
            point = _point_of(taken)
            reading = self.index.readings[event.operation, event.reading]
            value = with_unit(point_value(reading, taken, self.index), reading.unit)
            typed = f", typed '{event.typed}'" if event.typed not in value else ""
            strike = self.history.strike(taken.number)
            by = f"struck at event {strike.number} by {strike.operator}"
            yield "struck", "", f"event {taken.number}, {self._point(point)}: {value}{typed}; {by}: {reason}"
        stood = {figure.item: figure for figure in self._worked_out(place, attempt)}
        for item, decision in attempt.decided.items():
            figure = self.index.readings.get((self.operation.id, item)) or self.index.results[self.operation.id, item]
            agreed = f", agreed by {decision.agreed}" if decision.agreed else ""
            by = f"{decision.disposition.value} of {self.history.source(decision).operator}{agreed}"
            by += accepted_words(decision, stood[item]) if item in stood else ""
            yield "let stand", "", f"{figure.label}, {by}: {decision.reason}"

    def _point(self, point: PointKey) -> str:
        label = self.index.readings[self.operation.id, point[0]].label
        return f"{label}, {spot(point)}" if spot(point) else label


def _point_of(taken: Taken) -> PointKey:
    return taken.event.reading, taken.event.station, taken.event.angle
