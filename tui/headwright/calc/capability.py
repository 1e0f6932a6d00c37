"""How well a set of sizes keeps its limits: mean, standard deviation, Pp and Ppk."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt

from headwright.calc.errors import CalcError, NotEnough, finite, in_order, positive
from headwright.calc.student import quantile

# Below this count an index is called indicative; common practice, no source.
FEW = 30


@dataclass(frozen=True, slots=True)
class Sample:
    """A set of values: count, mean and standard deviation (n - 1)."""

    count: int
    mean: float
    s: float


def sample(values: Sequence[float]) -> Sample:
    """Give mean and standard deviation of a set of values.

    Args:
        values: the values, at least two.

    Returns:
        Count, mean, and standard deviation with n - 1.

    Raises:
        NotEnough: fewer than two values.
        Impossible: a value is no number.
    """
    if len(values) < 2:
        raise NotEnough(f"a standard deviation needs two values, there {_count(len(values))}")
    for value in values:
        finite(value=value)
    # Taken off the first value so that large sizes with a small spread keep their digits.
    offsets = [value - values[0] for value in values]
    middle = fsum(offsets) / len(offsets)
    variance = fsum((offset - middle) ** 2 for offset in offsets) / (len(offsets) - 1)
    return Sample(len(values), values[0] + middle, sqrt(variance))


def _count(number: int) -> str:
    return "is 1" if number == 1 else f"are {number}"


@dataclass(frozen=True, slots=True)
class Capability:
    """Capability indices, and what to say of a small sample.

    pp is None where a limit is missing; surely_ppk is the Ppk that is exceeded with 95 % confidence, None where the
    count is not known.
    """

    pp: float | None
    ppk: float
    surely_ppk: float | None
    remark: str


def capability(
    *,
    mean: float,
    s: float,
    low: float | None = None,
    high: float | None = None,
    count: int | None = None,
) -> Capability:
    """Give Pp and Ppk.

    Args:
        mean: mean of the values.
        s: standard deviation, same unit, above zero.
        low: least value allowed, None for no such limit.
        high: most value allowed, None for no such limit.
        count: how many values stand behind it, 2 or more; None if not known.

    Returns:
        (high - low)/6s, the distance of the nearer limit over 3s, its one-sided 95 % confidence bound (Bissell's
        approximation, from memory), and a remark.

    Raises:
        CalcError: neither limit is given.
        NotEnough: a count below two.
        Impossible: an input is out of range.
    """
    finite(mean=mean)
    positive(s=s)
    if low is not None:
        finite(low=low)
    if high is not None:
        finite(high=high)
    rooms = []
    if low is not None:
        rooms.append(mean - low)
    if high is not None:
        rooms.append(high - mean)
    if not rooms:
        raise CalcError("capability needs a low or a high limit")
    pp = None
    if low is not None and high is not None:
        in_order(low=low, high=high)
        pp = (high - low) / (6 * s)
    ppk = min(rooms) / (3 * s)
    if count is None:
        return Capability(pp, ppk, None, "")
    if count < 2:
        raise NotEnough("a standard deviation needs two values")
    surely = ppk - quantile(0.95) * sqrt(1 / (9 * count) + ppk**2 / (2 * (count - 1)))
    remark = ""
    if count < FEW:
        remark = f"indicative: only {count} values; with 95 % confidence Ppk is above {surely:.2f}"
    return Capability(pp, ppk, surely, remark)


def capability_of(values: Sequence[float], low: float | None = None, high: float | None = None) -> Capability:
    """Give Pp and Ppk of a set of values.

    Args:
        values: the values, at least two that differ.
        low: least value allowed, None for no such limit.
        high: most value allowed, None for no such limit.

    Returns:
        The indices with a remark where the sample is small.

    Raises:
        CalcError: neither limit is given.
        NotEnough: fewer than two values, or all alike.
        Impossible: a value is no number.
    """
    taken = sample(values)
    if taken.s == 0:
        raise NotEnough("all values are alike; the gauge's resolution hides their spread")
    return capability(mean=taken.mean, s=taken.s, low=low, high=high, count=taken.count)
