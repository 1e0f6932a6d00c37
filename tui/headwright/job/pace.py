"""How long work takes in this shop: learned from what its jobs on record took, for what a job has left to do.

What was learned is shrunk towards the plan while there is little of it, and never moves an operation further than
`FARTHEST` times.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

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
