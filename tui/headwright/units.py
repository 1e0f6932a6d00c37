"""Units at the edges: what a quantity text means in canonical units, and which units a person may type.

Canonical are mm, N, MPa, °C, s, mm³, degrees, and what follows from them (N/mm, mm²), rpm for speeds of rotation and
kg. pint gives every factor. Its registry takes a quarter of a second to build, so it is built on first use and never
at import; at the bench the factors come from the plan.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, DivisionByZero, InvalidOperation
from functools import cache
from math import isfinite
from typing import TYPE_CHECKING

from headwright.procedure.plan import Unit
from headwright.procedure.problems import nearest

if TYPE_CHECKING:
    import pint

TEMPERATURE = "temperature"
DIFFERENCE = "temperature difference"
RATIO = "ratio"

CANONICAL = {
    "length": "mm",
    "area": "mm**2",
    "volume": "mm**3",
    "force": "N",
    "pressure": "N/mm**2",
    "stiffness": "N/mm",
    "torque": "N*mm",
    "time": "s",
    "velocity": "mm/s",
    TEMPERATURE: "degC",
    DIFFERENCE: "delta_degC",
    "angle": "degree",
    "speed": "rpm",
    "mass": "kg",
    RATIO: "",
}
"""Each dimension with its canonical unit, as pint writes it."""

_TYPED = {
    "length": {
        "in": "inch",
        "mm": "mm",
        "µm": "um",
        "um": "um",
        "cm": "cm",
        "thou": "thou",
        "µin": "microinch",
        "uin": "microinch",
    },
    "area": {"mm²": "mm**2", "mm2": "mm**2", "cm²": "cm**2", "cm2": "cm**2", "in²": "inch**2", "in2": "inch**2"},
    "volume": {
        "cc": "cm**3",
        "cm³": "cm**3",
        "cm3": "cm**3",
        "ml": "ml",
        "in³": "inch**3",
        "in3": "inch**3",
        "mm³": "mm**3",
        "mm3": "mm**3",
        "l": "liter",
    },
    "force": {"lbf": "lbf", "N": "N", "kN": "kN"},
    "pressure": {"psi": "psi", "kPa": "kPa", "bar": "bar", "MPa": "MPa", "mbar": "mbar", "inHg": "inHg"},
    "stiffness": {"lbf/in": "lbf/inch", "N/mm": "N/mm"},
    "torque": {"lbf·ft": "lbf*ft", "lbf·in": "lbf*inch", "N·m": "N*m", "Nm": "N*m"},
    "time": {"s": "s", "min": "min", "h": "hour", "day": "day"},
    "velocity": {"ft/min": "ft/min", "m/min": "m/min", "m/s": "m/s", "mm/s": "mm/s"},
    TEMPERATURE: {"degC": "degC", "°C": "degC", "degF": "degF", "°F": "degF"},
    DIFFERENCE: {"delta_degC": "delta_degC", "K": "delta_degC", "delta_degF": "delta_degF"},
    "angle": {"deg": "degree", "°": "degree", "arcmin": "arcmin"},
    "speed": {"rpm": "rpm"},
    "mass": {"kg": "kg", "g": "g", "lb": "lb"},
    RATIO: {"ratio": "", "count": "", "%": "percent"},
}
"""The units that may be written, by dimension: the one most used in the shop first."""

_DIMENSION_OF = {name: dimension for dimension, names in _TYPED.items() for name in names}

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?"
_QUANTITY = re.compile(rf"\s*({_NUMBER})(?:\s*/\s*(\d+))?\s*([^\d\s.+\-*/(),][^\s(),]{{0,19}})?\s*")
_QUANTITY_LIKE = re.compile(rf"\s*{_NUMBER}(?:\s*/\s*\d+)?\s*(?:[^\W\d_]|[%°])")
QUANTITY_LENGTH = 60


class UnitFault(ValueError):
    """A text is not a quantity, or its unit is not known; the message says why."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit: `value` in the canonical unit of `dimension`, `unit` and `text` as written."""

    value: float
    dimension: str
    unit: str
    text: str


@cache
def registry() -> pint.UnitRegistry[Decimal]:
    """Give the one registry; decimal arithmetic keeps 1 in = 25.4 mm exact."""
    import pint  # noqa: PLC0415  only where quantities come in: importing and building it takes 0.3 s

    return pint.UnitRegistry(non_int_type=Decimal)


@cache
def _scale(dimension: str, name: str) -> tuple[Decimal, Decimal]:
    expression = _TYPED[dimension][name]
    quantity = registry().Quantity
    zero, one = (Decimal(quantity(Decimal(n), expression).to(CANONICAL[dimension]).magnitude) for n in (0, 1))
    return one - zero, zero


def _found(name: str) -> str:
    """Give the dimension of a unit name.

    Raises:
        UnitFault: the name is not known.
    """
    dimension = _DIMENSION_OF.get(name)
    if dimension is None:
        raise UnitFault(f"unknown unit '{name}'{nearest(name, _DIMENSION_OF)}")
    return dimension


def unit(name: str) -> Unit:
    """Give a unit by its name.

    Raises:
        UnitFault: the name is not known.
    """
    return _unit(_found(name), name)


def _unit(dimension: str, name: str) -> Unit:
    factor, offset = _scale(dimension, name)
    return Unit(name=name, dimension=dimension, factor=float(factor), offset=float(offset))


def units_of(dimension: str) -> tuple[Unit, ...]:
    """Give the units that a person may type for a dimension, the one most used first.

    A difference of temperatures is typed in degrees like a temperature, without the offset.
    """
    names = tuple(_TYPED[dimension])
    units = tuple(_unit(dimension, name) for name in names)
    if dimension == DIFFERENCE:
        degrees = (Unit(n, dimension, float(_scale(TEMPERATURE, n)[0])) for n in _TYPED[TEMPERATURE])
        return (*degrees, *units)
    return units


def looks_like_quantity(text: str) -> bool:
    """Tell a quantity ("0.5 in", "20 foo") from a formula: a number followed by a word or a sign of a unit."""
    return bool(_QUANTITY_LIKE.match(text))


def quantity(text: str, *, difference: bool = False) -> Quantity:
    """Read a number with its unit, as "0.0015 in", "11/32 in" or "20 degC".

    Args:
        text: what was written.
        difference: take degrees as a difference of temperatures, so that 9 °F are 5 °C.

    Returns:
        The value in canonical units with its dimension.

    Raises:
        UnitFault: there is no number, no unit, or an unknown one.
    """
    match = _QUANTITY.fullmatch(text) if len(text) <= QUANTITY_LENGTH else None
    if match is None:
        raise UnitFault(
            f"'{text[:QUANTITY_LENGTH]}' is not a quantity; expected a number and its unit, as \"0.0015 in\""
        )
    number, divisor, name = match.groups()
    if name is None:
        raise UnitFault(f"'{text.strip()}' has no unit; expected one, as \"{text.strip()} in\"")
    dimension = _found(name)
    factor, offset = _scale(dimension, name)
    if difference and dimension == TEMPERATURE:
        dimension, offset = DIFFERENCE, Decimal(0)
    try:
        magnitude = Decimal(number) / Decimal(divisor or 1)
        value = float(magnitude * factor + offset)
    except (DivisionByZero, InvalidOperation, OverflowError):
        value = float("inf")
    if not isfinite(value):
        raise UnitFault(f"'{text.strip()}' is not a finite number")
    return Quantity(value, dimension, name, text.strip())
