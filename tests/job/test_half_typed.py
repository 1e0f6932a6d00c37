"""The first digits of a figure come to nothing yet, as long as further ones could make it what is expected."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from headwright.job.half_typed import half_typed
from tests.job.small import INCH, OPERATIONS, plan

BORE = next(op for op in OPERATIONS if op.id == "size").readings[0]
EXPECTED = (0.303 * INCH, 0.323 * INCH)
WARM = replace(BORE, name="room", unit="mm", dimension="length", resolution=0.1)


@pytest.mark.parametrize(
    ("typed", "missing"),
    [
        (".", 4),
        ("0", 2),
        ("0.", 4),
        (".3", 3),
        (".31", 2),
        (".313", 1),
        (".3133", 0),
        ("3", 3),
        ("31", 2),
        ("313", 1),
        ("3133", 0),
        ("31330", 0),
    ],
)
def test_digits_that_lead_to_an_expected_figure_lack_the_rest(typed: str, missing: int) -> None:
    assert half_typed(typed, BORE, plan(), EXPECTED) == missing


@pytest.mark.parametrize("typed", [".5", ".33", "8.", "7.9", "9", "+2", "-1", "11/32", "7.9 mm", "x", "dust"])
def test_what_no_further_digit_makes_right_is_whole(typed: str) -> None:
    assert half_typed(typed, BORE, plan(), EXPECTED) == 0


def test_every_figure_that_is_expected_is_whole_at_its_last_digit_and_not_before() -> None:
    for number in range(3030, 3231):
        text = f".{number}"
        lacks = [half_typed(text[:length], BORE, plan(), EXPECTED) for length in range(1, 6)]
        assert lacks == [4, 3, 2, 1, 0], text


def test_a_number_that_is_expected_as_it_stands_is_whole() -> None:
    """A temperature of 21 may have decimals, and is a temperature without; 2 of it is none yet."""
    lacks = [half_typed(typed, WARM, plan(), (15.0, 30.0)) for typed in ("2", "21", "21.", "21.5", "7", "70", "9")]
    assert lacks == [2, 0, 1, 0, 0, 0, 0]


def test_where_nothing_is_expected_only_decimals_can_be_missing() -> None:
    lacks = [half_typed(typed, BORE, plan(), None) for typed in ("3", "3133", ".31", ".3133", ".31335")]
    assert lacks == [0, 0, 2, 0, 0]
