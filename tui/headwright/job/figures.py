"""What the readings come to: every reading and result of an operation at a place, with its limits and verdict.

The same sums serve the record (what is saved) and the bench (what it would be with the figure being typed).
"""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from headwright.calc.conformity import PROOF
from headwright.calc.student import quantile
from headwright.job.events import ReadingTaken
from headwright.job.program import program_of
from headwright.job.proof import Lacking, of_reading, of_result
from headwright.job.state import EMPTY, Taken
from headwright.job.steps import WORDS, bits, work_out
from headwright.job.uncertainty import COVERAGE
from headwright.job.verdict import Verdict, beyond, judge, provable, prove
from headwright.procedure.plan import Reading

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.job.steps import Held, Setting, Source
    from headwright.job.uncertainty import Moved
    from headwright.procedure.formula import Grid
    from headwright.procedure.plan import Formula, Limit, Operation, Result

    Typed = Mapping[PointKey, float]
    Readings = Mapping[PointKey, Taken]
    Worked = tuple[list[Any], int, int]
    """The slots of a program filled as far as they can be, the bits of those missing, and of readings not complete."""

_NO_READINGS: Readings = {}
_OPEN, _FREE, _LOW, _HIGH = Verdict.OPEN, Verdict.FREE, Verdict.LOW, Verdict.HIGH


