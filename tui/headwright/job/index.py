"""A plan made quick to ask: places, operations, formulas and the rules of order, looked up by name."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from headwright.procedure.order import Held, OrderRules
from headwright.procedure.plan import (
    ConditionSort,
    Formula,
    Kind,
    Level,
    Operation,
    Place,
    Plan,
    Reading,
    Result,
    Sort,
    Tick,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.program import Program

PointKey = tuple[str, str, int | None]
"""One point of a reading: its name, station (or empty) and angle (or None)."""

_LEVELS = {level: rank for rank, level in enumerate((Level.JOB, Level.HEAD, Level.CHAMBER, Level.POSITION))}


class Stand(NamedTuple):
    """Where a position stands: ids of the operations on its path, of those done, and of those due."""

    path: frozenset[str]
    done: frozenset[str]
    due: frozenset[str]


class PlanIndex:
    """Everything that the job asks of its plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.rules = OrderRules.of(plan)
        self.operations = {op.id: op for op in plan.operations}
        self.conditions = {c.id: c for c in plan.conditions}
        self.cautions = {c.id: c for c in plan.cautions}
        self.repairs = {r.id: r for r in plan.repairs}
        self.specs = {s.name: s for s in plan.specs}
        self.places = {p.id: p for p in plan.places}
        self.heads = tuple(p for p in plan.places if p.level is Level.HEAD)
        self.positions = tuple(p for p in plan.places if p.level is Level.POSITION)
        self.received: Held = frozenset(plan.received)
        self.states = frozenset(c.id for c in plan.conditions if c.sort is ConditionSort.STATE)
        self.readings = {(op.id, r.name): r for op in plan.operations for r in op.readings}
        self.results = {(op.id, r.name): r for op in plan.operations for r in op.results}
        self._inside: dict[str, tuple[str, ...]] = {}
        for place in plan.places:
            self._inside[place.id] = tuple(p.id for p in self.positions if p.id == place.id or place.id in p.within)
        self._order = {op.id: tuple(self._working_order(op)) for op in plan.operations}
        self._points = {key: tuple(points_of(reading)) for key, reading in self.readings.items()}
        self.programs: dict[str, Program] = {}
        """What operations work out, by operation; each is put here when it is first asked for."""
        self.rests_on = self._resting()
        self.stand = lru_cache(maxsize=4096)(self._stand)
        self.around = lru_cache(maxsize=None)(self._around)

    def _stand(self, held: Held, repair: str, reread: frozenset[str]) -> Stand:
        rules = self.rules
        on_path = [op for op in self.plan.operations if rules.applies(op, repair)]
        return Stand(
            frozenset(op.id for op in on_path),
            frozenset(op.id for op in on_path if rules.is_done(op, held)),
            frozenset(op.id for op in rules.due(held, repair, reread)),
        )

    def inside(self, place: str) -> tuple[str, ...]:
        """Give the positions inside a place; a position is inside itself."""
        return self._inside[place]

    def head_of(self, place: str) -> str:
        """Give the head that a place belongs to; the job itself belongs to its only or first head."""
        for wider in (place, *self.places[place].within):
            if self.places[wider].level is Level.HEAD:
                return wider
        return self.heads[0].id

    def _around(self, place: str, level: Level) -> tuple[str, ...]:
        """Give the places of a level that a place lies in, is, or holds inside it."""
        here = self.places[place]
        if here.level is level:
            return (place,)
        if _LEVELS[level] < _LEVELS[here.level]:
            return tuple(w for w in here.within if self.places[w].level is level)
        return tuple(p.id for p in self.plan.places if p.level is level and place in p.within)

    def places_of(self, operation: Operation) -> tuple[str, ...]:
        """Give the places at which the operation is done, in working order."""
        return self._order[operation.id]

    def points(self, operation: str, reading: str) -> tuple[PointKey, ...]:
        """Give the points at which a reading is taken, in order."""
        return self._points[operation, reading]

    def tick_place(self, operation: Operation, place: str, tick: Tick) -> str:
        """Give the place at which a step is ticked: the head for a step ticked once, else the place itself."""
        wide = tick is Tick.ONCE and operation.per in {Level.POSITION, Level.CHAMBER}
        return self.head_of(place) if wide else place

    def words(self, reading: Reading) -> tuple[str, ...]:
        """Give the words that answer a reading; empty where any text will do or a figure is wanted."""
        if reading.sort is Sort.YES_NO:
            return ("yes", "no")
        if reading.sort is Sort.REPAIR:
            return reading.choices or tuple(self.repairs)
        return reading.choices

    def group(self, operation: Operation, place: str) -> str:
        """Give the batch of an operation that a place belongs to: its kind, where the operation goes by kind."""
        kind = self.places[place].kind
        return kind.value if operation.batch and kind is not None else ""

    def feeding(self, operation: str, item: str) -> frozenset[str]:
        """Give the readings of an operation that a reading or result is worked out from, through other results too."""
        if (operation, item) in self.readings:
            return frozenset({item})
        found: set[str] = set()
        waiting, seen = [item], {item}
        while waiting:
            result = self.results[operation, waiting.pop()]
            for formula in (f for f in (result.value, result.least, result.most) if f is not None):
                for ref in formula.refs.values():
                    if ref.sort == "reading" and ref.operation == operation:
                        found.add(ref.name)
                    elif ref.sort == "result" and ref.name not in seen:
                        seen.add(ref.name)
                        waiting.append(ref.name)
        return frozenset(found)

    def _working_order(self, operation: Operation) -> Iterator[str]:
        places = [p for p in self.plan.places if p.level is operation.per]
        if operation.batch == "kind":
            for kind in Kind:
                yield from (p.id for p in places if p.kind is kind)
        else:
            yield from (p.id for p in places)

    def _resting(self) -> dict[tuple[str, str], tuple[str, ...]]:
        """Map each reading to the other operations whose verdicts are worked out from it."""
        found: dict[tuple[str, str], dict[str, None]] = defaultdict(dict)
        for operation in self.plan.operations:
            for formula in judged_by(operation):
                for ref in formula.refs.values():
                    if ref.sort == "reading" and ref.operation != operation.id:
                        found[ref.operation, ref.name][operation.id] = None
        return {key: tuple(ids) for key, ids in found.items()}


def points_of(reading: Reading) -> Iterator[PointKey]:
    """Give the points of a reading: stations from first to last, at each the angles in order."""
    for station in reading.stations or ("",):
        for angle in reading.angles or (None,):
            yield (reading.name, station, angle)


def formulas_of(item: Reading | Result) -> Iterator[Formula]:
    """Give the formulas that decide the verdict of a reading or a result."""
    if isinstance(item, Result):
        yield from (f for f in (item.value, item.least, item.most) if f is not None)
    if item.limit is not None:
        yield from (f for f in (item.limit.low, item.limit.high) if f is not None)


def items_of(operation: Operation) -> tuple[Reading | Result, ...]:
    """Give everything in an operation that may be held to something: its readings, then its results."""
    return (*operation.readings, *operation.results)


def judged_by(operation: Operation) -> Iterator[Formula]:
    """Give the formulas that decide any verdict of an operation."""
    for item in items_of(operation):
        yield from formulas_of(item)


def place_words(place: Place) -> str:
    """Give the name of a place as it is spoken of: `2I`, `head A`, `chamber 1`, `the job`."""
    if place.level is Level.POSITION:
        return place.name
    if place.level is Level.JOB:
        return "the job"
    return f"{place.level.value} {place.name}"
