"""A bore that was read larger than the ball that made it: bronze springs back, so the figure is hardly right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.show import with_sign
from headwright.job.sizing import BALL, FINISHED
from headwright.job.slips import Doubt
from headwright.job.verdict import SLACK

if TYPE_CHECKING:
    from headwright.job.events import ReadingTaken
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

ABOVE = "a bore above its ball"
"""Name of the doubt."""


def above_ball(state: State, operation: Operation, wanted: ReadingTaken) -> Doubt | None:
    """Question a finished bore that is larger than the ball on record for it; None where it is not, or none is.

    A ball leaves a hole of its own size at most, and a graduation of the gauge more by how it is read (common practice,
    no source).

    Args:
        state: the job.
        operation: the operation of the figure.
        wanted: the figure, as it would be recorded.
    """
    reading = state.index.readings[wanted.operation, wanted.reading]
    ball = next((each for each in operation.readings if each.role == BALL), None)
    if reading.role != FINISHED or ball is None or wanted.value is None:
        return None
    pushed = state.writing(operation.id, wanted.place).readings
    sizes = [taken.value for key, taken in pushed.items() if key[0] == ball.name and taken.value is not None]
    if not sizes or wanted.value <= max(sizes) + reading.resolution + SLACK:
        return None
    size = with_sign(state.plan, ball, max(sizes))
    return Doubt(ABOVE, f"{wanted.typed.strip()} is larger than the ball that made it, {size}: read it again?")
