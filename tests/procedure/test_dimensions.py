"""The dimension of a formula, against pint's own quantities as the outside source."""

from __future__ import annotations

from operator import add, mul, sub, truediv
from typing import TYPE_CHECKING

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headwright import units
from headwright.procedure import formula
from headwright.procedure.dimensions import Dim, DimensionFault, Operand, dim, dimension_of, name_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from pint.facets.plain import PlainQuantity

    from headwright.procedure.formula import Name, Node

SAMPLES = {
    "length": "mm",
    "area": "mm**2",
    "volume": "mm**3",
    "force": "N",
    "pressure": "MPa",
    "stiffness": "N/mm",
    "torque": "N*mm",
    "time": "s",
    "velocity": "mm/s",
    "ratio": "",
}
"""Dimensions that go together without a factor, each with a unit of pint's standard registry."""

STANDARD: pint.UnitRegistry[float] = pint.UnitRegistry()


OPERATORS: dict[str, Callable[[PlainQuantity[float], PlainQuantity[float]], PlainQuantity[float]]] = {
    "+": add,
    "-": sub,
    "*": mul,
    "/": truediv,
}


def look(name: Name) -> Operand:
    if name.text == "grid":
        return Operand(dim("length"), points=6, is_reading=True)
    if name.text == "heat":
        return Operand(dim("temperature"), points=2, is_reading=True)
    known = {"temperature": "temperature", "warmer": "temperature difference", "speed": "speed", "mass": "mass"}
    return Operand(dim(known.get(name.text, name.text)), is_reading=name.text == "length")


def found(text: str) -> str:
    return name_of(dimension_of(formula.parse(text), look))


def by_pint(node: Node) -> PlainQuantity[float]:
    """Work the formula out on pint's quantities, each name standing for three of its unit."""
    match node:
        case formula.Number(value):
            found: PlainQuantity[float] = STANDARD.Quantity(value, "")
        case formula.Name(text):
            found = STANDARD.Quantity(3.0, SAMPLES[text])
        case formula.Negative(operand):
            found = by_pint(operand) * -1
        case formula.Power(base, exponent):
            found = by_pint(base) ** exponent
        case formula.Binary(sign, left, right):
            found = OPERATORS[sign](by_pint(left), by_pint(right))
        case _:
            raise TypeError(node)
    return found


expressions = st.recursive(
    st.sampled_from([*SAMPLES, "2"]),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-*/"), inner).map(lambda p: f"({p[0]} {p[1]} {p[2]})"),
        inner.map(lambda text: f"(-{text})"),
        inner.map(lambda text: f"({text} ** 2)"),
    ),
    max_leaves=5,
)


@settings(deadline=None)  # the first example builds pint's registry
@given(expressions)
def test_dimensions_go_together_as_in_pint(text: str) -> None:
    node = formula.parse(text)
    try:
        expected = by_pint(node).dimensionality
    except pint.DimensionalityError:
        with pytest.raises(DimensionFault):
            dimension_of(node, look)
        return
    except ZeroDivisionError:
        return
    assert STANDARD.Quantity(1, str(dimension_of(node, look).unit)).dimensionality == expected


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("force / area", "pressure"),
        ("pressure * area", "force"),
        ("stiffness * length", "force"),
        ("length ** 3", "volume"),
        ("sqrt(area)", "length"),
        ("length / length", "ratio"),
        ("mean(grid) - length", "length"),
        ("least(length)", "length"),
        ("max(0, length)", "length"),
        ("temperature - temperature", "temperature difference"),
        ("temperature + warmer", "temperature"),
        ("temperature - warmer", "temperature"),
        ("mean(heat)", "temperature"),
        ("spread(heat)", "temperature difference"),
        ("warmer * 2", "temperature difference"),
        ("expected_pressure(pressure, temperature, temperature)", "pressure"),
        ("growth(length, length, length)", "ratio"),
        ("spring_rate(force, length, force, length)", "stiffness"),
    ],
)
def test_a_formula_has_a_dimension(text: str, name: str) -> None:
    assert found(text) == name


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("length + pressure", "pressure added to length"),
        ("length - 1", "ratio taken from length"),
        ("angle + length", "length added to angle"),
        ("angle - ratio", "ratio taken from angle"),
        ("temperature + temperature", "temperature added to temperature"),
        ("warmer - temperature", "temperature taken from temperature difference"),
        ("temperature * 2", "a temperature can only be compared or taken from another; its zero means nothing"),
        ("grid + length", "'grid' has several points; pick one with a function, as mean(grid)"),
        ("least(grid + grid)", "least takes the name of a reading, nothing worked out"),
        ("least(force)", "least takes a reading; 'force' is a single number already"),
        ("lest(grid)", "unknown function 'lest'; did you mean 'least'?"),
        ("taper()", "0 arguments given; expected taper(reading)"),
        ("min(length)", "1 argument given; expected min(number, number, …)"),
        ("min(length, pressure)", "min: pressure beside length"),
        ("crush(length, pressure)", "crush: pressure where bored_hole, a length, belongs"),
    ],
)
def test_what_does_not_go_together_is_told(text: str, message: str) -> None:
    with pytest.raises(DimensionFault) as caught:
        found(text)
    assert str(caught.value) == message


@pytest.mark.parametrize("text", ["speed * length", "mass * length / (time * time)", "angle * length"])
def test_a_product_that_would_need_a_factor_has_no_named_dimension(text: str) -> None:
    """At the bench there are only floats: rpm × mm is not mm/s, and must not pass for it."""
    product = dimension_of(formula.parse(text), look)
    assert not any(product.fits(dim(name)) for name in units.CANONICAL)


def test_every_dimension_has_its_own_name() -> None:
    assert [name_of(dim(name)) for name in units.CANONICAL] == list(units.CANONICAL)
    assert name_of(Dim(dim("length").unit ** 5)) == "a figure in mm⁵"
