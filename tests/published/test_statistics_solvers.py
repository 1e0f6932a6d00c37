"""Distribution, regression, uncertainty and springback against scipy, statsmodels and the uncertainties package."""

from math import inf
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from uncertainties import UFloat, ufloat, umath

from headwright.calc import student, thermal
from headwright.calc.line import fit, line
from headwright.calc.springback import Sizing, learn
from headwright.calc.uncertainty import Component, uncertainty
from headwright.calc.volumes import compression_ratio, swept


@settings(max_examples=300, deadline=None)
@given(t=st.floats(-60, 60), dof=st.one_of(st.floats(0.5, 200), st.floats(200, 1e7)))
def test_t_distribution(t: float, dof: float) -> None:
    """scipy.stats.t; our promise is 1e-10."""
    assert student.cdf(t, dof) == pytest.approx(stats.t.cdf(t, dof), abs=1e-10)


@settings(max_examples=100, deadline=None)
@given(probability=st.floats(0.0005, 0.9995), dof=st.floats(1, 5000))
def test_t_quantile(probability: float, dof: float) -> None:
    """scipy.stats.t; relative to the width of the distribution there."""
    wanted = stats.t.ppf(probability, dof)
    assert student.quantile(probability, dof) == pytest.approx(wanted, rel=1e-8, abs=1e-9)


def test_normal_limit() -> None:
    """scipy.stats.norm is what the t distribution grows into; the quantile, to twelve digits."""
    assert student.quantile(0.975, inf) == pytest.approx(stats.norm.ppf(0.975), rel=1e-12)
    assert student.quantile(0.975, 1e9) == pytest.approx(stats.norm.ppf(0.975), rel=1e-8)


def _noisy(seed: int, count: int) -> tuple[Any, Any, Any]:
    random = np.random.default_rng(seed)
    x = random.uniform(0.03, 0.08, count)
    y = 0.003 + 0.16 * x + random.normal(0, 0.0012, count)
    return x, y, random.uniform(0.2, 1.0, count)


@pytest.mark.parametrize(("seed", "count"), [(1, 3), (2, 6), (3, 14), (4, 60), (5, 200)])
def test_line_and_prediction_interval(seed: int, count: int) -> None:
    """Statsmodels OLS with its prediction interval; nine digits."""
    x, y, _ = _noisy(seed, count)
    model = sm.OLS(y, sm.add_constant(x)).fit()
    found = line(list(zip(x, y, strict=True)), at=0.07)
    assert (found.intercept, found.slope) == pytest.approx(tuple(model.params), rel=1e-9)
    assert found.s == pytest.approx(model.mse_resid**0.5, rel=1e-9)
    frame = model.get_prediction([[1, 0.07]]).summary_frame(alpha=0.05)
    assert found.prediction == pytest.approx(frame["mean"][0], rel=1e-9)
    assert found.low == pytest.approx(frame["obs_ci_lower"][0], rel=1e-8)
    assert found.high == pytest.approx(frame["obs_ci_upper"][0], rel=1e-8)


def test_weighted_line() -> None:
    """Statsmodels WLS, whose weights mean the same; coefficients, errors and the prediction of a full-weight point."""
    x, y, weights = _noisy(6, 30)
    model = sm.WLS(y, sm.add_constant(x), weights=weights).fit()
    found = fit(list(zip(x, y, strict=True)), list(weights))
    assert (found.intercept, found.slope) == pytest.approx(tuple(model.params), rel=1e-9)
    assert (found.intercept_error, found.slope_error) == pytest.approx(tuple(model.bse), rel=1e-9)
    frame = model.get_prediction([[1, 0.07]], weights=1.0).summary_frame(alpha=0.05)
    half = student.factor(0.95, found.dof) * found.prediction_error(0.07)
    assert found.at(0.07) + half == pytest.approx(frame["obs_ci_upper"][0], rel=1e-8)


