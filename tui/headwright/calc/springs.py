"""Valve springs: rate, load, coil bind, and the room under the retainer."""

from dataclasses import dataclass

from headwright.calc.errors import Impossible, finite, not_negative, positive


def rate(load_1: float, height_1: float, load_2: float, height_2: float) -> float:
    """Give the rate of a spring from two loads at two heights.

    Args:
        load_1: load at the first height, N, zero or more.
        height_1: first height, mm, above zero.
        load_2: load at the second height, N, zero or more.
        height_2: second height, mm, above zero, different from the first.

    Returns:
        The rate, N/mm, above zero.

    Raises:
        Impossible: the heights are equal, or the load does not grow as the spring gets shorter.
    """
    not_negative(load_1=load_1, load_2=load_2)
    positive(height_1=height_1, height_2=height_2)
    if height_1 == height_2:
        raise Impossible(f"the two heights must differ, both are {height_1:g}")
    stiffness = (load_2 - load_1) / (height_1 - height_2)
    if stiffness <= 0:
        raise Impossible("the load must be higher at the smaller height")
    return stiffness


def load(load_1: float, height_1: float, rate: float, at: float) -> float:
    """Give the load of a spring at a height.

    Args:
        load_1: known load, N.
        height_1: height at which it is known, mm.
        rate: rate, N/mm, above zero.
        at: height asked for, mm, above zero.

    Returns:
        The load, N; zero where the spring stands free.

    Raises:
        Impossible: an input is out of range.
    """
    finite(load_1=load_1, height_1=height_1)
    positive(rate=rate, at=at)
    return max(0.0, load_1 + rate * (height_1 - at))


@dataclass(frozen=True, slots=True)
class Spring:
    """A spring from two loads: rate in N/mm, free length in mm, load in N at the height asked for."""

    rate: float
    free_length: float
    load: float | None


def spring(load_1: float, height_1: float, load_2: float, height_2: float, at: float | None = None) -> Spring:
    """Give rate, free length and the load at a height from two readings on the spring tester.

    Args:
        load_1: load at the first height, N, zero or more.
        height_1: first height, mm, above zero.
        load_2: load at the second height, N, zero or more.
        height_2: second height, mm, above zero.
        at: height asked for, mm; None leaves the load out.

    Returns:
        Rate, free length (for a spring of constant rate) and load.

    Raises:
        Impossible: the heights are equal, or the load does not grow as the spring gets shorter.
    """
    stiffness = rate(load_1, height_1, load_2, height_2)
    free = height_1 + load_1 / stiffness
    return Spring(stiffness, free, None if at is None else load(load_1, height_1, stiffness, at))


def coil_rate(wire: float, coil: float, active: float, shear_modulus: float) -> float:
    """Give the rate of a coil spring from its shape.

    Args:
        wire: wire diameter, mm, above zero.
        coil: mean coil diameter, mm, above the wire diameter.
        active: active coils, above zero.
        shear_modulus: shear modulus of the wire, MPa, above zero.

    Returns:
        The rate, N/mm: G d⁴ / (8 D³ n), the usual textbook formula for a close-coiled round-wire spring.

    Raises:
        Impossible: the coil is not wider than its wire, or an input is not above zero.
    """
    positive(wire=wire, coil=coil, active=active, shear_modulus=shear_modulus)
    if coil <= wire:
        raise Impossible(f"mean coil diameter ({coil:g}) must be above the wire diameter ({wire:g})")
    return shear_modulus * wire**4 / (8 * coil**3 * active)


@dataclass(frozen=True, slots=True)
class CoilSpring:
    """A coil spring from its shape: rate in N/mm."""

    rate: float


def coil_spring(*, wire: float, coil: float, active: float, shear_modulus: float) -> CoilSpring:
    """Give the rate of a coil spring from its shape, as a named result.

    Args:
        wire: wire diameter, mm, above zero.
        coil: mean coil diameter, mm, above the wire diameter.
        active: active coils, above zero.
        shear_modulus: shear modulus of the wire, MPa, above zero.

    Returns:
        The rate: G d⁴ / (8 D³ n).

    Raises:
        Impossible: the coil is not wider than its wire, or an input is not above zero.
    """
    return CoilSpring(coil_rate(wire, coil, active, shear_modulus))


def valve_lift(cam_lift: float, rocker_ratio: float, lash: float = 0.0) -> float:
    """Give the lift at the valve.

    Args:
        cam_lift: lift of the cam lobe, mm, zero or more.
        rocker_ratio: rocker ratio, above zero (1 for a direct tappet).
        lash: lash at the valve, mm, zero or more.

    Returns:
        Lift at the valve, mm, zero or more.

    Raises:
        Impossible: an input is out of range.
    """
    not_negative(cam_lift=cam_lift, lash=lash)
    positive(rocker_ratio=rocker_ratio)
    return max(0.0, cam_lift * rocker_ratio - lash)


def coil_bind_margin(height: float, lift: float, solid_height: float) -> float:
    """Give the travel that is left before the spring goes solid at full lift.

    Args:
        height: installed height, mm, above zero.
        lift: lift at the valve, mm, zero or more.
        solid_height: height of the spring with its coils together, mm, above zero.

    Returns:
        The margin, mm; at or below zero the spring binds.

    Raises:
        Impossible: an input is out of range.
    """
    positive(height=height, solid_height=solid_height)
    not_negative(lift=lift)
    return height - lift - solid_height


def retainer_to_seal(closed_gap: float, lift: float) -> float:
    """Give the gap left between retainer and seal at full lift.

    Args:
        closed_gap: gap with the valve closed, mm, zero or more.
        lift: lift at the valve, mm, zero or more.

    Returns:
        The gap, mm; at or below zero the retainer strikes the seal.

    Raises:
        Impossible: an input is below zero.
    """
    not_negative(closed_gap=closed_gap, lift=lift)
    return closed_gap - lift
