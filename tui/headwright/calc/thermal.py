"""What temperature does to a size: at 20 °C, hot clearance, gauge against part, soaking."""

from dataclasses import dataclass
from math import log

from headwright.calc.errors import Impossible, finite, kelvin, positive

# ISO 1 reference temperature, °C.
REFERENCE = 20.0


def grown(size: float, expansion: float, temperature: float) -> float:
    """Give a size at a temperature from its size at 20 °C.

    Args:
        size: size at 20 °C, mm, above zero.
        expansion: linear expansion coefficient, 1/K.
        temperature: temperature asked for, °C.

    Returns:
        The size, mm.

    Raises:
        Impossible: an input is out of range.
    """
    positive(size=size)
    return size * _factor(expansion, temperature)


def _factor(expansion: float, temperature: float) -> float:
    finite(expansion=expansion)
    kelvin(temperature)
    factor = 1 + expansion * (temperature - REFERENCE)
    if factor <= 0:
        raise Impossible(f"expansion {expansion:g} 1/K at {temperature:g} °C leaves no size; is the unit 1e-6/K?")
    return factor


@dataclass(frozen=True, slots=True)
class At20:
    """A size at 20 °C, mm."""

    size: float


def at_20(size: float, expansion: float, temperature: float) -> At20:
    """Give the size that a part has at 20 °C.

    Args:
        size: size at the temperature, mm, above zero.
        expansion: linear expansion coefficient, 1/K.
        temperature: temperature of the part, °C.

    Returns:
        The size at 20 °C, mm, exact: size / (1 + α (T - 20)).

    Raises:
        Impossible: an input is out of range.
    """
    positive(size=size)
    return At20(size / _factor(expansion, temperature))


def reading_error(
    *,
    size: float,
    part_expansion: float,
    part_temperature: float,
    gauge_expansion: float,
    gauge_temperature: float,
) -> float:
    """Give how much a gauge reads over the 20 °C size when part or gauge is not at 20 °C.

    For the diameters of a guide the difference of the two temperatures matters far more than the room's.

    Args:
        size: size of the part at 20 °C, mm, above zero.
        part_expansion: expansion coefficient of the part, 1/K.
        part_temperature: temperature of the part, °C.
        gauge_expansion: expansion coefficient of the gauge or its master, 1/K.
        gauge_temperature: temperature of the gauge or its master, °C.

    Returns:
        The error, mm; above zero the gauge reads too much.

    Raises:
        Impossible: an input is out of range.
    """
    return size * (grown(size, part_expansion, part_temperature) / grown(size, gauge_expansion, gauge_temperature) - 1)


@dataclass(frozen=True, slots=True)
class HotClearance:
    """Clearance at 20 °C and running, mm; below zero the stem seizes."""

    cold: float
    hot: float


def hot_clearance(
    *,
    guide: float,
    stem: float,
    guide_expansion: float,
    guide_temperature: float,
    stem_expansion: float,
    stem_temperature: float,
) -> HotClearance:
    """Give the running clearance where one metal sets the size of the guide.

    A bronze guide gripped by a head may not grow freely; its bore can even shrink. Take the figure as the best case.

    Args:
        guide: guide diameter at 20 °C, mm, above zero.
        stem: stem diameter at 20 °C, mm, above zero.
        guide_expansion: expansion coefficient of the metal that sets the bore, 1/K.
        guide_temperature: running temperature of the guide, °C.
        stem_expansion: expansion coefficient of the stem, 1/K.
        stem_temperature: running temperature of the stem in the guide, °C.

    Returns:
        Cold and hot clearance, mm.

    Raises:
        Impossible: an input is out of range.
    """
    hot = grown(guide, guide_expansion, guide_temperature) - grown(stem, stem_expansion, stem_temperature)
    return HotClearance(guide - stem, hot)


def hot_liner_clearance(
    *,
    bored_hole: float,
    guide: float,
    stem: float,
    head_expansion: float,
    liner_expansion: float,
    guide_temperature: float,
    stem_expansion: float,
    stem_temperature: float,
) -> HotClearance:
    """Give the running clearance of a thin liner: the head sets the hole, the liner only adds its wall.

    Args:
        bored_hole: hole in the head at 20 °C, mm, above the guide diameter.
        guide: finished inside diameter at 20 °C, mm, above zero.
        stem: stem diameter at 20 °C, mm, above zero.
        head_expansion: expansion coefficient of the head, 1/K.
        liner_expansion: expansion coefficient of the liner, 1/K.
        guide_temperature: running temperature of head and liner there, °C.
        stem_expansion: expansion coefficient of the stem, 1/K.
        stem_temperature: running temperature of the stem in the guide, °C.

    Returns:
        Cold and hot clearance, mm.

    Raises:
        Impossible: the guide is not smaller than its hole, or an input is out of range.
    """
    positive(bored_hole=bored_hole, guide=guide, stem=stem)
    if guide >= bored_hole:
        raise Impossible(f"guide ({guide:g}) must be below the bored hole ({bored_hole:g})")
    walls = (bored_hole - guide) * _factor(liner_expansion, guide_temperature)
    hot = grown(bored_hole, head_expansion, guide_temperature) - walls
    return HotClearance(guide - stem, hot - grown(stem, stem_expansion, stem_temperature))


def time_constant(*, first: float, later: float, interval: float, ambient: float) -> float:
    """Give the time constant of a part from two temperatures (Newton's law of cooling).

    Args:
        first: first temperature of the part, °C.
        later: temperature after the interval, °C, nearer to the room's on the same side.
        interval: time between the two, s, above zero.
        ambient: temperature of the room, °C.

    Returns:
        The time constant, s.

    Raises:
        Impossible: the part did not come nearer to the room's temperature, or crossed it.
    """
    finite(first=first, later=later, ambient=ambient)
    positive(interval=interval)
    before, after = first - ambient, later - ambient
    if before * after <= 0 or abs(after) >= abs(before):
        raise Impossible(
            f"from {first:g} to {later:g} °C the part did not come nearer to a room of {ambient:g} °C; "
            "wait longer or check the thermometers"
        )
    return interval / log(before / after)


def soak_time(*, now: float, ambient: float, within: float, time_constant: float) -> float:
    """Give the time until a part is near enough to the room's temperature.

    Args:
        now: temperature of the part, °C.
        ambient: temperature of the room, °C.
        within: difference that is near enough, K, above zero.
        time_constant: time constant of the part, s, above zero.

    Returns:
        Time to wait, s; zero where it is near enough already.

    Raises:
        Impossible: an input is out of range.
    """
    finite(now=now, ambient=ambient)
    positive(within=within, time_constant=time_constant)
    apart = abs(now - ambient)
    return 0.0 if apart <= within else time_constant * log(apart / within)


@dataclass(frozen=True, slots=True)
class Soak:
    """How fast a part soaks and how long it still needs, s."""

    time_constant: float
    remaining: float


def soak(*, first: float, later: float, interval: float, ambient: float, within: float) -> Soak:
    """Tell from two temperatures how much longer a part must soak.

    Args:
        first: first temperature of the part, °C.
        later: temperature after the interval, °C.
        interval: time between the two, s, above zero.
        ambient: temperature of the room, °C.
        within: difference that is near enough, K, above zero.

    Returns:
        Time constant, and time to wait from the later reading on, s.

    Raises:
        Impossible: the part did not come nearer to the room's temperature, or an input is out of range.
    """
    tau = time_constant(first=first, later=later, interval=interval, ambient=ambient)
    return Soak(tau, soak_time(now=later, ambient=ambient, within=within, time_constant=tau))
