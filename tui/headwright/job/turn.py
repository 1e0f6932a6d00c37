"""Where in a wider place the work of an operation goes on: the working order, for whatever points at one position."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.holds import is_held

if TYPE_CHECKING:
    from headwright.job.state import State
    from headwright.procedure.plan import Operation


def place_in_turn(state: State, operation: Operation, place: str) -> str:
    """Give the place of an operation at which its work goes on inside another place, in working order.

    Args:
        state: the job.
        operation: the operation looked at.
        place: where: a place of the operation or a wider one, as a head is for a step that is ticked once for it.

    Returns:
        The first place that is due and not held, else the first that is due, that is on the operation's path, or that
        is there; a place that has none of the operation's inside is given back.
    """
    index = state.index
    if place not in index.places or index.places[place].level is operation.per:
        return place
    inside = frozenset(index.inside(place))
    here = [where for where in index.places_of(operation) if inside.issuperset(index.inside(where))]
    on_path = [where for where in here if state.applies(operation, where)]
    due = [where for where in on_path if state.is_due(operation, where)]
    free = (where for where in due if not is_held(state, operation, where))
    return next((where for found in (free, due, on_path, here) for where in found), place)


def position_in_turn(state: State, operation: Operation, place: str) -> str:
    """Give the position at which the work of an operation goes on inside a place; see `place_in_turn`.

    Returns:
        Its id; empty for a place that is not there.
    """
    index = state.index
    where = place_in_turn(state, operation, place)
    if where not in index.places:
        return ""
    inside = index.inside(where)
    on_path = (leaf for leaf in inside if state.applies(operation, leaf))
    return next(on_path, next(iter(inside), ""))
