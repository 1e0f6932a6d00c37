"""The guide in its boss: stock to take, wall left, bearing length, oversize stems."""

from collections.abc import Iterable

from headwright.calc.errors import Impossible, finite, in_order, not_negative, positive
from headwright.calc.limits import SLACK

# Size that a reamer must still take all round so that a worn guide cleans up, 0.0005 in; common practice, no source.
CLEAN_UP = 0.0127


def removal(now: float, target: float) -> float:
    """Give the stock that a cut takes off a diameter to open it to a size.

    Args:
        now: diameter now, mm, above zero.
        target: diameter wanted, mm, not below the present one.

    Returns:
        Stock on diameter, mm.

    Raises:
        Impossible: the hole is over the target already, or a size is not above zero.
    """
    positive(now=now, target=target)
    in_order(now=now, target=target)
    return target - now


def wall_left(boss: float, hole: float) -> float:
    """Give the wall of a boss round a hole in its middle.

    Args:
        boss: outside diameter of the boss, mm, above the hole.
        hole: diameter of the hole, mm, above zero.

    Returns:
        The wall, mm.

    Raises:
        Impossible: the hole is not below the boss, or a size is not above zero.
    """
    positive(boss=boss, hole=hole)
    if hole >= boss:
        raise Impossible(f"hole ({hole:g}) must be below the boss ({boss:g})")
    return (boss - hole) / 2


def bearing_ratio(length: float, cuts: float, stem: float) -> float:
    """Give how many stem diameters long a guide still is after its ends are cut.

    Args:
        length: length before, mm, above zero.
        cuts: what both cuts take together, mm, zero or more, below the length.
        stem: stem diameter, mm, above zero.

    Returns:
        Length over diameter; 7 is wanted and 5 the least (from memory of the trade).

    Raises:
        Impossible: nothing is left, or an input is out of range.
    """
    positive(length=length, stem=stem)
    not_negative(cuts=cuts)
    if cuts >= length:
        raise Impossible(f"cuts ({cuts:g}) must be below the length ({length:g})")
    return (length - cuts) / stem


def oversize_stem(
    *,
    worn_most: float,
    stem: float,
    clearance: float,
    oversizes: Iterable[float],
    clean_up: float = CLEAN_UP,
) -> float | None:
    """Choose the smallest oversize stem for which a worn guide can be reamed clean.

    Args:
        worn_most: largest reading of the worn guide, mm, above zero.
        stem: diameter of the standard stem, mm, above zero.
        clearance: clearance wanted, mm, above zero.
        oversizes: oversizes that can be had, mm over standard, above zero.
        clean_up: stock on diameter that the reamer must still find, mm, zero or more.

    Returns:
        The oversize, mm; None where none is large enough.

    Raises:
        Impossible: an input is out of range.
    """
    positive(worn_most=worn_most, stem=stem, clearance=clearance)
    not_negative(clean_up=clean_up)
    for oversize in sorted(oversizes):
        positive(oversize=oversize)
        if stem + oversize + clearance >= worn_most + clean_up - SLACK:
            return oversize
    return None


def comparator(ring: float, zero: float, reading: float) -> float:
    """Give the size that a comparator stands for.

    Args:
        ring: certified size of the ring that it was set on, mm, above zero.
        zero: reading on the ring, mm.
        reading: reading in the hole, mm.

    Returns:
        The size, mm.

    Raises:
        Impossible: an input is out of range.
    """
    positive(ring=ring)
    finite(zero=zero, reading=reading)
    return ring + (reading - zero)
