"""An operation at a whole head as a list: a row for each thing to write down, then what it comes to."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.job.agenda import point_words
from headwright.job.figures import Bench
from headwright.job.index import items_of
from headwright.job.show import unit_sign
from headwright.procedure.plan import Sort
from headwright.terminal.bench.digits import figure_text, limits_text, places_of, taken_text, where
from headwright.terminal.bench.repeats import wants_mark
from headwright.terminal.bench.spots import Spot, place_spots, places_here
from headwright.terminal.bench.verdicts import CONCEDED, DONE, DUE, HELD, NOW, marked, stand
from headwright.terminal.bench.wide import CARET
from headwright.terminal.drawn import Line, Span, clean, fit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.job.figures import Figure
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

WORD = 9
"""Cells for a verdict and the blank before it."""
LONG_WORD = 13
"""The same where a figure may come out as not proven."""
WORDS_PASS = 20
"""Cells for limits from which on labels go before them: every limit that is a figure has room in these."""
LEAST, FIGURE, WORDS = 12, 16, 40
"""Cells for a value at least, and at most where all are figures or some are words."""

INSET = "  "
"""Before the name of a point that stands under the name of its reading."""
FRONT = 4
"""Cells of the first part of a label below which its last part stands alone."""
MANY = 3
"""Points of a reading from which on they stand under its name, in place of naming it each."""


class _Group(NamedTuple):
    """A heading above the points of a reading."""

    item: str


Entry = tuple[str, Spot | _Group | str]
"""A row: a heading (place, ""), a heading above points, a spot, or a result by name."""


class Tall:
    """The list of one operation; the same questions are asked of it as of the table."""

    head_lines = 0

    def __init__(self, state: State, operation: Operation) -> None:
        self.state = state
        self.operation = operation
        self._width = 0
        self._widths = (16, LEAST, 0)
        self._word = WORD
        self._whole = 0
        self._rows: tuple[Entry, ...] = ()
        self._grouped: frozenset[str] = frozenset()
        self.look(state)

    @property
    def whole(self) -> int:
        """Give the cells in which no label is cut."""
        return self._whole

    @property
    def laid_out(self) -> int:
        """Give how the rows are laid out now."""
        return self._width

    @property
    def count(self) -> int:
        """Give how many rows there are."""
        return len(self._rows)

    def look(self, state: State, places: Iterable[str] | None = None) -> tuple[int, ...] | None:
        """Take in a state; the list is short, so all of it is drawn anew."""
        del places
        self.state = state
        here = places_here(state, self.operation)
        rows: list[Entry] = []
        grouped: set[str] = set()
        for place in here:
            if len(here) > 1:
                rows.append((place, ""))
            for item, found in groupby(place_spots(state, self.operation, place), key=lambda spot: spot.item):
                spots = tuple(found)
                if len(spots) >= MANY and all(spot.point for spot in spots):
                    grouped.add(item)
                    rows.append((place, _Group(item)))
                rows += [(place, spot) for spot in spots]
            rows += [(place, result.name) for result in self.operation.results]
        self._rows, self._grouped = tuple(rows), frozenset(grouped)
        self._measure()
        return None

    def row_of(self, spot: Spot) -> int | None:
        """Give the row in which a spot is, None for a step outside the list."""
        return next((i for i, (_, what) in enumerate(self._rows) if what == spot), None)

    def rows_with(self, spot: Spot) -> tuple[int, ...]:
        """Give the rows that what is typed at a spot may change: its own, and those that are no reading's."""
        return tuple(
            i for i, (place, what) in enumerate(self._rows)
            if what == spot or (place == spot.place and not isinstance(what, Spot))
        )  # fmt: skip

    def first_row_at(self, place: str) -> int | None:
        """Give the first row of a place, None where it has none."""
        return next((i for i, (where, _) in enumerate(self._rows) if where == place), None)

    def arrange(self, width: int, spot: Spot | None) -> bool:
        """Take a width in; tell whether anything moved."""
        del spot
        changed = width != self._width
        self._width = width
        if changed:
            self._measure()
        return changed

    def heading(self) -> tuple[Line, ...]:
        """Give the lines of the heading: none, every row says what it is."""
        return ()

    def line(self, number: int, spot: Spot | None, typed: str, now: str, figures: Sequence[Figure] = ()) -> Line:
        """Draw a row; see `Wide.line`."""
        place, what = self._rows[number]
        here = figures if spot is not None and spot.place == place else ()
        if isinstance(what, _Group):
            label = self.state.index.readings[self.operation.id, what.item].label
            return (("  ", ""), (fit(label, max(1, self._width - 2)), ""))
        if isinstance(what, Spot):
            return self._reading_line(what, what == spot, typed, now, here if what == spot else ())
        if what:
            return self._result_line(next((f for f in here if f.item == what), None) or self._figure(place, what))
        here = here or self._bench(place).figures()
        standing = stand(self.state, self.operation, place, here)
        return ((f"{standing.sign} ", standing.style), (fit(where(self.state, place), 20), "strong"),
                (standing.word, standing.style))  # fmt: skip

    def _measure(self) -> None:
        """Settle the cells for labels, values and limits, of the width there is."""
        rows = [(place, what) for place, what in self._rows if what and not isinstance(what, _Group)]
        labels = [cell_len(self._label(what)) for _, what in rows]
        helds = [cell_len(self._held(place, what)) for place, what in rows]
        limits = min(max([0, *helds]) + 2, max(0, self._width // 3))
        proof = any(item.proof for item in items_of(self.operation))
        self._word = LONG_WORD if proof else WORD
        left = self._width - 2 - limits - self._word
        wanted = max([16, *labels]) + 1
        self._whole = 2 + wanted + LEAST + min(max([0, *helds]) + 2, WORDS_PASS) + self._word
        # Words that pass are among the answers that the strip offers; they give way to labels.
        cut = min(max(0, wanted - (left - LEAST)), max(0, limits - WORDS_PASS))
        limits, left = limits - cut, left + cut
        label = min(wanted, max(16, left - LEAST))
        most = FIGURE if all(reading.sort is Sort.NUMBER for reading in self.operation.readings) else WORDS
        self._widths = (label, max(LEAST, min(most, left - label)), limits)

    def _held(self, place: str, what: Spot | str) -> str:
        """Give what a reading or result is held to, in words."""
        item = what.item if isinstance(what, Spot) else what
        reading = self.state.index.readings.get((self.operation.id, item))
        if reading is not None and reading.accept:
            return f"passes: {', '.join(reading.accept)}"
        return limits_text(self.state, self._figure(place, item))

    def _figure(self, place: str, item: str) -> Figure:
        return self._bench(place).figure(item)

    def _bench(self, place: str) -> Bench:
        """Give the sums of a place as the next entry finds it: what is called for again begins afresh."""
        return Bench(self.state.written(self.operation.id, place), self.operation, place)

    def _label(self, what: Spot | str, width: int = 0) -> str:
        """Give what a row is of; cut to a width, it keeps its end, which tells it from the rows beside it."""
        if not isinstance(what, Spot):
            return self.state.index.results[self.operation.id, what].label
        label = self.state.index.readings[self.operation.id, what.item].label
        point = point_words("", what.point) if what.point else ""
        if what.item in self._grouped:
            return f"{INSET}{point.removeprefix(', ')}"
        if not width or cell_len(label + point) < width:
            return label + point
        front, comma, end = label.rpartition(", ")
        room = width - 1 - cell_len(f"{comma}{end}{point}")
        if not comma or room < FRONT:
            return f"{fit(end, max(1, width - 1 - cell_len(point))).rstrip()}{point}"
        return f"{fit(front, room)}{comma}{end}{point}"

    def _reading_line(
        self,
        spot: Spot,
        mine: bool,  # noqa: FBT001 - a line's own
        typed: str,
        now: str,
        figures: Sequence[Figure],
    ) -> Line:
        reading = self.state.index.readings[self.operation.id, spot.item]
        attempt = self.state.writing(self.operation.id, spot.place)
        taken = attempt.readings.get(spot.point) if spot.point else None
        coming = next((f for f in figures if f.item == reading.name), None)
        figure = coming or self._figure(spot.place, reading.name)
        shows = bool(reading.limit or reading.accept) and (taken is not None or coming is not None)
        word, look = marked(self.state, figure) if shows else ("", "")
        bad = shows and figure.verdict.fails and word != CONCEDED
        settled = taken is not None and taken.is_settled(reading.agree)
        sign, style = (HELD, "bad") if bad else (DONE, "good") if settled else (DUE, "quiet")
        if mine and not settled and spot.place == now:
            sign, style = NOW, "now"
        label, room, limits = self._widths
        held = self._held(spot.place, spot)
        if not held and reading.sort is not Sort.NUMBER:
            room, limits = room + limits, 0
        text = clean(taken_text(self.state.plan, reading, taken, places_of(self.state, figure))) if taken else ""
        mark = wants_mark(reading, taken) if taken else ""
        unit = f" {unit_sign(reading.unit)}" if reading.unit else ""
        if mine and typed:
            shown = clean(typed) + CARET
            value: list[Span] = [(fit(shown[-room:], room), "entry")]
        elif mine:
            value = [(fit(text + mark + (unit if text else ""), room), "hand")]
        else:
            value = [(fit(text + mark + unit if text else "·", room), "" if text else "quiet")]
        return (
            (f"{sign} ", style),
            (fit(self._label(spot, label), label), "strong" if mine else ""),
            *value,
            (fit(f" {held}" if limits else "", limits), "quiet"),
            (fit(f" {word}", self._word), look),
        )

    def _result_line(self, figure: Figure) -> Line:
        result = self.state.index.results[self.operation.id, figure.item]
        label, room, limits = self._widths
        text = figure_text(self.state, figure)
        word, look = marked(self.state, figure)
        return (
            ("= ", "quiet"),
            (fit(result.label, label), "quiet"),
            (fit(f"{text} {unit_sign(result.unit)}" if text else "", room), look),
            (fit(f" {limits_text(self.state, figure)}", limits), "quiet"),
            (fit(f" {word}", self._word), look),
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
                if taken is not None and taken.value is not None:
                    found.append(taken.value)
        return found
