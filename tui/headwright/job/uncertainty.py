"""How far a figure may be off: from the gauge that each reading was taken with, carried to what is worked out (GUM).

The standard uncertainty of a reading is half of the expanded one (k = 2) that the kit gives its gauge, and together
with it half of the ring's where the gauge was zeroed on one. The kit's figure is taken to hold for one reading with
that gauge in this work, its resolution included, so nothing is added for that. Readings that are repeated at a point
take nothing off: what they share, the gauge and its zero, does not average out.

Readings of one gauge share some of its error, nobody knows how much. With the same correlation between any two of them,
from none to all, the square of the uncertainty lies between both ends, so the greater of the two holds. Readings of
different gauges are taken as independent, and rings that two gauges were zeroed on as well.
"""

from __future__ import annotations

from math import ceil, floor, fsum, hypot, log10, sqrt
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from headwright.job.show import FINEST, decimals, unit_of, unit_sign
from headwright.job.verdict import Verdict

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from headwright.job.figures import Figure
    from headwright.job.gauges import GaugeNow
    from headwright.job.index import PointKey
    from headwright.job.state import Taken
    from headwright.procedure.plan import Plan, Reading, Result, Unit

    Spot = tuple[str, str, PointKey]
    """One point of a reading: its operation, the place and the point."""
    Moved = Mapping[Spot, float]
    """By how much readings are moved, to see what comes of it."""

COVERAGE = 2.0
"""The factor k between standard and expanded uncertainty, here and in the kit."""
_STEP, _APART = 1e-5, 1e-4
"""A reading is moved by this share of its uncertainty; before, readings that are equal are moved so far apart."""


class Known(NamedTuple):
    """What a sum rests on: a reading's standard uncertainty (canonical, above zero) and the gauge that it is of."""

    spot: Spot
    standard: float
    gauge: str


def of_gauge(gauge: GaugeNow | None) -> float | None:
    """Give the standard uncertainty of a reading with a gauge, canonical; None where the kit gives the gauge none."""
    if gauge is None or gauge.uncertainty <= 0:
        return None
    ring = gauge.check.uncertainty if gauge.check is not None else 0.0
    return hypot(gauge.uncertainty, ring) / COVERAGE


def of_taken(taken: Taken) -> tuple[float, str] | None:
    """Give the standard uncertainty of the figure at a point with the gauge that it is of; None where it is not known.

    Of figures that repeat one another the least certain one counts.
    """
    found = [(each.uncertainty, each.event.gauge) for each in (*taken.others, taken)]
    known = [(uncertainty, gauge) for uncertainty, gauge in found if uncertainty is not None]
    return max(known) if len(known) == len(found) else None


def carried(work: Callable[[Moved], float | None], inputs: Sequence[Known]) -> float | None:
    """Carry the uncertainty of readings to what is worked out from them.

    Args:
        work: works the sum out with its readings moved by so much; None where it has no answer.
        inputs: the readings that the sum rests on, each once.

    Returns:
        The combined standard uncertainty, in the unit of the sum; None where the sum has no answer beside its readings.

    Source: JCGM 100:2008 (GUM), 5.1 and 5.2, with partial derivatives from differences. Where equal readings leave open
    which is the least or the greatest, one of them is, and of the ways to choose it the less certain one counts.
    """
    if not inputs:
        return 0.0
    ranked = sorted(inputs, key=lambda known: known.standard)
    found = [_carried(work, ranked, side) for side in (1.0, -1.0)]
    return None if None in found else max(u for u in found if u is not None)


def _carried(work: Callable[[Moved], float | None], ranked: Sequence[Known], side: float) -> float | None:
    moved = {known.spot: side * rank * known.standard * _APART for rank, known in enumerate(ranked, 1)}
    base = work(moved)
    if base is None:
        return None
    shares: dict[str, list[float]] = {}
    for known in ranked:
        here = moved[known.spot]
        moved[known.spot] = here + known.standard * _STEP
        beside = work(moved)
        moved[known.spot] = here
        if beside is None:
            return None
        shares.setdefault(known.gauge, []).append((beside - base) / _STEP)
    return sqrt(fsum(_together(each) for each in shares.values()))


def _together(shares: Iterable[float]) -> float:
    """Give the square of what the readings of one gauge bring to a sum, whatever they share of its error."""
    each = list(shares)
    return max(fsum(share**2 for share in each), fsum(each) ** 2)


def uncertainty_words(plan: Plan, item: Reading | Result, figure: Figure) -> str:
    """Give the expanded uncertainty of a figure, two digits rounded up: `U 0.00017 in (k = 2)`; empty without one."""
    if not figure.uncertain:
        return ""
    unit = replace(unit_of(plan, item.unit, item.dimension), offset=0.0)  # a span has none, as temperatures have
    digits = f"{_digits(figure.uncertain, unit, _places(plan, item, figure), ceil)} {unit_sign(unit.name)}".rstrip()
    return f"U {digits} (k = {COVERAGE:g})"


def proof_words(plan: Plan, item: Reading | Result, figure: Figure) -> str:
    """Say in a sentence or two how a figure that has to be proved stands; empty where plain limits hold.

    Args:
        plan: the job's plan, for its units.
        item: the reading or result.
        figure: what it came to.
    """
    if not figure.proof or figure.verdict in {Verdict.OPEN, Verdict.FREE}:
        return ""
    if figure.lacks:
        return f"Nothing is proved: {figure.lacks} names no gauge of known uncertainty."
    if figure.uncertain is None:
        return "Nothing is proved: its uncertainty cannot be worked out from these readings."
    said = uncertainty_words(plan, item, figure)
    if not said:
        return ""  # it rests on no reading
    bottom, top = figure.proving
    if bottom is None and top is None:
        return f"{said}: the limits lie too close together for any figure to prove them."
    places, unit = _places(plan, item, figure), unit_of(plan, item.unit, item.dimension)
    low = "" if bottom is None else _digits(bottom, unit, places, ceil)
    high = "" if top is None else _digits(top, unit, places, floor)
    span = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}"
    return f"{said}: {span} {unit_sign(unit.name)}".rstrip() + " proves the limits, by guard band."


def _places(plan: Plan, item: Reading | Result, figure: Figure) -> int:
    """Give the decimals that show the uncertainty with two digits, and no fewer than those of the item."""
    unit = unit_of(plan, item.unit, item.dimension)
    least = decimals(item.resolution, unit)
    if not figure.uncertain:
        return least
    return min(FINEST, max(least, 1 - floor(log10(figure.uncertain / unit.factor))))


def _digits(value: float, unit: Unit, places: int, rounded: Callable[[float], int]) -> str:
    """Give a canonical figure as digits in a unit, rounded to the safe side."""
    steps = rounded(round((value - unit.offset) / unit.factor * 10**places, 6))
    return f"{steps / 10**places + 0.0:.{places}f}"
