"""A figure far from what is expected is matched against the slips that people make, and the likely one is offered.

The sorts of slip are common practice, no source; a thimble turns once in 0.025 in or in 0.5 mm, as micrometers are
made. How often each sort happens is our own estimate: it only decides between slips that explain a figure both.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from headwright.job.show import decimals, show, unit_of, unit_sign

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from headwright.procedure.plan import Plan, Reading, Unit

TURNS = {"an inch": (0.635, 40), "a metric": (0.5, 50)}
"""mm: one turn of a thimble, 0.025 in and 0.5 mm; and the turns that a micrometer of one inch or 25 mm has."""
POWERS = {1: 0.1, 2: 0.03, 3: 0.03, 4: 0.02}
"""Places by which a point is moved either way, with how often."""
ODDDIGITS = 0.2
"""How much seldomer a moved point is where the figure meant would have more or fewer decimals than the gauge shows."""
OWN_TURN, OTHER_TURN = 0.1, 0.025
"""How often one turn is misread either way: of a thimble divided in the unit that was typed, and in the other."""
UNIT, SELDOM_UNIT = 0.15, 0.02
SWAPPED = 0.2
WRONG_SIGN, LOST_SIGN = 0.3, 0.1
"""How often a sign is wrong where one was typed, and where none was."""
TELLING = 3
"""Digits from which two equal figures are hardly equal by chance."""
REPEATED, REPEATED_SHORT = 0.2, 0.04
"""How often a figure is that of another point again: one of so many digits, and one of fewer."""
NO_SLIP = 0.015
"""How often none of these, for each of its distances from what is expected: such figures may lie anywhere."""
TRUST = 0.85
"""How far the figures around are trusted to tell what is meant; the rest is spread over the window."""
COINCIDENCE = 0.002
"""All figures of a place equal to those of another are questioned where chance would do that more seldom."""

FEWEST_OF_TAG = 4
"""Characters from which a tag is questioned where any figure is expected."""

_SELDOM = frozenset({"µm", "um", "cm", "thou", "µin", "uin", "kN", "day", "mbar", "K"})
DIGITS = re.compile(r"([+-]?)(\d*)[.,]?(\d*)")
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


class Doubt(Struct, frozen=True):
    """A figure in doubt: which slip it looks like, what to say, and the canonical value to offer (None: none)."""

    slip: str
    say: str
    offer: float | None = None


class Beside(Struct, frozen=True):
    """A figure taken nearby: where in words (`2I, middle 90°`), its canonical value and dimension, and its text."""

    words: str
    value: float
    dimension: str
    typed: str = ""


class Twin(Struct, frozen=True):
    """A place whose figures those of this place are equal to, one by one, as far as they are there.

    `value` (canonical) is the one that would make them all equal, `count` how many they are, and `chance` how likely
    it is that two places agree so (0 to 1).
    """

    words: str
    count: int
    value: float
    chance: float


class Nearby(Struct, frozen=True):
    """What stands around a point, canonical.

    `here` are figures of the same reading at this place, `alike` those of the same point at places like this one,
    `recent` whatever was taken last, the latest first.
    """

    here: tuple[float, ...] = ()
    alike: tuple[float, ...] = ()
    recent: tuple[Beside, ...] = ()
    twin: Twin | None = None


class _Slip(NamedTuple):
    name: str
    meant: float
    often: float


class _Typed(NamedTuple):
    """A figure as it was typed: its text, the number in its unit, its digits with their point, and if it has a sign.

    `graduations` are what `+2` counts from the size that the gauge was mastered at; 0 for other figures.
    """

    text: str
    number: float
    digits: str
    unit: Unit
    signed: bool
    graduations: float


ALONE = Nearby()


def question(
    value: float,
    window: tuple[float, float] | None,
    reading: Reading,
    plan: Plan,
    *,
    typed: str = "",
    unit: str = "",
    nearby: Nearby = ALONE,
    tags: Collection[str] = (),
) -> Doubt | None:
    """Question a canonical figure that lies outside the span in which it is expected, or completes a copied place.

    Args:
        value: the figure, canonical.
        window: the span in which it is expected, canonical; None where nothing is.
        reading: what is being read.
        plan: the job's plan, for its units.
        typed: the text as it was typed; empty: as the figure shows in the reading's unit.
        unit: the unit in which it was typed; empty: the reading's own.
        nearby: the figures around.
        tags: texts on the tags of the shop, for those that are all digits.

    Returns:
        The doubt, with the likeliest slip and what was meant by it where one explains the figure; None for no doubt.
    """
    own = unit_of(plan, reading.unit, reading.dimension)
    places = decimals(reading.resolution, own)
    if window is not None and window[0] <= value <= window[1]:
        return _copied(value, reading, nearby.twin)
    if typed.strip() in tags and (window is not None or len(typed.strip()) >= FEWEST_OF_TAG):
        return Doubt("a bar code", f"{typed.strip()} is what a tag of this shop says: a bar code?")
    if window is None:
        return _copied(value, reading, nearby.twin)
    sign = unit_sign(own.name)
    say = f"{show(value, own, places)} {sign} is far from the {show(sum(window) / 2, own, places)} expected here"
    text = _as_typed(value, typed, unit, reading, plan)
    cell = reading.resolution or (window[1] - window[0]) / 200
    likely = Likely(window, cell, nearby)
    best, best_score = None, NO_SLIP * cell / max(abs(value - likely.centre), cell)
    for slip in _slips(value, text, window, reading, plan):
        score = slip.often * likely(slip.meant)
        if score > best_score and window[0] <= slip.meant <= window[1]:
            best, best_score = slip, score
    again, often = _again(value, text, reading, nearby.recent)
    if again is not None and often / len(nearby.recent) > best_score:
        return Doubt("a figure repeated", f"{say}: it is the figure of {again.words} again.")
    if best is None:
        return Doubt("far off", f"{say}.")
    return Doubt(best.name, f"{say}: {best.name}, {show(best.meant, own, places)} {sign}?", best.meant)


class Likely:
    """How likely a figure is at a point, for one step of the gauge, told by the figures around it or by the window."""

    def __init__(self, window: tuple[float, float], cell: float, nearby: Nearby) -> None:
        around = nearby.here or nearby.alike
        self.wide = window[1] - window[0]
        self.cell = cell
        self.centre = median(around) if around else sum(window) / 2
        if around:
            spread = median(abs(figure - self.centre) for figure in around)
            self.scale = max(2 * cell, 1.5 * spread, self.wide / (120 if nearby.here else 60))
        else:
            self.scale = self.wide / 8

    def __call__(self, figure: float) -> float:
        """Give how likely a figure (canonical) is."""
        near = 1 / (math.pi * self.scale * (1 + ((figure - self.centre) / self.scale) ** 2))
        return self.cell * (TRUST * near + (1 - TRUST) / self.wide)


def unit_meant(unit: str, reading: Reading, plan: Plan) -> Unit:
    """Give the unit in which a figure was typed: the reading's own where none was named, or none that there is."""
    own = unit_of(plan, reading.unit, reading.dimension)
    return next((u for u in plan.units if u.name == unit and u.dimension == reading.dimension), own)


