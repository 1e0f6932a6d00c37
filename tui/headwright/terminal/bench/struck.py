"""Where the work goes back to when a reading is struck, and why, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal.bench.digits import where

if TYPE_CHECKING:
    from headwright.job.state import At, State
    from headwright.procedure.plan import Operation

NAMED = 2
"""Operations that are named of those that are open again."""


def due_around(state: State, place: str) -> frozenset[str]:
    """Give the operations that are to be done at a place, at what it is part of, or at its parts."""
    return frozenset(
        operation.id
        for operation in state.plan.operations
        if any(state.is_due(operation, each) for each in state.index.around(place, operation.per))
    )


def sent_back(state: State, at: At, due: frozenset[str], looked_at: str) -> str:
    """Say where a place goes back to, and what is open again there; empty where the work goes on as it was.

    Args:
        state: the job, with the reading struck.
        at: the operation and place of the reading.
        due: what was to be done around the place before, as `due_around` has it.
        looked_at: the operation that was looked at before.
    """
    operation, place = state.index.operations[at[0]], at[1]
    ids = [each.id for each in state.plan.operations]
    again = [each for each in state.plan.operations if each.id in due_around(state, place) - due]
    earlier = [each for each in again if ids.index(each.id) < ids.index(operation.id)]
    later = [each for each in again if ids.index(each.id) > ids.index(operation.id)]
    said = ""
    if earlier:
        said = f"{where(state, place)} goes back to '{earlier[0].title}': {_why(state, operation, place)}."
    elif operation in again and operation.id != looked_at:
        said = f"{where(state, place)} goes back to '{operation.title}': the reading is missing there."
    if later:
        titles = ", ".join(f"'{each.title}'" for each in later[:NAMED])
        more = f" and {len(later) - NAMED} more" if len(later) > NAMED else ""
        said += f" Open again: {titles}{more}."
    return said.strip()


def _why(state: State, operation: Operation, place: str) -> str:
    needs = [state.index.conditions[need].label for need in state.missing_needs(operation, place)]
    return f"'{operation.title}' wants it {' and '.join(needs)}" if needs else f"'{operation.title}' rests on it"
