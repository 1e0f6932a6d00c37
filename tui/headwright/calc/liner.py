"""A thin split liner: closed size, crush, size before sizing, growth in length."""

from dataclasses import dataclass
from math import pi

from headwright.calc.errors import Impossible, finite, in_order, not_negative, positive

# 0.030 in over the nominal guide size, band 0.0015 in down; common practice, no source.
BORE_OVER_NOMINAL = 0.762
BORE_BAND = 0.0381

# Crush that a liner is usually driven with, 0.0015 to 0.0035 in; from memory of the trade.
USUAL_CRUSH = (0.0381, 0.0889)


def bored_band(nominal_guide: float) -> tuple[float, float]:
    """Give the band that a guide is bored to before lining.

    The liner supplier's sheet goes before this rule of 0.030 in over nominal, nothing over and 0.0015 in under.

    Args:
        nominal_guide: nominal guide inside diameter of the stem class, mm, above zero.

    Returns:
        Least and most bored diameter, mm. Common practice, no source.

    Raises:
        Impossible: the nominal size is not above zero.
    """
    positive(nominal_guide=nominal_guide)
    most = nominal_guide + BORE_OVER_NOMINAL
    return most - BORE_BAND, most


def closed_od(free_od: float, seam_gap: float) -> float:
    """Give the outside diameter of a split liner once its seam has closed.

    Args:
        free_od: outside diameter as delivered, mm, above zero.
        seam_gap: width of the open seam, mm, zero or more, less than the circumference.

    Returns:
        The closed outside diameter, mm: the circumference loses the gap.

    Raises:
        Impossible: a size is out of range.
    """
    positive(free_od=free_od)
    not_negative(seam_gap=seam_gap)
    if seam_gap >= pi * free_od:
        raise Impossible(f"seam gap ({seam_gap:g}) must be less than the circumference ({pi * free_od:g})")
    return free_od - seam_gap / pi


def crush(closed_od: float, bored_hole: float) -> float:
    """Give the interference that squeezes the closed liner.

    Args:
        closed_od: outside diameter with the seam closed, mm, above zero.
        bored_hole: bored hole, mm, above zero.

    Returns:
        The crush on diameter, mm; below zero the liner is loose.

    Raises:
        Impossible: a size is not above zero.
    """
    positive(closed_od=closed_od, bored_hole=bored_hole)
    return closed_od - bored_hole


def pre_size_id(bored_hole: float, wall: float) -> float:
    """Give the inside diameter of a driven liner before it is sized.

    Args:
        bored_hole: bored hole, mm, above zero.
        wall: wall of the liner, mm, above zero and less than half the hole.

    Returns:
        The inside diameter, mm.

    Raises:
        Impossible: the wall fills the hole, or a size is not above zero.
    """
    positive(bored_hole=bored_hole, wall=wall)
    inside = bored_hole - 2 * wall
    if inside <= 0:
        raise Impossible(f"wall ({wall:g}) must be less than half the bored hole ({bored_hole:g})")
    return inside


def wall_after(bored_hole: float, finished_id: float) -> float:
    """Give the wall that is left once the liner is sized.

    Args:
        bored_hole: bored hole, mm, above zero.
        finished_id: finished inside diameter, mm, above zero, not above the hole.

    Returns:
        The wall, mm.

    Raises:
        Impossible: the finished size is above the hole, or a size is not above zero.
    """
    positive(bored_hole=bored_hole, finished_id=finished_id)
    in_order(finished_id=finished_id, bored_hole=bored_hole)
    return (bored_hole - finished_id) / 2


def growth(bored_hole: float, pre_size_id: float, finished_id: float) -> float:
    """Give how much longer a liner gets when sizing thins its wall at constant volume.

    Part of the metal really goes into the seam and the oil grooves, so this is the most that the ends can come out.

    Args:
        bored_hole: bored hole, mm, above zero.
        pre_size_id: inside diameter before sizing, mm, above zero, below the hole.
        finished_id: inside diameter after sizing, mm, above zero, below the hole.

    Returns:
        Growth as a fraction of the length (0.047 is 4.7 %).

    Raises:
        Impossible: an inside diameter is not below the hole, or a size is not above zero.
    """
    positive(bored_hole=bored_hole, pre_size_id=pre_size_id, finished_id=finished_id)
    for name, inside in (("pre size id", pre_size_id), ("finished id", finished_id)):
        if inside >= bored_hole:
            raise Impossible(f"{name} ({inside:g}) must be below the bored hole ({bored_hole:g})")
    return (bored_hole**2 - pre_size_id**2) / (bored_hole**2 - finished_id**2) - 1


@dataclass(frozen=True, slots=True)
class Liner:
    """A liner in its hole: sizes in mm, growth as a fraction of the length."""

    closed_od: float
    crush: float
    pre_size_id: float
    growth: float | None


def liner(bored_hole: float, free_od: float, seam_gap: float, wall: float, finished_id: float | None = None) -> Liner:
    """Give the sizes of a split liner from its free size and the hole that it goes into.

    Args:
        bored_hole: bored hole, mm, above zero.
        free_od: outside diameter as delivered, mm, above zero.
        seam_gap: width of the open seam, mm, zero or more.
        wall: wall of the liner, mm, above zero.
        finished_id: finished inside diameter, mm, for the growth in length; None leaves it out.

    Returns:
        Closed outside diameter, crush (below zero: loose), size before sizing, growth.

    Raises:
        Impossible: a shape that cannot be, or a value that is no number.
    """
    finite(bored_hole=bored_hole, free_od=free_od, seam_gap=seam_gap, wall=wall)
    closed = closed_od(free_od, seam_gap)
    before = pre_size_id(bored_hole, wall)
    longer = None if finished_id is None else growth(bored_hole, before, finished_id)
    return Liner(closed, crush(closed, bored_hole), before, longer)
