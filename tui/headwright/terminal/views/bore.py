"""What there is to draw of one bore: its readings now and before, and the limits that it is held to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.figures import Bench
from headwright.job.hole import Hole, Ruling, hole_of, rulings
from headwright.job.index import place_words
from headwright.job.show import unit_sign
from headwright.job.sizing import FINISHED, PRE_SIZE
from headwright.job.uncertainty import proof_words
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Sort
from headwright.terminal.bench.digits import figure_text, item_of, limits_text, short
from headwright.terminal.bench.verdicts import CONCEDED, DUE, look_of, marked, said, style_of, word_of, worst
from headwright.terminal.views.standing import NEAR, SO_FAR

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import Attempt, State
    from headwright.procedure.plan import Operation, Plan, Reading

FAR = 0.3
"""Millimetres beyond which an earlier size is that of another hole, the bored one or a worn guide's (our choice)."""
OUTSIDE = "micrometer"
"""The gauge that measures over the outside: what it reads is no bore."""

Sizes = tuple[tuple["float | None", ...], ...]
"""Diameters in mm: for each angle, one a station."""


class Digits(NamedTuple):
    """How sizes are written here."""

    plan: Plan
    reading: Reading

    def write(self, value: float, places: int | None = None) -> str:
        """Give a size without its unit."""
        return short(self.plan, self.reading, value, places)

    @property
    def unit(self) -> str:
        """The sign of the unit."""
        return unit_sign(self.reading.unit)


class Stood(NamedTuple):
    """How a size or a bore stands: its verdict in a word after its sign, both empty for none, and the style."""

    word: str
    style: str

    @property
    def sign(self) -> str:
        """The sign alone."""
        return self.word[:1]


class Bore(NamedTuple):
    """A bore at its stations (first to last) and angles; None where nothing was read."""

    title: str
    stations: tuple[str, ...]
    angles: tuple[int | None, ...]
    now: Sizes
    before: Sizes
    before_words: str
    hole: Hole
    hand: tuple[int, int] | None
    """Angle and station of the point at hand."""
    digits: Digits
    conceded: frozenset[str] = frozenset()
    """Readings and results that a lead let stand."""
    stood: Stood = Stood("", "")
    """How the bore stands by what it is held by."""
    said: tuple[Stood, ...] = ()
    """What else the job says of it: results that fail, and what proves it."""

    @property
    def by(self) -> str:
        """What its limits follow from, empty for limits of its own."""
        return next((f.label.lower() for f in self.hole.figures if f.item != self.digits.reading.name), "")

    def at_size(self, size: float) -> Stood:
        """Tell how a size (mm) stands to what the bore is held by."""
        figures = self.hole.of_size(size)
        left = [figure for figure in figures if not (figure.verdict.fails and figure.item in self.conceded)]
        verdict = worst(left)
        if len(left) < len(figures) and not verdict.fails:
            return Stood(f"{NEAR} {CONCEDED}", style_of(Verdict.NEAR))
        if verdict is Verdict.IN and not all(figure.complete for figure in figures):
            return Stood(f"{DUE} {verdict.value}", "")
        return Stood(said(verdict), style_of(verdict)) if verdict is not Verdict.OPEN else Stood("", "")


class Facts(NamedTuple):
    """What does not change while a figure is typed; the attempt of `state` is the one that is written now."""

    state: State
    operation: Operation
    reading: Reading
    place: str
    readings: dict[PointKey, float]
    before: Sizes
    before_words: str
    held: tuple[Ruling, ...]


def bore_readings(operation: Operation) -> tuple[Reading, ...]:
    """Give the readings of an operation that make a profile: diameters inside, at two stations or more."""
    return tuple(
        r
        for r in operation.readings
        if r.sort is Sort.NUMBER and r.dimension == "length" and len(r.stations) > 1 and r.angles
        and r.gauge != OUTSIDE
    )  # fmt: skip


def facts(state: State, operation: Operation, place: str, item: str = "") -> Facts | None:
    """Find what is to be drawn at a place: the operation's own bore, else the bore that was read there last.

    Args:
        state: the job.
        operation: the operation looked at.
        place: where.
        item: the reading at hand, where it is a bore.

    Returns:
        None where no bore is known.
    """
    own = bore_readings(operation)
    reading = next((r for r in own if r.name == item), next(iter(own), None))
    if reading is None:
        known = (e for e in _earlier(state, place, None) if e[2] in bore_readings(e[1]))
        last = max(known, key=lambda e: e[0], default=None)
        if last is None:
            return None
        _, operation, reading, place, _ = last
    if place not in state.index.places_of(operation):
        return None
    attempt = state.writing(operation.id, place)
    readings = _values(attempt, state.index.points(operation.id, reading.name))
    before, words = _before(state, operation, place, reading)
    # What is called for again is judged by what is read now, not by the attempt before.
    now = state.written(operation.id, place)
    held = rulings(now, operation, place, reading)
    return Facts(now, operation, reading, place, readings, before, words, held)


