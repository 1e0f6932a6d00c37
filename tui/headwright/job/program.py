"""What an operation works out, made ready: a slot for each reading, value of the family and formula, and the steps.

A program is built once for an operation of a plan, when it is first asked for, so that at its places nothing is looked
up by name and nothing is worked out twice.
"""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING, Any

from headwright.job.steps import NONE, WORDS, Ends, Held, Setting, Source, Step, bits
from headwright.procedure.formula import Call, Name, compiled, names, operands, over_points, over_whole, parse
from headwright.procedure.plan import Level, Result, Sort

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Sequence

    from headwright.job.index import PlanIndex, PointKey
    from headwright.job.state import Taken
    from headwright.procedure.formula import Compiled, Grid
    from headwright.procedure.plan import Formula, Limit, Operation, Reading, Ref, SpecEntry

_ENTRY = "entry"
_LEVELS = tuple(Level)
_NO_ENDS = Ends(NONE, NONE, 0)


class Program:
    """All that is worked out at a place of an operation: `items` are its readings and results by name."""

    def __init__(self, index: PlanIndex, operation: Operation) -> None:
        self._index = index
        self.operation = operation
        self._size = 1
        self._sources: list[tuple[Operation, Source]] = []
        self._steps: list[Step] = []
        self._slots: dict[Hashable, int] = {}
        self._grids: dict[int, tuple[int, int]] = {}
        """How many rows a grid has, and readings in each, by its slot."""
        self._constants: dict[int, float] = {}
        self._specs: list[tuple[int, str, str]] = []
        self._limits: dict[int, Ends] = {}
        self._rests: dict[str, int] = {}
        self._settings: dict[tuple[str, str], Setting] = {}
        for reading in operation.readings:
            self._formula(reading.expect)
        self.items: dict[str, Held] = {
            **{reading.name: self._reading(reading) for reading in operation.readings},
            **{result.name: self._result(result) for result in operation.results},
        }
        held = [reading.name for reading in operation.readings if reading.limit is not None or reading.accept]
        results = [result.name for result in operation.results]
        self.figured = tuple(self.items[name] for name in (*held, *results))
        """What has a figure at each place, in order."""
        self.wanted = 0
        for each in self.figured:
            self.wanted |= each.wanted

    def setting(self, kind: str, repair: str) -> Setting:
        """Give the program at the places of one kind on one repair."""
        setting = self._settings.get((kind, repair))
        if setting is None:
            sources = [(op, self._is_here(op, repair), source) for op, source in self._sources]
            setting = Setting(sources, self._steps, self._given(kind, repair), self._size)
            self._settings[kind, repair] = setting
        return setting

    def _is_here(self, operation: Operation, repair: str) -> bool:
        """Tell whether an operation is known to be done at the place itself: this one, and others of a position."""
        if operation is self.operation:
            return True
        both = operation.per is self.operation.per is Level.POSITION
        return both and self._index.rules.applies(operation, repair)

    def slot(self, formula: Formula) -> int:
        """Give the slot of a formula of the operation."""
        return self._slots[id(formula)]

    def ends(self, limit: Limit | None) -> Ends:
        """Give where the ends of a limit of the operation stand."""
        return _NO_ENDS if limit is None else self._limits[id(limit)]

    def _given(self, kind: str, repair: str) -> dict[int, float | None]:
        """Give what stands in the slots that rest on no reading, for a kind and a repair; None for nothing."""
        specs = self._index.specs
        found = {slot: _of_entry(specs[name].at(kind, repair), part) for slot, name, part in self._specs}
        return {**self._constants, **found}

    def _new(self, key: Hashable) -> int:
        slot = self._slots[key] = self._size
        self._size += 1
        return slot

    def _formula(self, formula: Formula | None) -> int:
        if formula is None:
            return NONE
        key = id(formula)
        if key in self._slots:
            return self._slots[key]
        if formula.constant is not None:
            slot = self._new(key)
            self._constants[slot] = formula.constant
            return slot
        node = parse(formula.text)
        slots: dict[str, int] = {}
        for operand in operands(node):
            if isinstance(operand, Name):
                slots[operand.text] = self._ref(formula.refs[operand.text])
            else:
                (name,) = names(operand)
                slots[f"{operand.name}({name.text})"] = self._over_points(operand.name, formula.refs[name.text])
        if isinstance(node, Name | Call) and len(slots) == 1 and node in operands(node):
            (slot,) = slots.values()
            self._slots[key] = slot
            return slot
        return self._step(key, tuple(slots.values()), compiled(formula, slots))

    def _over_points(self, name: str, ref: Ref) -> int:
        slot = self._ref(ref)
        key = ("over", name, slot)
        if key not in self._slots:
            shape = self._grids.get(slot)
            whole = None if shape is None else over_whole(name, slot, slot + 1, shape)
            self._step(key, (slot,), over_points(name, slot), whole)
        return self._slots[key]

    def _step(self, key: Hashable, needs: tuple[int, ...], run: Compiled, whole: Compiled | None = None) -> int:
        slot = self._new(key)
        self._steps.append(Step(slot, bits(slot), bits(*needs), run, whole or run))
        return slot

    def _ref(self, ref: Ref) -> int:
        if ref.sort == "spec":
            return self._spec(ref.name, ref.part)
        if ref.sort == "result":
            result = self._index.results[self.operation.id, ref.name]
            return self._formula({"": result.value, "least": result.least, "most": result.most}[ref.part])
        return self._source(ref.operation, ref.name, ref.part)

    def _spec(self, name: str, part: str) -> int:
        key = ("spec", name, part)
        if key not in self._slots:
            self._specs.append((self._new(key), name, part))
        return self._slots[key]

    def _source(self, operation_id: str, name: str, part: str = "") -> int:
        key = ("reading", operation_id, name, part)
        if key not in self._slots:
            index, slot = self._index, self._new(key)
            operation, reading = index.operations[operation_id], index.readings[operation_id, name]
            points = tuple(point for point in index.points(operation_id, name) if part in {"", point[1]})
            across = len(reading.angles) or 1
            nearby = _LEVELS.index(operation.per) <= _LEVELS.index(self.operation.per)
            single = len(points) == 1 and nearby
            pick, cut = itemgetter(*points) if single else _pick(points), _cut(len(points), across)
            source = Source(slot, bits(slot), reading.agree, points, across, single, pick, cut)
            self._sources.append((operation, source))
            if not single:
                self._grids[slot] = (len(points) // across, across)
                self._size += 1
        return self._slots[key]

    def _ends(self, limit: Limit | None) -> Ends:
        if limit is None:
            return _NO_ENDS
        if id(limit) not in self._limits:
            if limit.spec:
                low, high = self._spec(limit.spec, "low"), self._spec(limit.spec, "high")
                known = bits(self._spec(limit.spec, _ENTRY))
            else:
                low, high = self._formula(limit.low), self._formula(limit.high)
                known = bits(*(slot for slot in (low, high) if slot != NONE))
            self._limits[id(limit)] = Ends(low, high, known)
        return self._limits[id(limit)]

    def _reading(self, reading: Reading) -> Held:
        if reading.sort is not Sort.NUMBER:
            return self._held(reading, WORDS, WORDS, 0)
        slot = least = most = self._source(self.operation.id, reading.name)
        if len(self._index.points(self.operation.id, reading.name)) > 1:
            # Not by the functions of formulas: they refuse a figure that is not finite, and a reading shows it.
            line = slot + 1
            least = self._step(
                ("least", slot), (slot,), lambda values: min(_line(values[slot])), lambda values: min(values[line])
            )
            most = self._step(
                ("most", slot), (slot,), lambda values: max(_line(values[slot])), lambda values: max(values[line])
            )
        return self._held(reading, least, most, bits(slot))

    def _result(self, result: Result) -> Held:
        least, most = self._formula(result.value or result.least), self._formula(result.value or result.most)
        return self._held(result, least, most, self._resting(result))

    def _held(self, item: Reading | Result, least: int, most: int, rests: int) -> Held:
        pair, judged = isinstance(item, Result) and item.value is None, item.limit is not None
        head, ends = (item.name, item.label, item.unit, item.resolution), self._ends(item.limit)
        return Held(item, *head, least, most, *ends, rests, pair, judged, judged and item.proof)

    def _resting(self, result: Result) -> int:
        """Give the readings that a result rests on, through other results too."""
        if result.name not in self._rests:
            found = 0
            for formula in (f for f in (result.value, result.least, result.most) if f is not None):
                for ref in formula.refs.values():
                    if ref.sort == "result":
                        found |= self._resting(self._index.results[self.operation.id, ref.name])
                    elif ref.sort == "reading":
                        found |= bits(self._source(ref.operation, ref.name, ref.part))
            self._rests[result.name] = found
        return self._rests[result.name]


def program_of(index: PlanIndex, operation: Operation) -> Program:
    """Give the program of an operation; built on first use."""
    program = index.programs.get(operation.id)
    if program is None:
        program = index.programs[operation.id] = Program(index, operation)
    return program


def _pick(points: tuple[PointKey, ...]) -> Callable[[Any], Sequence[Taken]]:
    if len(points) == 1:
        (point,) = points
        return lambda readings: (readings[point],)
    return itemgetter(*points)


def _cut(many: int, across: int) -> Callable[[Sequence[float]], Grid]:
    if many == across:
        return lambda figures: (figures,)
    return itemgetter(*(slice(first, first + across) for first in range(0, many, across)))


def _of_entry(entry: SpecEntry | None, part: str) -> float | None:
    if entry is None or part == _ENTRY:
        return None if entry is None else 1.0
    return {"": entry.value, "low": entry.low, "high": entry.high}[part]


def _line(grid: Grid) -> list[float]:
    return [figure for row in grid for figure in row]
