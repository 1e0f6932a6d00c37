"""What an operation comes to at a place, worked out the plain way: the tree of each formula walked anew, name by name.

Slow, and written without the program that the bench works out with, so that the two can be held to one another.
"""

from __future__ import annotations

from operator import add, mul, sub, truediv
from typing import TYPE_CHECKING, NamedTuple

from headwright.procedure.formula import Binary, Call, Name, Negative, Number, Power, parse
from headwright.procedure.functions import FUNCTIONS, Shape
from headwright.procedure.plan import Level, Sort

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from headwright.job.index import PointKey
    from headwright.job.state import State, Taken
    from headwright.procedure.formula import Node
    from headwright.procedure.plan import Formula, Limit, Operation, Reading, Ref, Result

    Worth = float | tuple[tuple[float, ...], ...] | None

SIGNS: dict[str, Callable[[float, float], float]] = {"+": add, "-": sub, "*": mul, "/": truediv}


class Plain(NamedTuple):
    """A figure without its verdict."""

    item: str
    least: float | None
    most: float | None
    low: float | None
    high: float | None
    known: bool
    complete: bool


class PlainBench:
    """The sums at one place of one operation, with figures being typed."""

    def __init__(self, state: State, operation: Operation, place: str, typed: Mapping[PointKey, float]) -> None:
        self.state, self.operation, self.place, self.typed = state, operation, place, typed
        self.plan = state.plan
        self.operations = {op.id: op for op in self.plan.operations}
        self.places = {p.id: p for p in self.plan.places}

    def figures(self) -> Iterator[Plain]:
        """Give every number that is held to something, then every result."""
        for reading in self.operation.readings:
            if reading.sort is Sort.NUMBER and reading.limit is not None:
                yield self.reading(reading)
        for result in self.operation.results:
            yield self.result(result)

    def reading(self, reading: Reading) -> Plain:
        points = self._points(self.operation, reading, "")
        values = [v for p in points if (v := self._figure(self.operation, self.place, p)[0]) is not None]
        complete = all(self._figure(self.operation, self.place, p)[1] for p in points)
        least, most = (min(values), max(values)) if values else (None, None)
        return Plain(reading.name, least, most, *self.limits(reading.limit), complete)

    def result(self, result: Result) -> Plain:
        least, most = self.value(result.value or result.least), self.value(result.value or result.most)
        return Plain(result.name, least, most, *self.limits(result.limit), self.is_complete(result))

    def limits(self, limit: Limit | None) -> tuple[float | None, float | None, bool]:
        if limit is None:
            return None, None, True
        if limit.spec:
            low, high = self._spec(limit.spec, "low"), self._spec(limit.spec, "high")
            return low, high, self._spec(limit.spec, "is there") is not None
        low, high = self.value(limit.low), self.value(limit.high)
        return low, high, (low is None) == (limit.low is None) and (high is None) == (limit.high is None)

    def value(self, formula: Formula | None) -> float | None:
        if formula is None or formula.constant is not None:
            return None if formula is None else formula.constant
        try:
            found = self._walk(parse(formula.text), formula.refs)
        except (ArithmeticError, ValueError):
            return None
        assert found is None or isinstance(found, int | float)
        return found

    def is_complete(self, result: Result) -> bool:
        refs = [r for f in (result.value, result.least, result.most) if f is not None for r in f.refs.values()]
        results = {r.name: r for r in self.operation.results}
        return all(
            self.is_complete(results[ref.name]) if ref.sort == "result" else ref.sort == "spec" or self._has_all(ref)
            for ref in refs
        )

    def _walk(self, node: Node, refs: Mapping[str, Ref]) -> Worth:
        """Work a tree out; None where anything below it is not there."""
        if isinstance(node, Number):
            return node.value
        if isinstance(node, Name):
            return self._worth(refs[node.text])
        if isinstance(node, Call):
            return self._call(node, [self._walk(argument, refs) for argument in node.arguments])
        if isinstance(node, Binary):
            one, other = self._number(node.left, refs), self._number(node.right, refs)
            return None if one is None or other is None else SIGNS[node.sign](one, other)
        inner = self._number(node.operand if isinstance(node, Negative) else node.base, refs)
        power = node.exponent if isinstance(node, Power) else 1
        sign = -1 if isinstance(node, Negative) else 1
        return None if inner is None else float(sign * inner**power)

    def _number(self, node: Node, refs: Mapping[str, Ref]) -> float | None:
        found = self._walk(node, refs)
        assert not isinstance(found, tuple)
        return found

    @staticmethod
    def _call(node: Call, arguments: list[Worth]) -> float | None:
        function = FUNCTIONS[node.name]
        if None in arguments:
            return None
        if function.shape in {Shape.GRID, Shape.GRID_DIFFERENCE}:
            arguments = [((each,),) if isinstance(each, float) else each for each in arguments]
        return function.call(*arguments)

    def _worth(self, ref: Ref) -> Worth:
        if ref.sort == "spec":
            return self._spec(ref.name, ref.part)
        if ref.sort == "result":
            result = next(r for r in self.operation.results if r.name == ref.name)
            return self.value({"": result.value, "least": result.least, "most": result.most}[ref.part])
        operation, reading = self._of(ref)
        across = len(reading.angles) or 1
        rows = []
        for place in self._places(operation):
            points = self._points(operation, reading, ref.part)
            found = [self._figure(operation, place, point)[0] for point in points]
            rows += [found[first : first + across] for first in range(0, len(found), across)]
        grid = tuple(tuple(v for v in row if v is not None) for row in rows)
        levels = list(Level)
        near = levels.index(operation.per) <= levels.index(self.operation.per)
        if near and len(self._points(operation, reading, ref.part)) == 1:
            return next((v for row in grid for v in row), None)
        return grid

    def _has_all(self, ref: Ref) -> bool:
        operation, reading = self._of(ref)
        places = self._places(operation)
        points = self._points(operation, reading, ref.part)
        return bool(places) and all(self._figure(operation, place, p)[1] for place in places for p in points)

    def _of(self, ref: Ref) -> tuple[Operation, Reading]:
        operation = self.operations[ref.operation]
        return operation, next(r for r in operation.readings if r.name == ref.name)

    def _points(self, operation: Operation, reading: Reading, part: str) -> list[PointKey]:
        del operation
        stations = [part] if part else reading.stations or [""]
        return [(reading.name, station, angle) for station in stations for angle in reading.angles or [None]]

    def _places(self, operation: Operation) -> list[str]:
        """Give the places of another operation that this one lies in, is, or holds, where some position passes it."""
        if operation.id == self.operation.id:
            return [self.place]
        here = self.places[self.place]
        found = []
        for place in self.plan.places:
            if place.level is not operation.per:
                continue
            if place.id == here.id or place.id in here.within or here.id in place.within:
                leaves = [p.id for p in self.plan.places if p.level is Level.POSITION]
                inside = [leaf for leaf in leaves if leaf == place.id or place.id in self.places[leaf].within]
                repairs = [self.state.repair.get(leaf, "") for leaf in inside]
                if any(not operation.repairs or repair in operation.repairs for repair in repairs):
                    found.append(place.id)
        return found

    def _spec(self, name: str, part: str) -> float | None:
        spec = next(s for s in self.plan.specs if s.name == name)
        entry = spec.at(self.places[self.place].kind or "", self.state.repair.get(self.place, ""))
        if entry is None:
            return None
        return {"": entry.value, "low": entry.low, "high": entry.high, "is there": 1.0}[part]

    def _figure(self, operation: Operation, place: str, point: PointKey) -> tuple[float | None, bool]:
        """Give the figure that counts at a point, and whether it wants no further one."""
        attempt = self.state.attempts.get((operation.id, place))
        taken: Taken | None = attempt.readings.get(point) if attempt else None
        reading = next(r for r in operation.readings if r.name == point[0])
        figures = [] if taken is None else [each.event.value for each in (*taken.others, taken)]
        if operation.id == self.operation.id and place == self.place and point in self.typed:
            typed = self.typed[point]
            figures = [*figures, typed] if figures and not _settled(figures, reading.agree) else [typed]
        values = sorted(v for v in figures if v is not None)
        if not values or (taken is not None and figures[-1] is None):
            return None, False
        half = len(values) // 2
        middle = values[half] if len(values) % 2 else (values[half - 1] + values[half]) / 2
        return middle, _settled(figures, reading.agree)


def _settled(figures: list[float | None], agree: float | None) -> bool:
    values = [v for v in figures if v is not None]
    return agree is None or len(figures) > 2 or (len(values) > 1 and max(values) - min(values) <= agree + 1e-7)
