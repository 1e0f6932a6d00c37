"""Temperature and uncertainty against JCGM 100:2008 (GUM) and exact sums.

Tolerances are half of the last digit printed, unless a line says otherwise; exact sums are held to floating point.
"""

from math import hypot, inf, sqrt

import pytest

from headwright.calc import guide, line, student, thermal
from headwright.calc.uncertainty import RECTANGULAR, Component, Uncertainty, of_dof, uncertainty

# GUM annex H.1, end gauge of 50 mm; lengths in nm.
STANDARD = 50_000_623.0
END_GAUGE = (
    Component(25, dof=18),
    Component(9.68194, dof=25.6),
    Component(2e-6, RECTANGULAR, sensitivity=0.0),
    Component(0.41, sensitivity=0.0),
    Component(1e-6, RECTANGULAR, dof=50, sensitivity=STANDARD * 0.1),
    Component(0.05, RECTANGULAR, dof=2, sensitivity=STANDARD * 11.5e-6),
)


@pytest.fixture
def end_gauge() -> Uncertainty:
    return uncertainty(END_GAUGE, coverage=0.99)


def test_end_gauge_length() -> None:
    """GUM H.1: l = 50.000 838 mm, the standard and the comparator's difference at equal temperatures."""
    assert guide.comparator(ring=50.000623, zero=0.0, reading=0.000215) == pytest.approx(50.000838, abs=1e-9)
    error = thermal.reading_error(
        size=50.000838, part_expansion=11.5e-6, part_temperature=19.9, gauge_expansion=11.5e-6, gauge_temperature=19.9
    )
    assert error == 0


def test_end_gauge_components() -> None:
    """GUM H.1, table H.1: 25, 9.7, 0, 0, 2.9 and 16.6 nm."""
    assert [round(each.standard, 1) for each in END_GAUGE] == [25, 9.7, 0, 0, 2.9, 16.6]


def test_end_gauge_combined(end_gauge: Uncertainty) -> None:
    """GUM H.1: u = 32 nm printed; 31.664 from unrounded components, held to its last digit."""
    assert end_gauge.combined == pytest.approx(32, abs=0.5)
    assert end_gauge.combined == pytest.approx(31.664, abs=0.0005)


def test_end_gauge_degrees_of_freedom(end_gauge: Uncertainty) -> None:
    """GUM H.1.6: 16.7 cut to 16; unrounded components give 16.75."""
    assert end_gauge.dof == pytest.approx(16.75, abs=0.005)


def test_end_gauge_expanded(end_gauge: Uncertainty) -> None:
    """GUM H.1.6: t99(16) = 2.92, U99 = 93 nm from the rounded 32; 92.5 unrounded."""
    assert end_gauge.k == pytest.approx(2.92, abs=0.005)
    assert end_gauge.expanded == pytest.approx(92.5, abs=0.05)
    assert round(end_gauge.k, 2) * round(end_gauge.combined) == pytest.approx(93, abs=0.5)


def test_end_gauge_second_order_terms() -> None:
    """GUM H.1.7: the two second-order terms bring u to 34 nm (33.81 from 0.2 °C and a swing of 0.5 °C)."""
    dilation, warmth, swing = 1e-6 / sqrt(3), 0.05 / sqrt(3), hypot(0.2, 0.5 / sqrt(2))
    more = (Component(dilation * swing, sensitivity=STANDARD), Component(2e-6 / sqrt(3) * warmth, sensitivity=STANDARD))
    assert uncertainty((*END_GAUGE, *more)).combined == pytest.approx(33.81, abs=0.005)


# GUM annex H.3, calibration of a thermometer: readings and corrections, °C.
THERMOMETER = (
    (21.521, -0.171),
    (22.012, -0.169),
    (22.512, -0.166),
    (23.003, -0.159),
    (23.507, -0.164),
    (23.999, -0.165),
    (24.513, -0.156),
    (25.002, -0.157),
    (25.503, -0.159),
    (26.010, -0.161),
    (26.511, -0.160),
)


def test_thermometer_line() -> None:
    """GUM H.3: intercept -0.1712 (0.0029), slope 0.00218 (0.00067), correlation -0.930, s 0.0035."""
    fitted = line.fit([(reading - 20, correction) for reading, correction in THERMOMETER])
    assert fitted.intercept == pytest.approx(-0.1712, abs=0.00005)
    assert fitted.intercept_error == pytest.approx(0.0029, abs=0.00005)
    assert fitted.slope == pytest.approx(0.00218, abs=0.000005)
    assert fitted.slope_error == pytest.approx(0.00067, abs=0.000005)
    assert fitted.correlation == pytest.approx(-0.930, abs=0.0005)
    assert fitted.s == pytest.approx(0.0035, abs=0.00005)


def test_thermometer_at_30() -> None:
    """GUM H.3: correction -0.1494 °C at 30 °C, u 0.0041."""
    fitted = line.fit([(reading - 20, correction) for reading, correction in THERMOMETER])
    assert fitted.at(10) == pytest.approx(-0.1494, abs=0.00005)
    assert fitted.mean_error(10) == pytest.approx(0.0041, abs=0.00005)


def test_thermometer_prediction_interval() -> None:
    """95 % prediction interval at 30 °C, computed with statsmodels' OLS; held to the digits kept of it."""
    predicted = line.line([(reading - 20, correction) for reading, correction in THERMOMETER], at=10)
    assert predicted.low == pytest.approx(-0.161634, abs=1e-6)
    assert predicted.high == pytest.approx(-0.137119, abs=1e-6)


@pytest.mark.parametrize(("coverage", "factor"), [(0.95, 2.12), (0.99, 2.92)])
def test_student_factor(coverage: float, factor: float) -> None:
    """GUM table G.2, 16 degrees of freedom."""
    assert student.factor(coverage, 16) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize(("relative", "dof"), [(0.25, 8), (0.10, 50)])
def test_judged_uncertainty(relative: float, dof: float) -> None:
    """GUM G.4.2: an estimate good to 25 % has 8 degrees of freedom; to 10 %, 50. Exact."""
    assert of_dof(relative) == pytest.approx(dof, rel=1e-12)


def test_no_degrees_of_freedom_lost_without_estimates() -> None:
    """GUM G.6.4: components known for sure leave the normal distribution; k = 1.96."""
    result = uncertainty([Component(1.0), Component(1.0)])
    assert result.dof == inf
    assert result.k == pytest.approx(1.96, abs=0.0005)


@pytest.mark.parametrize(
    ("size", "expansion", "temperature", "at_20"),
    [(9.525, 11e-6, 35.0, 9.523428634), (150.0, 21.5e-6, 32.0, 149.961309982)],
)
def test_iso_1_reference_temperature(size: float, expansion: float, temperature: float, at_20: float) -> None:
    """ISO 1 names 20 °C; sizes from exact arithmetic to nine decimals."""
    assert thermal.at_20(size, expansion, temperature).size == pytest.approx(at_20, abs=6e-10)


def test_hot_clearance() -> None:
    """Exact arithmetic from expansion data after NF EN 10090:1998 (stem) and a C51000 supplier (guide)."""
    running = thermal.hot_clearance(
        guide=8.750,
        stem=8.700,
        guide_expansion=17.8e-6,
        guide_temperature=150,
        stem_expansion=17.5e-6,
        stem_temperature=300,
    )
    assert running.cold == pytest.approx(0.050, abs=1e-12)
    assert running.hot == pytest.approx(0.0276175, abs=1e-12)