def test_springback_of_a_shop_with_records_is_the_least_squares_line() -> None:
    """Statsmodels OLS on springback against interference, and its 95 % interval of the finished size."""
    random = np.random.default_rng(7)
    pre = random.uniform(8.655, 8.675, 14)
    ball = random.choice([8.700, 8.712, 8.725], 14)
    finished = ball - (0.003 + 0.16 * (ball - pre) + random.normal(0, 0.0012, 14))
    model = sm.OLS(ball - finished, sm.add_constant(ball - pre)).fit()
    learnt = learn([Sizing(*each) for each in zip(pre, ball, finished, strict=True)])
    assert not learnt.assumed
    assert (learnt.intercept, learnt.slope) == pytest.approx(tuple(model.params), rel=1e-8)
    expected = learnt.predict(8.664, 8.725)
    frame = model.get_prediction([[1, 8.725 - 8.664]]).summary_frame(alpha=0.05)
    assert expected.low == pytest.approx(8.725 - frame["obs_ci_upper"][0], rel=1e-10)
    assert expected.high == pytest.approx(8.725 - frame["obs_ci_lower"][0], rel=1e-10)


def _standard(result: UFloat) -> float:
    return float(result.std_dev)


def test_uncertainty_of_a_clearance() -> None:
    """The uncertainties package on guide less stem, components of a bore gauge and a micrometer in tenths of a thou."""
    guide = ufloat(3431, 0.29) + ufloat(0, 0.4) + ufloat(0, 0.2) + ufloat(0, 0.2) + ufloat(0, 0.3)
    stem = ufloat(3415, 0.3) + ufloat(0, 0.36)
    parts = [Component(value) for value in (0.29, 0.4, 0.2, 0.2, 0.3, 0.3, 0.36)]
    assert uncertainty(parts).combined == pytest.approx(_standard(guide - stem), rel=1e-12)


def test_uncertainty_of_a_size_at_20() -> None:
    """The uncertainties package through the exact sum; sensitivities by differences of our own sum, so 1e-6."""
    size, expansion, warmth = 150.0, 21.5e-6, 32.0
    errors = (0.002, 1e-6, 0.5)
    exact = ufloat(size, errors[0]) / (1 + ufloat(expansion, errors[1]) * (ufloat(warmth, errors[2]) - 20))

    def ours(one: float, two: float, three: float) -> float:
        return thermal.at_20(one, two, three).size

    steps = (1e-3, 1e-9, 1e-3)
    parts = []
    for index, (step, error) in enumerate(zip(steps, errors, strict=True)):
        up, down = [size, expansion, warmth], [size, expansion, warmth]
        up[index] += step
        down[index] -= step
        parts.append(Component(error, sensitivity=(ours(*up) - ours(*down)) / (2 * step)))
    assert uncertainty(parts).combined == pytest.approx(_standard(exact), rel=1e-6)


def test_uncertainty_of_a_compression_ratio() -> None:
    """The uncertainties package through bore, stroke and burette; hand-written sensitivities, nine digits."""
    bore, stroke, left = 86.0, 86.0, 55.0
    exact = 1 + umath.pow(ufloat(bore, 0.01), 2) * ufloat(stroke, 0.02) * np.pi / 4000 / ufloat(left, 0.3)
    ratio = compression_ratio(swept(bore, stroke), left) - 1
    parts = [
        Component(0.01, sensitivity=2 * ratio / bore),
        Component(0.02, sensitivity=ratio / stroke),
        Component(0.3, sensitivity=-ratio / left),
    ]
    assert uncertainty(parts).combined == pytest.approx(_standard(exact), rel=1e-9)


def test_welch_satterthwaite_against_simulation() -> None:
    """The 95 % interval from estimated components covers the truth 95 times in 100.

    4000 draws leave 0.0034; three of that and a little for cutting the degrees of freedom to whole numbers.
    """
    random = np.random.default_rng(11)
    draws, hits = 4000, 0
    for _ in range(draws):
        first, second = random.normal(0, 1.0, 5), random.normal(0, 2.0, 8)
        parts = [
            Component(float(first.std(ddof=1)), 5**0.5, 4),
            Component(float(second.std(ddof=1)), 8**0.5, 7),
        ]
        hits += abs(first.mean() + second.mean()) <= uncertainty(parts).expanded
    assert hits / draws == pytest.approx(0.95, abs=0.012)