def _as_typed(value: float, typed: str, unit: str, reading: Reading, plan: Plan) -> _Typed:
    """Take a text apart the way that the entry understood it, which the value tells."""
    meant = unit_meant(unit, reading, plan)
    number = (value - meant.offset) / meant.factor
    text, places = typed.strip(), decimals(reading.resolution, meant)
    as_shown = _Typed(text, number, f"{abs(number):.{places}f}", meant, text[:1] in {"+", "-"}, 0.0)
    match = DIGITS.match(text)
    sign, whole, after = match.groups() if match else ("", "", "")
    if not (whole or after) or "/" in text:
        return as_shown
    bare = float(f"{sign}{whole or 0}.{after or 0}")
    if math.isclose(number, bare, rel_tol=1e-9, abs_tol=1e-12):
        return as_shown._replace(digits=f"{whole}.{after}")
    if math.isclose(number * 10**places, bare, rel_tol=1e-9):
        return as_shown._replace(digits=f"{whole[:-places]}.{whole[-places:].zfill(places)}")
    return as_shown._replace(graduations=bare if sign else 0.0)


def _slips(value: float, text: _Typed, window: tuple[float, float], reading: Reading, plan: Plan) -> Iterator[_Slip]:
    number, unit = text.number, text.unit
    if not number:
        return
    if text.graduations:
        yield _Slip("a wrong sign", value - 2 * text.graduations * reading.resolution, WRONG_SIGN)
        number = abs(number)
    elif text.signed or number < 0:
        yield _Slip("a wrong sign", -number * unit.factor + unit.offset, WRONG_SIGN)
    else:
        yield _Slip("a lost sign", -number * unit.factor + unit.offset, LOST_SIGN)
    surplus = len(text.digits.partition(".")[2]) - decimals(reading.resolution, unit)
    for power, often in POWERS.items():
        for moved in (-power, power):
            fits = 1 if moved == surplus else ODDDIGITS
            yield _Slip("a decimal place", number * 10.0**moved * unit.factor + unit.offset, often * fits)
    yield from _other_units(number, unit, reading, plan)
    if reading.dimension == "length":
        yield from _turned(value, unit, window)
    yield from _swapped(text)


