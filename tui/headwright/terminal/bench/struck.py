"""Where the work goes back to when a reading is struck, and why, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal.bench.digits import where

if TYPE_CHECKING:
    from headwright.job.sent_back import SentBack
    from headwright.job.state import At, State

NAMED = 2
"""Operations that are named of those that are open again."""


def sent_back_words(state: State, at: At, back: SentBack, looked_at: str) -> str:
    """Say where a place goes back to, and what is open again there; empty where the work goes on as it was.

    Args:
        state: the job, with the reading struck.
        at: the operation and place of the reading.
        back: what is to be done again.
        looked_at: the operation that was looked at before.
    """
    operations, place = state.index.operations, at[1]
    title = f"'{operations[at[0]].title}'"
    said = ""
    if back.earlier:
        why = f"{title} rests on it"
        if back.wants:
            why = f"{title} wants it {' and '.join(state.index.conditions[need].label for need in back.wants)}"
        said = f"{where(state, place)} goes back to '{operations[back.earlier[0]].title}': {why}."
    elif back.here and at[0] != looked_at:
        said = f"{where(state, place)} goes back to {title}: the reading is missing there."
    if back.later:
        titles = ", ".join(f"'{operations[name].title}'" for name in back.later[:NAMED])
        more = f" and {len(back.later) - NAMED} more" if len(back.later) > NAMED else ""
        said += f" Open again: {titles}{more}."
    return said.strip()
