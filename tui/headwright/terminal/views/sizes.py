"""The finished bores of a job against their limits, and the sizings that it can be compared with."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.calc import CalcError
from headwright.calc.springback import Sizing, Springback, learn
from headwright.job.index import place_words
from headwright.job.show import unit_of, unit_sign
from headwright.job.sizing import FACTS, FINISHED, sizings, stratum, teaches
from headwright.job.verdict import judge
from headwright.store.advice import MOST, YEARS
from headwright.terminal.bench.digits import short, span
from headwright.terminal.bench.verdicts import said, style_of
from headwright.terminal.views.bore import bore_limits, bore_readings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from headwright.job.sizing import Sized
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading
    from headwright.store.contract import JobStore


class Finished(NamedTuple):
    """A bore as it was last read: sizes and limits in mm, and both in words."""

    place: str
    name: str
    kind: str
    number: int
    least: float
    most: float
    low: float
    high: float
    text: str
    low_text: str
    high_text: str
    word: str
    style: str

    def share(self, size: float) -> float:
        """Tell where a size lies in the limits: 0 at the low one, 1 at the high one."""
        return (size - self.low) / (self.high - self.low)


class Share(NamedTuple):
    """The bores of one job together: where they lie in their limits, 0 to 1, and how many are out."""

    job: str
    about: str
    least: float
    most: float
    mean: float
    bores: int
    out: int


class Push(NamedTuple):
    """One sizing: interference and springback, mm, and whether it was on this job."""

    interference: float
    springback: float
    mine: bool


class Springs(NamedTuple):
    """The sizings alike, and the line through them, None where there is none yet; `write` gives a size in words."""

    pushes: tuple[Push, ...]
    line: Springback | None
    later: bool
    unit: str
    factor: float
    """Millimetres of one of these units."""
    write: Callable[[float], str]


def finished(state: State) -> tuple[Finished, ...]:
    """Give every bore that has a size to keep, in standing order, as it was last read against limits of its own."""
    found = []
    for leaf in state.index.positions:
        last = max(_read(state, leaf.id), key=lambda each: each.number, default=None)
        if last is not None:
            found.append(last)
    return tuple(found)


def _read(state: State, place: str) -> Iterator[Finished]:
    for operation in state.plan.operations:
        for where in state.index.around(place, operation.per):
            for reading in bore_readings(operation):
                one = _one(state, operation, where, reading)
                if one is not None:
                    yield one


def _one(state: State, operation: Operation, place: str, reading: Reading) -> Finished | None:
    attempt = state.attempt(operation.id, place)
    taken = [attempt.readings[p] for p in state.index.points(operation.id, reading.name) if p in attempt.readings]
    sizes = [value for t in taken if (value := t.value) is not None]
    if not sizes:
        return None
    low, high, by = bore_limits(state, operation, place, reading)
    if not by or low is None or high is None or high <= low:
        return None
    least, most = min(sizes), max(sizes)
    verdict = judge(least, most, low, high, reading.resolution)
    plan, leaf = state.plan, state.index.places[place]
    return Finished(
        place,
        place_words(leaf),
        leaf.kind.value if leaf.kind else "",
        max(t.number for t in taken),
        least,
        most,
        low,
        high,
        f"{span(plan, reading, least, most)} {unit_sign(reading.unit)}",
        short(plan, reading, low),
        short(plan, reading, high),
        said(verdict),
        style_of(verdict),
    )


def share_of(state: State, bores: Sequence[Finished]) -> Share | None:
    """Sum a job's finished bores up, None where it has none."""
    if not bores:
        return None
    ends = [(b.share(b.least), b.share(b.most)) for b in bores]
    out = sum(judge(b.least, b.most, b.low, b.high).fails for b in bores)
    middle = sum((least + most) / 2 for least, most in ends) / len(ends)
    return Share(
        state.job,
        state.plan.family_title,
        min(least for least, _ in ends),
        max(most for _, most in ends),
        middle,
        len(bores),
        out,
    )


def springs(state: State, store: JobStore, *, later: bool) -> Springs | None:
    """Give the sizings like those of a job, of all jobs in the store, and the line learned from them.

    Args:
        state: the job.
        store: has the sizings of every job.
        later: those of later balls, else those of the first.

    Returns:
        None where the plan sizes no liners.

    Raises:
        StoreError: the store cannot be read.
    """
    reading = next((r for op in state.plan.operations for r in op.readings if r.role == FINISHED), None)
    if reading is None or not teaches(state):
        return None
    kind = stratum(state.plan, later=later)
    since = f"{int(state.time[:4]) - YEARS:04}{state.time[4:]}" if state.time else ""
    # Where a family does not name its parts, sizings of all such families would count as alike.
    named = all(getattr(kind, fact) for fact in FACTS)
    records = store.past_sizings(kind, limit=MOST, since=since) if named else ()
    own = {_mark(sized) for sized in sizings(state)}
    pushes = tuple(Push(r.ball - r.pre_size, r.ball - r.finished, _mark(r) in own) for r in records)
    unit = unit_of(state.plan, reading.unit, reading.dimension)
    words = unit_sign(reading.unit)
    return Springs(pushes, _learned(records), later, words, unit.factor, lambda size: short(state.plan, reading, size))


def _mark(sized: Sized) -> tuple[str, int, str, float, float]:
    return sized.position, sized.number, sized.time, sized.ball, sized.finished


def _learned(records: Sequence[Sized]) -> Springback | None:
    try:
        return learn([Sizing(r.pre_size, r.ball, r.finished) for r in records])
    except CalcError:
        return None
