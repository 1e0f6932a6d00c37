"""Statistics against the certified values of the NIST Statistical Reference Datasets, and a published capability."""

from itertools import chain, repeat

import pytest

from headwright.calc import line
from headwright.calc.capability import capability, sample

# Mavro: fourth decimals of 2.00xx.
_MAVRO_DIGITS = (
    "18 17 18 19 18 17 15 14 15 15 17 18 18 19 19 21 20 16 14 13 13 15 15 16 15 "
    "14 13 14 15 14 15 16 15 16 19 20 20 21 22 23 24 25 27 26 26 26 27 26 25 24"
)
MAVRO = [float(f"2.00{digits}") for digits in _MAVRO_DIGITS.split()]

NORRIS_X = (
    "0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0 228.1 "
    "995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"
)
NORRIS_Y = (
    "0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7 228.3 "
    "998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"
)
NORRIS = list(zip(map(float, NORRIS_X.split()), map(float, NORRIS_Y.split()), strict=True))


def test_mavro() -> None:
    """NIST StRD Mavro, certified: n 50, mean 2.001856, s 0.000429123454003053; s to 12 digits of the double."""
    taken = sample(MAVRO)
    assert taken.count == 50
    assert taken.mean == pytest.approx(2.001856, rel=1e-15)
    assert taken.s == pytest.approx(0.000429123454003053, rel=1e-11)


def test_numacc1() -> None:
    """NIST StRD NumAcc1, certified and exact in doubles."""
    taken = sample([10000001, 10000003, 10000002])
    assert (taken.mean, taken.s) == (10000002, 1)


def _alternating(first: float, low: float, high: float) -> list[float]:
    return [first, *chain.from_iterable(repeat((low, high), 500))]


def test_numacc2() -> None:
    """NIST StRD NumAcc2, certified; twelve digits, as the data are not exact in doubles."""
    taken = sample(_alternating(1.2, 1.1, 1.3))
    assert taken.mean == pytest.approx(1.2, rel=1e-14)
    assert taken.s == pytest.approx(0.1, rel=1e-12)


def test_numacc3() -> None:
    """NIST StRD NumAcc3, certified; a double keeps 0.1 beside a million to about 1e-9."""
    taken = sample(_alternating(1000000.2, 1000000.1, 1000000.3))
    assert taken.mean == pytest.approx(1000000.2, rel=1e-14)
    assert taken.s == pytest.approx(0.1, rel=1e-8)


def test_numacc4() -> None:
    """NIST StRD NumAcc4, certified; a double keeps 0.1 beside ten million to about 6e-9."""
    taken = sample(_alternating(10000000.2, 10000000.1, 10000000.3))
    assert taken.mean == pytest.approx(10000000.2, rel=1e-14)
    assert taken.s == pytest.approx(0.1, rel=1e-7)


def test_norris() -> None:
    """NIST StRD Norris, certified coefficients and their errors; residual SD from memory, reproduced with statsmodels.

    Ten digits: the sums lose a few of the fifteen to cancellation.
    """
    fitted = line.fit(NORRIS)
    assert fitted.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert fitted.intercept_error == pytest.approx(0.232818234301152, rel=1e-10)
    assert fitted.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert fitted.slope_error == pytest.approx(0.429796848199937e-03, rel=1e-10)
    assert fitted.s == pytest.approx(0.884796396144373, rel=1e-10)


def test_norris_r_squared() -> None:
    """NIST StRD Norris, certified R² 0.999993745883712, from our scatter and the plain spread of y."""
    fitted = line.fit(NORRIS)
    spread = sample([y for _, y in NORRIS]).s ** 2 * (len(NORRIS) - 1)
    assert 1 - fitted.s**2 * fitted.dof / spread == pytest.approx(0.999993745883712, rel=1e-12)


def test_norris_prediction() -> None:
    """95 % prediction interval at x = 500, computed with statsmodels' OLS, to its eight decimals."""
    predicted = line.line(NORRIS, at=500)
    assert predicted.low == pytest.approx(498.97179405, abs=6e-9)
    assert predicted.high == pytest.approx(502.62037782, abs=6e-9)


def test_capability_indices() -> None:
    """User guide of a statistics package, subgroups of 5: sigma 13.1028, mean 259.667, limits 240 to 270.

    Printed Cp 0.38160, Cpk 0.26288; half a last digit, as mean and sigma are printed rounded. The same sums with the
    standard deviation of all values give Pp and Ppk.
    """
    found = capability(mean=259.667, s=13.1028, low=240, high=270)
    assert found.pp == pytest.approx(0.38160, abs=5e-6)
    assert found.ppk == pytest.approx(0.26288, abs=1e-5)
