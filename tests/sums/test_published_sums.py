"""Each sum, as it is asked for on the command line, against a published figure where there is one.

Tolerances are half of the last digit printed; exact figures are held to floating point.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.sums.figures import FIVE, GUM_H1, MAVRO, NORRIS_X, NORRIS_Y, SADDLE, SIZINGS, table, worked

from headwright.sums.catalogue import SUMS
from headwright.sums.written import into

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.sums.evaluate import Worked
    from headwright.sums.model import Value


def number(found: Worked, key: str, unit: str | None = None) -> float:
    """Give an answer as a number, in a unit or in the canonical one."""
    value = found.results[key]
    assert isinstance(value, float)
    dimension = found.dimension(next(each for each in found.sum.results if each.key == key))
    assert dimension is not None
    return value if unit is None else into(value, dimension, unit)


def row_by_row(text: str) -> str:
    return "\n".join(text.split())


PRESS_FIT = "inner_bore contact outer interference inner_modulus inner_poisson outer_modulus outer_poisson"


def test_the_sums_are_those_of_the_bench_with_their_keys() -> None:
    """The names and keys that programs rely on."""
    assert {name: (keys(each.inputs), keys(each.results)) for name, each in SUMS.items()} == {
        "clearance": ("guide_least guide_most stem_least stem_most", "least most"),
        "hot-clearance": (
            "guide stem guide_expansion guide_temperature stem_expansion stem_temperature",
            "cold hot",
        ),
        "at-20": ("size expansion temperature", "size"),
        "press-fit": (
            f"{PRESS_FIT} inner_yield friction length",
            "elastic_pressure pressure yields inner_bore_hoop outer_bore_hoop bore_closure push_out",
        ),
        "liner": ("bored_hole free_od seam_gap wall finished_id", "closed_od crush pre_size_id growth"),
        "ball": ("pre_size low high balls records", "ball predicted interval_low interval_high p_in p_over"),
        "form": ("top_0 top_90 middle_0 middle_90 bottom_0 bottom_90", "mean taper bell out_of_round"),
        "seat": ("outside inside angle", "width mid_diameter"),
        "spring": ("load_1 height_1 load_2 height_2 at", "rate free_length load"),
        "coil-rate": ("wire coil active shear_modulus", "rate"),
        "shims": ("measured target stock", "stack height residual"),
        "flatness": ("points", "minimum_zone least_squares_zone"),
        "compression": ("bore stroke clearance_volume removal chamber_area", "swept ratio ratio_after"),
        "leak": ("p1 t1 p2 t2 atmosphere volume time", "expected_p2 drop flow"),
        "spindle": ("surface_speed diameter", "rpm"),
        "capability": ("mean s low high values", "pp ppk"),
        "conformity": ("value u low high", "probability accept_low accept_high verdict"),
        "uncertainty": ("components coverage", "combined dof k expanded"),
        "line": ("points at", "slope intercept s prediction low high"),
    }


def keys(declared: object) -> str:
    assert isinstance(declared, tuple)
    return " ".join(each.key for each in declared)


@pytest.mark.parametrize("name", SUMS)
def test_every_sum_says_what_it_is_for_how_it_works_and_where_that_is_from(name: str) -> None:
    told = SUMS[name]
    assert told.purpose
    assert told.purpose[-1] != "."
    assert told.formula
    assert told.source.endswith((".", ")"))
    assert {each.key for each in told.inputs if each.required} <= {*told.example}


@pytest.mark.parametrize("name", [name for name, each in SUMS.items() if not any(i.columns for i in each.inputs)])
def test_the_example_of_a_sum_works(name: str) -> None:
    example = SUMS[name].example
    found = worked(name, **example)
    for each in SUMS[name].results:
        assert (found.results[each.key] is None) == (not set(each.needs) <= {*example})


@pytest.mark.parametrize(
    ("guide", "stem", "least", "most"),
    [
        (("0.4972in", "0.4980in"), ("0.4945in", "0.4955in"), 0.0017, 0.0035),
        (("0.4996in", "0.4996in"), ("0.4935in", "0.4935in"), 0.0061, 0.0061),
    ],
    ids=["new", "worn"],
)
def test_clearance(guide: tuple[str, str], stem: tuple[str, str], least: float, most: float) -> None:
    """US Army TM 9-6115-604-34, table 1-4: new clearance 0.0017 to 0.0035 in, worn 0.0061 in."""
    found = worked("clearance", guide_least=guide[0], guide_most=guide[1], stem_least=stem[0], stem_most=stem[1])
    assert number(found, "least", "in") == pytest.approx(least, abs=1e-12)
    assert number(found, "most", "in") == pytest.approx(most, abs=1e-12)


def test_hot_clearance() -> None:
    """Independently computed from ISO 1's reference temperature: 0.0276175 mm."""
    found = worked(
        "hot-clearance",
        "guide=8.750mm stem=8.700mm guide_expansion=17.8e-6/K guide_temperature=150degC"
        " stem_expansion=17.5e-6/K stem_temperature=300degC",
    )
    assert number(found, "cold") == pytest.approx(0.05, abs=1e-12)
    assert number(found, "hot") == pytest.approx(0.0276175, abs=5e-8)


