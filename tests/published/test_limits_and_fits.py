"""Limits and fits against published tables. Tables are in whole microns or thousandths: equality but for doubles."""

import pytest

from headwright.calc.fits import force_fit, iso_limits
from headwright.calc.limits import round_inward

INCH = 25.4


@pytest.mark.parametrize(
    ("nominal", "code", "low", "high"),
    [
        (8, "h6", -9, 0),
        (8, "k6", 1, 10),
        (8, "n6", 10, 19),
        (8, "p6", 15, 24),
        (8, "s6", 23, 32),
        (12, "h6", -11, 0),
        (12, "n6", 12, 23),
        (12, "p6", 18, 29),
        (12, "s6", 28, 39),
        (8, "H7", 0, 15),
        (12, "H7", 0, 18),
        (20, "H7", 0, 21),
        (10, "s6", 23, 32),
        (18, "p6", 18, 29),
    ],
)
def test_iso_286_limits(nominal: float, code: str, low: float, high: float) -> None:
    """ISO 286-2 limits in microns, after the identical JIS B 0401 table; a step ends at its upper diameter."""
    found = iso_limits(nominal, code)
    assert found.low is not None
    assert found.high is not None
    assert (found.low - nominal) * 1000 == pytest.approx(low, abs=1e-9)
    assert (found.high - nominal) * 1000 == pytest.approx(high, abs=1e-9)


@pytest.mark.parametrize(("nominal", "widths"), [(8, (9, 15, 22)), (12, (11, 18, 27))])
def test_iso_286_tolerance_grades(nominal: float, widths: tuple[int, int, int]) -> None:
    """ISO 286-2 grades 6 to 8, microns."""
    for grade, width in zip((6, 7, 8), widths, strict=True):
        found = iso_limits(nominal, f"H{grade}")
        assert found.low == nominal
        assert found.high == pytest.approx(nominal + width / 1000, abs=1e-12)


@pytest.mark.parametrize(
    ("inches", "fit", "least", "most"),
    [(0.30, "FN1", 0.1, 0.75), (0.30, "FN2", 0.4, 1.4), (0.50, "FN1", 0.1, 0.8), (0.50, "FN2", 0.5, 1.6)],
)
def test_force_fits(inches: float, fit: str, least: float, most: float) -> None:
    """ASME B4.1-1967 in Machinery's Handbook 27e and 31e, thousandths of an inch."""
    found = force_fit(inches * INCH, fit)
    assert found.least / INCH * 1000 == pytest.approx(least, abs=1e-9)
    assert found.most / INCH * 1000 == pytest.approx(most, abs=1e-9)


def test_limits_round_inward_when_their_unit_changes() -> None:
    """ASME practice: 11 ± 0.3 mm is 0.422 to 0.444 in, never 0.421 to 0.445."""
    found = round_inward(10.7 / INCH, 11.3 / INCH, 0.001)
    assert (found.low, found.high) == (0.422, 0.444)
