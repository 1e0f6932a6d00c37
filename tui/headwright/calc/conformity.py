"""Does a measured size conform? Probability and guard band (JCGM 106:2012, ISO 14253-1:2017)."""

from dataclasses import dataclass
from enum import StrEnum

from headwright.calc.errors import CalcError, Impossible, finite, in_order, not_negative, positive
from headwright.calc.limits import SLACK, round_inward, within
from headwright.calc.student import cdf, quantile

# Probability from which on conformity counts as proven by default: ISO 14253-1:2017 (edition from memory).
PROOF = 0.95


class Verdict(StrEnum):
    """What a measurement shows about a size."""

    CONFORMS = "conforms"
    OUTSIDE = "does not conform"
    UNPROVEN = "not proven"


@dataclass(frozen=True, slots=True)
class Conformity:
    """Probability that the size keeps its limits, the range that proves it, and the verdict.

    The range is None at a limit that is not there; both ends are None where the limits lie too close together for
    this uncertainty, so that no reading can prove conformity.
    """

    probability: float
    accept_low: float | None
    accept_high: float | None
    verdict: Verdict


def _check(value: float, low: float | None, high: float | None) -> None:
    finite(value=value)
    if low is None and high is None:
        raise CalcError("conformity needs a low or a high limit")
    for name, limit in (("low", low), ("high", high)):
        if limit is not None:
            finite(**{name: limit})
    if low is not None and high is not None:
        in_order(low=low, high=high)


def conformity_probability(value: float, u: float, low: float | None, high: float | None) -> float:
    """Give the probability that a size keeps its limits, knowing a measured value of it.

    Args:
        value: measured value.
        u: standard uncertainty of it, same unit, zero or more.
        low: least size allowed, None for no such limit.
        high: most size allowed, None for no such limit.

    Returns:
        The probability, 0 to 1, for a normal distribution about the value.

    Raises:
        CalcError: neither limit is given.
        Impossible: limits out of order, or an input out of range.
    """
    _check(value, low, high)
    not_negative(u=u)
    if u == 0:
        return 1.0 if within(value, low, high) else 0.0
    below = 1.0 if high is None else cdf((high - value) / u)
    return max(0.0, below - (0.0 if low is None else cdf((low - value) / u)))


def plain(value: float, low: float | None, high: float | None) -> Verdict:
    """Judge by plain limits, which share the risk of the uncertainty with the customer.

    Args:
        value: measured value.
        low: least size allowed, None for no such limit.
        high: most size allowed, None for no such limit.

    Returns:
        Conforms inside or on the limits, else does not conform.

    Raises:
        CalcError: neither limit is given.
        Impossible: limits out of order, or the value is no number.
    """
    _check(value, low, high)
    return Verdict.CONFORMS if within(value, low, high) else Verdict.OUTSIDE


def conformity(
    *,
    value: float,
    u: float,
    low: float | None = None,
    high: float | None = None,
    proof: float = PROOF,
    step: float | None = None,
) -> Conformity:
    """Judge by guard band: conformity and its contrary both need proof.

    Args:
        value: measured value.
        u: standard uncertainty of it, same unit, zero or more.
        low: least size allowed, None for no such limit.
        high: most size allowed, None for no such limit.
        proof: probability that counts as proof, from 0.5 up to 1, both excluded (0.95 puts 1.645 u at each limit).
        step: round the accepted range inward to this step, same unit; None leaves it unrounded.

    Returns:
        Probability of conformity, accepted range and verdict.

    Raises:
        CalcError: neither limit is given.
        Impossible: limits out of order, or an input out of range.
    """
    chance = conformity_probability(value, u, low, high)
    if not 0.5 < proof < 1:
        raise Impossible(f"proof must be between 0.5 and 1, such as 0.95, not {proof:g}")
    guard = quantile(proof) * u
    accept_low, accept_high = acceptance(low=low, high=high, guard=guard, step=step)
    if (low is not None and value < low - guard - SLACK) or (high is not None and value > high + guard + SLACK):
        verdict = Verdict.OUTSIDE
    elif (accept_low, accept_high) != (None, None) and within(value, accept_low, accept_high):
        verdict = Verdict.CONFORMS
    else:
        verdict = Verdict.UNPROVEN
    return Conformity(chance, accept_low, accept_high, verdict)


def acceptance(
    *, low: float | None, high: float | None, guard: float, step: float | None = None
) -> tuple[float | None, float | None]:
    """Give the range that a reading must lie in with a guard band at each limit.

    Args:
        low: least size allowed, None for no such limit.
        high: most size allowed, None for no such limit.
        guard: width of the guard band, same unit, zero or more.
        step: round inward to this step, same unit, above zero; None leaves it unrounded.

    Returns:
        Least and most reading accepted; None at a limit that is not there, and both None where nothing is left.

    Raises:
        Impossible: an input is out of range.
    """
    not_negative(guard=guard)
    least = None if low is None else low + guard
    most = None if high is None else high - guard
    if least is not None and most is not None and least > most:
        return None, None
    if step is None:
        return least, most
    positive(step=step)
    try:
        rounded = round_inward(least, most, step)
    except Impossible:
        return None, None
    return rounded.low, rounded.high
