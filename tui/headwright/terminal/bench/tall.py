"""An operation at a whole head as a list: a row for each thing to write down, then what it comes to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.agenda import point_words
from headwright.job.figures import Bench
from headwright.job.show import unit_sign
from headwright.terminal.bench.digits import figure_text, limits_text, taken_text, where
from headwright.terminal.bench.spots import Spot, place_spots, places_here
from headwright.terminal.bench.verdicts import DONE, DUE, HELD, NOW, stand, style_of
from headwright.terminal.bench.wide import CARET
from headwright.terminal.drawn import Line, Span, clean, fit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.job.state import State
    from headwright.procedure.plan import Operation

Entry = tuple[str, Spot | str]
"""A row: a heading (place, "") , a spot, or a result by name."""


class Tall:
    """The list of one operation; the same questions are asked of it as of the table."""

    head_lines = 0

    def __init__(self, state: State, operation: Operation) -> None:
        self.state = state
        self.operation = operation
        self._width = 0
        self._rows: tuple[Entry, ...] = ()
        self.look(state)

    @property
    def count(self) -> int:
        """Give how many rows there are."""
        return len(self._rows)

    def look(self, state: State, places: Iterable[str] | None = None) -> None:
        """Take in a state; the list is short, so all of it."""
        del places
        self.state = state
        here = places_here(state, self.operation)
        rows: list[Entry] = []
        for place in here:
            if len(here) > 1:
                rows.append((place, ""))
            rows += [(place, spot) for spot in place_spots(state, self.operation, place)]
            rows += [(place, result.name) for result in self.operation.results]
        self._rows = tuple(rows)

    def row_of(self, spot: Spot) -> int | None:
        """Give the row in which a spot is, None for a step outside the list."""
        return next((i for i, (_, what) in enumerate(self._rows) if what == spot), None)

    def first_row_at(self, place: str) -> int | None:
        """Give the first row of a place, None where it has none."""
        return next((i for i, (where, _) in enumerate(self._rows) if where == place), None)

    def arrange(self, width: int, spot: Spot | None) -> bool:
        """Take a width in; tell whether anything moved."""
        del spot
        changed = width != self._width
        self._width = width
        return changed

    def heading(self) -> tuple[Line, ...]:
        """Give the lines of the heading: none, every row says what it is."""
        return ()

    def line(self, number: int, spot: Spot | None, typed: str, now: str) -> Line:
        """Draw a row; see `Wide.line`."""
        place, what = self._rows[number]
        if isinstance(what, Spot):
            return self._reading_line(what, what == spot, typed, now)
        if what:
            return self._result_line(place, what)
        standing = stand(self.state, self.operation, place, Bench(self.state, self.operation, place).figures())
        return ((f"{standing.sign} ", standing.style), (fit(where(self.state, place), 20), "strong"),
                (standing.word, standing.style))  # fmt: skip

    def _label_width(self) -> int:
        return max(16, min(44, self._width // 2 - 4))

    def _reading_line(self, spot: Spot, mine: bool, typed: str, now: str) -> Line:  # noqa: FBT001 - a line's own
        assert spot.point is not None  # noqa: S101 - rows hold points only
        reading = self.state.index.readings[self.operation.id, spot.item]
        taken = self.state.writing(self.operation.id, spot.place).readings.get(spot.point)
        figure = Bench(self.state, self.operation, spot.place).reading(reading)
        shows = bool(reading.limit or reading.accept) and taken is not None
        bad = shows and figure.verdict.fails
        sign, style = (HELD, "bad") if bad else (DONE, "good") if taken else (DUE, "quiet")
        if mine and not taken and spot.place == now:
            sign, style = NOW, "now"
        room = max(10, self._width - 2 - self._label_width() - 32)
        text = clean(taken_text(self.state.plan, reading, taken)) if taken else ""
        if mine and typed:
            value: Span = (fit(clean(typed)[-room + 1 :] + CARET, room), "entry")
        elif mine:
            value = (fit(text, room), "hand")
        else:
            value = (fit(text or "·", room), "" if text else "quiet")
        unit = f" {unit_sign(reading.unit)}" if reading.unit else ""
        held = limits_text(self.state, figure) or (f"{' or '.join(reading.accept)} passes" if reading.accept else "")
        return (
            (f"{sign} ", style),
            (fit(point_words(reading.label, spot.point), self._label_width()), "strong" if mine else ""),
            value,
            (fit(unit, 6), "quiet"),
            (fit(held, 18), "quiet"),
            (fit(figure.verdict.value if shows and figure.judged else "", 8), style_of(figure.verdict)),
        )

    def _result_line(self, place: str, name: str) -> Line:
        figure = Bench(self.state, self.operation, place).figure(name)
        result = self.state.index.results[self.operation.id, name]
        room = max(10, self._width - 2 - self._label_width() - 32)
        word = figure.verdict.value if figure.judged and figure.verdict.value != "open" else ""
        return (
            ("= ", "quiet"),
            (fit(result.label, self._label_width()), "quiet"),
            (fit(figure_text(self.state, figure), room), style_of(figure.verdict)),
            (fit(f" {unit_sign(result.unit)}", 6), "quiet"),
            (fit(limits_text(self.state, figure), 18), "quiet"),
            (fit(word, 8), style_of(figure.verdict)),
        )

    def spot_at(self, number: int, x: int) -> Spot | None:
        """Give the spot drawn in a row, None where there is none."""
        del x
        what = self._rows[number][1]
        return what if isinstance(what, Spot) else None

    def values(self, spot: Spot) -> list[float]:
        """Give what other heads have at the same point, in canonical units."""
        found = []
        for place in places_here(self.state, self.operation):
            if place != spot.place and spot.point is not None:
                taken = self.state.attempt(self.operation.id, place).readings.get(spot.point)
                if taken is not None and taken.event.value is not None:
                    found.append(taken.event.value)
        return found
