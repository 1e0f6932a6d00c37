"""Spindle speed and surface speed of a cutter."""

from dataclasses import dataclass
from math import pi

from headwright.calc.errors import positive


def rpm(surface_speed: float, diameter: float) -> float:
    """Give the spindle speed for a surface speed.

    Args:
        surface_speed: speed of the cutting edge, mm/s, above zero.
        diameter: diameter that the edge runs on, mm, above zero.

    Returns:
        Revolutions a minute.

    Raises:
        Impossible: an input is not above zero.
    """
    positive(surface_speed=surface_speed, diameter=diameter)
    return 60 * surface_speed / (pi * diameter)


@dataclass(frozen=True, slots=True)
class Spindle:
    """A spindle speed, revolutions a minute."""

    rpm: float


def spindle(surface_speed: float, diameter: float) -> Spindle:
    """Give the spindle speed for a surface speed, as a named result.

    The machine's and the cutter's own highest speed goes before it.

    Args:
        surface_speed: speed of the cutting edge, mm/s, above zero.
        diameter: diameter that the edge runs on, mm, above zero.

    Returns:
        The spindle speed: 60 v / (π D).

    Raises:
        Impossible: an input is not above zero.
    """
    return Spindle(rpm(surface_speed, diameter))


def surface_speed(rpm: float, diameter: float) -> float:
    """Give the surface speed at a spindle speed.

    Args:
        rpm: revolutions a minute, above zero.
        diameter: diameter that the edge runs on, mm, above zero.

    Returns:
        Speed of the cutting edge, mm/s.

    Raises:
        Impossible: an input is not above zero.
    """
    positive(rpm=rpm, diameter=diameter)
    return pi * diameter * rpm / 60
