"""Folding what a store or a record holds, with an entry that the plan cannot carry named instead of a crash."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.errors import RecordBroken
from headwright.job.evolve import evolve, fold

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.job.events import Entry
    from headwright.job.state import State


def folded(state: State, entries: Sequence[Entry], where: str) -> State:
    """Fold entries into a state; `where` names their origin in messages.

    Raises:
        RecordBroken: an entry names something that the plan does not have; with its number.
    """
    try:
        return fold(state, entries)
    except LookupError:
        for entry in entries:
            try:
                state = evolve(state, entry)
            except LookupError as error:
                raise RecordBroken(
                    f"{where}: event {entry.number} speaks of {error}, which the plan of the job does not have",
                    entry.number,
                ) from error
        raise