def _other_units(number: float, unit: Unit, reading: Reading, plan: Plan) -> Iterator[_Slip]:
    for other in plan.units:
        if other.dimension != reading.dimension or (other.factor, other.offset) == (unit.factor, unit.offset):
            continue
        often = SELDOM_UNIT if other.name in _SELDOM else UNIT
        name = f"{unit_sign(other.name)} instead of {unit_sign(unit.name)}"
        yield _Slip(name, number * other.factor + other.offset, often)
        # Digits without their point were put right for the one unit, and stand elsewhere in the other.
        shift = decimals(reading.resolution, unit) - decimals(reading.resolution, other)
        if shift and reading.dimension == "length":
            yield _Slip(name, number * 10.0**shift * other.factor + other.offset, often / 4)


def _turned(value: float, unit: Unit, window: tuple[float, float]) -> Iterator[_Slip]:
    own = "an inch" if unit.name in {"in", "thou", "µin", "uin"} else "a metric"
    for system, (turn, most) in TURNS.items():
        often = OWN_TURN if system == own else OTHER_TURN
        of = "" if system == own else f" of {system} thimble"
        first, last = math.ceil((window[0] - value) / turn), math.floor((window[1] - value) / turn)
        for count in range(max(first, -most), min(last, most) + 1):
            if count:
                yield _Slip(_turns(abs(count), of), value + count * turn, often / abs(count) ** 1.5)


def _turns(count: int, of: str) -> str:
    if of:
        return f"one turn{of}" if count == 1 else f"{count} turns{of}"
    return "one thimble turn" if count == 1 else f"{count} thimble turns"


def _swapped(text: _Typed) -> Iterator[_Slip]:
    digits, unit = text.digits, text.unit
    spots = [i for i, c in enumerate(digits) if c != "."]
    side = -1.0 if text.number < 0 else 1.0
    for i, j in pairwise(spots):
        if digits[i] != digits[j]:
            swapped = float(digits[:i] + digits[j] + digits[i + 1 : j] + digits[i] + digits[j + 1 :])
            yield _Slip("two digits swapped", side * swapped * unit.factor + unit.offset, SWAPPED / len(spots))


def _again(value: float, text: _Typed, reading: Reading, recent: tuple[Beside, ...]) -> tuple[Beside | None, float]:
    """Find a figure just taken that is the same, in size or in its text, and tell how often that would be a slip."""
    often = REPEATED if len(text.digits.replace(".", "").strip("0")) >= TELLING else REPEATED_SHORT
    for beside in recent:
        same = beside.dimension == reading.dimension and abs(beside.value - value) <= 1e-6 * abs(value)
        if value and (same or (text.text == beside.typed.strip() and len(text.text) > 1)):
            return beside, often
    return None, 0.0


def _copied(value: float, reading: Reading, twin: Twin | None) -> Doubt | None:
    if twin is None or twin.chance > COINCIDENCE or abs(twin.value - value) > reading.resolution / 2:
        return None
    count = COUNTS[twin.count] if twin.count < len(COUNTS) else str(twin.count)
    return Doubt(f"copied from {twin.words}", f"All {count} figures are those of {twin.words}: copied?")
