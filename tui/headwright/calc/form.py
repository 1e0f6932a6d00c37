"""Form of a hole or a stem from readings at several stations and angles.

A grid is a sequence of rows, one row a station from top to bottom, each row the readings at that station in the order
of the angles. A reading that was not taken is left out of its row; a row may be empty.

What is named `..._of_line` and `..._of_rows` looks at nothing twice: it takes readings that are all there and finite,
in one line or by rows, for whoever has looked already and asks a thousand times.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from math import fsum, isfinite

from headwright.calc.errors import NotEnough, finite

Grid = Sequence[Sequence[float]]


def _each_finite(readings: Sequence[float]) -> None:
    """Look at each reading, where their sum, which is looked at sooner, is no number or has grown too great."""
    for reading in readings:
        finite(reading=reading)


def _readings(grid: Grid, needed: int = 1) -> list[float]:
    flat = [*chain(*grid)]
    if not isfinite(sum(flat)):
        _each_finite(flat)
    if len(flat) < needed:
        raise NotEnough("no reading yet" if not flat else f"{len(flat)} of at least {needed} readings taken")
    return flat


def _each_there(grid: Grid) -> None:
    _readings(grid)
    for index, row in enumerate(grid):
        if not row:
            raise NotEnough(f"no reading at the {_nth(index)} station")


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
    return mean_of_line(_readings(grid))


def mean_of_line(line: Sequence[float]) -> float:
    """Give the mean of readings that are there and finite, mm."""
    return fsum(line) / len(line)


def spread(grid: Grid) -> float:
    """Give the largest reading less the smallest.

    Args:
        grid: readings, mm, one row a station.

    Returns:
        The spread, mm, zero or more.

    Raises:
        NotEnough: fewer than two readings are there.
    """
    return spread_of_line(_readings(grid, needed=2))


def spread_of_line(line: Sequence[float]) -> float:
    """Give the largest of two or more readings, there and finite, less the smallest, mm."""
    return max(line) - min(line)


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
    _each_there(grid)
    return tuple([fsum(row) / len(row) for row in grid])


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
    for index, name in ((0, "first"), (-1, "last")):
        if not grid[index]:
            raise NotEnough(f"no reading at the {name} station")
        _readings([grid[index]])
    return taper_of_rows(grid)


def taper_of_rows(rows: Grid) -> float:
    """Give the taper of two or more whole rows, mm."""
    first, last = rows[0], rows[-1]
    return abs(fsum(first) / len(first) - fsum(last) / len(last))


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
    _each_there(grid)
    return bell_of_rows(grid)


def bell_of_rows(rows: Grid) -> float:
    """Give the bell-mouth of three or more whole rows, mm."""
    means = [fsum(row) / len(row) for row in rows]
    # Three stations, as nearly always, take two thirds of the time by themselves.
    return max(means[0], means[-1]) - (means[1] if len(means) == 3 else min(means[1:-1]))


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
    rows = [row for row in grid if len(row) >= 2]
    if not rows:
        raise NotEnough("out-of-round needs two angles at one station")
    return out_of_round_of_rows(rows)


def out_of_round_of_rows(rows: Grid) -> float:
    """Give the out-of-round of whole rows of two or more readings each, mm."""
    # Two angles, as nearly always, take a third of the time by themselves.
    return max([abs(row[0] - row[1]) if len(row) == 2 else max(row) - min(row) for row in rows])


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
