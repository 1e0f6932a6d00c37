"""Decision rules against JCGM 106:2012 and ISO 14253-1:2017 (edition detail from memory); exact to the digits kept."""

import pytest

from headwright.calc.conformity import Verdict, conformity
from headwright.calc.student import quantile


@pytest.mark.parametrize(
    ("probability", "z"),
    [(0.80, 0.841621), (0.90, 1.281552), (0.95, 1.644854), (0.99, 2.326348), (0.999, 3.090232)],
)
def test_one_sided_probability(probability: float, z: float) -> None:
    """Normal distribution, as JCGM 106:2012 uses it; a value z·u inside one limit conforms with that probability."""
    assert quantile(probability) == pytest.approx(z, abs=5e-7)
    assert conformity(value=10 - z, u=1.0, high=10.0).probability == pytest.approx(probability, abs=1e-6)


def test_guard_band() -> None:
    """ISO 14253-1:2017: 95 % proves it, 1.645 u at each limit: 8.700 +0.015/0 mm, U 0.004 mm (k = 2)."""
    found = conformity(value=8.7075, u=0.002, low=8.700, high=8.715)
    assert found.accept_low == pytest.approx(8.703290, abs=5e-7)
    assert found.accept_high == pytest.approx(8.711710, abs=5e-7)


@pytest.mark.parametrize(
    ("value", "probability", "verdict"),
    [
        (8.7005, 0.59871, Verdict.UNPROVEN),
        (8.7033, 0.95053, Verdict.CONFORMS),
        (8.7075, 0.99982, Verdict.CONFORMS),
        (8.7150, 0.50000, Verdict.UNPROVEN),
        (8.7190, 0.02275, Verdict.OUTSIDE),
    ],
)
def test_probability_of_conformity(value: float, probability: float, verdict: Verdict) -> None:
    """JCGM 106:2012, section 7: the same size and uncertainty; the last is 2 u outside."""
    found = conformity(value=value, u=0.002, low=8.700, high=8.715)
    assert found.probability == pytest.approx(probability, abs=5e-6)
    assert found.verdict is verdict
