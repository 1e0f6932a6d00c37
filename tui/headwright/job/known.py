"""What is worked out from a job, kept for as long as nothing that it rests on has changed.

Whatever is worked out for an operation at a place rests on what stands there, at the places that it lies in and at
those inside it: what was written down, what holds, which repair was decided, what is stopped or given up. A state is a
value, so which of these changed between two states is seen from their tables. Everything else stays as it was.
"""

from __future__ import annotations

from itertools import compress
from operator import is_not
from typing import TYPE_CHECKING, Any, TypeVar

from headwright.job.figures import Bench

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping

    from headwright.job.figures import Figure
    from headwright.job.index import PlanIndex
    from headwright.job.progress import Progress
    from headwright.job.state import At, State
    from headwright.procedure.plan import Operation

Found = TypeVar("Found")


class Reach:
    """Which places reach one another in a plan.

    Attributes:
        around: for each position the places that it lies in, and itself.
        operations_at: the operations that are done at a place, in route order.
        rank: where an operation at a place comes in route and working order.
    """

    def __init__(self, index: PlanIndex) -> None:
        self.index = index
        self.around: dict[str, list[str]] = {position.id: [] for position in index.positions}
        for place in index.places:
            for leaf in index.inside(place):
                self.around[leaf].append(place)
        self.operations_at: dict[str, list[Operation]] = {place: [] for place in index.places}
        self.rank: dict[At, int] = {}
        for operation in index.plan.operations:
            for place in index.places_of(operation):
                self.operations_at[place].append(operation)
                self.rank[operation.id, place] = len(self.rank)


class Known:
    """What is known of one state.

    Attributes:
        kept: by place and name, what was asked for so far.
        here: by operation, the places at which it is done, as far as that was asked for.
        open: the operations that were begun at a place and are not closed there.
        progress: how far the operations are, as it was worked out last; None before the first time.
        stale: the operations at places that may be otherwise by now.
    """

    def __init__(self, state: State, before: Known | None = None) -> None:
        self.attempts, self.held, self.repair, self.scrapped, self.stopped = _tables(state)
        self.kept: dict[str, dict[Hashable, Any]] = {}
        self.here: dict[str, tuple[str, ...]] = {}
        self.progress: Progress | None = None
        if before is None:
            self.reach = Reach(state.index)
            self.open = frozenset(self._open(state.attempts))
            self.stale = frozenset(self.reach.rank)
            return
        self.reach = before.reach
        attempts, *rest = map(_changed, _tables(before), _tables(self))
        ordered = self._reached(place for changed in rest for place in changed)
        places = ordered | self._reached(place for _, place in attempts)
        self.kept = {place: kept for place, kept in before.kept.items() if place not in places}
        self.here = before.here if self.repair == before.repair else {}
        self.open = before.open.difference(attempts).union(self._open(attempts))
        self.progress = before.progress
        self.stale = before.stale.union(
            (at for at in attempts if at in self.reach.rank),
            (at for at in self.open if at[1] in places),
            ((operation.id, place) for place in ordered for operation in self.reach.operations_at[place]),
        )

    def _open(self, attempts: Iterable[At]) -> Iterator[At]:
        """Give those that are begun and not closed; a step that is ticked at a wider place opens nothing there."""
        for at in attempts:
            attempt = self.attempts.get(at)
            if attempt is not None and attempt.begun and not attempt.closed and at in self.reach.rank:
                yield at

    def _reached(self, places: Iterable[str]) -> set[str]:
        """Give the places that these lie in or hold inside, or that hold something of them.

        A forged record may name a place that the plan has not; nothing is reached from there.
        """
        index = self.reach.index
        leaves = {leaf for place in places if place in index.places for leaf in index.inside(place)}
        return {place for leaf in leaves for place in self.reach.around[leaf]}

    def is_of(self, state: State) -> bool:
        """Tell whether it is this state of which it is known."""
        return all(mine is its for mine, its in zip(_tables(self), _tables(state), strict=True))


def _tables(state: State | Known) -> tuple[dict[Any, Any], ...]:
    return state.attempts, state.held, state.repair, state.scrapped, state.stopped


def _changed(before: Mapping[Any, Any], after: Mapping[Any, Any]) -> list[Any]:
    """Give the keys whose value is another object than before, is new, or is gone."""
    found = list(compress(after, map(is_not, after.values(), map(before.get, after))))
    if len(before) + sum(key not in before for key in found) > len(after):
        found += before.keys() - after.keys()
    return found


def known_of(state: State) -> Known:
    """Give what is known of a state; what was known of the one before it and still holds is taken over."""
    known = state.known
    if known is None or known.reach.index is not state.index:
        known = state.known = Known(state)
    elif not known.is_of(state):
        known = state.known = Known(state, known)
    return known


def kept_at(state: State, place: str, name: Hashable, work: Callable[[], Found]) -> Found:
    """Give what was worked out at a place before, else work it out.

    Args:
        state: the job.
        place: its id.
        name: tells it from whatever else is kept there.
        work: works it out, from nothing but what stands at the place, around it and inside it.
    """
    kept = known_of(state).kept.setdefault(place, {})
    if name not in kept:
        kept[name] = work()
    found: Found = kept[name]
    return found


def figures_known(state: State, operation: Operation, place: str) -> tuple[Figure, ...]:
    """Give the figures of an operation at a place as it is on record."""
    return kept_at(state, place, operation.id, lambda: Bench(state, operation, place).figures())


def places_known(state: State, operation: Operation) -> tuple[str, ...]:
    """Give the places at which an operation is done, on the repairs decided so far, in working order."""
    here = known_of(state).here
    if operation.id not in here:
        here[operation.id] = tuple(p for p in state.index.places_of(operation) if state.applies(operation, p))
    return here[operation.id]
