"""Steps that have to last: how long they have to go, in words."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Step
    from headwright.terminal.bench.spots import Spot


def to_go(state: State, operation: Operation, spot: Spot, step: Step, now: str) -> float | None:
    """Give the seconds that a step still has to last, 0 when its time is up; None where it is not begun or need not.

    Args:
        state: the job.
        operation: whose step.
        spot: where it is ticked.
        step: the step.
        now: UTC, ISO 8601, as records have it.
    """
    begun = state.begun.get((operation.id, spot.place, step.name))
    if not step.wait or begun is None:
        return None
    lasted = (datetime.fromisoformat(now) - datetime.fromisoformat(begun)).total_seconds()
    return max(0.0, step.wait - lasted)


def about(seconds: float) -> str:
    """Give a time in words, rounded up: `12 min`, `40 s`."""
    return f"{math.ceil(seconds / 60)} min" if seconds > 90 else f"{math.ceil(seconds)} s"


def countdown(seconds: float) -> str:
    """Give a time as a clock that runs down: `8:32`, `1:02:05`."""
    whole = math.ceil(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"


def step_words(step: Step, left: float | None) -> str:
    """Say what Space does at a step that is not ticked, and how long it has to go."""
    if left is None:
        return f"Space begins it: {about(step.wait)}" if step.wait else "Space ticks it"
    return f"{countdown(left)} to go" if left > 0 else "The time is up: Space ticks it"
