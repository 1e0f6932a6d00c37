"""Figures and limits on the sheet: in the reading's own unit, limits never wider than they are."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from headwright.job.figures import Figure
from headwright.job.index import PlanIndex
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Unit
from headwright.sheet.words import figure_words, moment, places_for, span_words, with_unit
from tests.job.small import plan

INCH = Unit("in", "length", 25.4)
"""1 in = 25.4 mm exactly (international yard and pound agreement of 1959)."""
MM = Unit("mm", "length", 1.0)
CELSIUS = Unit("degC", "temperature", 1.0)


@pytest.mark.parametrize(
    ("low", "high", "least", "words"),
    [
        (0.0254, 0.0508, 4, "limits 0.0010 to 0.0020 in"),
        (None, 0.0003 * 25.4, 4, "at most 0.0003 in"),
        (3.59 * 25.4, None, 3, "at least 3.590 in"),
        (0.0, 0.0625 * 25.4, 3, "limits 0.0000 to 0.0625 in"),
        (-0.00254, 0.00254, 4, "limits -0.0001 to 0.0001 in"),
        (None, None, 4, ""),
    ],
)
def test_limits_have_the_decimals_that_both_ends_need(
    low: float | None, high: float | None, least: int, words: str
) -> None:
    assert span_words(low, high, INCH, least) == words


def test_limits_that_do_not_come_out_even_are_rounded_inward() -> None:
    # 175 °F and 200 °F: (F - 32) × 5/9.
    low, high = float(Fraction(175 - 32) * 5 / 9), float(Fraction(200 - 32) * 5 / 9)
    assert span_words(low, high, CELSIUS, 0) == "limits 80 to 93 °C"
    assert span_words(0.0254 / 3, 0.0508 / 3, MM) == "limits 0.0085 to 0.0169 mm"


@given(st.floats(-1000, 1000), st.floats(0, 10), st.integers(0, 5))
@example(-0.99999, 1.2, 0)
def test_what_is_printed_lies_inside_the_limits(low: float, wide: float, least: int) -> None:
    words = span_words(low, low + wide, MM, least).removeprefix("limits ").removesuffix(" mm")
    shown_low, shown_high = map(float, words.split(" to "))
    assert shown_low >= low - 1e-6
    assert shown_high <= low + wide + 1e-6


def test_decimals_run_from_the_least_wanted_to_six() -> None:
    assert [places_for(INCH, 3, 25.4), places_for(INCH, None, 25.4 / 16), places_for(INCH, 2, 25.4 / 3)] == [3, 4, 2]


def test_units_and_times_as_they_are_spoken_of() -> None:
    assert [with_unit("45", "deg"), with_unit("20.6", "degC"), with_unit("7", "")] == ["45°", "20.6 °C", "7"]
    assert moment("2025-03-04T08:12:30.000000Z") == "2025-03-04 08:12"


def test_a_figure_that_is_out_is_told_from_its_limit() -> None:
    """0.00096 in must not stand as 0.0010 against a limit of 0.0010."""
    index = PlanIndex(plan())
    out = Figure(
        "size", "1I", "clearance", "Clearance", "in", 0.0001 * 25.4,
        least=0.00096 * 25.4, most=0.0013 * 25.4, low=0.0010 * 25.4, high=0.0020 * 25.4,
        verdict=Verdict.LOW, complete=True, out=0.00004 * 25.4,
    )  # fmt: skip
    assert figure_words(out, index) == "0.00096 to 0.00130 in, limits 0.0010 to 0.0020 in"
