"""What operations took, counted while a job is folded.

The time of an operation at a place runs from the closing before it at the same terminal to its own. A pause says
nothing of the work in it, so the plan's minutes for the operation stand in its place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.events import CameOn, GaugeDoubted, HandedOver, Opened, OperationClosed, Reopened, Resumed
from headwright.job.gauges import seconds_between
from headwright.job.pace import Took

if TYPE_CHECKING:
    from headwright.job.events import Entry
    from headwright.job.state import State

PAUSE = 20.0
"""Minutes without an entry from which on nobody knows what was done; more where the plan has more (our choice)."""
PAUSE_TIMES = 2.0
"""The plan's minutes for an operation, so many times, are no pause either: a soak or a wash runs by itself."""


def timed(state: State, entry: Entry) -> None:
    """Count the time that an entry tells of into a state that is being folded, before the entry is applied."""
    event = entry.event
    if isinstance(event, GaugeDoubted):  # it comes in by itself, from wherever its gauge was checked
        return
    last, spent = state.clocks.get(entry.terminal, ("", 0.0))
    if not last or isinstance(event, Opened | Reopened | CameOn | HandedOver | Resumed):
        state.clocks[entry.terminal] = (entry.time, spent)
        return
    operation = state.index.operations.get(getattr(event, "operation", ""))
    planned = operation.minutes if operation is not None else 0.0
    gap = max(0.0, seconds_between(last, entry.time) / 60)
    spent += planned if gap > max(PAUSE, PAUSE_TIMES * planned) else gap
    if isinstance(event, OperationClosed):
        if planned:
            before = state.took.get(event.operation) or Took(event.operation, 0, 0.0, 0.0)
            # Closing again after a reading was struck is the end of the same work, not more of it.
            again = state.attempt(event.operation, event.place).reopened
            state.took[event.operation] = Took(
                event.operation,
                before.closings + (not again),
                before.planned + (0.0 if again else planned),
                before.taken + spent,
            )
        spent = 0.0
    state.clocks[entry.terminal] = (entry.time, spent)
