"""What a typed figure means, and the one line for what means nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwright.job.entry import Entered, Misread, Scanned, entered
from headwright.job.show import show, unit_of
from headwright.procedure.plan import Plan, Reading, Sort, Unit
from tests.job.small import INCH, plan

PLAN = plan()
BORE = Reading("bore", "Finished bore", unit="in", dimension="length", resolution=0.0001 * INCH)
WINDOW = (0.30 * INCH, 0.35 * INCH)


def figure(typed: str, reading: Reading = BORE, the_plan: Plan = PLAN) -> float:
    found = entered(typed, reading, the_plan, window=WINDOW if reading is BORE else None)
    assert isinstance(found, Entered), found
    assert found.value is not None
    return found.value


@pytest.mark.parametrize(
    ("typed", "inches"),
    [
        (".3446", 0.3446),
        ("0.3446", 0.3446),
        ("0,3446", 0.3446),
        (" 0.3446 ", 0.3446),
        ("3446", 0.3446),
        ("11/32", 11 / 32),
        ("1 1/4", 1.25),
        ("0.3446in", 0.3446),
        ('0.3446 "', 0.3446),
        ("+0.3446", 0.3446),
        ("  +0,3446 in", 0.3446),
        ("+3446", 0.3446),
        ("-0.3446", -0.3446),
        ("8.73 mm", 8.73 / 25.4),
        ("8,73 MM", 8.73 / 25.4),
    ],
)
def test_a_figure_may_be_typed_in_any_of_these_ways(typed: str, inches: float) -> None:
    assert figure(typed) == pytest.approx(inches * 25.4, abs=1e-12)


def test_graduations_without_the_point_are_shown_expanded() -> None:
    found = entered("3446", BORE, PLAN, window=WINDOW)
    assert isinstance(found, Entered)
    assert found.shown == "0.3446"


def test_graduations_count_from_the_size_that_the_gauge_was_mastered_at() -> None:
    found = entered("-1.5", BORE, PLAN, master=0.3140 * INCH)
    assert isinstance(found, Entered)
    assert found.value == pytest.approx(0.31385 * INCH)


def test_a_whole_figure_that_a_cable_sends_with_its_sign_counts_no_graduations() -> None:
    for typed in ("+0.3446", "+3446"):
        found = entered(typed, BORE, PLAN, window=WINDOW, master=0.3440 * INCH)
        assert isinstance(found, Entered)
        assert found.value == pytest.approx(0.3446 * INCH)


def test_a_metric_figure_of_one_digit_is_never_taken_for_graduations_or_the_other_way_round() -> None:
    """Near 7 mm, `+7` could be 7 mm or seven graduations: it is refused where there is nothing to count from."""
    metric = Reading("bore", "Bore", unit="mm", dimension="length", resolution=0.002)
    assert isinstance(entered("+7", metric, PLAN, window=(6.7, 7.3)), Misread)
    found = entered("+7", metric, PLAN, window=(6.7, 7.3), master=7.0)
    assert isinstance(found, Entered)
    assert found.value == pytest.approx(7.014)


def test_a_figure_that_may_be_below_nothing_is_taken_with_its_sign() -> None:
    recession = Reading("recession", "Recession", unit="mm", dimension="length", resolution=0.01)
    assert figure("-0.15", recession) == pytest.approx(-0.15)
    assert figure("-1", recession) == pytest.approx(-1)
    depth = Reading("depth", "Depth", unit="in", dimension="length", resolution=0.001 * INCH)
    assert figure("-0.012", depth) == pytest.approx(-0.012 * INCH)


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ("", "Nothing typed: a figure in inches is expected."),
        ("abc", "'abc' is not a figure: a figure in inches is expected."),
        ("0.34.46", "'0.34.46' has two decimal points: a figure in inches is expected."),
        ("ERR", "The gauge sent 'ERR', an error of its own: a figure in inches is expected."),
        ("0.3446 kg", "'kg' is not a unit of Finished bore: in, mm are."),
        ("0.3446 12", "'12' stands behind the figure: a figure in inches is expected."),
        ("1/0", "'1/0' divides by nothing."),
        (
            "+2",
            (
                "'+2' counts graduations from the size that the gauge was mastered at, and none is on record here: "
                "a figure in inches is expected."
            ),
        ),
        ("1." + "1" * 40, "'1.111111111111111111…' has too many digits: a figure in inches is expected."),
    ],
)
def test_what_is_no_figure_gets_one_line(typed: str, line: str) -> None:
    found = entered(typed, BORE, PLAN, window=WINDOW)
    assert isinstance(found, Misread)
    assert found.say == line


def test_a_temperature_may_be_below_nothing() -> None:
    degrees = Reading("t", "Head", unit="degC", dimension="temperature", resolution=0.1)
    units = (Unit("degC", "temperature", 1.0), Unit("degF", "temperature", 5 / 9, -160 / 9))
    thermo = Plan(**{f: getattr(PLAN, f) for f in PLAN.__struct_fields__ if f != "units"}, units=units)
    assert figure("-4", degrees, thermo) == -4
    assert figure("68 °F", degrees, thermo) == pytest.approx(20)


def test_answers_are_understood_by_letter_number_or_beginning() -> None:
    yes = Reading("ok", "Clean", Sort.YES_NO, accept=("yes",))
    assert entered("Y", yes, PLAN) == Entered("Y", word="yes")
    assert entered("maybe", yes, PLAN) == Misread("'maybe': yes or no is expected.")
    effort = Reading("effort", "Effort", Sort.CHOICE, choices=("easy", "normal", "hard"))
    assert entered("2", effort, PLAN) == Entered("2", word="normal")
    for number in ("0", "4", "12345", "02"):
        assert isinstance(entered(number, effort, PLAN), Misread), number
    assert entered("h", effort, PLAN) == Entered("h", word="hard")
    assert entered("hart", effort, PLAN) == Misread("'hart' is not one of easy, normal, hard (Effort). Nearest: hard.")
    assert entered("", effort, PLAN) == Misread("Effort: an answer is expected: easy, normal, hard.")
    lot = Reading("lot", "Lot", Sort.TEXT)
    assert entered("\x1b[31mB 12", lot, PLAN) == Entered("\x1b[31mB 12", word="[31mB 12")


CODE = "6291041500213"
"""The number 629104150021 with its check digit 3: the worked example in GS1's guide to check digits."""


