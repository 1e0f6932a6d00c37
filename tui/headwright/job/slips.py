"""A figure far from what is expected is matched against the slips that people make, and the likely one is offered.

The sorts of slip are common practice, no source; a thimble turns once in 0.025 in or in 0.5 mm, as micrometers are
made.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.show import decimals, show, unit_of, unit_sign

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.plan import Plan, Reading, Unit

TURN_INCH = 0.635
"""mm: one turn of an inch thimble, 0.025 in."""
TURN_METRIC = 0.5
"""mm: one turn of a metric thimble."""
LIKELY_TURNS = 4
"""A misread of so many turns comes before swapped digits; of more, after them."""
MOST_TURNS = 40


class Doubt(Struct, frozen=True):
    """A figure in doubt: which slip it looks like, what to say, and the canonical value to offer (None: none)."""

    slip: str
    say: str
    offer: float | None = None


def question(value: float, window: tuple[float, float], reading: Reading, plan: Plan) -> Doubt | None:
    """Question a canonical figure that lies outside the span in which it is expected; None inside it."""
    low, high = window
    if low <= value <= high:
        return None
    unit = unit_of(plan, reading.unit, reading.dimension)
    places = decimals(reading.resolution, unit)
    found = next((f for f in _slips(value, reading, plan, unit, places) if low <= f[1] <= high), None)
    sign = unit_sign(unit.name)
    say = f"{show(value, unit, places)} {sign} is far from the {show((low + high) / 2, unit, places)} expected here"
    if found is None:
        return Doubt("far off", f"{say}.")
    name, offer = found
    return Doubt(name, f"{say}: {name}, {show(offer, unit, places)} {sign}?", offer)


def _slips(value: float, reading: Reading, plan: Plan, unit: Unit, places: int) -> Iterator[tuple[str, float]]:
    typed = (value - unit.offset) / unit.factor
    if typed < 0:
        yield "a lost sign", -typed * unit.factor + unit.offset
    for power in (-1, 1, -2, 2, -3, 3, -4, 4):
        yield "a decimal place", typed * 10.0**power * unit.factor + unit.offset
    for other in plan.units:
        if other.dimension == reading.dimension and other.name != unit.name:
            yield f"{unit_sign(other.name)} instead of {unit_sign(unit.name)}", typed * other.factor + other.offset
    if reading.dimension == "length":
        yield from _turned(value, unit, range(1, LIKELY_TURNS + 1))
    yield from _swapped(typed, unit, places)
    if reading.dimension == "length":
        yield from _turned(value, unit, range(LIKELY_TURNS + 1, MOST_TURNS + 1))
    if typed > 0 and unit.offset:
        yield "a lost sign", -typed * unit.factor + unit.offset


def _turned(value: float, unit: Unit, counts: range) -> Iterator[tuple[str, float]]:
    turn = TURN_INCH if unit.name == "in" else TURN_METRIC
    for count in counts:
        name = "one thimble turn" if count == 1 else f"{count} thimble turns"
        yield name, value - count * turn
        yield name, value + count * turn


def _swapped(typed: float, unit: Unit, places: int) -> Iterator[tuple[str, float]]:
    digits = f"{typed:.{places}f}"
    for i in range(len(digits) - 1):
        left, right = digits[i], digits[i + 1]
        if left.isdigit() and right.isdigit() and left != right:
            swapped = float(digits[:i] + right + left + digits[i + 2 :])
            yield "two digits swapped", swapped * unit.factor + unit.offset
