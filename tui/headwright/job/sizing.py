"""What a job teaches of sizing, and which ball to push next.

A push teaches when its ball, the hole before it and the hole after it were all measured and nobody doubted the
readings. What is measured again takes the place of what was measured before: it is still the same push. Pushes are
compared within a stratum only: the same liner, stem class, head material and lubricant, and the first ball apart from
later ones, which meet bronze that is hardened already.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from headwright.calc import CalcError
from headwright.calc.ball import Advice, ball
from headwright.calc.springback import Sizing
from headwright.job.figures import Bench

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.job.state import At, Attempt, State
    from headwright.procedure.plan import Operation, Plan, Reading

BALL, PRE_SIZE, FINISHED = "ball", "pre-size", "finished"
FACTS = ("head", "liner", "stem_class", "lubricant")


class Stratum(Struct, frozen=True, order=True):
    """What must be alike for one sizing to teach another: words of the family, and first or later ball."""

    head: str
    liner: str
    stem_class: str
    lubricant: str
    later: bool


class Sized(Struct, frozen=True):
    """One push of one ball as a job records it, in mm; `number` is the entry of its last reading."""

    position: str
    number: int
    time: str
    stratum: Stratum
    pre_size: float
    ball: float
    finished: float


def stratum(plan: Plan, *, later: bool) -> Stratum:
    """Give the stratum that the sizings of a plan belong to."""
    head, liner, stem_class, lubricant = (plan.facts.get(name, "") for name in FACTS)
    return Stratum(head, liner, stem_class, lubricant, later)


def teaches(state: State) -> bool:
    """Tell whether the plan takes the readings that sizing is learned from."""
    return bool(_operations(state, BALL)) and bool(_operations(state, FINISHED))


def sizings(state: State) -> tuple[Sized, ...]:
    """Give every push of the job that teaches, in the order of the entries."""
    found: list[Sized] = []
    for operation, _ in _operations(state, FINISHED):
        for place in state.index.places_of(operation):
            found.extend(_of_position(state, operation, place))
    return tuple(sorted(found, key=lambda sized: sized.number))


def _operations(state: State, role: str) -> list[tuple[Operation, Reading]]:
    return [(op, reading) for op in state.plan.operations for reading in op.readings if reading.role == role]


def _attempts(state: State, at: At) -> tuple[Attempt, ...]:
    return (*state.past.get(at, ()), state.attempt(*at))


class _Go(NamedTuple):
    """One go at sizing a bore: its readings as they count now, however often they were taken.

    `number` is the last entry about ball or bore, `before` the last of those that were set aside to be measured again;
    0 where there is none. `pushed` and `after` are ball and bore (mm), None while not all is read.
    """

    attempt: Attempt
    number: int
    before: int
    pushed: float | None
    after: float | None


def _goes(state: State, operation: Operation, place: str) -> Iterator[_Go]:
    """Give the goes at a bore, first to last; measuring again pushes no ball, so it belongs to the go it is about."""
    before = 0
    for attempt in _attempts(state, (operation.id, place)):
        number = _last(operation, attempt)
        if attempt.doubted:
            before = max(before, number)
            continue
        after, pushed = _mean(state, operation, FINISHED, attempt), _mean(state, operation, BALL, attempt)
        number = after[0] if after else max(before, number)
        yield _Go(attempt, number, before, pushed[1] if pushed else None, after[1] if after else None)
        before = 0


def _last(operation: Operation, attempt: Attempt) -> int:
    roles = {reading.name for reading in operation.readings if reading.role in {BALL, FINISHED}}
    return max((taken.number for key, taken in attempt.readings.items() if key[0] in roles), default=0)


def _of_position(state: State, operation: Operation, place: str) -> Iterator[Sized]:
    last: _Go | None = None
    for go in _goes(state, operation, place):
        if go.after is not None and go.pushed is not None:
            driven = _driven(state, place, go.number)
            later = last is not None and (driven is None or last.number > driven[0])
            start = last.after if last is not None and later else driven[1] if driven else None
            if start is not None:
                time = max(taken.time for taken in go.attempt.readings.values())
                yield Sized(place, go.number, time, stratum(state.plan, later=later), start, go.pushed, go.after)
        # Where a ball went through and nobody read what it left, nobody knows from where the next one starts.
        last = go if go.number else last


def _mean(state: State, operation: Operation, role: str, attempt: Attempt) -> tuple[int, float] | None:
    """Give the last entry and the mean of a complete reading of an attempt; None while a point is missing."""
    reading = next((r for r in operation.readings if r.role == role), None)
    if reading is None:
        return None
    points = state.index.points(operation.id, reading.name)
    taken = [attempt.readings[point] for point in points if point in attempt.readings]
    values = [value for t in taken if (value := t.value) is not None]
    if len(values) != len(points):
        return None
    return max(t.number for t in taken), sum(values) / len(values)


def _driven(state: State, place: str, until: int) -> tuple[int, float | None] | None:
    """Give the size before sizing that was read last before an entry: of the liner that was in then.

    It is not known (None) while it was set aside to be measured again.
    """
    found: tuple[int, float | None] | None = None
    for operation, _ in _operations(state, PRE_SIZE):
        for where in state.index.around(place, operation.per):
            for attempt in _attempts(state, (operation.id, where)):
                size = _mean(state, operation, PRE_SIZE, attempt)
                if size is not None and size[0] < until and (found is None or size[0] > found[0]):
                    found = (size[0], None if attempt.doubted else size[1])
    return found


class BallQuestion(Struct, frozen=True):
    """What a ball is asked for: the hole as it is, the limits of the finished hole, in mm, and its stratum."""

    pre_size: float
    low: float
    high: float
    stratum: Stratum


def ball_question(state: State, at: At) -> BallQuestion | None:
    """Work out what the next ball at a position has to do; None while something that it rests on is missing.

    The limits of the hole follow from whichever result names the ball as its way out: the hole is let be round and
    straight, and moved until that result meets its limits.
    """
    operation = state.index.operations[at[0]]
    result = next((r for r in operation.results if any(m.advise == BALL for m in r.remedies)), None)
    reading = next((r for r in operation.readings if r.role == FINISHED), None)
    if result is None or reading is None:
        return None
    *earlier, now = _goes(state, operation, at[1])
    if now.after is None and now.before:
        return None  # the ball went through, and what it left is being measured again
    last = now if now.after is not None else next((go for go in reversed(earlier) if go.number), None)
    driven = _driven(state, at[1], state.number + 1)
    later = last is not None and (driven is None or last.number > driven[0])
    start = last.after if last is not None and later else driven[1] if driven else None
    if start is None:
        return None
    round_hole = dict.fromkeys(state.index.points(operation.id, reading.name), start)
    figure = Bench(state, operation, at[1], round_hole).figure(result.name)
    if figure.least is None or figure.most is None or figure.low is None or figure.high is None:
        return None
    return BallQuestion(
        start,
        start + figure.low - figure.least,
        start + figure.high - figure.most,
        stratum(state.plan, later=later),
    )


def ball_advice(question: BallQuestion, balls: Iterable[float], records: Iterable[Sized]) -> Advice | None:
    """Choose the ball for a question from the measured balls (mm) and the shop's sizings; None when none can be.

    Records of another stratum are left out.
    """
    alike = [Sizing(r.pre_size, r.ball, r.finished) for r in records if r.stratum == question.stratum]
    try:
        return ball(pre_size=question.pre_size, low=question.low, high=question.high, balls=balls, records=alike)
    except CalcError:
        return None
