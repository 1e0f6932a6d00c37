"""What a typed figure means. The typed text, its unit and the canonical value are all kept.

Taken: `.3446`, `0.3446`, `0,3446`, `3446` (graduations written without the point), `11/32`, `8.73 mm`, and `+2` or
`-1.5`: graduations off the size that the gauge was mastered at. A gauge on a cable types the same, perhaps with
blanks, a sign and a unit. A bar code or the tag of a gauge is told from a figure, and nothing of it is taken.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.arrivals import bar_code
from headwright.job.show import decimals, unit_of, unit_sign, unit_words
from headwright.nearest import nearest
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from headwright.procedure.plan import Plan, Reading, Unit

LONGEST = 200
"""Characters kept of a typed answer."""

SPARE_DIGITS = 5
"""Digits before the point that a figure typed without one may have; a figure of this trade has four at most."""
FEWEST_DIGITS = 3
"""Digits from which a text without its point is a whole figure, and not a count of graduations."""

_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")
_FRACTION = re.compile(r"([+-]?)(?:(\d{1,3})[ -])?(\d{1,3})/(\d{1,3})")
_ALIASES = {'"': "in", "inch": "in", "inches": "in", "°c": "degC", "c": "degC", "°f": "degF", "f": "degF", "cc": "cm3",
            "ml": "cm3", "°": "deg", "cm³": "cm3", "lb": "lbf", "µm": "um"}  # fmt: skip
_YES = {"y": "yes", "yes": "yes", "n": "no", "no": "no"}


class Entered(Struct, frozen=True):
    """A typed text understood: canonical `value` or `word`, the `unit` meant, and `shown` when it was expanded."""

    typed: str
    unit: str = ""
    value: float | None = None
    word: str = ""
    shown: str = ""


class Misread(Struct, frozen=True):
    """A typed text that is no entry: one line saying what was found and what was expected."""

    say: str


class Scanned(Misread, frozen=True):
    """A bar code or tag that was scanned into a reading: nothing of it is taken, and one key clears it."""


def entered(
    typed: str,
    reading: Reading,
    plan: Plan,
    *,
    window: tuple[float, float] | None = None,
    master: float | None = None,
    choices: Sequence[str] = (),
    tags: Collection[str] = (),
) -> Entered | Misread:
    """Understand a typed text as an entry of a reading.

    Args:
        typed: the text as typed or sent by a gauge.
        reading: what is being read.
        plan: the job's plan, for its units.
        window: canonical span in which the figure is expected, if any; it settles whether digits were meant bare.
        master: canonical size that the gauge was mastered at, for `+2`.
        choices: the words of a choice, when the reading leaves them to the plan.
        tags: texts on the tags of the shop: ids of gauges, rings, balls and tools, the number of the job.
    """
    text = typed.strip()
    words = tuple(reading.choices or choices)
    if reading.sort is not Sort.TEXT and text not in words:
        scanned = bar_code(text, _longest(reading, plan), tags)
        if scanned:
            return Scanned(f"'{text[:40]}' is {scanned}, nothing of it is taken: {_wanted(reading, words)}.")
    if reading.sort is Sort.NUMBER:
        return _number(text, reading, plan, window, master)
    if not text:
        return Misread(f"{reading.label}: an answer is expected{_offer(reading, words)}.")
    if reading.sort is Sort.TEXT:
        clean = "".join(c for c in text if c.isprintable())[:LONGEST]
        return Entered(typed, word=clean) if clean else Misread(f"{reading.label}: there is nothing readable in it.")
    if reading.sort is Sort.YES_NO:
        word = _YES.get(text.casefold())
        return Entered(typed, word=word) if word else Misread(f"'{text[:40]}': yes or no is expected.")
    return _choice(text, typed, words, reading)


def _longest(reading: Reading, plan: Plan) -> int:
    """Give the digits of the longest figure that could be typed without its point."""
    if reading.sort is not Sort.NUMBER:
        return SPARE_DIGITS
    return decimals(reading.resolution, unit_of(plan, reading.unit, reading.dimension)) + SPARE_DIGITS


def _wanted(reading: Reading, words: tuple[str, ...]) -> str:
    return _expected(reading) if reading.sort is Sort.NUMBER else f"an answer is expected{_offer(reading, words)}"


def _offer(reading: Reading, words: tuple[str, ...]) -> str:
    if reading.sort is Sort.YES_NO:
        return ", yes or no"
    return f": {', '.join(words)}" if words else ""


def _choice(text: str, typed: str, words: tuple[str, ...], reading: Reading) -> Entered | Misread:
    low = text.casefold()
    exact = [w for w in words if w.casefold() == low]
    begun = [w for w in words if w.casefold().startswith(low)]
    if text.isdecimal() and len(text) <= len(str(len(words))) and 1 <= int(text) <= len(words) and not exact:
        return Entered(typed, word=words[int(text) - 1])
    if exact or len(begun) == 1:
        return Entered(typed, word=(exact or begun)[0])
    near = nearest(low, words)
    hint = f" Nearest: {near}." if near else ""
    return Misread(f"'{text[:40]}' is not one of {', '.join(words)} ({reading.label}).{hint}")


def _expected(reading: Reading) -> str:
    return f"a figure in {unit_words(reading.unit)} is expected"


def _number(
    text: str, reading: Reading, plan: Plan, window: tuple[float, float] | None, master: float | None
) -> Entered | Misread:
    fault = _not_a_figure(text, reading)
    if fault is not None:
        return fault
    fraction = _FRACTION.match(text)
    match = fraction or _NUMBER.match(text)
    if match is None:
        return Misread(f"'{text[:40]}' is not a figure: {_expected(reading)}.")
    rest = text[match.end() :].strip()
    digits = match.group(0).replace(",", ".")
    unit = _unit(rest, reading, plan)
    if isinstance(unit, Misread):
        return unit
    if fraction:
        return _fraction(fraction, text, unit)
    if digits[0] in "+-" and not rest and _counts(digits, reading, unit, window):
        return _graduations(digits, text, reading, unit, master)
    return _plain(digits, text, reading, unit, window if not rest else None)


def _not_a_figure(text: str, reading: Reading) -> Misread | None:
    if not text:
        return Misread(f"Nothing typed: {_expected(reading)}.")
    if text.upper() in {"ERR", "ERROR", "E", "----", "-----"}:
        return Misread(f"The gauge sent '{text[:20]}', an error of its own: {_expected(reading)}.")
    match = _NUMBER.match(text)
    if match is None:
        return None
    if text[match.end() : match.end() + 1] in {".", ","}:
        return Misread(f"'{text[:40]}' has two decimal points: {_expected(reading)}.")
    if match.end() > 24:
        return Misread(f"'{text[:20]}…' has too many digits: {_expected(reading)}.")
    return None


def _counts(digits: str, reading: Reading, unit: Unit, window: tuple[float, float] | None) -> bool:
    """Tell whether signed digits count graduations of a comparing gauge, and are no whole figure sent with its sign."""
    places = decimals(reading.resolution, unit)
    if reading.dimension != "length" or places < FEWEST_DIGITS or len(digits.partition(".")[2]) > 1:
        return False
    whole = float(digits) / (1 if "." in digits else 10**places) * unit.factor
    return len(digits) <= FEWEST_DIGITS or not _inside(whole, window)


def _plain(digits: str, text: str, reading: Reading, unit: Unit, window: tuple[float, float] | None) -> Entered:
    """Take plain digits; a whole number of graduations written without the point is expanded, and shown so."""
    number = float(digits)
    value = number * unit.factor + unit.offset
    places = decimals(reading.resolution, unit)
    bare = digits.lstrip("+")
    if reading.dimension == "length" and places >= FEWEST_DIGITS and bare.isdecimal() and text == digits:
        # One who reads to tenths types four digits, whatever the gauge could show.
        written = (n for n in range(places, FEWEST_DIGITS - 1, -1) if _inside(number / 10**n * unit.factor, window))
        figures = next(written, places)
        short = number / 10**figures * unit.factor
        if (len(bare) >= FEWEST_DIGITS and not _inside(value, window)) or _inside(short, window):
            return Entered(text, unit.name, short, shown=f"{number / 10**figures:.{figures}f}")
    return Entered(text, unit.name, value)


def _inside(value: float, window: tuple[float, float] | None) -> bool:
    return window is not None and window[0] <= value <= window[1]


def _unit(rest: str, reading: Reading, plan: Plan) -> Unit | Misread:
    """Find the unit typed behind a figure; the reading's own when there is none."""
    if not rest:
        return unit_of(plan, reading.unit, reading.dimension)
    name = _ALIASES.get(rest.casefold(), rest)
    known = [u for u in plan.units if u.dimension == reading.dimension]
    for unit in known:
        if unit.name.casefold() == name.casefold():
            return unit
    signs = ", ".join(unit_sign(u.name) for u in known)
    if any(c.isdigit() for c in rest):
        return Misread(f"'{rest[:20]}' stands behind the figure: {_expected(reading)}.")
    return Misread(f"'{rest[:20]}' is not a unit of {reading.label}: {signs} are.")


def _fraction(match: re.Match[str], text: str, unit: Unit) -> Entered | Misread:
    sign, whole, over, under = match.groups()
    if int(under) == 0:
        return Misread(f"'{text[:40]}' divides by nothing.")
    number = (int(whole or 0) + int(over) / int(under)) * (-1 if sign == "-" else 1)
    return Entered(text, unit.name, number * unit.factor + unit.offset, shown=f"{number:.5f}")


def _graduations(digits: str, text: str, reading: Reading, unit: Unit, master: float | None) -> Entered | Misread:
    if master is None:
        return Misread(
            f"'{text[:20]}' counts graduations from the size that the gauge was mastered at, and none is on record "
            f"here: {_expected(reading)}."
        )
    value = master + float(digits) * reading.resolution
    return Entered(text, unit.name, value, shown=f"{(value - unit.offset) / unit.factor:.5f}")
