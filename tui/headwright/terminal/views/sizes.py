"""The finished bores of a job against their limits, and the sizings that it can be compared with."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.calc import CalcError
from headwright.calc.springback import Sizing, Springback, learn
from headwright.job.figures import Bench
from headwright.job.hole import hole_of, rulings
from headwright.job.index import place_words
from headwright.job.show import decimals, unit_of, unit_sign
from headwright.job.sizing import FACTS, FINISHED, sizings, stratum, teaches
from headwright.job.verdict import Verdict
from headwright.store.advice import MOST, YEARS
from headwright.terminal.bench.digits import short, span
from headwright.terminal.bench.verdicts import CONCEDED, DUE, word_of, worst
from headwright.terminal.views.bore import bore_readings
from headwright.terminal.views.standing import NEAR, SO_FAR

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from headwright.job.figures import Figure
    from headwright.job.hole import Hole
    from headwright.job.sizing import Sized
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading
    from headwright.store.contract import JobStore


class Finished(NamedTuple):
    """A bore as it was last read: sizes and limits in mm, and both in words.

    A limit may be missing. `guard` is the width of the guard band inside the limits; `verdict` that of the figure
    that decides, which `word` and `style` show; `conceded` where a lead let it stand, `so_far` where it passes and more
    is to be read.
    """

    place: str
    name: str
    kind: str
    number: int
    least: float
    most: float
    low: float | None
    high: float | None
    text: str
    low_text: str
    high_text: str
    word: str
    style: str
    verdict: Verdict
    guard: float = 0.0
    conceded: bool = False
    so_far: bool = False


class Share(NamedTuple):
    """The bores of one job together: where they lie in their limits, 0 to 1, and how many do not pass.

    `guard` is the widest of their guard bands, as a share of the limits.
    """

    job: str
    about: str
    least: float
    most: float
    mean: float
    bores: int
    out: int = 0
    unproven: int = 0
    conceded: int = 0
    guard: float = 0.0


class Push(NamedTuple):
    """One sizing: interference and springback, mm, whether it was on this job, and whether the line rests on it."""

    interference: float
    springback: float
    mine: bool
    counts: bool = True


class Springs(NamedTuple):
    """The sizings alike, and the line through them, None where there is none yet; `write` gives a size in words."""

    pushes: tuple[Push, ...]
    line: Springback | None
    later: bool
    unit: str
    factor: float
    """Millimetres of one of these units."""
    write: Callable[[float], str]
    grain: float = 0.0
    """Millimetres of the last digit that is written."""


def finished(state: State) -> tuple[Finished, ...]:
    """Give every bore that has a size to keep, as it was last read against limits of its own.

    They come as in the table of the operation in which a bore was read last: in its working order.
    """
    found: dict[str, tuple[Finished, Operation]] = {}
    for leaf in state.index.positions:
        for each in sorted(_read(state, leaf.id), key=lambda each: -each[0]):
            bore = _one(state, *each)
            if bore is not None:
                found[leaf.id] = bore, each[1]
                break
    if not found:
        return ()
    _, operation = max(found.values(), key=lambda each: each[0].number)
    order = {place: number for number, place in enumerate(state.index.places_of(operation))}
    return tuple(bore for bore, _ in sorted(found.values(), key=lambda each: order.get(each[0].place, len(order))))


def _read(state: State, place: str) -> Iterator[tuple[int, Operation, str, Reading]]:
    """Go through the bores that were read at a place: the last entry of each, and where it is."""
    for operation in state.plan.operations:
        for where in state.index.around(place, operation.per):
            taken = state.attempt(operation.id, where).readings
            for reading in bore_readings(operation):
                points = state.index.points(operation.id, reading.name)
                last = max((taken[p].number for p in points if p in taken), default=0)
                if last:
                    yield last, operation, where, reading


def _one(state: State, number: int, operation: Operation, place: str, reading: Reading) -> Finished | None:
    """Give a bore whose limits follow from what goes into it; None for one that is only held to limits of its own."""
    held = rulings(state, operation, place, reading)
    if all(rule.item == reading.name for rule in held):
        return None
    bench = Bench(state, operation, place)
    resting = [f for f in bench.figures() if f.judged and reading.name in state.index.feeding(operation.id, f.item)]
    hole = hole_of(held, resting)
    attempt = state.attempt(operation.id, place)
    taken = attempt.readings
    points = state.index.points(operation.id, reading.name)
    sizes = [value for p in points if p in taken and (value := taken[p].value) is not None]
    low, high = hole.low, hole.high
    if not sizes or (low is None and high is None):
        return None
    least, most = min(sizes), max(sizes)
    figure = _telling(state, hole, resting)
    word, style = word_of(state, figure)
    conceded = word == CONCEDED
    so_far = not figure.verdict.fails and not (figure.complete and all(attempt.has(reading, p) for p in points))
    if so_far:
        passes = word if figure.verdict is Verdict.NEAR else f"{DUE} {figure.verdict.value}"
        word, style = passes + SO_FAR, "" if figure.verdict is Verdict.IN else style
    named = "" if figure in hole.figures else f", {figure.label.lower()}"
    plan, leaf = state.plan, state.index.places[place]
    return Finished(
        place,
        place_words(leaf),
        leaf.kind.value if leaf.kind else "",
        number,
        least,
        most,
        low,
        high,
        f"{span(plan, reading, least, most)} {unit_sign(reading.unit)}",
        "" if low is None else short(plan, reading, low),
        "" if high is None else short(plan, reading, high),
        (f"{NEAR} {word}" if conceded else word) + named,
        style,
        figure.verdict,
        hole.guard,
        conceded,
        so_far,
    )


def _telling(state: State, hole: Hole, resting: Sequence[Figure]) -> Figure:
    """Give the figure that says how a bore stands: what fails, its size before its form, what is conceded last."""
    failing = [figure for figure in (*hole.figures, *resting) if figure.verdict.fails]
    standing = [figure for figure in failing if word_of(state, figure)[0] != CONCEDED]
    nearest = sorted(hole.figures, key=lambda figure: figure.verdict is not worst(hole.figures))
    return next(iter(standing or failing or nearest))


def share_of(state: State, bores: Sequence[Finished]) -> Share | None:
    """Sum a job's finished bores up, None where it has none that are held to two limits; no bore read half counts."""
    bores = [bore for bore in bores if not bore.so_far]
    both = [(b, b.low, b.high - b.low) for b in bores if b.low is not None and b.high is not None and b.high > b.low]
    if not both:
        return None
    ends = [((b.least - low) / width, (b.most - low) / width) for b, low, width in both]
    fail = [b.verdict for b in bores if b.verdict.fails and not b.conceded]
    unproven = fail.count(Verdict.UNPROVEN)
    return Share(
        state.job,
        state.plan.family_title,
        min(least for least, _ in ends),
        max(most for _, most in ends),
        sum((least + most) / 2 for least, most in ends) / len(ends),
        len(bores),
        len(fail) - unproven,
        unproven,
        sum(b.conceded for b in bores),
        max(b.guard / width for b, _, width in both),
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
    pushes = tuple(Push(r.ball - r.pre_size, r.ball - r.finished, _mark(r) in own, _sizing(r).usable) for r in records)
    unit = unit_of(state.plan, reading.unit, reading.dimension)
    grain = unit.factor / 10 ** decimals(reading.resolution, unit)
    return Springs(
        pushes,
        _learned(records),
        later,
        unit_sign(reading.unit),
        unit.factor,
        lambda size: short(state.plan, reading, size),
        grain,
    )


def _mark(sized: Sized) -> tuple[str, int, str, float, float]:
    return sized.position, sized.number, sized.time, sized.ball, sized.finished


def _sizing(sized: Sized) -> Sizing:
    return Sizing(sized.pre_size, sized.ball, sized.finished)


def _learned(records: Sequence[Sized]) -> Springback | None:
    try:
        return learn(map(_sizing, records))
    except CalcError:
        return None
