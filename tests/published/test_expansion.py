"""Expansion coefficients and unit facts against publications; as printed."""

import pytest

from headwright.calc.cutting import rpm
from headwright.calc.material import material

INCH = 25.4


@pytest.mark.parametrize(
    ("key", "expansion", "source"),
    [
        ("aluminium-356-t6", 21.5, "Callister"),
        ("grey-iron-30", 11.4, "Callister"),
        ("bronze-c93200", 18.0, "Callister"),
        ("titanium-6al-4v", 8.6, "Callister"),
        ("gauge-steel", 11.5, "J. Res. NIST 99(1), 1994"),
        ("bronze-c51000", 17.8, "supplier data"),
        ("valve-steel-1.4870", 17.5, "NF EN 10090:1998"),
    ],
)
def test_expansion(key: str, expansion: float, source: str) -> None:
    """Callister and Rethwisch, table B.6; J. Res. NIST 99(1) 1994; a supplier; NF EN 10090:1998. 1e-6/K."""
    found = material(key).expansion
    assert found.value == pytest.approx(expansion * 1e-6, rel=1e-12)
    assert source in found.source


def test_other_ranges_of_the_austenitic_steel_are_told() -> None:
    """NF EN 10090:1998 data, 1.4870: 15.5 from 20 to 100 °C, 18.5 from 20 to 500 °C."""
    assert material("valve-steel-1.4870").note == "15.5e-6 from 20 to 100 °C, 18.5e-6 from 20 to 500 °C"


def test_an_inch_is_25_4_mm() -> None:
    """Exact by definition: 0.375 in = 9.525 mm and 0.3433 in = 8.71982 mm, so both give one spindle speed."""
    assert rpm(1000, 0.375 * INCH) == pytest.approx(rpm(1000, 9.525), rel=1e-15)
    assert rpm(1000, 0.3433 * INCH) == pytest.approx(rpm(1000, 8.71982), rel=1e-15)