@pytest.mark.parametrize(
    ("words", "size"),
    [
        ("size=9.525mm expansion=11e-6/K temperature=35degC", 9.523428634),
        ("size=150mm expansion=21.5e-6/K temperature=32degC", 149.961309982),
    ],
)
def test_size_at_20(words: str, size: float) -> None:
    """ISO 1, exact: length over 1 + α (T − 20 °C)."""
    assert number(worked("at-20", words), "size") == pytest.approx(size, abs=5e-10)


LINER = (
    "inner_bore=8.70mm contact=9.525mm outer=20mm interference=0.0445mm inner_modulus=110GPa inner_poisson=0.34"
    " outer_modulus=110GPa outer_poisson=0.26 length=50mm"
)


def test_press_fit_of_a_solid_shaft() -> None:
    """Budynas and Nisbett, Shigley's Mechanical Engineering Design 8e, Prob. 3-68: 22 500 psi and 37 500 psi."""
    found = worked(
        "press-fit",
        "inner_bore=0in contact=1in outer=2in interference=0.002in inner_modulus=30Mpsi inner_poisson=0.292"
        " outer_modulus=30Mpsi outer_poisson=0.292",
    )
    assert number(found, "pressure", "psi") == pytest.approx(22500, rel=1e-9)
    assert number(found, "outer_bore_hoop", "psi") == pytest.approx(37500, rel=1e-9)
    assert found.results["yields"] is False
    assert found.results["push_out"] is None


def test_press_fit_of_a_liner_that_stays_elastic() -> None:
    """A boundary-value solution of the two cylinders (computed with scipy): pressure, stresses, closure, push-out."""
    found = worked("press-fit", LINER, friction="0.15")
    assert number(found, "elastic_pressure") == pytest.approx(40.868343, abs=5e-7)
    assert number(found, "inner_bore_hoop") == pytest.approx(-493.2028, abs=5e-5)
    assert number(found, "outer_bore_hoop") == pytest.approx(64.8458, abs=5e-5)
    assert number(found, "bore_closure") == pytest.approx(0.039008, abs=5e-7)
    assert number(found, "push_out") == pytest.approx(9171.98, abs=0.005)


@pytest.mark.parametrize(
    ("yield_stress", "pressure", "closure"),
    [("125MPa", 11.061, 0.04442), ("240MPa", 21.237, 0.04257), ("345MPa", 30.528, 0.04089)],
)
def test_press_fit_of_a_liner_that_yields(yield_stress: str, pressure: float, closure: float) -> None:
    """An elastic-plastic solution of the same fit, integrated independently."""
    found = worked("press-fit", LINER, inner_yield=yield_stress)
    assert found.results["yields"] is True
    assert number(found, "pressure") == pytest.approx(pressure, abs=0.0005)
    assert number(found, "bore_closure") == pytest.approx(closure, abs=5e-6)
    assert "no more grip" in found.remarks()[0]


def test_liner() -> None:
    """Worked by hand from the geometry: closed 0.3755 in, crush 0.0020 in, inside 0.3415 in, growth 4.7 %."""
    found = worked("liner", "bored_hole=0.3735in free_od=0.3790in seam_gap=0.011in wall=0.0160in finished_id=0.3430in")
    assert number(found, "closed_od", "in") == pytest.approx(0.3755, abs=5e-5)
    assert number(found, "crush", "in") == pytest.approx(0.0020, abs=5e-5)
    assert number(found, "pre_size_id", "in") == pytest.approx(0.3415, abs=1e-12)
    assert number(found, "growth", "%") == pytest.approx(4.7, abs=0.05)


