"""Quantities as they are written: from text to canonical units, and back into the unit that is asked for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, DivisionByZero, InvalidOperation
from functools import cache
from math import ceil, floor, inf, isfinite, log10
from typing import TYPE_CHECKING

from headwright import units
from headwright.nearest import nearest
from headwright.sums.dimensions import ANY, DIFFERENCE, DIMENSIONS, RATIO, TEMPERATURE, Dimension

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.sums.model import System

_NUMBER = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?)(?:\s*/\s*(\d+))?\s*(.*)", re.DOTALL)
_MIXED = re.compile(r"(\d+)[ -]+(\d+)\s*/\s*(\d+)\s*(\D.*)?", re.DOTALL)
_SIGNS = str.maketrans({"\u2212": "-", "\u03bc": "µ"})
_LONGEST = 60
_FIGURES = 6
_CERTAIN = 1 - 0.5 * 10**-_FIGURES
"""From here on six figures would show 1, a certainty that is not there."""
_WIDE = 1e6


class Unread(ValueError):
    """A text does not say what is asked for; the message says why."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A unit: canonical = number · factor + offset."""

    factor: Decimal
    offset: Decimal


@dataclass(frozen=True, slots=True)
class Amount:
    """A value in the canonical unit of its dimension, and the unit that it was written in."""

    value: float
    dimension: Dimension
    unit: str


@cache
def scales(dimension: Dimension) -> dict[str, Scale]:
    """Give the units that a dimension may be written in, by name."""
    quantity = units.registry().Quantity

    def scale(expression: str) -> Scale:
        zero, one = (Decimal(quantity(Decimal(n), expression).to(dimension.canonical).magnitude) for n in (0, 1))
        return Scale(one - zero, zero)

    found = {}
    if dimension.name in units.CANONICAL:
        canonical = scale(units.CANONICAL[dimension.name]).factor
        for unit in units.units_of(dimension.name):
            found[unit.name] = Scale(Decimal(str(unit.factor)) * canonical, Decimal(str(unit.offset)))
    found |= {name: scale(expression) for name, expression in dimension.more.items()}
    if dimension is RATIO:
        found[""] = Scale(Decimal(1), Decimal(0))
    return found


def dimension_of(unit: str, *, difference: bool = False) -> Dimension:
    """Give the dimension of a unit.

    Args:
        unit: its name.
        difference: degrees are a difference of temperatures.

    Raises:
        Unread: the name is not known.
    """
    found = [dimension for dimension in DIMENSIONS if unit in scales(dimension)]
    if not found:
        raise Unread(_unknown(unit, DIMENSIONS))
    if DIFFERENCE in found and (difference or TEMPERATURE not in found):
        return DIFFERENCE
    return found[0]


def read(text: str, dimension: Dimension, *, system: System | None = None, difference: bool = False) -> Amount:
    """Read one quantity, as "9.525mm", "11/32 in" or "0,34".

    Args:
        text: what was written.
        dimension: what it must measure.
        system: whose units a bare number is in; None refuses one where a unit belongs.
        difference: degrees are a difference of temperatures.

    Raises:
        Unread: it is no number, has no unit where one belongs, an unknown or a wrong one.
    """
    written = text.strip().translate(_SIGNS)
    expected = f"expected {dimension.called}, as {' or '.join(dict.fromkeys(dimension.example))}"
    parts = _parts(written) if len(written) <= _LONGEST else None
    if parts is None:
        raise Unread(f"'{written[:_LONGEST]}' is not a number; {expected}")
    number, unit = parts
    if dimension is ANY:
        dimension = dimension_of(unit, difference=difference) if unit else RATIO
    elif not unit and not dimension.bare:
        if system is None:
            raise Unread(f"'{written}' has no unit; {expected}")
        unit = usual(dimension, system)
    scale = _scale(dimension, unit, expected)
    try:
        value = float(number * scale.factor + scale.offset)
    except (InvalidOperation, OverflowError):
        value = inf
    if not isfinite(value):
        raise Unread(f"'{written}' is not a finite number")
    if dimension.most is not None and abs(value) > dimension.most:
        raise Unread(f"'{written}' is far too much for {dimension.called}; {expected}")
    return Amount(value, dimension, unit)


