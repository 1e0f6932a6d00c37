"""How long work takes in this shop: learned from what its jobs on record took, for what a job has left to do.

The time of an operation at a place runs from the closing before it at the same terminal to its own. A pause says
nothing of the work in it, so the plan's minutes for the operation stand in its place. What was learned is shrunk
towards the plan while there is little of it, and never moves an operation further than `FARTHEST` times.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from headwright.job.events import CameOn, GaugeDoubted, HandedOver, Opened, OperationClosed, Reopened, Resumed
from headwright.job.gauges import seconds_between

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from headwright.job.events import Entry
    from headwright.job.state import State

PAUSE = 20.0
"""Minutes without an entry from which on nobody knows what was done; more where the plan has more (our choice)."""
PAUSE_TIMES = 2.0
"""The plan's minutes for an operation, so many times, are no pause either: a soak or a wash runs by itself."""
WEIGHT = 10.0
"""Closings that the plan's minutes count for: after as many, plan and shop weigh alike (our choice)."""
FARTHEST = 4.0
"""Times that the shop's pace is slower or quicker than the plan at most: more was no work at a bench (our choice)."""


class Took(Struct, frozen=True, array_like=True):
    """What an operation took: how many closings, the plan's minutes for them, and the minutes that went by."""

    operation: str
    closings: int
    planned: float
    taken: float


class Left(NamedTuple):
    """What is left to do: minutes, and the share of them (0 to 1) that rests on the shop's own times."""

    minutes: float
    learned: float


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


def learned(jobs: Iterable[Iterable[Took]]) -> dict[str, Took]:
    """Put together what jobs took, by operation."""
    found: dict[str, Took] = {}
    for job in jobs:
        for took in job:
            known = found.get(took.operation)
            found[took.operation] = took if known is None else _together(known, took)
    return found


def _together(one: Took, other: Took) -> Took:
    return Took(one.operation, one.closings + other.closings, one.planned + other.planned, one.taken + other.taken)


def ratio(took: Took | None) -> float:
    """Give what an operation takes here, in times of the plan's minutes; 1 while nothing is known."""
    if took is None or not took.planned:
        return 1.0
    own = min(max(took.taken / took.planned, 1 / FARTHEST), FARTHEST)
    return (WEIGHT + took.closings * own) / (WEIGHT + took.closings)


def minutes_left(left: Iterable[tuple[str, float]], known: Mapping[str, Took]) -> Left:
    """Give the minutes that work takes in this shop.

    Args:
        left: operation and minutes by the plan of what is due.
        known: what was learned, by operation.
    """
    total = own = 0.0
    for operation, planned in left:
        took = known.get(operation)
        minutes = planned * ratio(took)
        total += minutes
        if took is not None:
            own += minutes * took.closings / (WEIGHT + took.closings)
    return Left(total, own / total if total else 0.0)


def time_words(minutes: float) -> str:
    """Give a length of work as it is spoken of, no finer than anybody can tell: `40 min`, `2 h 40 min`, `14 h`."""
    if minutes < 10:
        return "under 10 min"
    grain = 5 if minutes < 120 else 10 if minutes < 600 else 60
    rounded = round(minutes / grain) * grain
    hours, rest = divmod(rounded, 60)
    return " ".join([f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest))
