"""Uncertainty of a result from its components, after JCGM 100:2008 (GUM)."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, fsum, inf, isinf, isnan, sqrt

from headwright.calc.errors import Impossible, NotEnough, finite, not_negative, positive
from headwright.calc.student import factor

# Divisors of the usual distributions (GUM 4.3): a limit of that shape over its divisor is a standard uncertainty.
NORMAL, RECTANGULAR, TRIANGULAR, U_SHAPED = 1.0, sqrt(3), sqrt(6), sqrt(2)


@dataclass(frozen=True, slots=True)
class Component:
    """One component: a value (half-width or standard uncertainty), its divisor, degrees of freedom, sensitivity."""

    value: float
    divisor: float = NORMAL
    dof: float = inf
    sensitivity: float = 1.0

    @property
    def standard(self) -> float:
        """Standard uncertainty that the component brings to the result."""
        return abs(self.sensitivity) * self.value / self.divisor


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Combined standard uncertainty, effective degrees of freedom, coverage factor and expanded uncertainty."""

    combined: float
    dof: float
    k: float
    expanded: float


def uncertainty(components: Sequence[Component], coverage: float = 0.95) -> Uncertainty:
    """Combine independent components.

    Args:
        components: at least one; values zero or more, divisors and degrees of freedom above zero.
        coverage: probability to cover, between 0 and 1.

    Returns:
        Root sum of squares; effective degrees of freedom by Welch and Satterthwaite (GUM G.4, given unrounded); the
        factor from Student's t at the next lower whole number, as the GUM advises; and factor times combined.

    Raises:
        NotEnough: no component is given, or their effective degrees of freedom fall below one.
        Impossible: an input is out of range.
    """
    if not components:
        raise NotEnough("an uncertainty needs at least one component")
    for each in components:
        not_negative(value=each.value)
        positive(divisor=each.divisor)
        finite(sensitivity=each.sensitivity)
        if isnan(each.dof) or each.dof <= 0:
            raise Impossible(f"degrees of freedom must be above zero, not {each.dof:g}")
    combined = sqrt(fsum(each.standard**2 for each in components))
    # Shares, not powers of the values: those of a tenth of a micron would vanish in the fourth power.
    loss = 0.0 if combined == 0 else fsum((each.standard / combined) ** 4 / each.dof for each in components)
    dof = inf if loss == 0 else 1 / loss
    if dof < 1 - 1e-9:
        raise NotEnough("fewer than one effective degree of freedom; repeat the readings")
    k = factor(coverage, dof if isinf(dof) else floor(dof + 1e-9))
    return Uncertainty(combined, dof, k, k * combined)


def of_mean(s: float, count: int) -> Component:
    """Give the component of a mean of repeated readings (type A).

    Args:
        s: standard deviation of one reading, zero or more.
        count: readings averaged, two or more.

    Returns:
        The component: s over the root of the count, count - 1 degrees of freedom.

    Raises:
        NotEnough: fewer than two readings.
        Impossible: s is below zero.
    """
    not_negative(s=s)
    if count < 2:
        raise NotEnough(f"the spread of readings needs two of them, there is {count}")
    return Component(s, sqrt(count), count - 1)


def of_dof(relative: float) -> float:
    """Give the degrees of freedom of an estimate whose own uncertainty is judged.

    Args:
        relative: relative uncertainty of the standard uncertainty, above zero (0.25 for "to a quarter").

    Returns:
        Degrees of freedom, GUM G.4.2: one over twice the square.

    Raises:
        Impossible: the input is not above zero.
    """
    positive(relative=relative)
    return 1 / (2 * relative**2)
