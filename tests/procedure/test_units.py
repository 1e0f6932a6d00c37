"""Quantities mean what the definitions of the units say."""

from __future__ import annotations

import subprocess
import sys

import pytest

from headwright import units

# NIST SP 811 (2008), appendix B, written down from memory, unless a definition is named; each in canonical units.
FACTORS = {
    "1 in": 25.4,  # exact, international yard and pound agreement of 1959
    "1 thou": 0.0254,  # 0.001 in
    "1 psi": 6.894757e-3,
    "1 kPa": 1e-3,
    "1 bar": 0.1,
    "1 inHg": 3.386389e-3,  # conventional inch of mercury
    "1 lbf": 4.448222,
    "1 lbf/in": 0.1751268,
    "1 lbf·ft": 1355.818,
    "1 in²": 645.16,  # exact
    "1 in³": 16387.064,  # exact
    "1 cc": 1000.0,
    "1 ft/min": 5.08,  # exact
    "1 lb": 0.45359237,  # exact
    "1 h": 3600.0,
    "1 %": 0.01,
}


@pytest.mark.parametrize("text", FACTORS)
def test_factors_are_those_of_the_tables(text: str) -> None:
    assert units.quantity(text).value == pytest.approx(FACTORS[text], rel=5e-7)  # the tables give seven digits


def test_an_inch_is_exactly_25_4_mm() -> None:
    """Sizes in tenths keep every digit: rounding belongs on the screen only."""
    assert units.quantity("0.0015 in").value == 0.0381
    assert units.quantity("11/32 in").value == 8.73125
    assert units.unit("in").factor == 25.4


@pytest.mark.parametrize(
    ("text", "celsius"), [("68 degF", 20.0), ("32 °F", 0.0), ("-40 degF", -40.0), ("20 degC", 20.0)]
)
def test_temperatures_have_their_zero(text: str, celsius: float) -> None:
    assert units.quantity(text).value == pytest.approx(celsius, abs=1e-12)


def test_a_difference_of_temperatures_has_none() -> None:
    found = units.quantity("9 degF", difference=True)
    assert found.value == pytest.approx(5.0)
    assert found.dimension == "temperature difference"
    assert units.quantity("9 delta_degF") == units.Quantity(found.value, found.dimension, "delta_degF", "9 delta_degF")


@pytest.mark.parametrize("dimension", units.CANONICAL)
def test_every_unit_on_offer_can_be_written(dimension: str) -> None:
    """The plan carries these to the bench; what may be typed there may be written in a file."""
    offered = units.units_of(dimension)
    assert offered
    for unit in offered:
        read = units.quantity(f"3 {unit.name}", difference=dimension == units.DIFFERENCE)
        assert read.dimension == dimension
        assert read.value == pytest.approx(3 * unit.factor + unit.offset)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0.0015", "'0.0015' has no unit; expected one, as \"0.0015 in\""),
        ("in", "'in' is not a quantity; expected a number and its unit, as \"0.0015 in\""),
        ("0,5 mm", "'0,5 mm' is not a quantity; expected a number and its unit, as \"0.0015 in\""),
        ("5 inn", "unknown unit 'inn'; did you mean 'in'?"),
        ("5 PSI", "unknown unit 'PSI'; did you mean 'psi'?"),
        ("5 furlong", "unknown unit 'furlong'"),
        ("1e999 in", "'1e999 in' is not a finite number"),
        ("1/0 in", "'1/0 in' is not a finite number"),
        ("9" * 100, f"'{'9' * 60}' is not a quantity; expected a number and its unit, as \"0.0015 in\""),
    ],
)
def test_what_is_no_quantity_is_told(text: str, message: str) -> None:
    with pytest.raises(units.UnitFault) as caught:
        units.quantity(text)
    assert str(caught.value) == message


def test_pint_is_not_imported_until_a_quantity_comes_in() -> None:
    """A bench with a plan has no use for pint, which takes a quarter of a second."""
    code = "import sys, headwright.units; assert 'pint' not in sys.modules; headwright.units.quantity('1 in')\n"
    code += "assert 'pint' in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)