@pytest.mark.parametrize(
    ("ball", "predicted", "interval", "p_in"),
    [("0.3434in", 0.34289, (0.34279, 0.34300), 0.960), ("0.3435in", 0.34298, (0.34287, 0.34309), 0.998)],
)
def test_ball_from_records(
    tmp_path: Path, ball: str, predicted: float, interval: tuple[float, float], p_in: float
) -> None:
    """Least-squares line and Student's t worked independently on the same fourteen sizings; nothing is published."""
    records = table(tmp_path, SIZINGS)
    found = worked("ball", "pre_size=0.3411in low=0.3428in high=0.3434in", balls=ball, records=records)
    assert number(found, "ball", "in") == pytest.approx(float(ball[:-2]), abs=1e-12)
    assert number(found, "predicted", "in") == pytest.approx(predicted, abs=5e-6)
    ends = [number(found, f"interval_{end}", "in") for end in ("low", "high")]
    assert ends == pytest.approx(interval, abs=1e-5)
    assert number(found, "p_in") == pytest.approx(p_in, abs=0.001)
    assert number(found, "p_over") < 1e-3


def test_form() -> None:
    """Worked by hand from six readings: taper 0.00025, bell 0.0003, out-of-round 0.0001 in."""
    found = worked("form", **SUMS["form"].example)
    assert number(found, "taper", "in") == pytest.approx(0.00025, abs=1e-12)
    assert number(found, "bell", "in") == pytest.approx(0.0003, abs=1e-12)
    assert number(found, "out_of_round", "in") == pytest.approx(0.0001, abs=1e-12)
    assert number(found, "mean", "in") == pytest.approx(2.059 / 6, abs=1e-12)


@pytest.mark.parametrize(
    ("words", "width"),
    [("outside=1.560in inside=1.470in angle=45deg", 0.064), ("outside=1.812in inside=1.690in angle=30°", 0.070)],
)
def test_seat(words: str, width: float) -> None:
    """Worked by hand: the flank of a cone, 0.064 in at 45° and 0.070 in at 30°."""
    assert number(worked("seat", words), "width", "in") == pytest.approx(width, abs=5e-4)


def test_spring() -> None:
    """Worked by hand: 380 lbf/in, free 2.039 in, 108 lbf at 1.755 in."""
    found = worked("spring", **SUMS["spring"].example)
    assert number(found, "rate", "lbf/in") == pytest.approx(380, abs=1e-9)
    assert number(found, "free_length", "in") == pytest.approx(2.039, abs=5e-4)
    assert number(found, "load", "lbf") == pytest.approx(108, abs=0.5)


@pytest.mark.parametrize(("words", "load"), [("wire=6mm coil=36mm active=10", 706.021471)])
def test_coil_rate_of_the_outer_of_a_pair(words: str, load: float) -> None:
    """Bhandari, Design of Machine Elements, Ex. 10.19: 706.021471 N at 24.988839 mm of travel."""
    found = worked("coil-rate", f"{words} shear_modulus=81370MPa")
    assert number(found, "rate") * 24.988839 == pytest.approx(load, abs=1e-3)


def test_coil_rate_in_inches() -> None:
    """Budynas and Nisbett, Shigley's Mechanical Engineering Design, Ex. 10-1 (from memory): 4.13 lbf/in."""
    found = worked("coil-rate", "wire=0.037in coil=0.400in active=10.5 shear_modulus=11.85Mpsi")
    assert number(found, "rate", "lbf/in") == pytest.approx(4.13, abs=0.005)


def test_shims() -> None:
    """By enumeration on paper: 0.030 in serves a need of 0.035 in best, as thin as 0.045 in and no farther off."""
    found = worked("shims", "measured=1.785in target=1.750in stock=0.015in,0.030in,0.060in")
    assert [answer.text for answer in found.answers("in").values()] == ["0.030000", "1.755000", "0.005000"]


@pytest.mark.parametrize(
    ("points", "minimum", "squares"),
    [(FIVE, 0.067262, 0.072097), (SADDLE, 0.020, 0.020)],
    ids=["five points", "saddle"],
)
def test_flatness(tmp_path: Path, points: str, minimum: float, squares: float) -> None:
    """Solved exactly with a linear programme, independently."""
    found = worked("flatness", points=table(tmp_path, row_by_row(points)))
    assert number(found, "minimum_zone") == pytest.approx(minimum, abs=5e-7)
    assert number(found, "least_squares_zone") == pytest.approx(squares, abs=5e-7)


def test_compression() -> None:
    """Clearance of a fifth of the displacement makes 6.0 exactly."""
    whole = worked("compression", "bore=100mm stroke=100mm clearance_volume=1cc")
    fifth = number(whole, "swept") / 5
    found = worked("compression", "bore=100mm stroke=100mm", clearance_volume=f"{fifth!r}cm³")
    assert number(found, "ratio") == pytest.approx(6.0, rel=1e-12)


def test_compression_after_a_cut() -> None:
    """Computed independently: 716.6 cc, 9.96, and 10.12 after 0.010 in off a chamber opening of 8.9 in²."""
    found = worked("compression", **SUMS["compression"].example)
    assert number(found, "swept", "cc") == pytest.approx(716.6, abs=0.05)
    assert number(found, "ratio") == pytest.approx(9.96, abs=0.005)
    assert number(found, "ratio_after") == pytest.approx(10.12, abs=0.005)


