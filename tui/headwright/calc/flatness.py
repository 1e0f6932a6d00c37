"""Flatness of a deck from a grid of heights: least-squares and minimum zone.

Zones are measured along z, which for a deck that lies level to a degree is the true width to 2 parts in 10 000.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from headwright.calc.errors import NotEnough, finite

Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Flatness:
    """Distance of the two parallel planes that hold all points, mm."""

    minimum_zone: float
    least_squares_zone: float


def flatness(points: Sequence[Point]) -> Flatness:
    """Give the flatness of a surface.

    Args:
        points: x, y and height of each point, mm, at least three that are not in one line.

    Returns:
        The least distance of two parallel planes that hold all points (solved exactly, as a linear programme), and
        the zone about the least-squares plane, which is never less.

    Raises:
        NotEnough: fewer than three points, or all in one line.
        Impossible: a coordinate is no number.
    """
    residuals = _least_squares_residuals(points)
    squares = max(residuals) - min(residuals)
    return Flatness(min(squares, _minimum_zone(points, residuals, squares)), squares)


def _least_squares_residuals(points: Sequence[Point]) -> list[float]:
    if len(points) < 3:
        raise NotEnough(f"flatness needs three points, there are {len(points)}")
    for x, y, z in points:
        finite(x=x, y=y, z=z)
    mean = [fsum(point[axis] for point in points) / len(points) for axis in range(3)]
    moved = [tuple(point[axis] - mean[axis] for axis in range(3)) for point in points]
    xx, yy, xy, xz, yz = (
        fsum(point[a] * point[b] for point in moved) for a, b in ((0, 0), (1, 1), (0, 1), (0, 2), (1, 2))
    )
    spread = xx * yy - xy * xy
    if spread <= 1e-12 * max(xx, yy) ** 2:
        raise NotEnough("all points lie in one line; flatness needs a field of points")
    slope_x = (xz * yy - yz * xy) / spread
    slope_y = (yz * xx - xz * xy) / spread
    return [z - slope_x * x - slope_y * y for x, y, z in moved]


def _minimum_zone(points: Sequence[Point], residuals: Sequence[float], zone: float) -> float:
    """Solve for the plane of least largest distance, starting from the least-squares residuals for good scaling."""
    if zone == 0:
        return 0.0
    # Imported here: a linear programme is the one figure of this package that needs it.
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import linprog  # noqa: PLC0415

    ground = np.array([point[:2] for point in points])
    ground = (ground - ground.mean(axis=0)) / np.abs(ground - ground.mean(axis=0)).max()
    height = np.array(residuals) / zone
    one = np.ones((len(height), 1))
    # Variables: two slopes, offset, half the zone; every point lies within half the zone above and below the plane.
    above = np.hstack([-ground, -one, -one])
    below = np.hstack([ground, one, -one])
    answer = linprog(
        [0, 0, 0, 1],
        A_ub=np.vstack([above, below]),
        b_ub=np.concatenate([-height, height]),
        bounds=[(None, None)] * 3 + [(0, None)],
        method="highs",
    )
    left = height - ground @ answer.x[:2]
    return float(np.ptp(left)) * zone
