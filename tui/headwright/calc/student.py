"""The normal and Student's t distribution in plain Python, so that no key press waits for a large library."""

from functools import lru_cache
from math import exp, inf, isinf, isnan, lgamma, log, log1p, sqrt
from statistics import NormalDist

from headwright.calc.errors import CalcError, Impossible, finite

_NORMAL = NormalDist()
_TINY = 1e-300
_MANY = 1e5


def cdf(t: float, dof: float = inf) -> float:
    """Give the probability that a t variate stays at or below a value.

    Args:
        t: the value; infinities are allowed.
        dof: degrees of freedom, above zero; infinite for the normal distribution.

    Returns:
        The probability, 0 to 1, good to about 1e-10.

    Raises:
        Impossible: the value is no number, or the degrees of freedom are not above zero.
    """
    if isnan(t):
        raise Impossible("t must be a number, not nan")
    _check(dof)
    if isinf(t):
        return 0.0 if t < 0 else 1.0
    if isinf(dof):
        return _NORMAL.cdf(t)
    if dof > _MANY:
        # The gamma functions would lose their digits; the first term of the expansion in 1/dof is good to 1e-10 here.
        return _NORMAL.cdf(t) - _NORMAL.pdf(t) * (t**3 + t) / (4 * dof)
    tail = _beta(dof / (dof + t * t), t * t / (dof + t * t), dof / 2, 0.5) / 2
    return tail if t < 0 else 1 - tail


@lru_cache(maxsize=512)
def quantile(probability: float, dof: float = inf) -> float:
    """Give the value that a t variate stays below with a probability.

    Args:
        probability: between 0 and 1, both excluded.
        dof: degrees of freedom, above zero; infinite for the normal distribution.

    Returns:
        The value.

    Raises:
        Impossible: an input is out of range.
    """
    finite(probability=probability)
    _check(dof)
    if not 0 < probability < 1:
        raise Impossible(f"probability must be between 0 and 1, not {probability:g}")
    if isinf(dof):
        return _NORMAL.inv_cdf(probability)
    if probability < 0.5:
        return -quantile(1 - probability, dof)
    low, high = 0.0, 1.0
    while cdf(high, dof) < probability:
        low, high = high, high * 2
    middle = (low + high) / 2
    while low < middle < high:
        low, high = (middle, high) if cdf(middle, dof) < probability else (low, middle)
        middle = (low + high) / 2
    return middle


def factor(coverage: float, dof: float = inf) -> float:
    """Give the two-sided coverage factor.

    Args:
        coverage: share of the distribution to cover, between 0 and 1, both excluded.
        dof: degrees of freedom, above zero; infinite for the normal distribution.

    Returns:
        The factor that a standard uncertainty is multiplied by.

    Raises:
        Impossible: an input is out of range.
    """
    finite(coverage=coverage)
    if not 0 < coverage < 1:
        raise Impossible(f"coverage must be between 0 and 1, such as 0.95, not {coverage:g}")
    return quantile((1 + coverage) / 2, dof)


def _check(dof: float) -> None:
    if not dof > 0:
        raise Impossible(f"degrees of freedom must be above zero, not {dof:g}")


def _beta(x: float, rest: float, a: float, b: float) -> float:
    """Give the regularised incomplete beta function; rest is 1 - x, kept apart so that neither end loses digits."""
    if x <= 0:
        return 0.0
    if rest <= 0:
        return 1.0
    log_x = log(x) if x < 0.5 else log1p(-rest)
    log_rest = log(rest) if rest < 0.5 else log1p(-x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log_x + b * log_rest)
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(rest, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """Evaluate the continued fraction of the incomplete beta function by Lentz's method."""
    front, back = 1.0, 1 / _away(1 - (a + b) * x / (a + 1))
    value = back
    for step in range(1, 20 + 5 * int(sqrt(max(a, b)) + 20)):
        even = step * (b - step) * x / ((a + 2 * step - 1) * (a + 2 * step))
        odd = -(a + step) * (a + b + step) * x / ((a + 2 * step) * (a + 2 * step + 1))
        for part in (even, odd):
            back = 1 / _away(1 + part * back)
            front = _away(1 + part / front)
            change = back * front
            value *= change
        if abs(change - 1) < 1e-15:
            return value
    raise CalcError(f"the t distribution was not reached for {2 * max(a, b):g} degrees of freedom")


def _away(number: float) -> float:
    """Keep a divisor off zero."""
    return number if abs(number) > _TINY else _TINY