def test_leak() -> None:
    """Computed from the gas law: 39.72 psi expected, so 0.52 psi lost, 11 cm³/min of air."""
    found = worked("leak", "p1=40.0psi t1=22.0degC p2=39.2psi t2=20.5degC atmosphere=14.696psi volume=3.2l time=10min")
    assert number(found, "expected_p2", "psi") == pytest.approx(39.72, abs=0.005)
    assert number(found, "drop", "psi") == pytest.approx(0.52, abs=0.005)
    assert number(found, "flow", "cm³/min") == pytest.approx(11, abs=0.5)


@pytest.mark.parametrize(
    ("diameter", "rpm"), [("1in", 50.930), ("2in", 25.465), ("3in", 16.977), ("5in", 10.186), ("6in", 8.488)]
)
def test_spindle(diameter: str, rpm: float) -> None:
    """A nineteenth-century pocket-book of engineering formulae, cast iron at 160 in/min; exact to three decimals."""
    found = worked("spindle", surface_speed="160in/min", diameter=diameter)
    assert number(found, "rpm") == pytest.approx(rpm, abs=5e-4)


def test_capability() -> None:
    """A statistics package's user guide: σ 13.1028, mean 259.667, limits 240 to 270 make 0.38160 and 0.26288."""
    found = worked("capability", "mean=259.667 s=13.1028 low=240 high=270")
    assert number(found, "pp") == pytest.approx(0.38160, abs=5e-6)
    assert number(found, "ppk") == pytest.approx(0.26288, abs=1e-5)  # the guide rounds mean and s before it divides


def test_capability_of_a_file(tmp_path: Path) -> None:
    """NIST Mavro: mean 2.001856 and s 0.000429123454003053 (certified), whichever way they are given."""
    limits = {"low": "2.0000", "high": "2.0040"}
    values = worked("capability", values=table(tmp_path, row_by_row(MAVRO)), **limits)
    figures = worked("capability", mean="2.001856", s="0.000429123454003053", **limits)
    assert number(values, "pp") == pytest.approx(number(figures, "pp"), rel=1e-12)
    assert number(values, "ppk") == pytest.approx(number(figures, "ppk"), rel=1e-12)


@pytest.mark.parametrize(
    ("value", "probability", "verdict"),
    [
        ("8.7005mm", 0.59871, "not proven"),
        ("8.7033mm", 0.95053, "conforms"),
        ("8.7075mm", 0.99982, "conforms"),
        ("8.7150mm", 0.50000, "not proven"),
    ],
)
def test_conformity(value: str, probability: float, verdict: str) -> None:
    """JCGM 106:2012 and ISO 14253-1:2017, computed: size 8.700 +0.015/0 mm, u 0.002 mm, accepted 8.703290…8.711710."""
    found = worked("conformity", "u=0.002mm low=8.700mm high=8.715mm", value=value)
    assert number(found, "probability") == pytest.approx(probability, abs=5e-6)
    assert number(found, "accept_low") == pytest.approx(8.703290, abs=5e-7)
    assert number(found, "accept_high") == pytest.approx(8.711710, abs=5e-7)
    assert found.results["verdict"] == verdict


def test_uncertainty(tmp_path: Path) -> None:
    """JCGM 100:2008 annex H.1: 32 nm, 16.75 degrees of freedom, t99 = 2.92, 92.5 nm (unrounded)."""
    found = worked("uncertainty", "coverage=99%", components=table(tmp_path, GUM_H1))
    assert number(found, "combined") == pytest.approx(32, abs=0.5)
    assert number(found, "dof") == pytest.approx(16.75, abs=0.005)
    assert number(found, "k") == pytest.approx(2.92, abs=0.005)
    assert number(found, "expanded") == pytest.approx(92.5, abs=0.05)


def test_line(tmp_path: Path) -> None:
    """NIST Norris, certified coefficients and residual deviation; prediction interval computed with statsmodels."""
    rows = "\n".join(f"{x},{y}" for x, y in zip(NORRIS_X.split(), NORRIS_Y.split(), strict=True))
    found = worked("line", points=table(tmp_path, f"x,y\n{rows}\n"), at="500")
    expected: dict[str, Value] = {
        "intercept": -0.262323073774029,
        "slope": 1.00211681802045,
        "s": 0.884796396144373,
        "low": 498.97179405,
        "high": 502.62037782,
    }
    for key, value in expected.items():
        assert number(found, key) == pytest.approx(value, rel=1e-9)