class Figure(Struct, frozen=True, gc=False):
    """A reading or a result as it stands at a place, in canonical units.

    `least` = `most` for a single value; both None while there are too few readings. `complete` tells that every
    reading it rests on is there, so the verdict is final. `out` is by how much it is beyond its limit, 0 inside.

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

    __slots__ = ("_here", "index", "moved", "operation", "place", "program", "state")

    def __init__(self, state: State, operation: Operation, place: str, typed: Typed | None = None) -> None:
        self.state = state
        self.index = state.index
        self.operation = operation
        self.place = place
        self.program = program_of(state.index, operation)
        self.moved: Moved = {}
        """By how much readings are taken to be off, to see what that does to what rests on them."""
        self._here: Readings = state.attempt(operation.id, place).readings
        if typed:
            self._here = self._with_typed(typed)

    def figures(self) -> tuple[Figure, ...]:
        """Give the figure of every reading that is held to something, then of every result."""
        program = self.program
        return tuple(self._figures(program.figured, self._work_out(program.wanted)))

    def figure(self, item: str) -> Figure:
        """Give the figure of a reading or result by name."""
        held = self.program.items[item]
        return self._figures((held,), self._work_out(held.wanted))[0]

    def reading(self, reading: Reading) -> Figure:
        """Give the figure of a reading: its span over its points, each held to the limit."""
        return self.figure(reading.name)

    def result(self, result: Result) -> Figure:
        """Give the figure of a result."""
        return self.figure(result.name)

    @property
    def _setting(self) -> Setting:
        return self.program.setting(self.index.places[self.place].kind or "", self.state.repair_at(self.place))

    def _words(self, reading: Reading) -> Figure:
        points = self.index.points(self.operation.id, reading.name)
        attempt = self.state.attempt(self.operation.id, self.place)
        words = [attempt.readings[p].event.word for p in points if p in attempt.readings]
        wrong = [w for w in words if reading.accept and w not in reading.accept]
        verdict = Verdict.OPEN
        if words:
            verdict = Verdict.WRONG if wrong else Verdict.IN if reading.accept else Verdict.FREE
        return Figure(
            self.operation.id,
            self.place,
            reading.name,
            reading.label,
            reading.unit,
            reading.resolution,
            word=", ".join(wrong or dict.fromkeys(words)),
            verdict=verdict,
            complete=len(words) == len(points),
            judged=bool(reading.accept),
        )

    def _figures(self, held: Iterable[Held], worked: Worked) -> list[Figure]:
        """Put together what was worked out for readings and results, and hold each to its limits."""
        operation, place = self.operation.id, self.place
        found: list[Figure] = []
        add = found.append
        values, missing, incomplete = worked
        for item, name, label, unit, resolution, at, to, low_at, high_at, known, rests, pair, judged, proof in held:
            if at == WORDS:
                add(self._words(self.index.readings[operation, name]))
                continue
            least, most, low, high = values[at], values[to], values[low_at], values[high_at]
            verdict, out, guard, lacks = _OPEN, 0.0, 0.0, ""
            uncertain: float | None = None
            if least is not None and most is not None and not known & missing:
                if low is None and high is None:
                    verdict = _FREE
                else:
                    if proof:
                        verdict, guard, uncertain, lacks = self._proved(item, least, most, (low, high))
                    else:
                        verdict = judge(least, most, low, high, resolution)
                    if verdict is _LOW or verdict is _HIGH:
                        out = beyond(least, most, low, high)
            add(
                Figure(
                    operation,
                    place,
                    name,
                    label,
                    unit,
                    resolution,
                    least,
                    most,
                    low,
                    high,
                    "",
                    verdict,
                    not (incomplete and rests & incomplete),
                    out,
                    pair,
                    judged,
                    proof,
                    guard,
                    uncertain,
                    lacks,
                )
            )
        return found

    def _proved(
        self, item: Reading | Result, least: float, most: float, held: tuple[float | None, float | None]
    ) -> tuple[Verdict, float, float | None, str]:
        """Hold a figure to limits that have to be proved; give verdict, guard band, uncertainty, and what lacks one."""
        lacks, standard = "", None
        try:
            standard = of_reading(self, item) if isinstance(item, Reading) else of_result(self, item)
        except Lacking as lacking:
            lacks = lacking.label
        guard = None if standard is None else quantile(PROOF) * standard
        uncertain = None if standard is None else COVERAGE * standard
        return prove(least, most, *held, guard), guard or 0.0, uncertain, lacks

    def limits(self, limit: Limit | None) -> tuple[float | None, float | None, bool]:
        """Give the limits that hold at this place, and whether they could be worked out; None where there is none."""
        low, high, known = self.program.ends(limit)
        values, missing, _ = self._work_out(bits(low, high) | known)
        return values[low], values[high], not known & missing

    def window(self, reading: Reading) -> tuple[float, float] | None:
        """Give the span outside which a figure is questioned, None when nothing is expected (yet)."""
        expected = self.value(reading.expect)
        if expected is None or reading.within is None:
            return None
        return expected - reading.within, expected + reading.within

    def value(self, formula: Formula | None) -> float | None:
        """Work a formula out here; None when there is none or something that it needs is not there yet."""
        if formula is None or formula.constant is not None:
            return None if formula is None else formula.constant
        slot = self.program.slot(formula)
        found: float | None = self._work_out(bits(slot))[0][slot]
        return found

    def is_complete(self, result: Result) -> bool:
        """Tell whether every reading that the result rests on is there."""
        rests = self.program.items[result.name].rests
        return not rests & self._work_out(rests)[2]

    def places_of(self, operation: Operation) -> tuple[str, ...]:
        """Give the places at which readings of an operation count here."""
        if operation is self.operation:
            return (self.place,)
        around = self.index.around(self.place, operation.per)
        return tuple([place for place in around if self.state.applies(operation, place)])

    def taken(self, operation: str, place: str, point: PointKey) -> Taken | None:
        """Give what stands at a point, the figure being typed among it (its number is 0); None for nothing yet."""
        return self._readings(operation, place).get(point)

    def _readings(self, operation: str, place: str) -> Readings:
        if operation == self.operation.id and place == self.place:
            return self._here
        return self.state.attempt(operation, place).readings

    def _with_typed(self, typed: Typed) -> Readings:
        """Give the points as they would be with what is being typed: beside what a further figure is wanted to."""
        found = dict(self._here)
        for point, value in typed.items():
            reading = self.index.readings.get((self.operation.id, point[0]))
            if reading is not None:
                taken = found.get(point)
                repeats = taken is not None and not taken.is_settled(reading.agree)
                others = (*taken.others, taken) if taken is not None and repeats else ()
                found[point] = Taken(0, "", "", ReadingTaken("", "", reading.name, "", value=value), others)
        return found

    def _work_out(self, wanted: int) -> Worked:
        """Fill the slots that are wanted from the readings at this place.

        What is usual goes by itself: readings of one place, each of their points read once.
        """
        part = self._setting.part(wanted)
        values, missing, incomplete, whole = part.values.copy(), part.missing, 0, not self.moved
        here, attempts = self.place, self.state.attempts
        for operation, is_here, sources in part.sources:
            if is_here:
                own = operation is self.operation
                usual = self._here if own else attempts.get((operation.id, here), EMPTY).readings
                stand = {here: usual} if self.moved else {}
            else:
                stand = {place: self._readings(operation.id, place) for place in self.places_of(operation)}
                usual = next(iter(stand.values())) if len(stand) == 1 else _NO_READINGS
            if self.moved:
                usual = _NO_READINGS
            for source in sources:
                slot, bit, agree, _, _, single, pick, cut = source
                try:
                    picked: Any = pick(usual)
                    if single:
                        figures = picked.value if picked.others else picked.event.value
                        found = isfinite(figures)
                    else:
                        figures = [taken.value if taken.others else taken.event.value for taken in picked]
                        found = isfinite(sum(figures))
                except (KeyError, TypeError):  # a point has nothing, or a word
                    found = False
                if not found:
                    values[slot], complete = self._found(operation.id, source, stand or {here: usual})
                    missing |= (values[slot] is None) << slot
                    whole = False
                elif single:
                    values[slot], complete = figures, agree is None or picked.is_settled(agree)
                else:
                    values[slot], values[slot + 1] = cut(figures), figures
                    complete = agree is None or all(taken.is_settled(agree) for taken in picked)
                if not complete:
                    incomplete |= bit
        return values, work_out(part, values, missing, whole=whole), incomplete

    def _found(self, operation: str, source: Source, stand: Mapping[str, Readings]) -> tuple[float | Grid | None, bool]:
        """Give what was read at places, None for nothing yet, and whether each point has its figure and wants no other.

        Args:
            operation: the operation of the reading.
            source: the reading.
            stand: what was read in the operation, by the places that count here.
        """
        if not any(stand.values()):
            return None, False
        rows: list[list[float]] = []
        complete = True
        for place, readings in stand.items():
            for at, point in enumerate(source.points):
                if at % source.across == 0:
                    rows.append([])
                taken = readings.get(point)
                value = None if taken is None else taken.value
                if taken is None or value is None:
                    complete = False
                    continue
                complete = complete and taken.is_settled(source.agree)
                rows[-1].append(value + self.moved.get((operation, place, point), 0.0))
        if source.single:
            return next((value for row in rows for value in row), None), complete
        return tuple(rows) if any(rows) else None, complete


def figures_at(state: State, operation: str, place: str, typed: Typed | None = None) -> tuple[Figure, ...]:
    """Give the figures of an operation at a place, with the figures being typed put in their points."""
    return Bench(state, state.index.operations[operation], place, typed).figures()
