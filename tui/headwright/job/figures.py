"""What the readings come to: every reading and result of an operation at a place, with its limits and verdict.

The same sums serve the record (what is saved) and the bench (what it would be with the figure being typed).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from headwright.calc import NotEnough
from headwright.calc.conformity import PROOF
from headwright.calc.student import quantile
from headwright.job.events import ReadingTaken
from headwright.job.proof import Lacking, of_reading, of_result
from headwright.job.state import Taken
from headwright.job.uncertainty import COVERAGE
from headwright.job.verdict import Verdict, beyond, judge, provable, prove
from headwright.procedure.plan import Level, Reading, Sort

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.job.uncertainty import Moved
    from headwright.procedure.formula import Grid, Look
    from headwright.procedure.plan import Formula, Limit, Operation, Ref, Result, SpecEntry

    Typed = Mapping[PointKey, float]


class Figure(Struct, frozen=True):
    """A reading or a result as it stands at a place, in canonical units.

    `least` = `most` for a single value; both None while there are too few readings. `complete` tells that every
    reading it rests on is there, so the verdict is final. `out` is by how much it is beyond its limit.

    Where the limits have to be proved, `guard` is the width of the guard band inside each, `uncertain` the expanded
    uncertainty (k = 2) of the figure against its limits, and `lacks` the label of a reading that has none.
    """

    operation: str
    place: str
    item: str
    label: str
    unit: str
    resolution: float
    least: float | None = None
    most: float | None = None
    low: float | None = None
    high: float | None = None
    word: str = ""
    verdict: Verdict = Verdict.OPEN
    complete: bool = False
    out: float = 0.0
    pair: bool = False
    judged: bool = False
    """Whether there is anything that it is held to."""
    proof: bool = False
    """Whether its limits have to be proved; else they are plain."""
    guard: float = 0.0
    uncertain: float | None = None
    lacks: str = ""

    @property
    def proving(self) -> tuple[float | None, float | None]:
        """The least and the greatest figure that prove the limits, canonical; both None where none can, or need."""
        return provable(self.low, self.high, None if self.uncertain is None else self.guard)


class Bench:
    """The sums at one place of one operation, with the figures being typed (`typed`) put in their points."""

    def __init__(self, state: State, operation: Operation, place: str, typed: Typed | None = None) -> None:
        self.state = state
        self.index = state.index
        self.operation = operation
        self.place = place
        self.typed = typed or {}
        self.moved: Moved = {}
        """By how much readings are taken to be off, to see what that does to what rests on them."""
        self.look: Look = self._look

    def figures(self) -> tuple[Figure, ...]:
        """Give the figure of every reading that is held to something, then of every result."""
        held = [self.reading(r) for r in self.operation.readings if r.limit is not None or r.accept]
        return (*held, *(self.result(r) for r in self.operation.results))

    def figure(self, item: str) -> Figure:
        """Give the figure of a reading or result by name."""
        reading = self.index.readings.get((self.operation.id, item))
        return self.reading(reading) if reading else self.result(self.index.results[self.operation.id, item])

    def reading(self, reading: Reading) -> Figure:
        """Give the figure of a reading: its span over its points, each held to the limit."""
        points = self.index.points(self.operation.id, reading.name)
        if reading.sort is not Sort.NUMBER:
            return self._words(reading, points)
        values = [v for p in points if (v := self._value(self.operation.id, self.place, p)) is not None]
        low, high, known = self.limits(reading.limit)
        complete = all(self._settled(self.operation.id, self.place, p) for p in points)
        common: dict[str, Any] = {
            "low": low,
            "high": high,
            "judged": reading.limit is not None,
            "proof": reading.proof and reading.limit is not None,
            "complete": complete,
        }
        if not values:
            return self._figure(reading, **common)
        least, most = min(values), max(values)
        if known:
            common |= self._judged(reading, least, most, (low, high))
        return self._figure(reading, least=least, most=most, **common)

    def _words(self, reading: Reading, points: tuple[PointKey, ...]) -> Figure:
        attempt = self.state.attempt(self.operation.id, self.place)
        words = [attempt.readings[p].event.word for p in points if p in attempt.readings]
        wrong = [w for w in words if reading.accept and w not in reading.accept]
        verdict = Verdict.OPEN
        if words:
            verdict = Verdict.WRONG if wrong else Verdict.YES if reading.accept else Verdict.FREE
        return self._figure(
            reading,
            word=", ".join(wrong or dict.fromkeys(words)),
            verdict=verdict,
            complete=len(words) == len(points),
            judged=bool(reading.accept),
        )

    def result(self, result: Result) -> Figure:
        """Give the figure of a result."""
        low, high, known = self.limits(result.limit)
        common: dict[str, Any] = {
            "low": low,
            "high": high,
            "judged": result.limit is not None,
            "proof": result.proof and result.limit is not None,
            "complete": self.is_complete(result),
            "pair": result.value is None,
        }
        least = self.value(result.value or result.least)
        most = self.value(result.value or result.most)
        if least is not None and most is not None and known:
            common |= self._judged(result, least, most, (low, high))
        return self._figure(result, least=least, most=most, **common)

    def _judged(
        self, item: Reading | Result, least: float, most: float, held: tuple[float | None, float | None]
    ) -> dict[str, Any]:
        """Hold a figure to its limits by the rule that the plan names for it."""
        out = beyond(least, most, *held)
        if not item.proof or held == (None, None):
            return {"verdict": judge(least, most, *held, item.resolution), "out": out}
        lacks, standard = "", None
        try:
            standard = of_reading(self, item) if isinstance(item, Reading) else of_result(self, item)
        except Lacking as lacking:
            lacks = lacking.label
        guard = None if standard is None else quantile(PROOF) * standard
        verdict = prove(least, most, *held, guard)
        return {
            "verdict": verdict,
            "out": 0.0 if verdict is Verdict.UNPROVEN else out,
            "guard": guard or 0.0,
            "uncertain": None if standard is None else COVERAGE * standard,
            "lacks": lacks,
        }

    def _figure(self, item: Reading | Result, **values: Any) -> Figure:
        return Figure(self.operation.id, self.place, item.name, item.label, item.unit, item.resolution, **values)

    def limits(self, limit: Limit | None) -> tuple[float | None, float | None, bool]:
        """Give the limits that hold at this place, and whether they could be worked out; None where there is none."""
        if limit is None:
            return None, None, True
        if limit.spec:
            entry = self._entry(limit.spec)
            return (None, None, False) if entry is None else (entry.low, entry.high, True)
        low, high = self.value(limit.low), self.value(limit.high)
        known = (low is not None or limit.low is None) and (high is not None or limit.high is None)
        return low, high, known

    def window(self, reading: Reading) -> tuple[float, float] | None:
        """Give the span outside which a figure is questioned, None when nothing is expected (yet)."""
        expected = self.value(reading.expect)
        if expected is None or reading.within is None:
            return None
        return expected - reading.within, expected + reading.within

    def value(self, formula: Formula | None) -> float | None:
        """Work a formula out here; None when there is none or something that it needs is not there yet."""
        if formula is None:
            return None
        if formula.constant is not None:
            return formula.constant
        try:
            return self.index.formula(formula)(self.look)
        except (NotEnough, ArithmeticError, ValueError):
            return None

    def is_complete(self, result: Result) -> bool:
        """Tell whether every reading that the result rests on is there."""
        formulas = [f for f in (result.value, result.least, result.most) if f is not None]
        for ref in (r for f in formulas for r in f.refs.values()):
            if ref.sort == "result" and not self.is_complete(self.index.results[self.operation.id, ref.name]):
                return False
            if ref.sort == "reading" and not self._has_all(ref):
                return False
        return True

    def _has_all(self, ref: Ref) -> bool:
        points = [p for p in self.index.points(ref.operation, ref.name) if not ref.part or p[1] == ref.part]
        places = self.places_of(ref)
        return bool(places) and all(self._settled(ref.operation, place, point) for place in places for point in points)

    def places_of(self, ref: Ref) -> tuple[str, ...]:
        """Give the places whose readings a name stands for here."""
        operation = self.index.operations[ref.operation]
        if operation is self.operation:
            return (self.place,)
        return tuple(p for p in self.index.around(self.place, operation.per) if self.state.applies(operation, p))

    def _value(self, operation: str, place: str, point: PointKey) -> float | None:
        taken = self.taken(operation, place, point)
        value = taken.value if taken else None
        if self.moved and value is not None:
            return value + self.moved.get((operation, place, point), 0.0)
        return value

    def _settled(self, operation: str, place: str, point: PointKey) -> bool:
        """Tell whether a point has its figure, and wants no further one beside it."""
        taken = self.taken(operation, place, point)
        agree = self.index.readings[operation, point[0]].agree
        return taken is not None and taken.value is not None and taken.is_settled(agree)

    def taken(self, operation: str, place: str, point: PointKey) -> Taken | None:
        """Give what stands at a point, the figure being typed among it (its number is 0); None for nothing yet."""
        taken = self.state.attempt(operation, place).readings.get(point)
        if self.typed and operation == self.operation.id and place == self.place and point in self.typed:
            return self._with_typed(taken, self.index.readings[operation, point[0]], self.typed[point])
        return taken

    @staticmethod
    def _with_typed(taken: Taken | None, reading: Reading, typed: float) -> Taken:
        """Give a point as it would be with the figure being typed: beside those there where a further one is wanted."""
        repeats = taken is not None and not taken.is_settled(reading.agree)
        others = (*taken.others, taken) if taken is not None and repeats else ()
        return Taken(0, "", "", ReadingTaken("", "", reading.name, "", value=typed), others)

    def _look(self, ref: Ref) -> float | Grid:
        if ref.sort == "spec":
            return self._spec(ref)
        if ref.sort == "result":
            return self._result(ref)
        rows: list[tuple[float, ...]] = []
        reading = self.index.readings[ref.operation, ref.name]
        for place in self.places_of(ref):
            rows.extend(self._rows(ref, reading, place))
        points = len(self.index.points(ref.operation, ref.name))
        single = points == 1 or (ref.part and not reading.angles)
        if single and (self.index.operations[ref.operation].per is self.operation.per or self._wider(ref)):
            return self._single(rows, ref)
        return tuple(rows)

    def _wider(self, ref: Ref) -> bool:
        levels = list(Level)
        return levels.index(self.index.operations[ref.operation].per) < levels.index(self.operation.per)

    def _rows(self, ref: Ref, reading: Reading, place: str) -> list[tuple[float, ...]]:
        rows = []
        for station in (ref.part,) if ref.part else reading.stations or ("",):
            found = (self._value(ref.operation, place, (ref.name, station, a)) for a in reading.angles or (None,))
            rows.append(tuple(v for v in found if v is not None))
        return rows

    @staticmethod
    def _single(rows: list[tuple[float, ...]], ref: Ref) -> float:
        for row in rows:
            for value in row:
                return value
        raise NotEnough(f"{ref.name} is not there yet")

    def _spec(self, ref: Ref) -> float:
        entry = self._entry(ref.name)
        found = None if entry is None else {"": entry.value, "low": entry.low, "high": entry.high}[ref.part]
        if found is None:
            raise NotEnough(f"{ref.name} is not given here")
        return found

    def _entry(self, spec: str) -> SpecEntry | None:
        kind = self.index.places[self.place].kind or ""
        return self.index.specs[spec].at(kind, self.state.repair_at(self.place))

    def _result(self, ref: Ref) -> float:
        result = self.index.results[self.operation.id, ref.name]
        formula = {"": result.value, "least": result.least, "most": result.most}[ref.part]
        found = self.value(formula)
        if found is None:
            raise NotEnough(f"{ref.name} cannot be worked out yet")
        return found


def figures_at(state: State, operation: str, place: str, typed: Typed | None = None) -> tuple[Figure, ...]:
    """Give the figures of an operation at a place, with the figures being typed put in their points."""
    return Bench(state, state.index.operations[operation], place, typed).figures()
