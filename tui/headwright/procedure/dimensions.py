"""The dimension of a formula, worked out with pint's units when procedures are loaded.

The arithmetic is done on canonical units, so a product that would need a factor to come out right at the bench (rpm
times mm, kg times mm/s²) has no dimension with a name, and cannot be held to one.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from headwright import units
from headwright.procedure.formula import Binary, Call, Name, Negative, Number, Power
from headwright.procedure.functions import FUNCTIONS, Function, Shape
from headwright.procedure.problems import nearest

if TYPE_CHECKING:
    from collections.abc import Callable

    from pint.facets.plain import PlainUnit

    from headwright.procedure.formula import Node


class DimensionFault(ValueError):
    """A formula cannot be worked out; the message says which part and why."""


@dataclass(frozen=True)
class Dim:
    """A dimension as its canonical unit. `point` is a temperature as against a difference; `zero` a bare 0."""

    unit: PlainUnit
    point: bool = False
    zero: bool = False

    def __str__(self) -> str:
        return name_of(self)

    def fits(self, other: Dim) -> bool:
        """Tell whether figures of both may be compared; a bare 0 fits anything but a temperature."""
        if self.zero or other.zero:
            return not (self.point or other.point)
        return self.point == other.point and bool(self.unit == other.unit)

    @property
    def span(self) -> Dim:
        """Give the dimension of a difference between two such figures."""
        return Dim(self.unit)


@dataclass(frozen=True)
class Operand:
    """What a name stands for: its dimension, how many numbers it is, and whether it is a reading."""

    dim: Dim
    points: int = 1
    is_reading: bool = False


@cache
def dim(dimension: str) -> Dim:
    """Give the dimension of a name that units knows, such as length or pressure."""
    if dimension == units.TEMPERATURE:
        return Dim(dim(units.DIFFERENCE).unit, point=True)
    return Dim(units.registry().Unit(units.CANONICAL[dimension]))


def name_of(found: Dim) -> str:
    """Give the name of a dimension, or its canonical unit where it has none."""
    for name in units.CANONICAL:
        known = dim(name)
        if known.point == found.point and known.unit == found.unit:
            return name
    return f"a figure in {found.unit:~P}"


def named(found: Dim) -> str | None:
    """Give the name of a dimension, None where it has none."""
    name = name_of(found)
    return name if name in units.CANONICAL else None


def dimension_of(node: Node, look: Callable[[Name], Operand]) -> Dim:
    """Work out the dimension of a formula.

    Args:
        node: the formula's tree.
        look: what each name stands for; it may raise a DimensionFault of its own.

    Raises:
        DimensionFault: the parts do not go together.
    """
    match node:
        case Number(value):
            found = Dim(dim(units.RATIO).unit, zero=value == 0)
        case Name(text):
            named_here = look(node)
            if named_here.points != 1:
                raise DimensionFault(f"'{text}' has several points; pick one with a function, as mean({text})")
            found = named_here.dim
        case Negative(operand):
            found = _factor(dimension_of(operand, look))
        case Power(base, exponent):
            found = Dim(_factor(dimension_of(base, look)).unit ** exponent)
        case Call():
            found = _call(node, look)
        case Binary(sign, left, right):
            found = _joined(sign, dimension_of(left, look), dimension_of(right, look))
    return found


def _joined(sign: str, one: Dim, two: Dim) -> Dim:
    if sign in "+-":
        return _added(sign, one, two)
    ours, theirs = _factor(one).unit, _factor(two).unit
    return Dim(ours * theirs if sign == "*" else ours / theirs)


def _factor(found: Dim) -> Dim:
    if found.point:
        raise DimensionFault("a temperature can only be compared or taken from another; its zero means nothing")
    return found


def _added(sign: str, one: Dim, two: Dim) -> Dim:
    if one.zero or two.zero:
        return two if one.zero else one
    if one.unit != two.unit or (two.point and (sign == "+") == one.point):
        raise DimensionFault(f"{two} added to {one}" if sign == "+" else f"{two} taken from {one}")
    return Dim(one.unit, point=one.point != two.point)


def _call(node: Call, look: Callable[[Name], Operand]) -> Dim:
    function = FUNCTIONS.get(node.name)
    if function is None:
        raise DimensionFault(f"unknown function '{node.name}'{nearest(node.name, FUNCTIONS)}")
    _count(function, len(node.arguments))
    if function.shape in (Shape.GRID, Shape.GRID_DIFFERENCE):
        return _over_points(function, node.arguments[0], look)
    found = [dimension_of(argument, look) for argument in node.arguments]
    if function.shape is Shape.ROOT:
        return Dim(_factor(found[0]).unit ** Decimal("0.5"))
    if function.shape is Shape.SAME:
        return _alike(function, found)
    for (name, wanted), given in zip(function.takes, found, strict=True):
        if not given.fits(dim(wanted)):
            raise DimensionFault(f"{function.name}: {given} where {name}, a {wanted}, belongs")
    return dim(function.gives)


def _count(function: Function, given: int) -> None:
    wanted = len(function.takes)
    if given == wanted or (function.open_ended and given > wanted):
        return
    names = ", ".join(name for name, _ in function.takes)
    more = ", …" if function.open_ended else ""
    raise DimensionFault(f"{given} argument{'' if given == 1 else 's'} given; expected {function.name}({names}{more})")


def _over_points(function: Function, argument: Node, look: Callable[[Name], Operand]) -> Dim:
    if not isinstance(argument, Name):
        raise DimensionFault(f"{function.name} takes the name of a reading, nothing worked out")
    operand = look(argument)
    if not operand.is_reading:
        raise DimensionFault(f"{function.name} takes a reading; '{argument.text}' is a single number already")
    return operand.dim if function.shape is Shape.GRID else operand.dim.span


def _alike(function: Function, found: list[Dim]) -> Dim:
    if function.name == "abs":
        return _factor(found[0])
    first = next((each for each in found if not each.zero), found[0])
    for each in found:
        if not each.fits(first):
            raise DimensionFault(f"{function.name}: {each} beside {first}")
    return first
