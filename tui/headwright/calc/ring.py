"""A thin ring squeezed from outside, past its yield point.

Elastic, perfectly plastic metal, von Mises yield, no stress along the axis (the ring is free to grow in length). Where
the metal has yielded, equilibrium and the yield rule alone set the stress, so it depends on the radius only; the angle
of Nadai's parametrisation (A. Nadai, Theory of Flow and Fracture of Solids, from memory) then gives it in closed
form. As that stress stays as it is while the squeeze goes on, the flow rule keeps its direction and the total plastic
strain follows it exactly. Compression counts positive here.
"""

from dataclasses import dataclass
from math import cos, exp, log, pi, sin, sqrt

# Steps of the displacement integration; 32 give the closure of a thin liner to better than 1e-9 of itself.
_STEPS = 32


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring: radii in mm, modulus and yield stress in MPa."""

    inner: float
    outer: float
    modulus: float
    poisson: float
    yield_stress: float

    @property
    def first_yield_pressure(self) -> float:
        """Outside pressure at which the bore starts to yield, MPa."""
        return self.yield_stress * (1 - (self.inner / self.outer) ** 2) / 2

    @property
    def limit_pressure(self) -> float:
        """Outside pressure at which the whole wall flows, MPa: no squeeze makes it more."""
        return self._plastic_stress(self.outer)[0]

    def _plastic_stress(self, radius: float) -> tuple[float, float]:
        """Give radial and hoop stress at a radius that has yielded, MPa."""
        wanted = log(radius / self.inner)
        low, high = 0.0, pi / 3
        angle = high / 2
        while low < angle < high:
            reached = sqrt(3) / 2 * (pi / 3 - angle) + log(sin(pi / 3) / sin(angle)) / 2
            low, high = (angle, high) if reached > wanted else (low, angle)
            angle = (low + high) / 2
        scale = 2 * self.yield_stress / sqrt(3)
        return scale * cos(angle + pi / 6), scale * cos(angle - pi / 6)

    def state(self, front: float) -> tuple[float, float]:
        """Give pressure and shrinkage of the outside when the wall has yielded out to a radius.

        Args:
            front: radius out to which the wall has yielded, mm, inner to outer.

        Returns:
            Outside pressure, MPa, and inward displacement of the outside, mm on radius.
        """
        radial, hoop = self._plastic_stress(front)
        level, swing = (radial + hoop) / 2, (hoop - radial) / 2 * (front / self.outer) ** 2
        shrink = self.outer / self.modulus * (level * (1 - self.poisson) + swing * (1 + self.poisson))
        return level - swing, shrink

    def bore_shrinkage(self, front: float, outer_shrinkage: float) -> float:
        """Give the shrinkage of the bore when the wall has yielded out to a radius.

        Args:
            front: radius out to which the wall has yielded, mm, inner to outer.
            outer_shrinkage: inward displacement of the outside, mm on radius; it counts where the whole wall flows,
                else the elastic rest of the wall sets the displacement at the front.

        Returns:
            Inward displacement of the bore, mm on radius.
        """
        if front >= self.outer:
            inward = outer_shrinkage
        else:
            radial, hoop = self._plastic_stress(front)
            inward = front * (hoop - self.poisson * radial) / self.modulus
        step = log(self.inner / front) / _STEPS
        place = log(front)
        for _ in range(_STEPS):
            first = self._slope(place, inward)
            second = self._slope(place + step / 2, inward + step / 2 * first)
            third = self._slope(place + step / 2, inward + step / 2 * second)
            fourth = self._slope(place + step, inward + step * third)
            inward += step / 6 * (first + 2 * second + 2 * third + fourth)
            place += step
        return inward

    def _slope(self, place: float, inward: float) -> float:
        """Give the growth of inward displacement with the logarithm of the radius, by the flow rule."""
        radius = max(exp(place), self.inner)
        radial, hoop = self._plastic_stress(radius)
        elastic_hoop = (hoop - self.poisson * radial) / self.modulus
        elastic_radial = (radial - self.poisson * hoop) / self.modulus
        flow = (2 * radial - hoop) / (2 * hoop - radial)
        return radius * elastic_radial + (inward - radius * elastic_hoop) * flow


@dataclass(frozen=True, slots=True)
class Squeeze:
    """A yielded ring in its boss: pressure in MPa, shrinkage of the bore in mm on radius."""

    pressure: float
    bore_shrinkage: float


def full_flow_squeeze(ring: Ring, boss_compliance: float) -> float:
    """Give the interference from which on the whole wall flows and grip no longer grows.

    Args:
        ring: the ring.
        boss_compliance: outward displacement of the boss bore for a pressure of 1 MPa, mm on radius.

    Returns:
        The interference, mm on radius.
    """
    pressure, shrink = ring.state(ring.outer)
    return shrink + boss_compliance * pressure


def squeeze(ring: Ring, interference: float, boss_compliance: float) -> Squeeze:
    """Solve a ring that yields in an elastic boss.

    Args:
        ring: the ring.
        interference: interference, mm on radius, enough to start yielding at the bore.
        boss_compliance: outward displacement of the boss bore for a pressure of 1 MPa, mm on radius.

    Returns:
        Pressure between ring and boss, and shrinkage of the bore.
    """
    if interference >= full_flow_squeeze(ring, boss_compliance):
        pressure = ring.limit_pressure
        outside = interference - boss_compliance * pressure
        return Squeeze(pressure, ring.bore_shrinkage(ring.outer, outside))
    low, high = ring.inner, ring.outer
    front = (low + high) / 2
    while low < front < high:
        pressure, outside = ring.state(front)
        low, high = (front, high) if outside + boss_compliance * pressure < interference else (low, front)
        front = (low + high) / 2
    pressure, outside = ring.state(front)
    return Squeeze(pressure, ring.bore_shrinkage(front, outside))
