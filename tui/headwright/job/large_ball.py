"""A ball that would most likely leave its hole too large: it is measured before it is pushed, and asked about then."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.calc import CalcError
from headwright.calc.ball import chance
from headwright.calc.springback import learn
from headwright.job.show import with_sign
from headwright.job.sizing import BALL, FINISHED, ball_question
from headwright.job.slips import Doubt

if TYPE_CHECKING:
    from headwright.job.events import ReadingTaken
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

LARGE = "a ball too large"
"""Name of the doubt."""
LIKELY = 0.5
"""How likely the hole has to come out too large (our choice), by what `calc.springback` assumes of a ball before
anything was learned, from memory of the trade."""


def large_ball(state: State, operation: Operation, wanted: ReadingTaken) -> Doubt | None:
    """Question a ball that would most likely leave too large a hole; None where it would not, or nobody can tell.

    What the shop learned of springback is not looked at: the question has to be the same wherever it is asked.

    Args:
        state: the job.
        operation: the operation of the figure.
        wanted: the figure, as it would be recorded.
    """
    reading = state.index.readings[wanted.operation, wanted.reading]
    hole = next((each for each in operation.readings if each.role == FINISHED), None)
    if reading.role != BALL or hole is None or wanted.value is None:
        return None
    asked = ball_question(state, (operation.id, wanted.place))
    if asked is None:
        return None
    try:
        left = chance(learn(()), asked.pre_size, wanted.value, asked.low, asked.high)
    except CalcError:
        return None
    if not left.sizes or left.p_over <= LIKELY:
        return None
    size, most = (with_sign(state.plan, hole, mm) for mm in (left.prediction.finished, asked.high))
    say = (
        f"{wanted.typed.strip()} would leave about {size}, over {most}, and no ball makes a hole smaller: another one?"
    )
    return Doubt(LARGE, say)
