"""How far the operations of a route are, and what waits for a decision: counted anew only where work was done."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from headwright.job.known import figures_known, known_of
from headwright.job.verdict import Verdict

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.job.index import Stand
    from headwright.job.known import Known
    from headwright.job.state import At, State
    from headwright.procedure.plan import Operation


class Standing(Struct, frozen=True):
    """Where an operation stands over its places; `applies` may be 0 while repairs are not decided.

    `received` of those that are done came in so: nothing of it was done in this job.
    """

    operation: str
    title: str
    applies: int
    done: int
    held: int
    due: int
    again: bool
    """Whether it is called for again although it was done, to restore a state."""
    received: int = 0
    given_up: int = 0
    """At how many places it is no longer done: its work is missing, and the head was given up."""

    @property
    def needed(self) -> bool:
        """Tell whether there is anything to do: not where it is on nobody's way, or all came in with its work done."""
        return self.received < self.applies


class _Part(NamedTuple):
    """What one place adds to where its operation stands: 0 or 1 each."""

    applies: int = 0
    done: int = 0
    held: int = 0
    due: int = 0
    again: int = 0
    received: int = 0
    given_up: int = 0


_NOTHING = _Part()


class Progress(NamedTuple):
    """How far everything is: what each place adds, the sums by operation, and what waits for a decision."""

    parts: dict[At, _Part]
    sums: dict[str, _Part]
    standings: tuple[Standing, ...]
    waiting: frozenset[At]


def standings(state: State) -> tuple[Standing, ...]:
    """Give where every operation of the route stands, in route order."""
    return _progress(state).standings


def waiting(state: State) -> list[At]:
    """Give what waits for a decision, in route order and working order."""
    return sorted(_progress(state).waiting, key=known_of(state).reach.rank.__getitem__)


def failing_items(state: State, operation: Operation, place: str) -> tuple[Figure, ...]:
    """Give the figures that are finally out at a place and that nobody has decided on."""
    attempt = state.attempt(operation.id, place)
    if not attempt.readings:
        return ()
    return tuple(
        figure
        for figure in figures_known(state, operation, place)
        if figure.verdict.fails and _final(figure) and figure.item not in attempt.decided
    )


def _final(figure: Figure) -> bool:
    """Tell whether more readings cannot mend the verdict: a wrong word stays wrong, a figure waits for its last."""
    return figure.complete or figure.verdict is Verdict.WRONG


def _progress(state: State) -> Progress:
    known = known_of(state)
    if known.progress is None or known.stale:
        known.progress = _counted(state, known)
        known.stale = frozenset()
    return known.progress


def _counted(state: State, known: Known) -> Progress:
    """Count again where something may have changed."""
    before = known.progress or Progress({}, {}, (), frozenset())
    parts, sums, waits = dict(before.parts), dict(before.sums), set(before.waiting)
    inside: dict[str, list[Stand]] = {}
    for at in known.stale:
        place = at[1]
        if place not in inside:
            inside[place] = list({id(s): s for s in map(state.stand, state.index.inside(place))}.values())
        old, new = parts.get(at, _NOTHING), _part(state, known, at, inside[place])
        if old != new:
            parts[at] = new
            sums[at[0]] = _Part(*(s - o + n for s, o, n in zip(sums.get(at[0], _NOTHING), old, new, strict=True)))
            (waits.add if new.held else waits.discard)(at)
    was = {standing.operation: standing for standing in before.standings}
    found = tuple(
        was[operation.id]
        if operation.id in was and sums.get(operation.id) is before.sums.get(operation.id)
        else _standing(operation, sums.get(operation.id, _NOTHING))
        for operation in state.plan.operations
    )
    return Progress(parts, sums, found, frozenset(waits))


def _part(state: State, known: Known, at: At, stands: list[Stand]) -> _Part:
    """Give what a place adds, from where the positions inside it stand."""
    name, place = at
    on_path = [stand for stand in stands if name in stand.path]
    if not on_path:
        return _NOTHING
    given_up = state.index.head_of(place) in state.scrapped
    held = not given_up and at in known.open and bool(failing_items(state, state.index.operations[name], place))
    is_done = all(name in stand.done for stand in on_path)
    if not given_up and any(name in stand.due for stand in stands):
        return _Part(applies=1, held=held, due=1, again=is_done)
    if is_done:
        return _Part(applies=1, held=held, done=1, received=not state.attempt(name, place).closed)
    return _Part(applies=1, held=held, given_up=given_up)


def _standing(operation: Operation, total: _Part) -> Standing:
    return Standing(
        operation.id,
        operation.title,
        total.applies,
        total.done,
        total.held,
        total.due,
        bool(total.again),
        total.received,
        total.given_up,
    )
