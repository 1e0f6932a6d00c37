"""Press fits: contact pressure, stresses, bore closure and push-out force, with a liner that may yield.

Elastic part: two thick cylinders (Lamé); the sum is in every text on machine design, for one Budynas and Nisbett,
Shigley's Mechanical Engineering Design, 8th edition. All interferences are on diameter.
"""

from dataclasses import dataclass
from math import pi

from headwright.calc.errors import Impossible, finite, not_negative, positive
from headwright.calc.ring import Ring, full_flow_squeeze, squeeze
from headwright.calc.thermal import grown


@dataclass(frozen=True, slots=True)
class PressFit:
    """A press fit: stresses in MPa (tension positive), closure and interference in mm on diameter, force in N."""

    elastic_pressure: float
    pressure: float
    yields: bool
    inner_bore_hoop: float
    outer_bore_hoop: float
    bore_closure: float
    push_out: float | None
    full_grip_interference: float | None


def press_fit(
    *,
    inner_bore: float,
    contact: float,
    outer: float,
    interference: float,
    inner_modulus: float,
    inner_poisson: float,
    outer_modulus: float,
    outer_poisson: float,
    inner_yield: float | None = None,
    friction: float | None = None,
    length: float | None = None,
) -> PressFit:
    """Give the state of a tube or solid part pressed into a boss.

    With a yield stress the inner part is taken as elastic, perfectly plastic and free along its axis: once its whole
    wall flows, the pressure stays at its limit, more interference only closes the bore. The boss is taken as elastic;
    hold its hoop stress against its strength (grey iron has no yield). The ends of a real part, about one wall
    thickness, close less than the figure.

    Args:
        inner_bore: bore of the inner part, mm, 0 for a solid one.
        contact: diameter where the two meet, mm, above the bore.
        outer: outside diameter of the boss, mm, above the contact.
        interference: interference on diameter, mm; at or below zero the part is loose and nothing presses.
        inner_modulus: Young's modulus of the inner part, MPa, above zero.
        inner_poisson: Poisson's ratio of the inner part, 0 up to 0.5.
        outer_modulus: Young's modulus of the boss, MPa, above zero.
        outer_poisson: Poisson's ratio of the boss, 0 up to 0.5.
        inner_yield: yield stress of the inner part, MPa; None keeps it elastic.
        friction: friction coefficient, zero or more, for the push-out force.
        length: length of the fit, mm, above zero, for the push-out force.

    Returns:
        Pressure by elastic theory, true pressure, whether the inner part yields, hoop stress at its bore (at the
        centre of a solid part) and at the boss bore, closure of the bore, push-out force (friction · pressure · area,
        None without friction and length), and the interference beyond which grip stops growing.

    Raises:
        Impossible: diameters out of order, or an input out of range.
    """
    _check(inner_bore, contact, outer, interference)
    positive(inner_modulus=inner_modulus, outer_modulus=outer_modulus)
    for name, ratio in (("inner poisson", inner_poisson), ("outer poisson", outer_poisson)):
        if not 0 <= ratio <= 0.5:
            raise Impossible(f"{name} must be from 0 to 0.5, not {ratio:g}")
    inner_flex = contact / 2 / inner_modulus * (_ratio(inner_bore, contact) - inner_poisson)
    boss_flex = contact / 2 / outer_modulus * (_ratio(contact, outer) + outer_poisson)
    squeezed = max(0.0, interference) / 2
    elastic = squeezed / (inner_flex + boss_flex)
    pressure, yields, full = elastic, False, None
    hoop = -elastic * (2 * contact**2 / (contact**2 - inner_bore**2) if inner_bore else 1)
    closure = -hoop * inner_bore / inner_modulus
    if inner_yield is not None:
        positive(inner_yield=inner_yield)
        if not inner_bore:
            # A solid part under equal pressure all round yields as a whole.
            full = 2 * inner_yield * (inner_flex + boss_flex)
            pressure = min(elastic, inner_yield)
            hoop, yields = -pressure, elastic > inner_yield
        else:
            ring = Ring(inner_bore / 2, contact / 2, inner_modulus, inner_poisson, inner_yield)
            full = 2 * full_flow_squeeze(ring, boss_flex)
            if elastic > ring.first_yield_pressure:
                state = squeeze(ring, squeezed, boss_flex)
                pressure, yields = state.pressure, True
                hoop, closure = -inner_yield, 2 * state.bore_shrinkage
    force = None
    if friction is not None and length is not None:
        force = push_out(pressure=pressure, contact=contact, length=length, friction=friction)
    return PressFit(
        elastic_pressure=elastic,
        pressure=pressure,
        yields=yields,
        inner_bore_hoop=hoop,
        outer_bore_hoop=pressure * _ratio(contact, outer),
        bore_closure=closure,
        push_out=force,
        full_grip_interference=full,
    )


