"""Clearance between stem and guide: cold, by station, and by rocking the valve."""

from collections.abc import Sequence
from dataclasses import dataclass

from headwright.calc.errors import CalcError, NotEnough, finite, in_order, not_negative, positive


@dataclass(frozen=True, slots=True)
class Clearance:
    """Least and most clearance, mm; below zero the stem does not enter."""

    least: float
    most: float


def clearance(*, guide_least: float, guide_most: float, stem_least: float, stem_most: float) -> Clearance:
    """Give the least and the most clearance that a guide and a stem can meet with.

    Args:
        guide_least: smallest guide reading, mm, above zero.
        guide_most: largest guide reading, mm, not below the smallest.
        stem_least: smallest stem reading, mm, above zero.
        stem_most: largest stem reading, mm, not below the smallest.

    Returns:
        Smallest guide less largest stem, and largest guide less smallest stem, mm.

    Raises:
        Impossible: a reading is not above zero, or a smallest is above its largest.
    """
    positive(guide_least=guide_least, guide_most=guide_most, stem_least=stem_least, stem_most=stem_most)
    in_order(guide_least=guide_least, guide_most=guide_most)
    in_order(stem_least=stem_least, stem_most=stem_most)
    return Clearance(guide_least - stem_most, guide_most - stem_least)


def by_station(guide: Sequence[Sequence[float]], stem: Sequence[Sequence[float]]) -> tuple[Clearance | None, ...]:
    """Give the clearance at each station, guide and stem read at the same stations.

    Args:
        guide: guide readings, mm, one row a station, top to bottom.
        stem: stem readings, mm, one row a station, as many rows as the guide.

    Returns:
        One clearance a station; None where guide or stem is not read yet.

    Raises:
        NotEnough: guide and stem differ in their number of stations.
        Impossible: a reading is not above zero.
    """
    if len(guide) != len(stem):
        raise NotEnough(f"the guide has {len(guide)} stations and the stem {len(stem)}; they must match")
    return tuple(
        clearance(guide_least=min(hole), guide_most=max(hole), stem_least=min(shank), stem_most=max(shank))
        if hole and shank
        else None
        for hole, shank in zip(guide, stem, strict=True)
    )


def rocking(reading: float, guide_length: float, overhang: float) -> float:
    """Give the clearance behind a sideways play measured on a lifted valve.

    Args:
        reading: whole travel of the indicator, mm, zero or more.
        guide_length: length of the guide, mm, above zero.
        overhang: height of the indicator over the end of the guide, mm, zero or more.

    Returns:
        About the clearance, mm: the play at the indicator is the clearance times 1 + 2·overhang/length, from the
        geometry of a stem that touches both ends. Bell-mouthed guides read more than they have.

    Raises:
        Impossible: an input is out of range.
    """
    not_negative(reading=reading, overhang=overhang)
    positive(guide_length=guide_length)
    return reading / (1 + 2 * overhang / guide_length)


def finished_band(stem_least: float, stem_most: float, low: float, high: float) -> tuple[float, float]:
    """Give the band that a guide must finish in so that every pair of readings keeps the clearance.

    Args:
        stem_least: smallest stem reading, mm, above zero.
        stem_most: largest stem reading, mm, not below the smallest.
        low: least clearance allowed, mm.
        high: most clearance allowed, mm, not below the least.

    Returns:
        Smallest and largest finished diameter, mm.

    Raises:
        CalcError: the stem varies by more than the band of clearance, so that no guide can meet it.
        Impossible: an input is out of range.
    """
    positive(stem_least=stem_least, stem_most=stem_most)
    in_order(stem_least=stem_least, stem_most=stem_most)
    finite(low=low, high=high)
    in_order(low=low, high=high)
    least, most = stem_most + low, stem_least + high
    if least > most:
        raise CalcError("the stem varies by more than the clearance band; no guide size serves it")
    return least, most