def _parts(written: str) -> tuple[Decimal, str] | None:
    """Give the number and the unit of a text; infinity for a fraction with nothing below its line."""
    try:
        if mixed := _MIXED.fullmatch(written):
            return Decimal(mixed[1]) + Decimal(mixed[2]) / Decimal(mixed[3]), (mixed[4] or "").strip()
        match = _NUMBER.fullmatch(written)
        if match is None:
            return None
        return Decimal(match[1].replace(",", ".")) / Decimal(match[2] or 1), match[3].strip()
    except (DivisionByZero, InvalidOperation):
        return Decimal("inf"), "".join(re.findall(r"[^\d\s/.,-]+", written)[-1:])


def with_unit(text: str, dimension: Dimension, system: System) -> str:
    """Write the unit of a reader behind a bare number, so that the text means the same to every other reader."""
    parts = _parts(re.split("[,;]", text.strip())[-1].strip())
    unit = usual(dimension, system)
    return f"{text.strip()} {unit}" if unit and not dimension.bare and parts is not None and not parts[1] else text


def read_many(text: str, dimension: Dimension, *, system: System | None = None) -> tuple[Amount, ...]:
    """Read quantities between commas or semicolons; a unit behind the last serves those without.

    Args:
        text: what was written, as "0.3430in,0.3435in" or "0.015,0.030,0.060in".
        dimension: what each must measure.
        system: whose units a bare number is in; None refuses one where a unit belongs.

    Raises:
        Unread: a part is no such quantity, or it might be one number with a decimal comma.
    """
    if re.fullmatch(r"\s*\d+,\d+\s*[^\d\s.,;]*\s*", text):
        raise Unread(f"'{text.strip()}' may be one number or two; write a point, or a unit to each")
    parts = [part.strip() for part in re.split(r"\s*;\s*" if ";" in text else r"\s*,\s*", text.strip())]
    last = _NUMBER.fullmatch(parts[-1])
    unit = last[3] if last else ""
    if unit:
        parts = [part + unit if (bare := _NUMBER.fullmatch(part)) and not bare[3] else part for part in parts]
    return tuple(read(part, dimension, system=system) for part in parts)


def _scale(dimension: Dimension, unit: str, expected: str) -> Scale:
    known = scales(dimension)
    if unit in known:
        return known[unit]
    if not unit:
        return Scale(Decimal(1), Decimal(0))
    if dimension is RATIO:
        raise Unread(f"'{unit}' does not belong here; {expected}")
    other = next((each for each in DIMENSIONS if unit in scales(each)), None)
    if other is None:
        raise Unread(f"{_unknown(unit, (dimension,))}; {expected}")
    raise Unread(f"'{unit}' makes it {other.called}; {expected}")


def _unknown(unit: str, dimensions: Iterable[Dimension]) -> str:
    names = [name for dimension in dimensions for name in scales(dimension)]
    near = nearest(unit, names) or next((name for name in names if name.lower() == unit.lower()), "")
    return f"there is no unit '{unit}'" + (f" (nearest: {near})" if near else "")


def usual(dimension: Dimension, system: System) -> str:
    """Give the unit that a reader of millimetres or inches expects."""
    return dimension.inch if system == "in" else dimension.metric


def into(value: float, dimension: Dimension, unit: str) -> float:
    """Give a canonical value in a unit of its dimension."""
    scale = scales(dimension)[unit]
    if scale.factor == 1 and scale.offset == 0:
        return value
    return float((Decimal(value) - scale.offset) / scale.factor)


_DECIMALS = {"mm": 5, "in": 6, "inch": 6, '"': 6, "µm": 2, "um": 2, "thou": 3, "µin": 1, "uin": 1, "rpm": 1}
_SLACK = 1e-6


def digits(value: float, unit: str, inward: int = 0) -> str:
    """Write a number in a unit with as many digits as serve there: beyond any gauge, short of noise.

    Args:
        value: the number.
        unit: its unit.
        inward: round up (1) or down (-1), as limits are; 0 for the nearest.
    """
    if not unit and _CERTAIN <= value < 1:
        return f">{1 - 10**-_FIGURES:g}"
    decimals = _DECIMALS.get(unit)
    if decimals is None or abs(value) >= _WIDE:
        decimals = _FIGURES - 1 - floor(log10(abs(value))) if value else 0
    if inward:
        count = value * 10.0**decimals
        value = (ceil(count - _SLACK) if inward > 0 else floor(count + _SLACK)) / 10.0**decimals
    if unit in _DECIMALS and abs(value) < _WIDE:
        return f"{round(value, decimals) + 0.0:.{decimals}f}"
    return f"{value:.{_FIGURES}g}"