def _check(inner_bore: float, contact: float, outer: float, interference: float) -> None:
    not_negative(inner_bore=inner_bore)
    positive(contact=contact, outer=outer)
    finite(interference=interference)
    if inner_bore >= contact:
        raise Impossible(f"inner bore ({inner_bore:g}) must be below the contact diameter ({contact:g})")
    if contact >= outer:
        raise Impossible(f"contact diameter ({contact:g}) must be below the outer diameter ({outer:g})")
    if interference >= contact:
        raise Impossible(f"interference ({interference:g}) must be far below the contact diameter ({contact:g})")


def _ratio(inside: float, outside: float) -> float:
    """Give (outside² + inside²) / (outside² - inside²), the hoop stress of a ring per unit pressure."""
    return (outside**2 + inside**2) / (outside**2 - inside**2)


def push_out(*, pressure: float, contact: float, length: float, friction: float) -> float:
    """Give the force that pushes a pressed part out.

    Args:
        pressure: contact pressure, MPa, zero or more.
        contact: contact diameter, mm, above zero.
        length: length of the fit, mm, above zero.
        friction: friction coefficient, zero or more.

    Returns:
        The force, N: friction · pressure · contact area.

    Raises:
        Impossible: an input is out of range.
    """
    not_negative(pressure=pressure, friction=friction)
    positive(contact=contact, length=length)
    return friction * pressure * pi * contact * length


def assembly_clearance(
    *,
    hole: float,
    part: float,
    hole_expansion: float,
    hole_temperature: float,
    part_expansion: float,
    part_temperature: float,
) -> float:
    """Give the clearance of a fit with the head heated or the part chilled.

    Hot heads and dry ice or liquid nitrogen burn; wear the protection that the shop's cautions name, and keep to the
    head maker's highest temperature.

    Args:
        hole: hole at 20 °C, mm, above zero.
        part: part at 20 °C, mm, above zero.
        hole_expansion: expansion coefficient of the head, 1/K.
        hole_temperature: temperature of the head, °C.
        part_expansion: expansion coefficient of the part, 1/K.
        part_temperature: temperature of the part, °C.

    Returns:
        The clearance, mm; above zero the part drops in, below zero that much must still be pressed.

    Raises:
        Impossible: an input is out of range.
    """
    return grown(hole, hole_expansion, hole_temperature) - grown(part, part_expansion, part_temperature)


def hot_interference(
    *,
    interference: float,
    contact: float,
    inner_expansion: float,
    outer_expansion: float,
    temperature: float,
) -> float:
    """Give the interference of a fit when both parts run at one temperature.

    Args:
        interference: interference at 20 °C, mm on diameter.
        contact: contact diameter, mm, above zero.
        inner_expansion: expansion coefficient of the inner part, 1/K.
        outer_expansion: expansion coefficient of the boss, 1/K.
        temperature: running temperature, °C.

    Returns:
        The interference, mm on diameter; below zero the part is loose when hot.

    Raises:
        Impossible: an input is out of range.
    """
    finite(interference=interference)
    inner = grown(contact + interference, inner_expansion, temperature)
    return inner - grown(contact, outer_expansion, temperature)
