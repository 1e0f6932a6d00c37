"""Figures from a cable that arrive twice, and codes told from figures. Times are in seconds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwright.job.arrivals import BURST, GS1_LENGTHS, Arrival, Arrivals, bar_code, is_gs1, twice
from headwright.job.slips import Doubt

HAND, CABLE, AGAIN = Arrival(), Arrival(cable=True), Arrival(cable=True, second=True)


def sent(arrivals: Arrivals, at: float, figure: str = "0.3141", gap: float = 0.008) -> tuple[Arrival, float]:
    """Have a figure arrive; give what it was taken for, and when its Enter came."""
    for _ in figure:
        arrivals.key(at)
        at += gap
    return arrivals.enter(at), at


def test_a_cable_is_told_from_a_hand_by_its_pace() -> None:
    arrivals = Arrivals()
    assert sent(arrivals, 1.0)[0] == CABLE
    assert sent(arrivals, 5.0, gap=0.09)[0] == HAND


def test_a_second_figure_within_150_ms_is_told_and_a_later_one_is_not() -> None:
    for wait, expected in ((0.001, AGAIN), (0.149, AGAIN), (0.152, CABLE), (0.4, CABLE)):
        arrivals = Arrivals()
        first, entered = sent(arrivals, 1.0)
        assert first == CABLE
        assert sent(arrivals, entered + wait)[0] == expected, wait


def test_a_third_arrival_is_told_as_the_second_was() -> None:
    arrivals = Arrivals()
    _, at = sent(arrivals, 1.0)
    second, at = sent(arrivals, at + 0.05)
    third, _ = sent(arrivals, at + 0.05)
    assert (second, third) == (AGAIN, AGAIN)


def test_two_keys_hit_together_are_no_cable() -> None:
    arrivals = Arrivals()
    arrivals.key(1.0)
    assert arrivals.enter(1.01) == HAND
    arrivals.key(2.0)
    arrivals.key(2.02)
    arrivals.key(2.2)
    assert arrivals.enter(2.21) == HAND


def test_a_hand_that_enters_slowly_after_a_burst_is_a_hand() -> None:
    arrivals = Arrivals()
    for at in (1.0, 1.01, 1.02):
        arrivals.key(at)
    assert arrivals.enter(1.3) == HAND


def test_a_foot_switch_between_does_not_part_two_arrivals() -> None:
    arrivals = Arrivals()
    _, at = sent(arrivals, 1.0)
    assert arrivals.enter(at + 0.02) == HAND
    assert sent(arrivals, at + 0.05)[0] == AGAIN


def test_what_was_cleared_or_pasted_is_forgotten() -> None:
    arrivals = Arrivals()
    _, at = sent(arrivals, 1.0)
    arrivals.forget()
    assert sent(arrivals, at + 0.05)[0] == CABLE
    arrivals.key(3.0)
    arrivals.forget()
    assert sent(arrivals, 3.5)[0] == CABLE


@given(st.lists(st.lists(st.floats(BURST + 0.001, 2.0), min_size=3, max_size=8), max_size=12))
def test_who_types_by_hand_is_never_told_of_two_arrivals(entries: list[list[float]]) -> None:
    arrivals, at = Arrivals(), 0.0
    for gaps in entries:
        at += 0.01
        for gap in gaps:
            arrivals.key(at)
            at += gap
        assert arrivals.enter(at) == HAND


def test_the_doubt_says_what_came() -> None:
    assert twice(".3141", "in") == Doubt(
        "two arrivals", "Two arrivals within 150 ms: .3141 in came right after another figure."
    )


def test_a_line_feed_just_after_a_carriage_return_ends_the_same_line() -> None:
    arrivals = Arrivals()
    assert not arrivals.ends_line(1.0)
    _, at = sent(arrivals, 1.0)
    assert arrivals.ends_line(at + 0.001)
    assert not arrivals.ends_line(at + 0.5)
    arrivals.key(at + 0.001)
    assert not arrivals.ends_line(at + 0.002), "a figure that is ended by a line feed alone"


def test_a_cable_runs_on_until_it_is_silent_for_as_long_as_two_presses_are_apart() -> None:
    arrivals = Arrivals()
    _, at = sent(arrivals, 1.0)
    assert all(arrivals.runs_on(at + step * 0.1) for step in range(1, 6))
    assert not arrivals.runs_on(at + 0.5 + 0.16)


@pytest.mark.parametrize(
    ("digits", "valid"),
    [
        # GS1's worked example of a check digit: 629104150021, check digit 3.
        ("6291041500213", True),
        ("6291041500214", False),
        ("6291041500231", False),
        # The same number in the field of 14 digits, with a nought before it, has the same check digit.
        ("06291041500213", True),
        # Worked by hand for 12 and 8 digits: 3 × (0 + 2 + 4 + 6 + 8 + 0) + (1 + 3 + 5 + 7 + 9) = 85, and
        # 3 × (1 + 3 + 5 + 7) + (2 + 4 + 6) = 60.
        ("012345678905", True),
        ("12345670", True),
        ("12345678", False),
        ("629104150021", False),
        ("3141", False),
        ("", False),
        ("٦٢٩١٠٤١٥٠٠٢١٣", False),
    ],
)
def test_check_digits(digits: str, valid: bool) -> None:  # noqa: FBT001 - a table of cases
    assert is_gs1(digits) is valid


@given(st.sampled_from(GS1_LENGTHS), st.data())
def test_exactly_one_check_digit_fits_and_one_wrong_digit_is_found(length: int, data: st.DataObject) -> None:
    body = data.draw(st.text("0123456789", min_size=length - 1, max_size=length - 1))
    (code,) = [body + check for check in "0123456789" if is_gs1(body + check)]
    at = data.draw(st.integers(0, length - 1))
    other = data.draw(st.sampled_from([d for d in "0123456789" if d != code[at]]))
    assert not is_gs1(code[:at] + other + code[at + 1 :])


@pytest.mark.parametrize("text", ["3141", ".3141", "0.34335", "8.73 mm", "11/32", "+2", "-1.5", "12500", "", "ERR"])
def test_what_may_be_a_figure_is_no_bar_code(text: str) -> None:
    assert bar_code(text, 9, {"BG-1", "11/32", "3141", "+2"}) == ""
