"""What there is to draw of one bore: its readings now and before, and the limits that it is held to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from headwright.job.figures import Bench
from headwright.job.index import place_words
from headwright.job.show import unit_sign
from headwright.job.sizing import FINISHED, PRE_SIZE
from headwright.procedure.plan import Sort
from headwright.terminal.bench.digits import short

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from headwright.job.index import PointKey
    from headwright.job.state import Attempt, State
    from headwright.procedure.plan import Operation, Plan, Reading, Result

FAR = 0.3
"""Millimetres beyond which an earlier size is that of another hole, the bored one or a worn guide's (our choice)."""
STEP = 0.01
"""Millimetres by which a hole is moved to see whether a result follows it."""
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


class Limits(NamedTuple):
    """The least and greatest diameter allowed, mm, and what they follow from."""

    low: float | None
    high: float | None
    by: str


class Bore(NamedTuple):
    """A bore at its stations (first to last) and angles; None where nothing was read."""

    title: str
    stations: tuple[str, ...]
    angles: tuple[int | None, ...]
    now: Sizes
    before: Sizes
    before_words: str
    limits: Limits
    hand: tuple[int, int] | None
    """Angle and station of the point at hand."""
    digits: Digits


class Facts(NamedTuple):
    """What does not change while a figure is typed."""

    operation: Operation
    reading: Reading
    place: str
    readings: dict[PointKey, float]
    before: Sizes
    before_words: str
    limits: Limits


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
    limits = bore_limits(state, operation, place, reading)
    return Facts(operation, reading, place, readings, before, words, limits)


def bore(state: State, known: Facts, typed: Mapping[PointKey, float], hand: PointKey | None = None) -> Bore:
    """Put a bore together with the figures being typed in their points (mm), and the point at hand."""
    reading = known.reading
    angles: tuple[int | None, ...] = reading.angles or (None,)
    values = {**known.readings, **typed} if typed else known.readings
    now = tuple(tuple(values.get((reading.name, s, a)) for s in reading.stations) for a in angles)
    at = None
    if hand is not None and hand[0] == reading.name and hand[1] in reading.stations and hand[2] in angles:
        at = (angles.index(hand[2]), reading.stations.index(hand[1]))
    where = place_words(state.index.places[known.place])
    return Bore(
        f"{where}: {reading.label}",
        reading.stations,
        angles,
        now,
        known.before,
        known.before_words,
        known.limits,
        at,
        Digits(state.plan, reading),
    )


def bore_limits(state: State, operation: Operation, place: str, reading: Reading) -> Limits:
    """Give the limits of a hole: those that follow from a result which moves with it, else the reading's own.

    The hole is taken to be round and straight; a result whose least and greatest both move exactly as it does, the
    clearance, then tells how far it may go either way.
    """
    at = (operation.id, place)
    bare = replace(state, attempts={key: value for key, value in state.attempts.items() if key != at})
    sizes = list(_values(state.attempt(*at), state.index.points(*(operation.id, reading.name))).values())
    start = sum(sizes) / len(sizes) if sizes else Bench(bare, operation, place).value(reading.expect)
    points = state.index.points(operation.id, reading.name)
    if start is not None:
        for result in operation.results:
            found = _by_result(bare, operation, place, result, (points, start))
            if found is not None:
                return found
    figure = Bench(bare, operation, place).reading(reading)
    return Limits(figure.low, figure.high, "")


def _by_result(
    state: State, operation: Operation, place: str, result: Result, hole: tuple[tuple[PointKey, ...], float]
) -> Limits | None:
    points, start = hole
    if result.least is None or result.most is None or result.limit is None:
        return None
    here = Bench(state, operation, place, dict.fromkeys(points, start)).figure(result.name)
    moved = Bench(state, operation, place, dict.fromkeys(points, start + STEP)).figure(result.name)
    if here.least is None or here.most is None or moved.least is None or moved.most is None:
        return None
    if abs(moved.least - here.least - STEP) > STEP / 100 or abs(moved.most - here.most - STEP) > STEP / 100:
        return None
    low = None if here.low is None else start + here.low - here.least
    high = None if here.high is None else start + here.high - here.most
    return None if low is None and high is None else Limits(low, high, result.label.lower())


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
