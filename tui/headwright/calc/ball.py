"""Which sizing ball to push: the chances of every ball in the kit, and the choice."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from headwright.calc.errors import NotEnough, in_order, positive
from headwright.calc.limits import SLACK
from headwright.calc.springback import Prediction, Sizing, Springback, learn
from headwright.calc.student import cdf

# An undersized hole takes one more push, an oversized one a new liner: hence so little chance of over.
MOST_OVER = 0.02
# Chance in limits that one push must reach, else two are planned, the first with even less chance of over.
ENOUGH_IN = 0.90
MOST_OVER_FIRST = 0.01
# Even odds make a second push worth naming beforehand.
LIKELY = 0.5


class Plan(StrEnum):
    """What to do with the hole."""

    ONE_PUSH = "one push"
    TWO_PUSHES = "two pushes"
    DONE = "in limits already"
    OVER = "over already"
    NO_BALL = "no ball serves"


@dataclass(frozen=True, slots=True)
class Chance:
    """One ball of the kit: what it would leave and how likely that keeps the limits."""

    ball: float
    prediction: Prediction
    p_in: float
    p_over: float
    sizes: bool


@dataclass(frozen=True, slots=True)
class Advice:
    """The ball to push now, mm, what to expect of it, and the reasons.

    Without a ball to push, ball and its figures are None. Of two pushes the ball is the first, and second is the
    likely second, often the same ball again, or None where none is likely to finish. A later pass may spring back
    otherwise than a first, so measure between the two and ask again. chances holds every ball, smallest first.
    """

    plan: Plan
    ball: float | None
    predicted: float | None
    interval_low: float | None
    interval_high: float | None
    p_in: float | None
    p_over: float | None
    second: float | None
    chances: tuple[Chance, ...]
    model: Springback
    pre_size: float
    low: float
    high: float


def ball(
    *,
    pre_size: float,
    low: float,
    high: float,
    balls: Iterable[float],
    records: Iterable[Sizing] = (),
) -> Advice:
    """Choose the ball with the best chance of a hole in limits.

    Args:
        pre_size: hole before the push, mm, above zero; the mean of its readings.
        low: least finished size, mm; with a guard band already inside it where that rule holds.
        high: most finished size, mm, not below the least.
        balls: measured balls of the kit, mm, above zero; never their nominal sizes, for balls wear.
        records: sizings of the same kind: liner, head metal, lubricant, and first or later pass.

    Returns:
        The advice: highest chance in limits among the balls with no more than 2 % chance of over; where that is less
        than 90 %, two pushes, the first the largest ball with no more than 1 % chance of over.

    Raises:
        NotEnough: the kit holds no ball.
        Impossible: limits out of order, or an input out of range.
    """
    return choose(pre_size=pre_size, low=low, high=high, balls=balls, model=learn(records))


def choose(*, pre_size: float, low: float, high: float, balls: Iterable[float], model: Springback) -> Advice:
    """Choose the ball with a springback that is already learnt.

    Args:
        pre_size: hole before the push, mm, above zero.
        low: least finished size, mm.
        high: most finished size, mm, not below the least.
        balls: measured balls of the kit, mm, above zero.
        model: the springback of this kind of sizing.

    Returns:
        The advice.

    Raises:
        NotEnough: the kit holds no ball.
        Impossible: limits out of order, or an input out of range.
    """
    positive(pre_size=pre_size, low=low, high=high)
    in_order(low=low, high=high)
    chances = tuple(chance(model, pre_size, each, low, high) for each in sorted(set(balls)))
    if not chances:
        raise NotEnough("the kit holds no ball")

    def advice(plan: Plan, first: Chance | None = None, second: float | None = None) -> Advice:
        return Advice(
            plan=plan,
            ball=first.ball if first else None,
            predicted=first.prediction.finished if first else None,
            interval_low=first.prediction.low if first else None,
            interval_high=first.prediction.high if first else None,
            p_in=first.p_in if first else None,
            p_over=first.p_over if first else None,
            second=second,
            chances=chances,
            model=model,
            pre_size=pre_size,
            low=low,
            high=high,
        )

    if pre_size > high + SLACK:
        return advice(Plan.OVER)
    if pre_size >= low - SLACK:
        return advice(Plan.DONE)
    one = _best(chances)
    if one is not None and one.p_in >= ENOUGH_IN:
        return advice(Plan.ONE_PUSH, one)
    careful = [each for each in chances if each.sizes and each.p_over <= MOST_OVER_FIRST]
    if not careful:
        return advice(Plan.NO_BALL)
    first = careful[-1]
    no_smaller = [each.ball for each in chances if each.ball >= first.ball]
    then = _best([chance(model, first.prediction.finished, each, low, high) for each in no_smaller])
    return advice(Plan.TWO_PUSHES, first, then.ball if then and then.p_in >= LIKELY else None)


def chance(model: Springback, pre_size: float, ball: float, low: float, high: float) -> Chance:
    """Give the chance that a ball leaves a hole in limits.

    Args:
        model: the springback of this kind of sizing.
        pre_size: hole before the push, mm, above zero.
        ball: measured ball, mm, above zero.
        low: least finished size, mm.
        high: most finished size, mm.

    Returns:
        Prediction, chances of in limits and of over, and whether the ball would open the hole at all.

    Raises:
        Impossible: an input is out of range.
    """
    expected = model.predict(pre_size, ball)
    below_high = cdf((high - expected.finished) / expected.error, expected.dof)
    below_low = cdf((low - expected.finished) / expected.error, expected.dof)
    return Chance(
        ball=ball,
        prediction=expected,
        p_in=max(0.0, below_high - below_low),
        p_over=1 - below_high,
        sizes=ball > pre_size and expected.finished > pre_size,
    )


def _best(chances: Iterable[Chance]) -> Chance | None:
    allowed = [each for each in chances if each.sizes and each.p_over <= MOST_OVER]
    return max(allowed, key=lambda each: (each.p_in, -each.ball), default=None)
