"""Swept volume, chamber volume and compression ratio."""

from dataclasses import dataclass
from math import pi

from headwright.calc.errors import Impossible, not_negative, positive


def swept(bore: float, stroke: float) -> float:
    """Give the swept volume of one cylinder.

    Args:
        bore: cylinder bore, mm, above zero.
        stroke: stroke, mm, above zero.

    Returns:
        The volume, cm³.

    Raises:
        Impossible: an input is not above zero.
    """
    positive(bore=bore, stroke=stroke)
    return pi / 4 * bore**2 * stroke / 1000


def volume_removed(removal: float, chamber_area: float) -> float:
    """Give the chamber volume that a cut on the deck takes away.

    Args:
        removal: stock taken off the deck, mm, zero or more.
        chamber_area: opening of the chamber at the deck, mm², zero or more; not the area of the cylinder. A flat-faced
            head counts its valve recesses only.

    Returns:
        The volume, cm³.

    Raises:
        Impossible: an input is below zero.
    """
    not_negative(removal=removal, chamber_area=chamber_area)
    return removal * chamber_area / 1000


def compression_ratio(swept: float, clearance_volume: float) -> float:
    """Give the compression ratio.

    Args:
        swept: swept volume, cm³, above zero.
        clearance_volume: volume left at top dead centre, cm³, above zero.

    Returns:
        (swept + clearance) / clearance.

    Raises:
        Impossible: an input is not above zero.
    """
    positive(swept=swept, clearance_volume=clearance_volume)
    return (swept + clearance_volume) / clearance_volume


@dataclass(frozen=True, slots=True)
class Compression:
    """Swept volume in cm³, and the compression ratio before and after a cut on the deck."""

    swept: float
    ratio: float
    ratio_after: float | None


def compression(
    *,
    bore: float,
    stroke: float,
    clearance_volume: float,
    removal: float | None = None,
    chamber_area: float | None = None,
) -> Compression:
    """Give the compression ratio before and after a cut on the deck.

    Args:
        bore: cylinder bore, mm, above zero.
        stroke: stroke, mm, above zero.
        clearance_volume: volume left at top dead centre, cm³, above zero.
        removal: stock taken off the deck, mm, zero or more.
        chamber_area: opening of the chamber at the deck, mm², zero or more.

    Returns:
        Swept volume, ratio, and the ratio after (None without removal and chamber area).

    Raises:
        Impossible: the cut takes the whole clearance volume, or an input is out of range.
    """
    volume = swept(bore, stroke)
    ratio = compression_ratio(volume, clearance_volume)
    after = None
    if removal is not None and chamber_area is not None:
        left = clearance_volume - volume_removed(removal, chamber_area)
        if left <= 0:
            raise Impossible("the cut takes more than the whole clearance volume")
        after = compression_ratio(volume, left)
    return Compression(volume, ratio, after)
