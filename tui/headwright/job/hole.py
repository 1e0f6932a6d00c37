"""What the diameter of a hole is held to: by limits of its own, and by results that move with it, as a clearance does.

The figures judge; here their limits are only carried over to the diameter, so that a hole can be drawn between them.
"""

from __future__ import annotations

from dataclasses import replace as with_changes
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from headwright.job.figures import Bench
from headwright.job.verdict import judge, prove

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading, Result

STEP = 0.01
"""Millimetres by which a hole is moved to see whether a result follows it."""

ANY = 10.0
"""Millimetres of a hole that nothing is known of yet: what moves with it does so from any size."""


class Ruling(NamedTuple):
    """A reading or result that a hole is held by: its name, and what its least and greatest want to the diameter, mm.

    Both are nought for limits of the diameter itself; for a clearance they are the stem's greatest and least.
    """

    item: str
    least: float = 0.0
    most: float = 0.0


class Hole(NamedTuple):
    """The figures that a hole is held by, each with what it wants to the diameter; none where nothing holds it."""

    rules: tuple[tuple[Ruling, Figure], ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures that it is held by."""
        return tuple(figure for _, figure in self.rules)

    @property
    def low(self) -> float | None:
        """The least diameter allowed, mm; None for no such limit."""
        return max((f.low + r.least for r, f in self.rules if f.low is not None), default=None)

    @property
    def high(self) -> float | None:
        """The greatest diameter allowed, mm; None for no such limit."""
        return min((f.high + r.most for r, f in self.rules if f.high is not None), default=None)

    @property
    def guard(self) -> float:
        """The width of the widest guard band inside the limits, mm; nought where they are plain, or none is known."""
        return max((figure.guard for figure in self.figures), default=0.0)

    @property
    def bands(self) -> tuple[tuple[float, float], ...]:
        """The diameters, from and to, that are in and prove nothing, mm; none where no guard band is known."""
        low, high, guard = self.low, self.high, self.guard
        if not guard:
            return ()
        if low is not None and high is not None and high - low < 2 * guard:
            return ((low, high),)
        below = [(low, low + guard)] if low is not None else []
        return (*below, *([(high - guard, high)] if high is not None else []))

    def of_size(self, size: float) -> tuple[Figure, ...]:
        """Give the figures as they would be for a round and straight hole of a diameter, mm."""
        return tuple(_moved(figure, size - rule.least, size - rule.most) for rule, figure in self.rules)


def rulings(state: State, operation: Operation, place: str, reading: Reading) -> tuple[Ruling, ...]:
    """Find what a hole is held by at a place; this rests on what was read elsewhere, not on the readings of the hole.

    The hole is let be round and straight and moved: a result whose least and greatest both move exactly as it does
    tells how far it may go either way.

    Args:
        state: the job.
        operation: where the hole is read.
        place: one of the operation's places.
        reading: the diameter, a length.

    Returns:
        Results first, in their order, then the reading where it has limits of its own.
    """
    points = state.index.points(operation.id, reading.name)
    at = (operation.id, place)
    attempt = state.attempt(*at)
    taken = attempt.readings
    sizes = [value for point in points if point in taken and (value := taken[point].value) is not None]
    # Where a figure is to be repeated, one that is moved would else stand beside the one on record.
    others = replace(attempt, readings={point: each for point, each in taken.items() if point not in points})
    bare = with_changes(state, attempts={**state.attempts, at: others})
    expected = Bench(bare, operation, place).value(reading.expect)
    start = sum(sizes) / len(sizes) if sizes else ANY if expected is None else expected
    here = Bench(bare, operation, place, dict.fromkeys(points, start))
    beside = Bench(bare, operation, place, dict.fromkeys(points, start + STEP))
    found = tuple(_by_results(operation.results, here, beside, start))
    return (*found, Ruling(reading.name)) if reading.limit is not None else found


def _by_results(results: Iterable[Result], here: Bench, beside: Bench, start: float) -> Iterator[Ruling]:
    for result in results:
        if result.least is None or result.most is None or result.limit is None:
            continue
        ends = [bench.value(end) for end in (result.least, result.most) for bench in (here, beside)]
        least, least_beside, most, most_beside = ends
        if least is None or least_beside is None or most is None or most_beside is None:
            continue
        if max(abs(least_beside - least - STEP), abs(most_beside - most - STEP)) <= STEP / 100:
            yield Ruling(result.name, start - least, start - most)


def hole_of(held: Iterable[Ruling], figures: Iterable[Figure]) -> Hole:
    """Put a hole together from what it is held by and the figures of its place, as they stand or as they would be."""
    known = {figure.item: figure for figure in figures}
    return Hole(tuple((rule, known[rule.item]) for rule in held if rule.item in known))


def hole_at(
    state: State, operation: Operation, place: str, reading: Reading, typed: Mapping[PointKey, float] | None = None
) -> Hole:
    """Give a hole at a place as it stands, with the figures being typed (mm) in their points."""
    bench = Bench(state, operation, place, typed)
    held = rulings(state, operation, place, reading)
    return hole_of(held, [bench.figure(rule.item) for rule in held])


def _moved(figure: Figure, least: float, most: float) -> Figure:
    """Give a figure with other ends, judged by its own limits and guard band."""
    if (figure.low, figure.high) == (None, None):
        return replace(figure, least=least, most=most)
    if figure.proof:
        guard = None if figure.uncertain is None else figure.guard
        verdict = prove(least, most, figure.low, figure.high, guard)
    else:
        verdict = judge(least, most, figure.low, figure.high, figure.resolution)
    return replace(figure, least=least, most=most, verdict=verdict)
