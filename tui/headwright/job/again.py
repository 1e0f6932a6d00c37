"""Why an operation that was done is to be done again at a place: a state that it made is needed once more."""

from __future__ import annotations

from typing import TYPE_CHECKING

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
                    return f"{operation.title} again: '{other.title}' needs '{label}', which no longer holds."
    return ""
