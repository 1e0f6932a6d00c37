"""What every sum says of bad input: one message, in the words of its inputs."""

from collections.abc import Callable
from math import inf, nan

import pytest

from headwright.calc import CalcError, Impossible, NotEnough
from headwright.calc.ball import ball
from headwright.calc.capability import capability, capability_of, sample
from headwright.calc.clearance import by_station, clearance, finished_band, rocking
from headwright.calc.conformity import conformity
from headwright.calc.cutting import rpm
from headwright.calc.deck import Gap, height_after, six_lines
from headwright.calc.fits import force_fit, iso_limits
from headwright.calc.flatness import flatness
from headwright.calc.guide import bearing_ratio, removal, wall_left
from headwright.calc.leak import expected_pressure, leak
from headwright.calc.limits import round_inward
from headwright.calc.line import fit, line
from headwright.calc.liner import closed_od, growth, liner, pre_size_id, wall_after
from headwright.calc.material import material
from headwright.calc.pressfit import press_fit
from headwright.calc.seats import contact_position, seat
from headwright.calc.shims import shims
from headwright.calc.springs import coil_rate, spring
from headwright.calc.student import cdf, factor, quantile
from headwright.calc.thermal import at_20, hot_liner_clearance, soak
from headwright.calc.uncertainty import Component, of_mean, uncertainty
from headwright.calc.vacuum import vacuum_ratio
from headwright.calc.volumes import compression

FIT = {
    "inner_bore": 8.7,
    "contact": 9.525,
    "outer": 20.0,
    "interference": 0.04,
    "inner_modulus": 110e3,
    "inner_poisson": 0.34,
    "outer_modulus": 110e3,
    "outer_poisson": 0.26,
}


def _fit(**change: float) -> Callable[[], object]:
    return lambda: press_fit(**{**FIT, **change})