@pytest.mark.parametrize(
    ("typed", "what"),
    [
        (CODE, "a bar code of 13 digits"),
        ("0" + CODE, "a bar code of 14 digits"),
        ("1234567890", "a bar code of 10 digits"),
        ("]C1BG1", "a bar code"),
        ("BG-1", "the tag of BG-1"),
        (" bg-1 ", "the tag of BG-1"),
        ("G:BG-1", "the tag of BG-1"),
    ],
)
def test_a_bar_code_is_told_from_a_figure_and_nothing_of_it_is_taken(typed: str, what: str) -> None:
    found = entered(typed, BORE, PLAN, window=WINDOW, tags={"BG-1", "418-A", "1001"})
    assert found == Scanned(f"'{typed.strip()}' is {what}, nothing of it is taken: a figure in inches is expected.")


def test_a_bar_code_is_no_answer_either_but_may_stand_in_a_text() -> None:
    yes = Reading("ok", "Clean", Sort.YES_NO, accept=("yes",))
    effort = Reading("effort", "Effort", Sort.CHOICE, choices=("easy", "normal", "BG-1"))
    lot = Reading("lot", "Lot", Sort.TEXT)
    assert entered(CODE, yes, PLAN) == Scanned(
        f"'{CODE}' is a bar code of 13 digits, nothing of it is taken: an answer is expected, yes or no."
    )
    assert isinstance(entered(CODE, effort, PLAN), Scanned)
    assert entered("BG-1", effort, PLAN, tags={"BG-1"}) == Entered("BG-1", word="BG-1")
    assert entered(CODE, lot, PLAN) == Entered(CODE, word=CODE)


@given(st.integers(1, 99_999_999), st.sampled_from([0.0001 * INCH, 0.00005 * INCH, 0.00001 * INCH, 0.001 * INCH]))
def test_no_figure_with_its_point_is_ever_taken_for_a_bar_code(graduations: int, resolution: float) -> None:
    reading = Reading("bore", "Bore", unit="in", dimension="length", resolution=resolution)
    typed = f"{graduations * resolution / INCH:.5f}"
    assert isinstance(entered(typed, reading, PLAN, window=WINDOW, tags={"BG-1", typed}), Entered)


@given(st.text(max_size=60))
def test_no_text_is_a_fault_of_the_program(typed: str) -> None:
    assert isinstance(entered(typed, BORE, PLAN, window=WINDOW), Entered | Misread)


@given(st.integers(1, 99_999))
def test_what_is_shown_reads_back_as_the_same_figure(graduations: int) -> None:
    unit = unit_of(PLAN, "in", "length")
    text = show(graduations * 0.0001 * INCH, unit, 4)
    assert figure(text) == pytest.approx(graduations * 0.0001 * INCH, abs=1e-9)
