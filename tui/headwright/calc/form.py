"""Form of a hole or a stem from readings at several stations and angles.

A grid is a sequence of rows, one row a station from top to bottom, each row the readings at that station in the order
of the angles. A reading that was not taken is left out of its row; a row may be empty.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, isfinite

from headwright.calc.errors import NotEnough, finite

Grid = Sequence[Sequence[float]]


def _readings(grid: Grid, needed: int = 1) -> list[float]:
    flat = [reading for row in grid for reading in row]
    if not all(map(isfinite, flat)):
        for reading in flat:
            finite(reading=reading)
    if len(flat) < needed:
        raise NotEnough("no reading yet" if not flat else f"{len(flat)} of at least {needed} readings taken")
    return flat


def _row_mean(grid: Grid, index: int, name: str) -> float:
    if not grid[index]:
        raise NotEnough(f"no reading at the {name} station")
    row = _readings([grid[index]])
    return fsum(row) / len(row)


def _nth(index: int) -> str:
    return {0: "1st", 1: "2nd", 2: "3rd"}.get(index, f"{index + 1}th")


def least(grid: Grid) -> float:
    """Give the smallest reading.

    Args:
        grid: readings, mm, one row a station.

    Returns:
        The smallest reading, mm.

    Raises:
        NotEnough: no reading is there.
    """
    return min(_readings(grid))


def greatest(grid: Grid) -> float:
    """Give the largest reading.

    Args:
        grid: readings, mm, one row a station.

    Returns:
        The largest reading, mm.

    Raises:
        NotEnough: no reading is there.
    """
    return max(_readings(grid))


def mean(grid: Grid) -> float:
    """Give the mean of all readings.

    Args:
        grid: readings, mm, one row a station.

    Returns:
        The mean, mm.

    Raises:
        NotEnough: no reading is there.
    """
    flat = _readings(grid)
    return fsum(flat) / len(flat)


def spread(grid: Grid) -> float:
    """Give the largest reading less the smallest.

    Args:
        grid: readings, mm, one row a station.

    Returns:
        The spread, mm, zero or more.

    Raises:
        NotEnough: fewer than two readings are there.
    """
    flat = _readings(grid, needed=2)
    return max(flat) - min(flat)


def station_means(grid: Grid) -> tuple[float, ...]:
    """Give the mean of each station, which takes simple ovality out.

    Args:
        grid: readings, mm, one row a station.

    Returns:
        One mean a station, mm, top to bottom.

    Raises:
        NotEnough: there is no station, or one without a reading.
    """
    if not grid:
        raise NotEnough("no station yet")
    return tuple(_row_mean(grid, index, _nth(index)) for index in range(len(grid)))


def taper(grid: Grid) -> float:
    """Give the difference between the means of the first and the last station.

    Args:
        grid: readings, mm, one row a station, at least two rows.

    Returns:
        The taper, mm, zero or more.

    Raises:
        NotEnough: fewer than two stations, or no reading at the first or the last.
    """
    if len(grid) < 2:
        raise NotEnough("taper needs two stations")
    return abs(_row_mean(grid, 0, "first") - _row_mean(grid, -1, "last"))


def bell(grid: Grid) -> float:
    """Give how far the wider end stands over the tightest station between the ends.

    Args:
        grid: readings, mm, one row a station, at least three rows.

    Returns:
        The bell-mouth, mm; below zero where the middle is wider than both ends (barrel).

    Raises:
        NotEnough: fewer than three stations, or one without a reading.
    """
    if len(grid) < 3:
        raise NotEnough("bell-mouth needs three stations")
    first, *between, last = station_means(grid)
    return max(first, last) - min(between)


def out_of_round(grid: Grid) -> float:
    """Give the largest difference between the angles of one station.

    A two-point gauge does not see three lobes: a hole may pass here and still hold a plug gauge.

    Args:
        grid: readings, mm, one row a station; a row with fewer than two readings does not count.

    Returns:
        The out-of-round, mm, zero or more.

    Raises:
        NotEnough: no station has two readings.
    """
    _readings(grid)
    rows = [max(row) - min(row) for row in grid if len(row) >= 2]
    if not rows:
        raise NotEnough("out-of-round needs two angles at one station")
    return max(rows)


@dataclass(frozen=True, slots=True)
class Form:
    """The form of one hole or stem, all in mm."""

    mean: float
    taper: float
    bell: float
    out_of_round: float


def form(*, top_0: float, top_90: float, middle_0: float, middle_90: float, bottom_0: float, bottom_90: float) -> Form:
    """Give the form from the usual six readings: three stations, two angles.

    Args:
        top_0: reading at the top along the crank axis, mm.
        top_90: reading at the top across it, mm.
        middle_0: the same in the middle, mm.
        middle_90: the same in the middle, mm.
        bottom_0: the same at the bottom, mm.
        bottom_90: the same at the bottom, mm.

    Returns:
        Mean, taper, bell-mouth (below zero: barrel) and out-of-round, mm.

    Raises:
        Impossible: a reading is no number.
    """
    grid = ((top_0, top_90), (middle_0, middle_90), (bottom_0, bottom_90))
    return Form(mean(grid), taper(grid), bell(grid), out_of_round(grid))
