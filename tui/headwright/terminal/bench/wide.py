"""An operation at its places as a table: a row for each place, its readings' points, results and where it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.job.index import items_of
from headwright.job.known import figures_known, kept_at
from headwright.job.verdict import SLACK, beyond
from headwright.procedure.plan import Sort
from headwright.terminal.bench.columns import Layout, groups_of, laid_out, natural
from headwright.terminal.bench.digits import figure_text, places_of, span, taken_text
from headwright.terminal.bench.repeats import wants_mark
from headwright.terminal.bench.spots import Spot, place_spots
from headwright.terminal.bench.verdicts import DONE, DUE, NOT_HERE, NOW, Stand, look_of, stand
from headwright.terminal.drawn import Line, Span, clean, fit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import Attempt, State
    from headwright.procedure.plan import Operation, Reading
    from headwright.terminal.bench.columns import Group

RIGHT, RIGHT_LONG = 9, 12
"""Cells at least at the right end for where a place stands, in words; more where these may be `wrong`, `not proven`."""
CARET = "▏"

Cell = tuple[str, str]


class Row(NamedTuple):
    """What a place shows: its points, steps and results, each with a style, and where it stands."""

    points: dict[Spot, Cell]
    others: dict[tuple[str, str], Cell]
    stand: Stand


class Wide:
    """The table of one operation; `look` takes in a state, `arrange` a width, and `line` draws a row."""

    def __init__(self, state: State, operation: Operation) -> None:
        self.state = state
        self.operation = operation
        self.places = state.index.places_of(operation)
        self._rows: dict[str, Row] = {}
        self._seen: dict[str, int] = {}
        self._whole = 0
        self._left = 3 + max(3, *(cell_len(state.index.places[p].name) for p in self.places))
        words = any(reading.sort is not Sort.NUMBER for reading in operation.readings)
        self._right = RIGHT_LONG if words or any(item.proof for item in items_of(operation)) else RIGHT
        self._width = 0
        self._at: tuple[str, PointKey | None] = ("", None)
        self._layout = Layout((), (), 0)
        self._heading: tuple[Line, ...] = ()
        self._layouts: dict[tuple[str, PointKey | None], tuple[Layout, tuple[Line, ...]]] = {}
        self.look(state)

    @property
    def head_lines(self) -> int:
        """Give how many lines the heading takes."""
        return len(self._layout.heads)

    @property
    def laid_out(self) -> tuple[int, Layout]:
        """Give how the rows are laid out now."""
        return self._width, self._layout

    @property
    def count(self) -> int:
        """Give how many rows there are."""
        return len(self.places)

    def look(self, state: State, places: Iterable[str] | None = None) -> tuple[int, ...] | None:
        """Take in a state; `places` are those that changed, None for all. Give the rows to draw anew, None for all.

        A place at which something else was written down since the last look, by whomever, is drawn anew too.
        """
        before, self.state = self.state, state
        named, operation = set(self.places if places is None else places), self.operation.id
        changed = {
            place: self._row(state, place)
            for place in self.places
            if place in named or state.attempt(operation, place) is not before.attempt(operation, place)
        }
        self._rows |= changed
        moved = self._measure(changed.values())
        return None if moved or places is None else tuple(self.places.index(place) for place in changed)

    def look_ahead(self, state: State, place: str) -> None:
        """Work a row out as it will be in a state that may come next: it is kept with the state."""
        if place in self.places:
            self._row(state, place)

    def row_of(self, spot: Spot) -> int | None:
        """Give the row in which a spot is, None for a step outside the table."""
        row = self._rows.get(spot.place)
        if row is None or spot not in row.points:
            return None
        return self.places.index(spot.place)

    def rows_with(self, spot: Spot) -> tuple[int, ...]:
        """Give the rows that what is typed at a spot may change."""
        row = self.row_of(spot)
        return () if row is None else (row,)

    def first_row_at(self, place: str) -> int | None:
        """Give the row of a place, None where it has none."""
        return self.places.index(place) if place in self.places else None

    def arrange(self, width: int, spot: Spot | None) -> bool:
        """Lay the columns out for a width and the spot at hand; tell whether anything moved."""
        at = (spot.item, spot.point) if spot else self._at
        if (width, at) == (self._width, self._at):
            return False
        wider, self._width, self._at = width != self._width, width, at
        if wider:
            self._layouts.clear()
        return self._lay_out() or wider

    @property
    def whole(self) -> int:
        """Give the cells in which nothing of the table is folded away."""
        if not self._whole:
            self._whole = natural(self._groups(), self._left) + self._right
        return self._whole

    def _groups(self) -> tuple[Group, ...]:
        return groups_of(self.state, self.operation, lambda name: self._seen.get(name, 0))

    def _lay_out(self) -> bool:
        before, at = self._layout, self._at
        if at not in self._layouts:
            self._layout = laid_out(self._groups(), self._left, self._width - self._right, at)
            self._layouts[at] = self._layout, self._headed()
        self._layout, self._heading = self._layouts[at]
        return self._layout != before

    def _measure(self, rows: Iterable[Row]) -> bool:
        """Widen the columns where a value of these rows needs more than was thought; tell whether anything moved."""
        grew = False
        for row in rows:
            for spot, (text, _) in row.points.items():
                grew |= self._saw(spot.item, text)
            for (sort, name), (text, _) in row.others.items():
                if sort == "result":
                    grew |= self._saw(name, text)
        return grew and self._width > 0 and self._lay_out()

    def _saw(self, name: str, text: str) -> bool:
        length = min(cell_len(text), 14)
        if length <= self._seen.get(name, 0):
            return False
        self._seen[name] = length
        self._layouts.clear()
        self._whole = 0
        return True

    def _row(self, state: State, place: str) -> Row:
        return kept_at(state, place, ("row", self.operation.id), lambda: self._worked_out(state, place))

    def _worked_out(self, state: State, place: str) -> Row:
        operation = self.operation
        attempt = state.writing(operation.id, place)
        fresh = attempt is not state.attempt(operation.id, place)
        figures = {} if fresh else {f.item: f for f in figures_known(state, operation, place)}
        standing = stand(state, operation, place, tuple(figures.values()))
        points: dict[Spot, Cell] = {}
        others: dict[tuple[str, str], Cell] = {}
        if not state.applies(operation, place):
            return Row(points, others, standing)
        for spot in place_spots(state, operation, place):
            if spot.point is None:
                points[spot] = ("✓", "good") if spot.item in attempt.ticks else ("·", "quiet")
                continue
            taken = attempt.readings.get(spot.point)
            reading = state.index.readings[operation.id, spot.item]
            figure = figures.get(spot.item)
            places = places_of(state, figure) if figure else None
            text = clean(taken_text(state.plan, reading, taken, places) + wants_mark(reading, taken)) if taken else ""
            value = taken.value if taken else None
            points[spot] = (text, _cell_style(figure, value)) if taken else ("·", "quiet")
        for reading in operation.readings:
            others["span", reading.name] = self._span(state, reading, attempt, figures.get(reading.name))
        for result in operation.results:
            figure = figures.get(result.name)
            if figure is not None:
                others["result", result.name] = self._result(state, figure)
        return Row(points, others, standing)

    def _typed_row(self, place: str, figures: Sequence[Figure]) -> Row:
        """Give a row as it would be with what is being typed: its results, and where the place would stand."""
        row, found = self._rows[place], {figure.item: figure for figure in figures}
        results = {
            ("result", r.name): self._result(self.state, found[r.name])
            for r in self.operation.results
            if r.name in found
        }
        standing = stand(self.state, self.operation, place, figures)
        return row._replace(others={**row.others, **results}, stand=standing)

    def _result(self, state: State, figure: Figure) -> Cell:
        return figure_text(state, figure), look_of(figure)

    def _span(self, state: State, reading: Reading, attempt: Attempt, figure: Figure | None) -> Cell:
        keys = state.index.points(self.operation.id, reading.name)
        found = [t for k in keys if (t := attempt.readings.get(k))]
        values = [t.value for t in found if t.value is not None]
        settled = sum(taken.is_settled(reading.agree) for taken in found)
        if settled < len(keys):
            return (f"{settled} of {len(keys)}" if found else "·", "quiet")
        places = places_of(state, figure) if figure else None
        text = span(state.plan, reading, min(values), max(values), places) if values else found[0].event.word
        return (clean(text), look_of(figure) if figure else "")

    def heading(self) -> tuple[Line, ...]:
        """Give the lines of the heading."""
        return self._heading

    def _headed(self) -> tuple[Line, ...]:
        lines = [[(x, width, text, "title") for x, width, text in entries] for entries in self._layout.heads]
        if lines and self._layout.left_out:
            lines[-1].append((self._word_at, self._width - self._word_at, f"+{self._layout.left_out} more", "quiet"))
        return tuple(_line(line, self._width) for line in lines)

    @property
    def _word_at(self) -> int:
        """Give the cell at which it is said in words where a place stands: beside the last column."""
        x, column = self._layout.columns[-1] if self._layout.columns else (self._left, None)
        return min(self._width - self._right, x + (column.width if column else 0) + 2)

    def line(self, number: int, spot: Spot | None, typed: str, now: str, figures: Sequence[Figure] = ()) -> Line:
        """Draw a row.

        Args:
            number: which row, from 0.
            spot: what is at hand, in this row or elsewhere.
            typed: what is being typed at the spot.
            now: the place at which the next thing is to be done.
            figures: what the place at hand would come to with what is typed; empty where that is no figure (yet).
        """
        place = self.places[number]
        row = self._rows[place]
        mine = spot is not None and spot.place == place and spot in row.points
        if mine and figures:
            row = self._typed_row(place, figures)
        sign, word, style = row.stand
        if place == now and sign == DUE:
            sign, sign_style = NOW, "now"
        else:
            sign_style = style if sign != DONE else "good"
        name = self.state.index.places[place].name
        cells = [
            (0, 2, sign, sign_style),
            (2, self._left - 3, fit(name, self._left - 3), "strong" if mine else "quiet" if sign == "◦" else ""),
        ]
        for x, column in self._layout.columns if sign != NOT_HERE or mine else ():
            key = Spot(place, column.item, column.point)
            here = row.points if column.sort in {"point", "step"} else None
            text, look = (
                (here or {}).get(key, ("", ""))
                if here is not None
                else row.others.get((column.sort, column.item), ("", ""))
            )
            if mine and spot == key:
                cells.append(_at_hand(x, column.width, text, typed, self._width - self._right))
            else:
                cells.append((x, column.width, fit(text, column.width), look))
        begin = self._left if sign == NOT_HERE and not mine else self._word_at
        room = self._width - begin
        # Held rows begin with the sign that their word has too.
        shown = word.removeprefix(f"{sign} ") if cell_len(word) > room else word
        cells.append((begin, room, shown, style))
        return _line(cells, self._width)

    def spot_at(self, number: int, x: int) -> Spot | None:
        """Give the spot drawn at a cell of a row, None where there is none."""
        place = self.places[number]
        for begin, column in self._layout.columns:
            if begin <= x < begin + column.width + 1:
                found = [s for s in self._rows[place].points if s.item == column.item]
                return next((s for s in found if column.sort == "span" or s.point == column.point), None)
        return next(iter(self._rows[place].points), None) if x < self._left else None

    def values(self, spot: Spot) -> list[float]:
        """Give what the other places have at the same point, in canonical units."""
        found = []
        for place in self.places:
            if place != spot.place and spot.point is not None:
                taken = self.state.attempt(self.operation.id, place).readings.get(spot.point)
                if taken is not None and taken.value is not None:
                    found.append(taken.value)
        return found


def _cell_style(figure: Figure | None, value: float | None) -> str:
    """Mark a point that is itself out of the limits that its reading is held to."""
    if figure is None or not figure.verdict.fails:
        return ""
    if value is None or beyond(value, value, figure.low, figure.high) > SLACK:
        return "bad"
    return ""


def _at_hand(x: int, width: int, text: str, typed: str, end: int) -> tuple[int, int, str, str]:
    """Draw the cell at hand: what is typed, over the cells to its right when it is long."""
    if not typed:
        return (x, width, fit("" if text == "·" else text, width), "hand")
    shown = clean(typed) + CARET
    room = max(width, min(cell_len(shown), end - x))
    while cell_len(shown) > room:
        shown = shown[1:]
    return (x, room, fit(shown, room), "entry")


def _line(cells: list[tuple[int, int, str, str]], width: int) -> Line:
    """Put cells beside one another in one line; the cell being typed in covers what it reaches over."""
    spans: list[Span] = []
    used = 0
    cover = next(((x, x + size) for x, size, _, style in cells if style == "entry"), (0, 0))
    for x, size, text, style in sorted(cells):
        if style != "entry" and x < cover[1] and x + size > cover[0]:
            continue
        if x < used:
            continue
        if x > used:
            spans.append((" " * (x - used), ""))
        shown = fit(text, size)
        spans.append((shown, style))
        used = x + size
    if used < width:
        spans.append((" " * (width - used), ""))
    return _merged(spans)


def _merged(spans: list[Span]) -> Line:
    found: list[Span] = []
    for text, style in spans:
        if found and found[-1][1] == style:
            found[-1] = (found[-1][0] + text, style)
        else:
            found.append((text, style))
    return tuple(found)
