"""Flatness against zones solved with a linear programme, and against trying every pair of planes.

The sets are to six decimals; the enumeration is exact, and 1e-6 of the zone is far below any gauge.
"""

from itertools import combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from headwright.calc import NotEnough
from headwright.calc.flatness import Point, flatness

GRID = [(x, y) for y in (0.0, 50.0, 100.0) for x in (0.0, 50.0, 100.0)]
SET_A = [(11.5, 7, 1.1), (18.5, 6.9, 1.03), (4.5, 13, 1.02), (25.5, 30, 1.03), (11.5, 37.5, 1.02)]
DOME = [(*at, z) for at, z in zip(GRID, (0, 0.015, 0, 0.015, 0.030, 0.015, 0, 0.015, 0), strict=True)]
SADDLE = [(*at, z) for at, z in zip(GRID, (0.010, 0, -0.010, 0, 0, 0, -0.010, 0, 0.010), strict=True)]


@pytest.mark.parametrize(
    ("points", "squares", "minimum"),
    [(SET_A, 0.072097, 0.067262), (DOME, 0.030, 0.030), (SADDLE, 0.020, 0.020)],
    ids=["A", "dome", "saddle"],
)
def test_published_sets(points: list[Point], squares: float, minimum: float) -> None:
    """Zones solved exactly with a linear programme."""
    found = flatness(points)
    assert found.least_squares_zone == pytest.approx(squares, abs=6e-7)
    assert found.minimum_zone == pytest.approx(minimum, abs=6e-7)


def _by_enumeration(points: list[Point]) -> float:
    """Try every plane through three points and every plane along two point-to-point lines."""
    slopes = []
    pairs = list(combinations(points, 2))
    for (a, b), (c, d) in combinations(pairs, 2):
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = d[0] - c[0], d[1] - c[1], d[2] - c[2]
        across = ux * vy - uy * vx
        if abs(across) > 1e-9:
            slopes.append(((uz * vy - vz * uy) / across, (ux * vz - vx * uz) / across))
    zones = []
    for slope_x, slope_y in slopes:
        left = [z - slope_x * x - slope_y * y for x, y, z in points]
        zones.append(max(left) - min(left))
    return min(zones)


HEIGHT = st.floats(-0.1, 0.1).map(lambda z: round(z, 4))
PLACE = st.tuples(st.integers(0, 9), st.integers(0, 9)).map(lambda at: (at[0] * 30.0, at[1] * 15.0))
POINTS = st.lists(PLACE, min_size=4, max_size=8, unique=True).flatmap(
    lambda places: st.lists(HEIGHT, min_size=len(places), max_size=len(places)).map(
        lambda heights: [(x, y, z) for (x, y), z in zip(places, heights, strict=True)]
    )
)


def _zones(points: list[Point]) -> tuple[float, float]:
    try:
        found = flatness(points)
    except NotEnough:
        assume(False)  # noqa: FBT003
        raise
    return found.minimum_zone, found.least_squares_zone


@settings(max_examples=60, deadline=None)
@given(POINTS)
def test_no_pair_of_planes_is_closer(points: list[Point]) -> None:
    minimum, _ = _zones(points)
    assert minimum == pytest.approx(_by_enumeration(points), rel=1e-6, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(POINTS)
def test_order_of_the_zones(points: list[Point]) -> None:
    """Always: minimum zone ≤ least-squares zone, and minimum zone ≤ range of heights."""
    minimum, squares = _zones(points)
    heights = [z for _, _, z in points]
    assert minimum <= squares
    assert minimum <= max(heights) - min(heights) + 1e-9


@settings(max_examples=40, deadline=None)
@given(POINTS, st.floats(-0.01, 0.01), st.floats(-0.01, 0.01), st.floats(-5, 5))
def test_a_tilted_table_changes_nothing(points: list[Point], slope_x: float, slope_y: float, lift: float) -> None:
    """Always: adding a plane leaves the vertical zones unchanged."""
    before = _zones(points)
    after = _zones([(x, y, z + slope_x * x + slope_y * y + lift) for x, y, z in points])
    assert after == pytest.approx(before, rel=1e-6, abs=1e-8)
