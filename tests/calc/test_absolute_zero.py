"""Nothing is colder than absolute zero, -273.15 °C (exact by definition)."""

import pytest

from headwright.calc import Impossible
from headwright.calc.leak import expected_pressure
from headwright.calc.thermal import at_20


def test_a_temperature_below_it_is_refused() -> None:
    with pytest.raises(Impossible, match="above absolute zero, not -500 °C"):
        at_20(8.0, 12e-6, -500.0)
    with pytest.raises(Impossible, match="above absolute zero, not -300 °C"):
        expected_pressure(0.2, 20.0, -300.0)


def test_just_above_it_is_a_temperature() -> None:
    assert at_20(8.0, 12e-6, -273.0).size == pytest.approx(8.0 / (1 - 12e-6 * 293.0))
