"""Where something can be written down in an operation: points of readings, and steps to tick."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.known import places_known
from headwright.procedure.plan import Level, Tick

if TYPE_CHECKING:
    from headwright.job.agenda import Next
    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading, Step


class Spot(NamedTuple):
    """One thing to write down at a place: a point of a reading, or (without a point) a step to tick."""

    place: str
    item: str
    point: PointKey | None = None


def is_tall(operation: Operation) -> bool:
    """Tell whether the operation is a list of things to write down, not a table of places."""
    return operation.per in {Level.HEAD, Level.JOB}


def reading_of(state: State, operation: str, spot: Spot) -> Reading | None:
    """Give the reading that a spot belongs to, None for a step."""
    return state.index.readings[operation, spot.item] if spot.point is not None else None


def step_of(operation: Operation, spot: Spot) -> Step | None:
    """Give the step that a spot is, None for a reading."""
    if spot.point is not None:
        return None
    return next((s for s in operation.steps if s.name == spot.item), None)


def places_here(state: State, operation: Operation) -> tuple[str, ...]:
    """Give the places of the operation where it applies, in working order."""
    return places_known(state, operation)


def step_spots(state: State, operation: Operation, *, last: bool) -> tuple[Spot, ...]:
    """Give the steps that are ticked outside the table: once for a head, or at the one place of a list.

    `last` asks for those that come after the readings, else for those before them.
    """
    ticks = {Tick.ONCE, Tick.EACH} if is_tall(operation) else {Tick.ONCE}
    places = places_here(state, operation)
    found: dict[Spot, None] = {}
    for place in places:
        for step in operation.steps:
            if step.tick in ticks and step.last is last:
                found[Spot(state.index.tick_place(operation, place, step.tick), step.name)] = None
    return tuple(found)


def place_spots(state: State, operation: Operation, place: str) -> tuple[Spot, ...]:
    """Give what is written down at a place inside the table, in working order."""
    points = [
        Spot(place, reading.name, point)
        for reading in operation.readings
        for point in state.index.points(operation.id, reading.name)
    ]
    if not is_tall(operation):
        points += [Spot(place, step.name) for step in operation.steps if step.tick is Tick.EACH]
    return tuple(points)


def grid(state: State, operation: Operation) -> tuple[tuple[Spot, ...], ...]:
    """Give every spot of the operation as rows, for moving about: the first steps, the table, the last steps."""
    rows: list[tuple[Spot, ...]] = [(spot,) for spot in step_spots(state, operation, last=False)]
    for place in places_here(state, operation):
        spots = place_spots(state, operation, place)
        rows += [(spot,) for spot in spots] if is_tall(operation) else [spots]
    rows += [(spot,) for spot in step_spots(state, operation, last=True)]
    return tuple(row for row in rows if row)


def spot_of(found: Next) -> Spot | None:
    """Give the spot that is to be done next, or that a gauge is wanted for; None when it is something else."""
    if found.point is not None:
        return Spot(found.place, found.point[0], found.point)
    if not found.subject or found.now.value != "step":
        return None
    return Spot(found.place, found.subject)