@pytest.mark.parametrize(
    ("do", "kind", "says"),
    [
        (_fit(inner_bore=10), Impossible, "inner bore (10) must be below the contact diameter (9.525)"),
        (_fit(outer=9), Impossible, "contact diameter (9.525) must be below the outer diameter (9)"),
        (_fit(interference=12), Impossible, "interference (12) must be far below the contact diameter (9.525)"),
        (_fit(outer_poisson=0.6), Impossible, "outer poisson must be from 0 to 0.5, not 0.6"),
        (_fit(inner_modulus=0), Impossible, "inner modulus must be above zero, not 0"),
        (_fit(inner_yield=-1), Impossible, "inner yield must be above zero, not -1"),
        (_fit(inner_bore=-1), Impossible, "inner bore must not be below zero, not -1"),
        (_fit(interference=nan), Impossible, "interference must be a number, not nan"),
        (
            lambda: clearance(guide_least=8.8, guide_most=8.7, stem_least=8.6, stem_most=8.6),
            Impossible,
            "guide least (8.8) must not be above guide most (8.7)",
        ),
        (
            lambda: by_station([[8.7]], [[8.6], [8.6]]),
            NotEnough,
            "the guide has 1 stations and the stem 2; they must match",
        ),
        (
            lambda: finished_band(8.60, 8.63, 0.03, 0.05),
            CalcError,
            "the stem varies by more than the clearance band; no guide size serves it",
        ),
        (lambda: rocking(0.1, 0, 25), Impossible, "guide length must be above zero, not 0"),
        (
            lambda: at_20(9.525, 11.5, -30),
            Impossible,
            "expansion 11.5 1/K at -30 °C leaves no size; is the unit 1e-6/K?",
        ),
        (
            lambda: hot_liner_clearance(
                bored_hole=8.7,
                guide=8.7,
                stem=8.6,
                head_expansion=1e-5,
                liner_expansion=2e-5,
                guide_temperature=150,
                stem_expansion=1e-5,
                stem_temperature=250,
            ),
            Impossible,
            "guide (8.7) must be below the bored hole (8.7)",
        ),
        (
            lambda: soak(first=30, later=31, interval=600, ambient=20, within=1),
            Impossible,
            "from 30 to 31 °C the part did not come nearer to a room of 20 °C; wait longer or check the thermometers",
        ),
        (
            lambda: closed_od(9.6, 40),
            Impossible,
            "seam gap (40) must be less than the circumference (30.1593)",
        ),
        (lambda: pre_size_id(9.5, 5), Impossible, "wall (5) must be less than half the bored hole (9.5)"),
        (lambda: growth(9.5, 9.6, 8.7), Impossible, "pre size id (9.6) must be below the bored hole (9.5)"),
        (lambda: wall_after(9.5, 9.6), Impossible, "finished id (9.6) must not be above bored hole (9.5)"),
        (lambda: liner(9.5, 9.6, 0.2, -0.4), Impossible, "wall must be above zero, not -0.4"),
        (lambda: seat(37, 39, 45), Impossible, "inside (39) must be below outside (37)"),
        (
            lambda: seat(39, 37, 90),
            Impossible,
            "seat angle must be between 0 and 90 degrees from the deck, not 90",
        ),
        (lambda: contact_position(38, 40, 36), Impossible, "face inside (40) must be below face outside (36)"),
        (lambda: spring(400, 44, 1300, 44), Impossible, "the two heights must differ, both are 44"),
        (lambda: spring(1300, 44, 400, 32), Impossible, "the load must be higher at the smaller height"),
        (
            lambda: coil_rate(6, 5, 8, 79e3),
            Impossible,
            "mean coil diameter (5) must be above the wire diameter (6)",
        ),
        (
            lambda: shims(measured=44, target=43, stock=[0.4], least_height=45),
            CalcError,
            "the measured height (44) is below the least (45) without any shim",
        ),
        (lambda: shims(measured=44, target=43, stock=[0.0]), Impossible, "thickness must be above zero, not 0"),
        (lambda: flatness([(0, 0, 0), (1, 1, 0)]), NotEnough, "flatness needs three points, there are 2"),
        (
            lambda: flatness([(0, 0, 0), (1, 1, 0), (2, 2, 0.1)]),
            NotEnough,
            "all points lie in one line; flatness needs a field of points",
        ),
        (
            lambda: compression(bore=86, stroke=86, clearance_volume=1, removal=1, chamber_area=3650),
            Impossible,
            "the cut takes more than the whole clearance volume",
        ),
        (lambda: leak(0.2, -300, 0.2, 20), Impossible, "temperature must be above absolute zero, not -300 °C"),
        (lambda: expected_pressure(-1, 20, 20), Impossible, "p1 must be above full vacuum, not -1 MPa gauge"),
        (lambda: leak(0.2, 20, -1, 20), Impossible, "p2 must not be below full vacuum, not -1 MPa gauge"),
        (lambda: vacuum_ratio(0.08, 0), Impossible, "blank must be above zero, not 0"),
        (lambda: rpm(750, inf), Impossible, "diameter must be a number, not inf"),
        (lambda: capability(mean=1, s=1), CalcError, "capability needs a low or a high limit"),
        (lambda: capability(mean=1, s=1, low=nan), Impossible, "low must be a number, not nan"),
        (lambda: capability(mean=1, s=1, low=0, count=1), NotEnough, "a standard deviation needs two values"),
        (lambda: sample([1.0]), NotEnough, "a standard deviation needs two values, there is 1"),
        (lambda: sample([]), NotEnough, "a standard deviation needs two values, there are 0"),
        (
            lambda: capability_of([1.0, 1.0], low=0),
            NotEnough,
            "all values are alike; the gauge's resolution hides their spread",
        ),
        (lambda: conformity(value=1, u=1), CalcError, "conformity needs a low or a high limit"),
        (
            lambda: conformity(value=1, u=1, low=2, high=1),
            Impossible,
            "low (2) must not be above high (1)",
        ),
        (
            lambda: conformity(value=1, u=1, low=0, proof=95),
            Impossible,
            "proof must be between 0.5 and 1, such as 0.95, not 95",
        ),
        (lambda: uncertainty([]), NotEnough, "an uncertainty needs at least one component"),
        (
            lambda: uncertainty([Component(1, dof=0)]),
            Impossible,
            "degrees of freedom must be above zero, not 0",
        ),
        (
            lambda: uncertainty([Component(1, dof=0.5)]),
            NotEnough,
            "fewer than one effective degree of freedom; repeat the readings",
        ),
        (lambda: uncertainty([Component(1)], 95), Impossible, "coverage must be between 0 and 1, such as 0.95, not 95"),
        (lambda: of_mean(1, 1), NotEnough, "the spread of readings needs two of them, there is 1"),
        (lambda: fit([(0, 0), (1, 1)]), NotEnough, "a line with its scatter needs three points, there are 2"),
        (lambda: fit([(0, 0), (1, 1), (2, 2)], [1, 1]), Impossible, "3 points need as many weights, there are 2"),
        (lambda: line([(1, 0), (1, 1), (1, 2)], 1), NotEnough, "all points lie at one place; a line needs two"),
        (lambda: factor(1.0), Impossible, "coverage must be between 0 and 1, such as 0.95, not 1"),
        (lambda: quantile(1.5), Impossible, "probability must be between 0 and 1, not 1.5"),
        (lambda: cdf(nan), Impossible, "t must be a number, not nan"),
        (lambda: round_inward(1.01, 1.02, 0.1), Impossible, "no multiple of 0.1 lies between 1.01 and 1.02"),
        (lambda: ball(pre_size=8.66, low=8.7, high=8.71, balls=[]), NotEnough, "the kit holds no ball"),
        (
            lambda: ball(pre_size=8.66, low=8.72, high=8.71, balls=[8.7]),
            Impossible,
            "low (8.72) must not be above high (8.71)",
        ),
        (lambda: removal(9.5, 9.4), Impossible, "now (9.5) must not be above target (9.4)"),
        (lambda: wall_left(9, 9.5), Impossible, "hole (9.5) must be below the boss (9)"),
        (lambda: bearing_ratio(50, 50, 8), Impossible, "cuts (50) must be below the length (50)"),
        (
            lambda: six_lines({"middle": Gap(0, 0)}, 0.1, 0.05),
            NotEnough,
            "not measured yet: left side, right side, diagonal 1, diagonal 2, across",
        ),
        (lambda: height_after(100, -1, 99), Impossible, "removal must not be below zero, not -1"),
        (
            lambda: iso_limits(50, "H7"),
            CalcError,
            "standard limits are kept for over 6 up to 30 mm, not for 50 mm",
        ),
        (
            lambda: iso_limits(8, "p7"),
            CalcError,
            "'p7' is not in the table: holes H6 H7 H8; shafts h6 h7 h8 k6 n6 p6 s6",
        ),
        (
            lambda: force_fit(30, "FN1"),
            CalcError,
            "force fits are kept for over 6.096 up to 14.224 mm (0.24 to 0.56 in), not for 30 mm",
        ),
        (lambda: force_fit(8, "FN9"), CalcError, "'FN9' is not in the table: FN1 FN2"),
    ],
)
def test_bad_input_gets_one_message(do: Callable[[], object], kind: type[CalcError], says: str) -> None:
    with pytest.raises(kind) as told:
        do()
    assert str(told.value) == says
    assert isinstance(told.value, ValueError)


def test_an_unknown_metal_lists_those_there_are() -> None:
    with pytest.raises(CalcError, match="no metal is called 'cheese'; there are grey-iron-25, grey-iron-30"):
        material("cheese")
