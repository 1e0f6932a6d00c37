"""What a sizing ball leaves behind: springback as a line on interference, learnt from the shop's own sizings.

Springback is the ball less the finished hole; interference is the ball less the hole before. No published figure for
bronze behind a ball is known to us, so the shop's own records count, and before there are enough a stated assumption.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import fsum, sqrt

from headwright.calc.errors import NotEnough, finite, not_negative, positive
from headwright.calc.line import fit
from headwright.calc.student import factor

# Sizings from which on the shop's own line stands alone.
ENOUGH = 6

# The assumption, all from memory of the trade and weak: springback 0.0003 in plus a tenth of the interference, one
# standard deviation 0.0002 in at an interference of 0.002 in. Of that spread 0.00008 in is scatter from one push to
# the next; the rest, and 0.1 on the slope, is what a shop's first records teach. Six degrees of freedom say
# "weak"; in simulated shops the intervals after one to five records then hold 94 times in 100.
PRIOR_INTERCEPT = 0.00762
PRIOR_SLOPE = 0.10
PRIOR_SPREAD = 0.00508
PRIOR_SCATTER = 0.002032
PRIOR_SLOPE_SPREAD = 0.10
PRIOR_INTERFERENCE = 0.0508
PRIOR_DOF = 6

# A finished size outside hole and ball by more than this is a slip of the gauge or the pen; 0.0005 in, our choice.
PLAUSIBLE = 0.0127
# Resolution that a scatter cannot fall below, 0.00005 in.
RESOLUTION = 0.00127


@dataclass(frozen=True, slots=True)
class Sizing:
    """One push of one ball: sizes in mm, the ball as measured (never its nominal), and how far to trust it."""

    pre_size: float
    ball: float
    finished: float
    weight: float = 1.0
    quarantined: bool = False

    @property
    def interference(self) -> float:
        """Ball less the hole before, mm."""
        return self.ball - self.pre_size

    @property
    def springback(self) -> float:
        """Ball less the finished hole, mm."""
        return self.ball - self.finished

    @property
    def usable(self) -> bool:
        """Whether the push teaches anything: trusted, truly sized, and finished between hole and ball."""
        return (
            not self.quarantined
            and self.weight > 0
            and self.interference > 0
            and -PLAUSIBLE <= self.springback <= self.interference + PLAUSIBLE
        )


@dataclass(frozen=True, slots=True)
class Prediction:
    """What one push will leave: expected size, its standard error, degrees of freedom, and an interval, mm."""

    finished: float
    error: float
    dof: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Springback:
    """Springback = intercept + slope · interference, with how sure that is.

    The last three are variances of level, of slope and their covariance, in units of scatter², about the pivot.
    """

    intercept: float
    slope: float
    scatter: float
    dof: float
    records: int
    left_out: int
    assumed: bool
    pivot: float
    level_variance: float
    slope_variance: float
    covariance: float

    def predict(self, pre_size: float, ball: float, coverage: float = 0.95) -> Prediction:
        """Predict the finished size of one push.

        Args:
            pre_size: hole before, mm, above zero.
            ball: measured ball, mm, above zero.
            coverage: probability that the interval holds the size, between 0 and 1.

        Returns:
            Expected size with its interval (Student's t).

        Raises:
            Impossible: an input is out of range.
        """
        positive(pre_size=pre_size, ball=ball)
        interference = ball - pre_size
        away = interference - self.pivot
        spread = 1 + self.level_variance + 2 * away * self.covariance + away**2 * self.slope_variance
        error = self.scatter * sqrt(spread)
        finished = ball - self.intercept - self.slope * interference
        half = factor(coverage, self.dof) * error
        return Prediction(finished, error, self.dof, finished - half, finished + half)


def learn(records: Iterable[Sizing], resolution: float = RESOLUTION) -> Springback:
    """Learn the springback from sizings of one kind: same liner, head metal, lubricant, and first or later pass.

    With six usable sizings or more their least-squares line stands alone. With fewer, or all at one interference, the
    stated assumption is brought up to date with them (conjugate Bayesian line).

    Args:
        records: the sizings; quarantined and implausible ones are left out.
        resolution: resolution of the bore gauge, mm, zero or more; the scatter is not taken to be below
            resolution/√12.

    Returns:
        The line and how sure it is.

    Raises:
        Impossible: a size is no number.
    """
    not_negative(resolution=resolution)
    given = list(records)
    for each in given:
        finite(pre_size=each.pre_size, ball=each.ball, finished=each.finished, weight=each.weight)
    used = [each for each in given if each.usable]
    least_scatter = resolution / sqrt(12)
    if len(used) >= ENOUGH:
        try:
            return _fitted(used, len(given) - len(used), least_scatter)
        except NotEnough:
            pass
    return _assumed(used, len(given) - len(used), least_scatter)


def _fitted(used: list[Sizing], left_out: int, least_scatter: float) -> Springback:
    line = fit([(each.interference, each.springback) for each in used], [each.weight for each in used])
    return Springback(
        intercept=line.intercept,
        slope=line.slope,
        scatter=max(line.s, least_scatter),
        dof=line.dof,
        records=len(used),
        left_out=left_out,
        assumed=False,
        pivot=line.mean_x,
        level_variance=1 / line.weight,
        slope_variance=1 / line.spread_x,
        covariance=0.0,
    )


def _assumed(used: list[Sizing], left_out: int, least_scatter: float) -> Springback:
    # Normal-inverse-gamma update of a line about the pivot; A. Gelman et al., Bayesian Data Analysis, from memory.
    level = PRIOR_INTERCEPT + PRIOR_SLOPE * PRIOR_INTERFERENCE
    level_precision = PRIOR_SCATTER**2 / (PRIOR_SPREAD**2 - PRIOR_SCATTER**2)
    slope_precision = (PRIOR_SCATTER / PRIOR_SLOPE_SPREAD) ** 2
    rows = [(each.interference - PRIOR_INTERFERENCE, each.springback, each.weight) for each in used]
    a = level_precision + fsum(weight for _, _, weight in rows)
    b = fsum(weight * x for x, _, weight in rows)
    c = slope_precision + fsum(weight * x * x for x, _, weight in rows)
    right_level = level_precision * level + fsum(weight * y for _, y, weight in rows)
    right_slope = slope_precision * PRIOR_SLOPE + fsum(weight * x * y for x, y, weight in rows)
    size = a * c - b * b
    new_level = (c * right_level - b * right_slope) / size
    new_slope = (a * right_slope - b * right_level) / size
    misfit = fsum(weight * (y - new_level - new_slope * x) ** 2 for x, y, weight in rows)
    misfit += level_precision * (new_level - level) ** 2 + slope_precision * (new_slope - PRIOR_SLOPE) ** 2
    dof = PRIOR_DOF + len(rows)
    return Springback(
        intercept=new_level - new_slope * PRIOR_INTERFERENCE,
        slope=new_slope,
        scatter=max(sqrt((PRIOR_DOF * PRIOR_SCATTER**2 + misfit) / dof), least_scatter),
        dof=dof,
        records=len(used),
        left_out=left_out,
        assumed=True,
        pivot=PRIOR_INTERFERENCE,
        level_variance=c / size,
        slope_variance=a / size,
        covariance=-b / size,
    )
