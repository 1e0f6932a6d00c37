"""Verdicts of a job by guard band, and the uncertainty behind them, against JCGM 100 and 106 and ISO 14253-1.

The `uncertainties` package carries uncertainty by derivatives that it works out itself: an independent sum.
"""

from __future__ import annotations

import math
from math import sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.job.proving import judged_sum, length, sum_plan
from tests.job.small import Shop
from uncertainties import correlated_values, ufloat, umath

from headwright.job.events import GaugeTaken, ReadingTaken
from headwright.job.figures import Bench, Figure
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Formula, Limit, Result


def hole(value: float) -> Figure:
    """Read a hole of 8.700 +0.015/0 mm with a gauge of U 0.004 mm (k = 2), and give its figure."""
    low, high = (Formula(f"{end} mm", constant=end) for end in (8.700, 8.715))
    reading = replace(length("hole", "bore gauge"), limit=Limit(low=low, high=high), proof=True)
    shop = Shop(sum_plan([reading], Result("free", "Free", "mm", "length", value=Formula("0 mm", constant=0.0))))
    shop.do(GaugeTaken("BG-1", "bore gauge", uncertainty=0.004))
    shop.do(ReadingTaken("sum", "head:A", "hole", f"{value}", "mm", value, gauge="BG-1"))
    return Bench(shop.state, shop.state.index.operations["sum"], "head:A").figure("hole")


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (8.6999, Verdict.LOW),
        (8.7005, Verdict.UNPROVEN),
        (8.7032, Verdict.UNPROVEN),
        (8.7033, Verdict.IN),
        (8.7117, Verdict.IN),
        (8.7118, Verdict.UNPROVEN),
        (8.7150, Verdict.UNPROVEN),
        (8.7190, Verdict.HIGH),
    ],
)
def test_a_hole_by_guard_band(value: float, verdict: Verdict) -> None:
    """ISO 14253-1:2017 (edition from memory): 95 % proves it, so 8.703290 to 8.711710 mm is accepted."""
    figure = hole(value)
    assert [*figure.proving] == pytest.approx([8.703290, 8.711710], abs=5e-7)
    assert figure.verdict is verdict


def test_an_end_gauge_in_a_job() -> None:
    """GUM annex H.1: uc = 31.664 nm from unrounded components; every input with a gauge of its own, in mm and K."""
    names = {
        "standard": (50.000623, 25e-6),
        "difference": (215e-6, 9.68194e-6),
        "expansion": (11.5e-6, 2e-6 / sqrt(3)),
        "deviation": (-0.1, 0.41),
        "unlike": (0.0, 1e-6 / sqrt(3)),
        "apart": (0.0, 0.05 / sqrt(3)),
    }
    figure = judged_sum(
        [length(name) for name in names],
        "standard + difference - standard * (unlike * deviation + expansion * apart)",
        {name: [value] for name, (value, _) in names.items()},
        {f"{name} gauge": u for name, (_, u) in names.items()},
    )
    assert figure.least == pytest.approx(50.000838, abs=1e-9)
    assert figure.uncertain is not None
    assert figure.uncertain / 2 == pytest.approx(31.664e-6, abs=0.01e-6)


SIZES = st.floats(5, 12)
STANDARD = st.floats(0.0002, 0.01)


@settings(max_examples=40, deadline=None)
@given(sizes=st.tuples(SIZES, SIZES, SIZES), u=st.tuples(STANDARD, STANDARD, STANDARD))
@pytest.mark.parametrize(
    ("text", "work"),
    [
        ("a - b", lambda a, b, _: a - b),
        ("(a * b + c ** 2) / a", lambda a, b, c: (a * b + c**2) / a),
        ("sqrt(a * b) - c / 3", lambda a, b, c: umath.sqrt(a * b) - c / 3),
    ],
)
def test_readings_of_different_gauges_carry_as_the_package_does(
    text: str, work: Any, sizes: tuple[float, float, float], u: tuple[float, float, float]
) -> None:
    """Against `uncertainties`, inputs independent."""
    a, b, c = sizes
    readings = [length(name) for name in ("a", "b", "c")]
    found = judged_sum(
        readings, text, {"a": [a], "b": [b], "c": [c]}, {f"{n} gauge": s for n, s in zip("abc", u, strict=True)}
    )
    expected = work(*(ufloat(value, s) for value, s in zip(sizes, u, strict=True)))
    assert found.uncertain == pytest.approx(2 * expected.std_dev, rel=1e-4)


@settings(max_examples=40, deadline=None)
@given(a=SIZES, b=SIZES, u=STANDARD, share=st.floats(0, 1))
@pytest.mark.parametrize("text", ["a - b", "(a + b) / 2", "a * b", "a / b"])
def test_readings_of_one_gauge_are_never_surer_than_any_shared_error_allows(
    text: str, a: float, b: float, u: float, share: float
) -> None:
    """Against `uncertainties` with the two correlated by any share: less never, and equal at one of the ends."""
    readings = [length("a", "micrometer"), length("b", "micrometer")]
    found = judged_sum(readings, text, {"a": [a], "b": [b]}, {"micrometer": u})
    assert found.uncertain is not None

    def package(correlation: float) -> float:
        both = correlated_values([a, b], [[u**2, correlation * u**2], [correlation * u**2, u**2]])
        return float(2 * eval(text, {"__builtins__": {}}, dict(zip("ab", both, strict=True))).std_dev)  # noqa: S307

    assert found.uncertain >= package(share) * (1 - 1e-4)
    # The package takes the root of a matrix that has none for a correlation of exactly one.
    ends = max(package(0.0), package(1 - 1e-9))
    assert found.uncertain == pytest.approx(ends, rel=1e-3)
    assert math.isfinite(ends)
