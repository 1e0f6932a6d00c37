"""A figure that was entered before its last digits, it seems: `.31` where `.3133` was to be typed.

Noughts at the end of a figure are left out by habit, so `.313` for .3130 is no slip. What the figures around make
likely decides, and how much seldomer two noughts are left out than one. The shares are our own estimate.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.show import decimals
from headwright.job.slips import ALONE, COUNTS, DIGITS, Doubt, Likely, unit_meant

if TYPE_CHECKING:
    from headwright.job.slips import Nearby
    from headwright.procedure.plan import Plan, Reading, Unit

NOT_FINISHED = "an unfinished figure"
"""Name of the doubt."""
TOO_EARLY = 0.01
"""How often Enter comes before the last digits do."""
LEFT_OUT = {1: 0.3, 2: 0.03}
"""How often so many noughts at the end are not typed; more of them as seldom as two."""
MOST_TRIED = 4
"""Digits at the end that are tried: with more missing, the first of them decide."""


class Short(Struct, frozen=True):
    """A figure that was hardly finished: what it was likely going to be (canonical), and how many digits it lacks."""

    likely: float
    missing: int


def cut_short(
    value: float,
    window: tuple[float, float] | None,
    reading: Reading,
    plan: Plan,
    *,
    typed: str,
    unit: str = "",
    nearby: Nearby = ALONE,
) -> Short | None:
    """Tell a length that was hardly typed to its end from one whose noughts were left out.

    Args:
        value: the figure, canonical.
        window: the span in which it is expected, canonical; None where nothing is.
        reading: what is being read.
        plan: the job's plan, for its units.
        typed: the text as it was typed.
        unit: the unit in which it was typed; empty: the reading's own.
        nearby: the figures around.

    Returns:
        What it was likely going to be; None where it is likelier to be meant as it stands, or nothing is expected.
    """
    if window is None or reading.dimension != "length" or not value or not window[0] <= value <= window[1]:
        return None
    meant = unit_meant(unit, reading, plan)
    places, there = decimals(reading.resolution, meant), _decimals_typed(value, typed, meant)
    if there is None or there >= places:
        return None
    missing = places - there
    tried = min(missing, MOST_TRIED)
    step = math.copysign(10.0 ** -(there + tried) * meant.factor, value)
    likely = Likely(window, abs(step), nearby)
    longer = [value + count * step for count in range(1, 10**tried)]
    scores = [likely(figure) for figure in longer]
    if TOO_EARLY * sum(scores) <= LEFT_OUT.get(missing, LEFT_OUT[2]) * likely(value):
        return None
    return Short(longer[scores.index(max(scores))], missing)


def unfinished(short: Short, typed: str) -> Doubt:
    """Question a text that was hardly typed to its end; which digits were to follow is not guessed."""
    count = COUNTS[short.missing] if short.missing < len(COUNTS) else str(short.missing)
    digits = f"{count} {'digit' if short.missing == 1 else 'digits'}"
    return Doubt(NOT_FINISHED, f"{typed.strip()} has {digits} fewer than are read here: not finished?")


def _decimals_typed(value: float, typed: str, unit: Unit) -> int | None:
    """Count the decimals that were typed, those of digits without their point too; None where they do not tell."""
    match = DIGITS.match(typed.strip())
    _, whole, after = match.groups() if match else ("", "", "")
    if not (whole or after) or "/" in typed:
        return None
    number, bare = abs(value - unit.offset) / unit.factor, float(f"{whole or 0}.{after or 0}")
    if math.isclose(number, bare, rel_tol=1e-9):
        return len(after)
    moved = round(math.log10(bare / number)) if bare else 0
    return moved if not after and moved > 0 and math.isclose(number * 10.0**moved, bare, rel_tol=1e-9) else None
