"""The figures that stand around a point, and with them the doubt about one that is about to be taken there."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from headwright.job.above_ball import above_ball
from headwright.job.figures import Bench
from headwright.job.index import place_words
from headwright.job.large_ball import large_ball
from headwright.job.slips import Beside, Nearby, Twin, question
from headwright.job.unfinished import cut_short, unfinished
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from headwright.job.events import ReadingTaken
    from headwright.job.index import PointKey
    from headwright.job.slips import Doubt
    from headwright.job.state import State, Taken
    from headwright.procedure.plan import Operation

RECENT = 24
"""Figures that count as taken just before."""
LOOKED = 120
"""Entries that are gone back for them, at most."""
FEWEST = 4
"""Points that a reading must have at a place, for equal places to tell anything."""


def doubt_of(state: State, wanted: ReadingTaken, *, tags: Collection[str] = ()) -> Doubt | None:
    """Give the doubt about a figure that somebody wants to enter, None where there is none or it was overruled.

    Args:
        state: the job; operation, place and point of what is wanted must be in its plan.
        wanted: the figure with its text and unit, as it would be recorded.
        tags: texts on the tags of the shop, besides the number and the tag of the job.
    """
    operation = state.index.operations[wanted.operation]
    reading = state.index.readings[wanted.operation, wanted.reading]
    if reading.sort is not Sort.NUMBER or wanted.value is None or wanted.questioned:
        return None
    window = Bench(state.written(operation.id, wanted.place), operation, wanted.place).window(reading)
    nearby = around(state, wanted, far=window is not None and not window[0] <= wanted.value <= window[1])
    known = {tag for tag in (state.job, state.tag, *tags) if tag}
    typed, unit = wanted.typed, wanted.unit
    doubt = question(wanted.value, window, reading, state.plan, typed=typed, unit=unit, nearby=nearby, tags=known)
    doubt = doubt or above_ball(state, operation, wanted) or large_ball(state, operation, wanted)
    if doubt is not None:
        return doubt
    short = cut_short(wanted.value, window, reading, state.plan, typed=typed, unit=unit, nearby=nearby)
    if short is None or not _fails_more(state, operation, wanted, short.likely):
        return None
    return unfinished(short, typed)


def _fails_more(state: State, operation: Operation, wanted: ReadingTaken, other: float) -> bool:
    """Tell whether a figure puts something out that another one (canonical) at its point would not."""
    point, written = (wanted.reading, wanted.station, wanted.angle), state.written(operation.id, wanted.place)
    typed, meant = (
        {f.item for f in Bench(written, operation, wanted.place, {point: value}).figures() if f.verdict.fails}
        for value in (wanted.value or 0.0, other)
    )
    return bool(typed - meant)


def around(state: State, wanted: ReadingTaken, *, far: bool = True) -> Nearby:
    """Give the figures around the point of a reading: at the same place, at places like it, and those taken last.

    These last tell something of a figure `far` from what is expected only, and are looked for there.
    """
    point = (wanted.reading, wanted.station, wanted.angle)
    operation = state.index.operations[wanted.operation]
    standing = state.writing(wanted.operation, wanted.place).readings
    here = [
        taken.event.value
        for key, taken in standing.items()
        if key[0] == wanted.reading and taken.event.value is not None and (wanted.repeat or key != point)
    ]
    return Nearby(
        tuple(here),
        tuple(_alike(state, operation, wanted.place, point)),
        tuple(_recent(state, wanted, point)) if far else (),
        None if wanted.repeat else _twin(state, operation, wanted.place, point, standing),
    )


def _alike(state: State, operation: Operation, place: str, point: PointKey) -> Iterator[float]:
    """Give the figures of the same point at places of the same kind and repair, whose sizes are meant to be alike."""
    kind, repair = state.index.places[place].kind, state.repair_at(place)
    for other in state.index.places_of(operation):
        if other == place or state.index.places[other].kind is not kind or state.repair_at(other) != repair:
            continue
        taken = state.attempt(operation.id, other).readings.get(point)
        if taken is not None and taken.event.value is not None:
            yield taken.event.value


def _recent(state: State, wanted: ReadingTaken, point: PointKey) -> Iterator[Beside]:
    here = ((wanted.operation, wanted.place), point)
    found = 0
    for number in range(state.number, max(0, state.number - LOOKED), -1):
        spot = state.where.get(number)
        if spot is None or spot == here:
            continue
        at, key = spot
        taken = state.attempt(*at).readings.get(key)
        if taken is None or taken.number != number or taken.event.value is None:
            continue
        yield Beside(
            _words(state, wanted, at, key),
            taken.event.value,
            state.index.readings[at[0], key[0]].dimension,
            taken.event.typed,
        )
        found += 1
        if found == RECENT:
            return


def _words(state: State, wanted: ReadingTaken, at: tuple[str, str], key: PointKey) -> str:
    name = place_words(state.index.places[at[1]])
    spot = f"{key[1]} {'' if key[2] is None else f'{key[2]}°'}".strip()
    if (at[0], key[0]) != (wanted.operation, wanted.reading):
        label = state.index.readings[at[0], key[0]].label
        name = f"{label[:1].lower() if label[1:2].islower() else label[:1]}{label[1:]}, {name}"
    return f"{name}, {spot}" if spot else name


def _twin(
    state: State, operation: Operation, place: str, point: PointKey, standing: dict[PointKey, Taken]
) -> Twin | None:
    """Find out whether the last figure of a place could make it equal, point by point, to the one done before."""
    points = state.index.points(operation.id, point[0])
    others = [standing.get(key) for key in points if key != point]
    if len(points) < FEWEST or any(taken is None for taken in others):
        return None
    before, latest = "", 0
    for other in state.index.places_of(operation):
        taken = state.attempt(operation.id, other).readings.get(points[-1])
        if other != place and taken is not None and taken.number > latest:
            before, latest = other, taken.number
    there = state.attempt(operation.id, before).readings
    figures = [there[key].event.value for key in points if key in there]
    if len(figures) < len(points):
        return None
    step = state.index.readings[operation.id, point[0]].resolution
    last = there[point].event.value
    if last is None or any(not _equal(standing[key], there[key], step) for key in points if key != point):
        return None
    # Two draws from these figures agree with the sum of the squared shares: at one point, and so at each of them.
    shares = Counter(round((figure or 0.0) / step) if step else figure for figure in figures).values()
    chance = (sum(share**2 for share in shares) / len(figures) ** 2) ** len(figures)
    return Twin(place_words(state.index.places[before]), len(points), last, chance)


def _equal(one: Taken, other: Taken, step: float) -> bool:
    first, second = one.event.value, other.event.value
    return first is not None and second is not None and abs(first - second) <= step / 2
