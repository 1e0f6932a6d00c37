"""Where the work at a place goes back to once something there no longer counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from headwright.job.state import At, State
    from headwright.procedure.plan import Operation


class SentBack(Struct, frozen=True):
    """What is to be done again around a place, as seen from an operation.

    `earlier` lie before the operation, in the order in which to do them, and `later` after it, in route order; `here`
    tells whether it is to be done again itself.
    `wants` are the conditions that it needs and that no longer hold at the place.
    """

    earlier: tuple[str, ...] = ()
    here: bool = False
    later: tuple[str, ...] = ()
    wants: tuple[str, ...] = ()


def sent_back(before: State, after: State, at: At) -> SentBack:
    """Compare what is due around a place before and after something there stopped counting.

    Args:
        before: the job as it was.
        after: the job as it is.
        at: the operation and place of what stopped counting.
    """
    order = after.index.rules.index
    operation, place = after.index.operations[at[0]], at[1]
    again = _due_again(before, after, place)
    turn = _called_for(after, place)
    earlier = [name for name in again if order[name] < order[operation.id]]
    return SentBack(
        tuple(sorted(earlier, key=lambda name: turn.index(name) if name in turn else -1)),
        operation.id in again,
        tuple(name for name in again if order[name] > order[operation.id]),
        tuple(after.missing_needs(operation, place)),
    )


def _called_for(state: State, place: str) -> tuple[str, ...]:
    """Give the operations that are called for at a place in the order in which to do them: wash, then soak."""
    called = (
        operation.id
        for leaf in state.index.inside(place)
        for operation in state.index.rules.called_for(state.held[leaf], state.repair_at(leaf), state.reread_at(leaf))
    )
    return tuple(dict.fromkeys(called))


def _due_again(before: State, after: State, place: str) -> tuple[str, ...]:
    """Give what is to be done at a place, at what it is part of or at its parts, and was not before, in route order.

    Only what came to be due at some position can be among it.
    """
    came = {
        name
        for leaf in after.held
        if (now := after.stand(leaf)) is not (was := before.stand(leaf))
        for name in now.due - was.due
    }
    order = after.index.rules.index
    operations = [after.index.operations[name] for name in sorted(came, key=order.__getitem__)]
    return tuple(o.id for o in operations if _due_around(after, o, place) and not _due_around(before, o, place))


def _due_around(state: State, operation: Operation, place: str) -> bool:
    return any(state.is_due(operation, each) for each in state.index.around(place, operation.per))