def bore(known: Facts, typed: Mapping[PointKey, float], hand: PointKey | None = None) -> Bore:
    """Put a bore together with the figures being typed in their points (mm), and the point at hand."""
    state, operation, reading, place = known.state, known.operation, known.reading, known.place
    angles: tuple[int | None, ...] = reading.angles or (None,)
    bench = Bench(state, operation, place, typed)
    values = dict(known.readings)
    for point in typed:
        taken = bench.taken(operation.id, place, point)
        if taken is not None and taken.value is not None:
            values[point] = taken.value
    now = tuple(tuple(values.get((reading.name, s, a)) for s in reading.stations) for a in angles)
    at = None
    if hand is not None and hand[0] == reading.name and hand[1] in reading.stations and hand[2] in angles:
        at = (angles.index(hand[2]), reading.stations.index(hand[1]))
    resting = [f for f in bench.figures() if reading.name in state.index.feeding(operation.id, f.item)]
    hole = hole_of(known.held, resting)
    return Bore(
        f"{place_words(state.index.places[place])}: {reading.label}",
        reading.stations,
        angles,
        now,
        known.before,
        known.before_words,
        hole,
        at,
        Digits(state.plan, reading),
        frozenset(state.attempt(operation.id, place).decided),
        _stood(state, hole.figures),
        tuple(_said(state, hole, resting)),
    )


def _stood(state: State, figures: Sequence[Figure]) -> Stood:
    """Give the verdict of what a bore is held by: the one that decides, in the words of the bench."""
    verdict = worst(figures)
    found = next((figure for figure in figures if figure.verdict is verdict), None)
    if found is None:
        return Stood("", "")
    word, _ = marked(state, found)
    far = SO_FAR if word and not found.complete else ""
    style = "near" if word == CONCEDED else look_of(found)
    return Stood((f"{NEAR} {word}" if word == CONCEDED else word) + far, style)


def _said(state: State, hole: Hole, resting: Sequence[Figure]) -> Iterator[Stood]:
    """Tell what the drawing cannot show: each other figure that is out or near, and what proves the bore."""
    for figure in (f for f in resting if f not in hole.figures):
        word, style = word_of(state, figure)
        limits = limits_text(state, figure)
        if figure.judged and style not in {"", "good"}:
            held = f", limits {limits}" if limits else ""
            yield Stood(f"{word}: {figure.label} {figure_text(state, figure)}{held}", style)
    for figure in hole.figures:
        words = proof_words(state.plan, item_of(state, figure.operation, figure.item), figure)
        if words:
            yield Stood(words, "")


def _values(attempt: Attempt, points: tuple[PointKey, ...]) -> dict[PointKey, float]:
    found = ((point, attempt.readings[point].value) for point in points if point in attempt.readings)
    return {point: value for point, value in found if value is not None}


def _before(state: State, operation: Operation, place: str, reading: Reading) -> tuple[Sizes, str]:
    """Give the same hole as it was read before: in the last attempt, else before this operation; with its words."""
    points = state.index.points(operation.id, reading.name)
    attempt = state.writing(operation.id, place)
    gone = [*state.past.get((operation.id, place), ()), state.attempt(operation.id, place)]
    for old in reversed([a for a in gone if a is not attempt and a.number < attempt.number]):
        values = _values(old, points)
        if values:
            return _grid(reading, values), f"attempt {old.number}"
    if not reading.role and reading.limit is not None:
        return (), ""
    first = min((attempt.readings[p].number for p in points if p in attempt.readings), default=state.number + 1)
    earlier = [e for e in _earlier(state, place, operation) if e[0] < first]
    nearest = max(earlier, key=lambda e: e[0], default=None)
    if nearest is None:
        return (), ""
    _, other, source, _, found = nearest
    mean = sum(found.values()) / len(found)
    mine = list(_values(attempt, points).values())
    expected = sum(mine) / len(mine) if mine else Bench(state, operation, place).value(reading.expect)
    if expected is not None and abs(mean - expected) > FAR:
        return (), ""
    return _grid(reading, found, source), source.label if source.role == PRE_SIZE else other.title


def _grid(reading: Reading, values: dict[PointKey, float], source: Reading | None = None) -> Sizes:
    """Set sizes out by the angles and stations of a reading; a size that was read once stands for every point."""
    source = source or reading
    angles: tuple[int | None, ...] = reading.angles or (None,)
    if not source.stations:
        mean = sum(values.values()) / len(values)
        return ((mean,) * len(reading.stations),) * len(angles)
    return tuple(tuple(values.get((source.name, s, a)) for s in reading.stations) for a in angles)


def _earlier(
    state: State, place: str, but: Operation | None
) -> Iterator[tuple[int, Operation, Reading, str, dict[PointKey, float]]]:
    """Go through the bores that were read at a place in other operations: entry, operation, reading, place, sizes."""
    for operation in state.plan.operations:
        if operation is but:
            continue
        readings = (*bore_readings(operation), *(r for r in operation.readings if r.role in {PRE_SIZE, FINISHED}))
        for where in state.index.around(place, operation.per):
            for reading in dict.fromkeys(r.name for r in readings):
                found = state.index.readings[operation.id, reading]
                points = state.index.points(operation.id, reading)
                attempt = state.attempt(operation.id, where)
                values = _values(attempt, points)
                if values:
                    number = max(attempt.readings[p].number for p in points if p in attempt.readings)
                    yield number, operation, found, where, values
