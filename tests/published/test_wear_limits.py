"""Wear limits of US Army technical manuals (public domain), worked through our own sums. Inches are exact decimals."""

import pytest

from headwright.calc.clearance import clearance
from headwright.calc.deck import LINES, Gap, six_lines
from headwright.calc.fits import interference
from headwright.calc.limits import round_inward, within
from headwright.calc.seats import runout, seat

INCH = 25.4


def test_tm_9_2815_237_34_seats() -> None:
    """V8 diesel: seat 46°, width intake 0.035–0.060, exhaust 0.062–0.093 in; runout 0.002; clearance 0.001–0.003 in."""
    band = seat(outside=1.560 * INCH, inside=1.470 * INCH, angle=46)
    assert within(band.width, 0.062 * INCH, 0.093 * INCH)
    assert not within(band.width, 0.035 * INCH, 0.060 * INCH)
    # Its runout limit and its least clearance agree only just: at the limit the valve cannot centre in a new guide.
    assert not runout(0.002 * INCH, 0.001 * INCH).centres
    assert runout(0.002 * INCH, 0.003 * INCH).centres


def test_tm_9_2815_237_34_margin() -> None:
    """Margin at least 1/32 in: in thousandths rounded inward 0.032, never 0.031."""
    assert round_inward(1 / 32, None, 0.001).low == 0.032


def test_tm_9_6115_604_34_clearances() -> None:
    """Table 1-4: new 0.0017–0.0035, worn 0.0061 in."""
    new = clearance(
        guide_least=0.4972 * INCH, guide_most=0.4980 * INCH, stem_least=0.4945 * INCH, stem_most=0.4955 * INCH
    )
    assert (new.least / INCH, new.most / INCH) == pytest.approx((0.0017, 0.0035), abs=1e-9)
    worn = clearance(
        guide_least=0.4996 * INCH, guide_most=0.4996 * INCH, stem_least=0.4935 * INCH, stem_most=0.4935 * INCH
    )
    assert worn.most / INCH == pytest.approx(0.0061, abs=1e-9)


@pytest.mark.parametrize(
    ("hole", "part", "printed"),
    [
        ((0.8435, 0.8445), (0.8456, 0.8461), (0.0011, 0.0026)),
        ((2.377, 2.378), (2.3805, 2.3815), (0.0025, 0.0045)),
    ],
    ids=["guide", "seat insert"],
)
def test_tm_9_6115_604_34_interferences(
    hole: tuple[float, float], part: tuple[float, float], printed: tuple[float, float]
) -> None:
    """Table 1-4: guide 0.0011–0.0026 in, seat insert 0.0025–0.0045 in."""
    found = interference(
        hole_least=hole[0] * INCH, hole_most=hole[1] * INCH, part_least=part[0] * INCH, part_most=part[1] * INCH
    )
    assert (found.least / INCH, found.most / INCH) == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize(
    ("guide", "least", "most"), [(0.373, 0.001, 0.0015), (0.374, 0.002, 0.0025)], ids=["intake", "exhaust"]
)
def test_tm_5_6115_400_35_clearances(guide: float, least: float, most: float) -> None:
    """Stem 0.3715–0.3720 in; limit 0.0055 in."""
    found = clearance(
        guide_least=guide * INCH, guide_most=guide * INCH, stem_least=0.3715 * INCH, stem_most=0.3720 * INCH
    )
    assert (found.least / INCH, found.most / INCH) == pytest.approx((least, most), abs=1e-9)
    assert within(found.most, None, 0.0055 * INCH)


@pytest.mark.parametrize(
    ("guide", "new", "serviceable"), [(0.3765, True, True), (0.3785, False, True), (0.3790, False, False)]
)
def test_tm_5_3810_206_35_clearance(guide: float, *, new: bool, serviceable: bool) -> None:
    """Clearance 0.003–0.005, replace over 0.007 in: with a stem of 0.3715 in; on the limit is inside it."""
    most = clearance(
        guide_least=guide * INCH, guide_most=guide * INCH, stem_least=0.3715 * INCH, stem_most=0.3715 * INCH
    ).most
    assert within(most, 0.003 * INCH, 0.005 * INCH) is new
    assert within(most, None, 0.007 * INCH) is serviceable


def test_tm_5_3810_206_35_margin() -> None:
    """Margin at least 0.094 in: 2.39 mm rounded inward to a hundredth, 2.38 would allow less."""
    assert round_inward(0.094 * INCH, None, 0.01).low == 2.39


@pytest.mark.parametrize(
    ("worst", "span", "flat"), [(0.006, 0.003, True), (0.0065, 0.002, False), (0.005, 0.0035, False)]
)
def test_tm_5_3825_226_24_flatness(worst: float, span: float, *, flat: bool) -> None:
    """Flatness 0.006 in overall and 0.003 in per 6 in."""
    gaps = {line: Gap(0.002 * INCH, 0.001 * INCH) for line in LINES}
    gaps["diagonal 2"] = Gap(worst * INCH, span * INCH)
    verdict = six_lines(gaps, whole_limit=0.006 * INCH, span_limit=0.003 * INCH)
    assert verdict.flat is flat
    assert (verdict.whole_line, verdict.span_line) == ("diagonal 2", "diagonal 2")


@pytest.mark.parametrize(
    ("low", "high", "limit"), [(0.028, 0.030, 0.10), (0.058, 0.060, 0.15)], ids=["intake", "exhaust"]
)
def test_tm_10_3930_653_14p_clearances(low: float, high: float, limit: float) -> None:
    """Clearance intake 0.028–0.030, limit 0.10; exhaust 0.058–0.060, limit 0.15 mm."""
    found = clearance(guide_least=8.0 + low, guide_most=8.0 + high, stem_least=8.0, stem_most=8.0)
    assert within(found.least, low, high)
    assert within(found.most, low, high)
    worn = clearance(guide_least=8.0 + limit, guide_most=8.0 + limit, stem_least=7.999, stem_most=8.0)
    assert within(worn.least, None, limit)
    assert not within(worn.most, None, limit)


def test_tm_10_3930_653_14p_flatness() -> None:
    """Flatness below 0.1 mm."""
    gaps = {line: Gap(0.09, 0.05) for line in LINES}
    assert six_lines(gaps, whole_limit=0.1, span_limit=0.1).flat
    gaps["middle"] = Gap(0.11, 0.05)
    assert not six_lines(gaps, whole_limit=0.1, span_limit=0.1).flat
