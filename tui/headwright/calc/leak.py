"""Pressure test of a closed water jacket, with temperature taken out."""

from dataclasses import dataclass

from headwright.calc.errors import Impossible, finite, kelvin, positive

# Standard atmosphere, MPa (exact by definition).
ATMOSPHERE = 0.101325
# Molar gas constant, J/(mol K), as 40 CFR 1065 gives it.
GAS_CONSTANT = 8.314472


def expected_pressure(p1: float, t1: float, t2: float, atmosphere: float = ATMOSPHERE) -> float:
    """Give the gauge pressure that a tight jacket would show after its air changed temperature.

    Args:
        p1: gauge pressure at the start, MPa, above -atmosphere.
        t1: temperature at the start, °C, above absolute zero.
        t2: temperature at the end, °C, above absolute zero.
        atmosphere: absolute pressure of the surroundings, MPa, above zero.

    Returns:
        Gauge pressure expected without a leak, MPa: absolute pressure goes with absolute temperature.

    Raises:
        Impossible: an input is out of range.
    """
    positive(atmosphere=atmosphere)
    finite(p1=p1)
    if p1 <= -atmosphere:
        raise Impossible(f"p1 must be above full vacuum, not {p1:g} MPa gauge")
    return (p1 + atmosphere) * kelvin(t2) / kelvin(t1) - atmosphere


@dataclass(frozen=True, slots=True)
class Leak:
    """Outcome of a pressure test: MPa gauge, and cm³/s of air at the atmosphere."""

    expected_p2: float
    drop: float
    flow: float | None


def leak(
    p1: float,
    t1: float,
    p2: float,
    t2: float,
    *,
    atmosphere: float = ATMOSPHERE,
    volume: float | None = None,
    time: float | None = None,
) -> Leak:
    """Tell a true leak from a change of temperature.

    Args:
        p1: gauge pressure at the start, MPa.
        t1: temperature at the start, °C.
        p2: gauge pressure at the end, MPa.
        t2: temperature at the end, °C.
        atmosphere: absolute pressure of the surroundings, MPa, above zero.
        volume: volume of the closed jacket, cm³, above zero, for the flow.
        time: time between the readings, s, above zero, for the flow.

    Returns:
        Pressure expected without a leak, drop below it (below zero: a rise), and the flow where volume and time are
        known: volume times drop over atmosphere and time.

    Raises:
        Impossible: an input is out of range.
    """
    finite(p2=p2)
    if p2 < -atmosphere:
        raise Impossible(f"p2 must not be below full vacuum, not {p2:g} MPa gauge")
    expected = expected_pressure(p1, t1, t2, atmosphere)
    drop = expected - p2
    flow = None
    if volume is not None and time is not None:
        positive(volume=volume, time=time)
        flow = volume * drop / (atmosphere * time)
    return Leak(expected, drop, flow)


def molar_flow(*, volume: float, p1: float, t1: float, p2: float, t2: float, time: float) -> float:
    """Give the amount of air that leaks into a volume under vacuum.

    Args:
        volume: closed volume, cm³, above zero.
        p1: absolute pressure at the start, MPa, zero or more.
        t1: temperature at the start, °C.
        p2: absolute pressure at the end, MPa, zero or more.
        t2: temperature at the end, °C.
        time: time between the readings, s, above zero.

    Returns:
        mol/s, above zero where air came in. Source: 40 CFR 1065.644, vacuum-decay leak rate.

    Raises:
        Impossible: an input is out of range.
    """
    positive(volume=volume, time=time)
    finite(p1=p1, p2=p2)
    return volume / GAS_CONSTANT * (p2 / kelvin(t2) - p1 / kelvin(t1)) / time
