"""Limits: a value on a limit is inside, and limits that change unit round inward."""

from dataclasses import dataclass
from math import ceil, floor

from headwright.calc.errors import Impossible, finite, in_order, positive

# Far below any gauge, mm; it lets 0.3450 in less 0.3435 in meet a limit of 0.0015 in.
SLACK = 1e-7


def within(value: float, low: float | None, high: float | None, slack: float = SLACK) -> bool:
    """Tell whether a value keeps its limits.

    Args:
        value: the value.
        low: least value allowed, in the same unit; None for no such limit.
        high: most value allowed, in the same unit; None for no such limit.
        slack: what the sums of floating point may be off by, in the same unit.

    Returns:
        True where the value lies inside or on a limit.

    Raises:
        Impossible: the value is no number.
    """
    finite(value=value)
    return (low is None or value >= low - slack) and (high is None or value <= high + slack)


@dataclass(frozen=True, slots=True)
class Limits:
    """Least and most value, either of which may be open."""

    low: float | None
    high: float | None


def round_inward(low: float | None, high: float | None, step: float) -> Limits:
    """Round limits to a step so that the rounded ones never allow more than the true ones.

    Args:
        low: least value, None for no such limit.
        high: most value, None for no such limit.
        step: step to round to, in the same unit, above zero.

    Returns:
        The least value rounded up and the most value rounded down.

    Raises:
        Impossible: no multiple of the step lies between the limits, they are out of order, or an input is out of range.
    """
    positive(step=step)
    if low is not None and high is not None:
        in_order(low=low, high=high)
    # A limit that is a multiple of the step but for floating point stays what it is.
    least = None if low is None else _tidy(ceil(low / step - 1e-6), step)
    most = None if high is None else _tidy(floor(high / step + 1e-6), step)
    if least is not None and most is not None and least > most:
        raise Impossible(f"no multiple of {step:g} lies between {low:g} and {high:g}")
    return Limits(least, most)


def _tidy(count: int, step: float) -> float:
    return round(count * step, 12)
