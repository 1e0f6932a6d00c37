"""Why an operation that was done is to be done again at a place: a state that it made is needed once more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.state import DONE_AGAIN

if TYPE_CHECKING:
    from headwright.job.state import State
    from headwright.procedure.plan import Operation


def again_words(state: State, operation: Operation, place: str) -> str:
    """Say in a line what calls for a done operation again; empty where it is not done, or nothing calls for it.

    Args:
        state: the job.
        operation: the operation that is to be done again.
        place: one of its places.
    """
    if not (state.is_done(operation, place) and state.is_due(operation, place)):
        return ""
    rules = state.index.rules
    for leaf in state.leaves(operation, place):
        held, repair, reread = state.held[leaf], state.repair_at(leaf), state.reread_at(leaf)
        wanting = (rules.first_due(held, repair), *rules.called_for(held, repair, reread))
        for other in wanting:
            for need in () if other is None else rules.missing(other, held, reread):
                if other is not None and rules.restorer(need, other, repair) is operation:
                    label = state.index.conditions[need].label
                    lost = _taken_by(state, operation, need, place)
                    return f"{operation.title} again: '{other.title}' needs '{label}', which {lost}."
    return ""


def redo_words(state: State, operation: Operation, place: str) -> str:
    """Say why work is done again after a rework, in the words that ordered it, until something is read at the place.

    Empty where nothing was ordered, or something of it is there.
    """
    attempt, past = state.attempt(operation.id, place), state.past.get((operation.id, place), ())
    if attempt.readings or attempt.closed or not past or past[-1].doubted or past[-1].ended in {"", DONE_AGAIN}:
        return ""
    return f"Again: {past[-1].ended}"


def _taken_by(state: State, operation: Operation, need: str, place: str) -> str:
    """Say what took a state away that an operation makes, where only one thing done after it can have."""
    after = state.index.rules.index[operation.id]
    spoilers = [
        other
        for other in state.plan.operations
        if state.index.rules.index[other.id] > after
        and need in other.breaks
        and any(state.is_done(other, inside) for inside in state.index.around(place, other.per))
    ]
    return f"'{spoilers[0].title}' took away" if len(spoilers) == 1 else "no longer holds"
