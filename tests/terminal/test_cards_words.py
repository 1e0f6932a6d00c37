"""Figures in the words of a card: the reading's own digits, and more where only they show that it is out."""

from __future__ import annotations

import pytest

from headwright.job.figures import Figure
from headwright.job.verdict import Verdict
from headwright.procedure.plan import PLAN_FORMAT, Plan, Reading, Sort, Unit
from headwright.terminal.cards.figure_words import limit_words, out_words, span_words
from headwright.terminal.cards.words import like_a_reading, moment, plain

INCH = 25.4
"""mm in an inch, by definition."""
PLAN = Plan(
    PLAN_FORMAT,
    *("x",) * 6,
    places=(),
    conditions=(),
    cautions=(),
    repairs=(),
    operations=(),
    specs=(),
    # 0 °C is 273.15 K and a Fahrenheit degree is 5/9 of a kelvin, by definition.
    units=(
        Unit("in", "length", INCH),
        Unit("degF", "temperature", 5 / 9, 255.372),
        Unit("mm", "length", 1.0),
    ),
)
BORE = Reading("bore", "Bore", unit="in", dimension="length", resolution=0.0001 * INCH)
WARMTH = Reading("warmth", "Warmth", unit="degF", dimension="temperature", resolution=5 / 9)
DROPS = Reading("drops", "Drops", Sort.YES_NO, accept=("yes",))


def _figure(
    item: Reading, least: float, most: float, *, low: float | None = None, high: float | None = None, out: float
) -> Figure:
    return Figure(
        "size",
        "2I",
        item.name,
        item.label,
        item.unit,
        item.resolution,
        least=least,
        most=most,
        low=low,
        high=high,
        verdict=Verdict.LOW if low is not None and least < low else Verdict.HIGH,
        out=out,
    )


def test_a_span_is_given_in_the_digits_of_its_gauge() -> None:
    figure = _figure(BORE, 0.0004 * INCH, 0.0007 * INCH, low=0.0010 * INCH, high=0.0020 * INCH, out=0.0006 * INCH)
    assert span_words(PLAN, BORE, figure) == ".0004–.0007 in"
    assert limit_words(PLAN, BORE, figure) == ".0010 to .0020 in"
    assert out_words(PLAN, BORE, figure) == ".0006 in"


def test_a_figure_that_is_out_by_less_than_its_last_digit_shows_more_of_them() -> None:
    figure = _figure(BORE, 0.002004 * INCH, 0.002004 * INCH, high=0.0020 * INCH, out=0.000004 * INCH)
    assert span_words(PLAN, BORE, figure) == ".002004 in"
    assert limit_words(PLAN, BORE, figure) == "at most .002000 in"
    assert out_words(PLAN, BORE, figure) == ".000004 in"


def test_a_difference_of_temperatures_has_no_zero_point() -> None:
    warm, limit = 80 * 5 / 9 + 255.372, 75 * 5 / 9 + 255.372
    figure = _figure(WARMTH, warm, warm, high=limit, out=warm - limit)
    assert span_words(PLAN, WARMTH, figure) == "80 °F"
    assert out_words(PLAN, WARMTH, figure) == "5 °F"


def test_one_limit_alone_says_which_it_is() -> None:
    figure = _figure(BORE, 0.31 * INCH, 0.31 * INCH, low=0.3105 * INCH, out=0.0005 * INCH)
    assert limit_words(PLAN, BORE, figure) == "at least .3105 in"


def test_an_answer_in_words_is_given_as_it_is() -> None:
    figure = Figure("verify", "2I", "drops", "Drops", "", 0.0, word="no", verdict=Verdict.WRONG)
    assert span_words(PLAN, DROPS, figure) == "no"
    assert limit_words(PLAN, DROPS, figure) == "yes"
    assert out_words(PLAN, DROPS, figure) == ""


@pytest.mark.parametrize(
    "typed",
    [
        "0.3132",
        ".3132",
        "0,3132",
        "3132",
        "+2",
        "-1.5",
        " .3132 in",
        "8.73mm",
        "95F",
        "29 psi",
        "20.6 °C",
        "11/32",
        "ERR",
        "Error",
    ],
)
def test_what_gauges_type_is_told_from_words(typed: str) -> None:
    assert like_a_reading(typed)


@pytest.mark.parametrize(
    "typed", ["", "no", "2 scratches", "95F at the port", "ball 0.3436 was worn", "in", "11 o'clock", "error of mine"]
)
def test_words_are_not_taken_for_readings(typed: str) -> None:
    assert not like_a_reading(typed)


def test_a_text_is_cut_with_a_mark_and_never_steers_the_terminal() -> None:
    assert plain("a\nb\x1b[0m\u202e") == "a b [0m "
    assert plain("abcdef", 4) == "abc…"
    assert plain("abcd", 4) == "abcd"


def test_a_time_on_record_is_shown_by_the_clock_of_the_place(monkeypatch: pytest.MonkeyPatch) -> None:
    import time  # noqa: PLC0415 - its zone is set here only

    monkeypatch.setenv("TZ", "UTC-02:00")  # POSIX: two hours east
    time.tzset()
    try:
        assert moment("2026-03-09T07:30:30.000000Z") == "2026-03-09 09:30"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_time_that_is_none_is_shown_as_it_stands() -> None:
    assert moment("t\x1b") == "t "
