"""Valve seats: width, position of the contact, runout, sinkage and recession."""

from dataclasses import dataclass
from math import cos, radians

from headwright.calc.errors import Impossible, finite, not_negative, positive


def _cosine(angle: float) -> float:
    finite(angle=angle)
    if not 0 < angle < 90:
        raise Impossible(f"seat angle must be between 0 and 90 degrees from the deck, not {angle:g}")
    return cos(radians(angle))


@dataclass(frozen=True, slots=True)
class Seat:
    """A seat: width along its face and diameter of its middle, mm."""

    width: float
    mid_diameter: float


def seat(outside: float, inside: float, angle: float) -> Seat:
    """Give width and middle of a seat from its two diameters.

    Args:
        outside: outer diameter of the contact band, mm, above the inner one.
        inside: inner diameter of the contact band, mm, above zero.
        angle: angle of the seat from the deck, degrees, between 0 and 90.

    Returns:
        Width along the face, and diameter of the middle of the band.

    Raises:
        Impossible: the diameters are out of order, or an input is out of range.
    """
    positive(outside=outside, inside=inside)
    if inside >= outside:
        raise Impossible(f"inside ({inside:g}) must be below outside ({outside:g})")
    return Seat((outside - inside) / (2 * _cosine(angle)), (outside + inside) / 2)


def contact_position(mid_diameter: float, face_inside: float, face_outside: float) -> float:
    """Give where on the valve face the middle of the contact lies.

    Args:
        mid_diameter: diameter of the middle of the contact, mm.
        face_inside: inner diameter of the valve face, mm, above zero.
        face_outside: outer diameter of the valve face, mm, above the inner one.

    Returns:
        0 at the inner edge, 1 at the outer; outside that range the contact has left the face. 0.5 to 0.7 is wanted
        (common practice, no source).

    Raises:
        Impossible: the diameters are out of order, or an input is out of range.
    """
    positive(mid_diameter=mid_diameter, face_inside=face_inside, face_outside=face_outside)
    if face_inside >= face_outside:
        raise Impossible(f"face inside ({face_inside:g}) must be below face outside ({face_outside:g})")
    return (mid_diameter - face_inside) / (face_outside - face_inside)


@dataclass(frozen=True, slots=True)
class Runout:
    """A seat against its guide: offset of the centres and the room that the stem has, mm."""

    offset: float
    room: float
    centres: bool


def runout(indicated: float, clearance_least: float) -> Runout:
    """Hold the runout of a seat against the clearance of its guide.

    The valve can only find its seat while the offset stays below half the least clearance.

    Args:
        indicated: total indicator reading, mm, zero or more.
        clearance_least: least clearance of stem and guide, mm, zero or more.

    Returns:
        Offset (half the reading), room (half the clearance), and whether the valve can centre itself.

    Raises:
        Impossible: an input is below zero.
    """
    not_negative(indicated=indicated, clearance_least=clearance_least)
    return Runout(indicated / 2, clearance_least / 2, indicated < clearance_least)


def sinkage(removed: float, angle: float) -> float:
    """Give how much deeper a valve sits for metal taken off its seat or face.

    Args:
        removed: metal removed square to the face, mm, zero or more.
        angle: angle of the seat from the deck, degrees, between 0 and 90.

    Returns:
        Sinkage along the valve axis, mm.

    Raises:
        Impossible: an input is out of range.
    """
    not_negative(removed=removed)
    return removed / _cosine(angle)


def recession(before: float, seat_sinkage: float, face_sinkage: float, deck_removal: float) -> float:
    """Keep the books of a valve's recession below the deck.

    Args:
        before: recession before, mm; below zero the valve stands proud.
        seat_sinkage: sinkage from seat work, mm, zero or more.
        face_sinkage: sinkage from face work, mm, zero or more.
        deck_removal: stock taken off the deck, mm, zero or more.

    Returns:
        Recession after, mm: seat and face work sink the valve, deck work raises it.

    Raises:
        Impossible: an input is out of range.
    """
    finite(before=before)
    not_negative(seat_sinkage=seat_sinkage, face_sinkage=face_sinkage, deck_removal=deck_removal)
    return before + seat_sinkage + face_sinkage - deck_removal
