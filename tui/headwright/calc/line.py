"""A straight line through points, by least squares, and what it predicts."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt

from headwright.calc.errors import Impossible, NotEnough, finite, positive
from headwright.calc.student import factor


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted line y = intercept + slope · x, with what is needed to judge it."""

    slope: float
    intercept: float
    s: float
    dof: int
    weight: float
    mean_x: float
    spread_x: float

    @property
    def slope_error(self) -> float:
        """Standard uncertainty of the slope."""
        return self.s / sqrt(self.spread_x)

    @property
    def intercept_error(self) -> float:
        """Standard uncertainty of the intercept."""
        return self.mean_error(0.0)

    @property
    def correlation(self) -> float:
        """Correlation of intercept and slope."""
        return -self.mean_x / sqrt(self.spread_x / self.weight + self.mean_x**2)

    def at(self, x: float) -> float:
        """Give the height of the line.

        Args:
            x: place, in the unit of the points' x.

        Returns:
            The height, in the unit of the points' y.
        """
        return self.intercept + self.slope * x

    def mean_error(self, x: float) -> float:
        """Give the standard uncertainty of the line itself at a place.

        Args:
            x: place, in the unit of the points' x.

        Returns:
            The standard uncertainty, in the unit of the points' y.
        """
        return self.s * sqrt(1 / self.weight + (x - self.mean_x) ** 2 / self.spread_x)

    def prediction_error(self, x: float) -> float:
        """Give the standard uncertainty of one new value at a place.

        Args:
            x: place, in the unit of the points' x.

        Returns:
            The standard uncertainty, in the unit of the points' y; never below the scatter of the points.
        """
        return self.s * sqrt(1 + 1 / self.weight + (x - self.mean_x) ** 2 / self.spread_x)


def fit(points: Sequence[tuple[float, float]], weights: Sequence[float] | None = None) -> Fit:
    """Fit a straight line by least squares.

    Args:
        points: pairs of x and y, at least three, at two or more places.
        weights: weight of each point, above zero, 1 for a full one; None counts all alike.

    Returns:
        The line; s is the scatter of a point of weight 1.

    Raises:
        NotEnough: fewer than three points, or all at one place.
        Impossible: a value is no number, or a weight is not above zero.
    """
    if len(points) < 3:
        raise NotEnough(f"a line with its scatter needs three points, there are {len(points)}")
    shares = [1.0] * len(points) if weights is None else list(weights)
    if len(shares) != len(points):
        raise Impossible(f"{len(points)} points need as many weights, there are {len(shares)}")
    for (x, y), share in zip(points, shares, strict=True):
        finite(x=x, y=y)
        positive(weight=share)
    weight = fsum(shares)
    mean_x = fsum(share * x for (x, _), share in zip(points, shares, strict=True)) / weight
    mean_y = fsum(share * y for (_, y), share in zip(points, shares, strict=True)) / weight
    off = [(x - mean_x, y - mean_y, share) for (x, y), share in zip(points, shares, strict=True)]
    spread_x = fsum(share * dx * dx for dx, _, share in off)
    widest = max(abs(x) for x, _ in points)
    if spread_x <= weight * (1e-12 * widest) ** 2:
        raise NotEnough("all points lie at one place; a line needs two")
    slope = fsum(share * dx * dy for dx, dy, share in off) / spread_x
    dof = len(points) - 2
    s = sqrt(fsum(share * (dy - slope * dx) ** 2 for dx, dy, share in off) / dof)
    return Fit(slope, mean_y - slope * mean_x, s, dof, weight, mean_x, spread_x)


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line and its prediction: the interval holds one new value."""

    slope: float
    intercept: float
    s: float
    prediction: float
    low: float
    high: float


def line(points: Sequence[tuple[float, float]], at: float, coverage: float = 0.95) -> Line:
    """Fit a straight line and predict one new value from it.

    Args:
        points: pairs of x and y, at least three, at two or more places.
        at: place of the prediction, in the unit of x.
        coverage: probability that the interval holds the new value, between 0 and 1.

    Returns:
        Slope, intercept, scatter, prediction and its interval (Student's t, n - 2 degrees of freedom).

    Raises:
        NotEnough: fewer than three points, or all at one place.
        Impossible: an input is out of range.
    """
    finite(at=at)
    fitted = fit(points)
    half = factor(coverage, fitted.dof) * fitted.prediction_error(at)
    middle = fitted.at(at)
    return Line(fitted.slope, fitted.intercept, fitted.s, middle, middle - half, middle + half)
