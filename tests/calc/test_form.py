"""Form of a hole from a grid of readings."""

import math

import pytest

from headwright.calc import Impossible, NotEnough, form

INCH = 25.4
# A hole with its top wide and slightly oval, in inches; answers worked by hand.
HOLE = [[0.3433, 0.3434], [0.3430, 0.3431], [0.3431, 0.3431]]


def test_a_belled_hole_by_hand() -> None:
    grid = [[reading * INCH for reading in row] for row in HOLE]
    assert form.taper(grid) == pytest.approx(0.00025 * INCH, abs=1e-9)
    assert form.bell(grid) == pytest.approx(0.00030 * INCH, abs=1e-9)
    assert form.out_of_round(grid) == pytest.approx(0.0001 * INCH, abs=1e-9)
    assert form.least(grid) == 0.3430 * INCH
    assert form.greatest(grid) == 0.3434 * INCH
    assert form.spread(grid) == pytest.approx(0.0004 * INCH, abs=1e-9)
    assert form.mean(grid) == pytest.approx(sum(map(sum, HOLE)) / 6 * INCH, abs=1e-12)


def test_six_readings_by_name_are_the_same_as_the_grid() -> None:
    six = form.form(top_0=0.3433, top_90=0.3434, middle_0=0.3430, middle_90=0.3431, bottom_0=0.3431, bottom_90=0.3431)
    assert six == form.Form(form.mean(HOLE), form.taper(HOLE), form.bell(HOLE), form.out_of_round(HOLE))


def test_a_barrel_has_a_bell_below_zero() -> None:
    assert form.bell([[8.70], [8.71], [8.702]]) == pytest.approx(-0.008)


def test_bell_counts_the_tightest_of_several_middle_stations() -> None:
    assert form.bell([[8.70], [8.69], [8.68], [8.71]]) == pytest.approx(0.03)


def test_station_means_take_simple_ovality_out() -> None:
    assert form.station_means([[8.70, 8.72], [8.71]]) == pytest.approx((8.71, 8.71))


@pytest.mark.parametrize(
    ("figure", "grid", "says"),
    [
        (form.least, [[], []], "no reading yet"),
        (form.greatest, [], "no reading yet"),
        (form.mean, [[]], "no reading yet"),
        (form.spread, [[8.7]], "1 of at least 2 readings taken"),
        (form.taper, [[8.7]], "taper needs two stations"),
        (form.taper, [[8.7], [8.7], []], "no reading at the last station"),
        (form.taper, [[], [8.7]], "no reading at the first station"),
        (form.bell, [[8.7], [8.7]], "bell-mouth needs three stations"),
        (form.bell, [[8.7], [], [8.7]], "no reading at the 2nd station"),
        (form.station_means, [], "no station yet"),
        (form.out_of_round, [[8.7], [8.8]], "out-of-round needs two angles at one station"),
        (form.out_of_round, [], "no reading yet"),
    ],
)
def test_too_few_readings_are_told_as_such(figure: object, grid: list[list[float]], says: str) -> None:
    assert callable(figure)
    with pytest.raises(NotEnough) as told:
        figure(grid)
    assert str(told.value) == says


def test_a_missing_angle_is_left_out_not_counted() -> None:
    assert form.out_of_round([[8.70], [8.70, 8.71], []]) == pytest.approx(0.01)


def test_a_reading_that_is_no_number_is_refused() -> None:
    with pytest.raises(Impossible, match="reading must be a number, not nan"):
        form.mean([[8.7, math.nan]])
