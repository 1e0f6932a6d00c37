"""What is always true of a sum, whatever the numbers."""

import subprocess
import sys
from itertools import product
from math import isclose

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from headwright.calc import form
from headwright.calc.capability import capability_of
from headwright.calc.clearance import clearance
from headwright.calc.conformity import Verdict, acceptance, conformity, plain
from headwright.calc.limits import round_inward, within
from headwright.calc.line import fit, line
from headwright.calc.liner import liner
from headwright.calc.pressfit import PressFit, press_fit
from headwright.calc.seats import seat
from headwright.calc.shims import shims
from headwright.calc.springs import spring
from headwright.calc.thermal import hot_clearance
from headwright.calc.uncertainty import RECTANGULAR, TRIANGULAR, U_SHAPED, Component, of_mean, uncertainty

INCH = 25.4
PSI = 0.006894757293168
SIZE = st.floats(5, 15)


@given(SIZE, st.floats(0.0, 0.2), SIZE, st.floats(0.0, 0.2))
def test_clearance_in_inches_is_the_same_clearance(guide: float, wear: float, stem: float, more: float) -> None:
    mm = clearance(guide_least=guide, guide_most=guide + wear, stem_least=stem, stem_most=stem + more)
    inch = clearance(
        guide_least=guide / INCH,
        guide_most=(guide + wear) / INCH,
        stem_least=stem / INCH,
        stem_most=(stem + more) / INCH,
    )
    assert isclose(mm.least, inch.least * INCH, abs_tol=1e-12)
    assert isclose(mm.most, inch.most * INCH, abs_tol=1e-12)
    assert mm.least <= mm.most


@given(st.floats(0.02, 0.4), st.floats(1.1, 4), st.floats(0, 0.1), st.floats(60, 900))
def test_press_fit_in_inches_and_psi_is_the_same_fit(wall: float, boss: float, crush: float, strength: float) -> None:
    def solve(length: float, stress: float) -> PressFit:
        return press_fit(
            inner_bore=9.5 * (1 - wall) / length,
            contact=9.5 / length,
            outer=9.5 * boss / length,
            interference=crush / length,
            inner_modulus=110e3 / stress,
            inner_poisson=0.34,
            outer_modulus=100e3 / stress,
            outer_poisson=0.26,
            inner_yield=strength / stress,
            friction=0.1,
            length=50 / length,
        )

    mm, inch = solve(1, 1), solve(INCH, PSI)
    assert mm.yields == inch.yields or isclose(mm.pressure, mm.elastic_pressure, rel_tol=1e-6)
    assert isclose(mm.pressure, inch.pressure * PSI, rel_tol=1e-8, abs_tol=1e-9)
    assert isclose(mm.bore_closure, inch.bore_closure * INCH, rel_tol=1e-7, abs_tol=1e-12)
    assert mm.push_out is not None
    assert inch.push_out is not None
    assert isclose(mm.push_out, inch.push_out * PSI * INCH**2, rel_tol=1e-8, abs_tol=1e-9)


@given(st.floats(8, 12), st.floats(0, 0.1), st.floats(0.2, 0.5), st.floats(0, 0.3))
def test_liner_in_inches_is_the_same_liner(hole: float, crush: float, wall: float, gap: float) -> None:
    mm = liner(hole, hole + crush, gap, wall, finished_id=hole - wall)
    inch = liner(hole / INCH, (hole + crush) / INCH, gap / INCH, wall / INCH, finished_id=(hole - wall) / INCH)
    assert isclose(mm.crush, inch.crush * INCH, abs_tol=1e-12)
    assert mm.growth is not None
    assert inch.growth is not None
    assert isclose(mm.growth, inch.growth, rel_tol=1e-9)


@given(st.floats(30, 60), st.floats(0.5, 5), st.floats(15, 75))
def test_seat_in_inches_is_the_same_seat(inside: float, band: float, angle: float) -> None:
    mm, inch = seat(inside + band, inside, angle), seat((inside + band) / INCH, inside / INCH, angle)
    assert isclose(mm.width, inch.width * INCH, rel_tol=1e-9)


@given(st.floats(100, 900), st.floats(100, 900), st.floats(5, 20))
def test_spring_in_other_units_is_the_same_spring(load: float, more: float, travel: float) -> None:
    newton = 4.4482216152605
    mm = spring(load, 45, load + more, 45 - travel, at=40)
    inch = spring(load / newton, 45 / INCH, (load + more) / newton, (45 - travel) / INCH, at=40 / INCH)
    assert isclose(mm.rate, inch.rate * newton / INCH, rel_tol=1e-9)
    assert mm.load is not None
    assert inch.load is not None
    assert isclose(mm.load, inch.load * newton, rel_tol=1e-9)


@given(st.lists(st.lists(SIZE, max_size=4), min_size=3, max_size=5), st.floats(0.001, 1000))
def test_form_grows_with_its_readings(grid: list[list[float]], factor: float) -> None:
    assume(all(grid) and any(len(row) > 1 for row in grid))
    larger = [[reading * factor for reading in row] for row in grid]
    for figure in (form.least, form.greatest, form.mean, form.spread, form.taper, form.bell, form.out_of_round):
        assert isclose(figure(larger), figure(grid) * factor, rel_tol=1e-9, abs_tol=1e-12 * factor * 15)
    assert 0 <= form.out_of_round(grid) <= form.spread(grid)
    assert form.taper(grid) <= form.spread(grid) + 1e-12


@given(SIZE, st.floats(0.01, 0.2), st.floats(0, 30e-6), st.floats(20, 400))
def test_a_hotter_stem_has_less_clearance(stem: float, cold: float, expansion: float, temperature: float) -> None:
    def at(warmth: float) -> float:
        return hot_clearance(
            guide=stem + cold,
            stem=stem,
            guide_expansion=11e-6,
            guide_temperature=150,
            stem_expansion=expansion,
            stem_temperature=warmth,
        ).hot

    assert at(temperature + 10) <= at(temperature)


LIMIT = st.floats(-50, 50).map(lambda value: round(value, 5))


@given(LIMIT, st.floats(0.01, 5), st.sampled_from([0.1, 0.01, 0.001, 0.0001, 0.00005]))
def test_limits_round_inward(low: float, width: float, step: float) -> None:
    high = low + width
    assume(width > 2 * step)
    found = round_inward(low, high, step)
    assert found.low is not None
    assert found.high is not None
    assert low - 1e-5 * step <= found.low < low + step
    assert high - step < found.high <= high + 1e-5 * step
    for bound in (found.low, found.high):
        assert isclose(bound / step, round(bound / step), abs_tol=1e-5)


def test_rounding_leaves_a_limit_that_is_a_step_already() -> None:
    assert (round_inward(0.1 + 0.2, 0.7, 0.1).low, round_inward(0.1 + 0.2, 0.7, 0.1).high) == (0.3, 0.7)
    assert (round_inward(None, 0.0019, 0.0001).low, round_inward(None, 0.0019, 0.0001).high) == (None, 0.0019)


def test_a_value_on_a_limit_is_inside_it() -> None:
    assert within((0.3450 - 0.3435) * INCH, 0.0015 * INCH, None)
    assert within((0.3450 - 0.3435) * INCH, None, 0.0015 * INCH)
    assert not within(0.0381 + 2e-7, None, 0.0381)


@given(st.floats(8.69, 8.73), st.floats(0.0001, 0.01), st.floats(0, 0.02), st.sampled_from([None, 0.001, 0.0001]))
def test_what_a_guard_band_accepts_plain_limits_accept_too(
    value: float, u: float, width: float, step: float | None
) -> None:
    low, high = 8.700, 8.700 + width
    found = conformity(value=value, u=u, low=low, high=high, step=step)
    if found.verdict is Verdict.CONFORMS:
        assert plain(value, low, high) is Verdict.CONFORMS
        assert found.probability > 0.89
    if found.verdict is Verdict.OUTSIDE:
        assert plain(value, low, high) is Verdict.OUTSIDE
        assert found.probability < 0.06


def test_limits_too_close_for_the_gauge_prove_nothing() -> None:
    found = conformity(value=8.7005, u=0.004, low=8.700, high=8.701)
    assert (found.accept_low, found.accept_high, found.verdict) == (None, None, Verdict.UNPROVEN)
    assert acceptance(low=8.7000, high=8.7009, guard=0.0002, step=0.001) == (None, None)


def test_guard_band_of_the_expanded_uncertainty() -> None:
    """Limits 0.0010 to 0.0020 in, U 0.00016 in: 0.0012 to 0.0018 in, rounded inward."""
    assert acceptance(low=0.0010, high=0.0020, guard=0.00016, step=0.0001) == (0.0012, 0.0018)


def test_a_sure_size_is_judged_by_plain_limits() -> None:
    assert conformity(value=8.7, u=0, low=8.7).probability == 1
    assert conformity(value=8.69, u=0, low=8.7).verdict is Verdict.OUTSIDE
    assert conformity(value=8.69, u=0, low=8.7).probability == 0


def test_chance_of_being_over_by_hand() -> None:
    """0.0019 in with u 0.00007 in under a limit of 0.0020 in: some 8 % are really above."""
    assert 1 - conformity(value=1.9, u=0.07, high=2.0).probability == pytest.approx(0.08, abs=0.005)


@given(
    st.floats(40, 50),
    st.floats(-1, 3),
    st.lists(st.sampled_from([0.1, 0.3, 0.381, 0.4, 0.762, 0.8, 1.5, 1.524]), min_size=1, max_size=3, unique=True),
)
def test_no_stack_of_shims_comes_nearer(measured: float, need: float, stock: list[float]) -> None:
    target = measured - need
    found = shims(measured=measured, target=target, stock=stock)
    assert sum(found.stack) <= 1.524 + 1e-6
    assert set(found.stack) <= set(stock)
    assert isclose(found.height, measured - sum(found.stack))
    assert isclose(found.residual, found.height - target, abs_tol=1e-9)
    counts = [range(int(1.524 / each) + 2) for each in stock]
    for pieces in product(*counts):
        total = sum(count * each for count, each in zip(pieces, stock, strict=True))
        if total > 1.524 + 1e-7:
            continue
        miss, best = abs(total - need), abs(found.residual)
        assert best <= miss + 2e-7
        if abs(miss - best) < 1e-9 and abs(total - sum(found.stack)) < 1e-9:
            assert len(found.stack) <= sum(pieces)


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(-10, 10)), min_size=4, max_size=20), st.floats(1, 10))
def test_a_line_widens_with_its_noise(points: list[tuple[float, float]], factor: float) -> None:
    assume(len({round(x, 3) for x, _ in points}) > 2)
    base = fit(points)
    louder = [(x, base.at(x) + factor * (y - base.at(x))) for x, y in points]
    quiet, loud = line(points, at=50), line(louder, at=50)
    assert loud.high - loud.low >= (quiet.high - quiet.low) * (1 - 1e-6) - 1e-9


COMPONENTS = st.lists(
    st.builds(
        Component,
        value=st.floats(0.01, 10),
        divisor=st.sampled_from([1.0, RECTANGULAR, TRIANGULAR, U_SHAPED]),
        dof=st.integers(1, 60).map(float),
    ),
    min_size=1,
    max_size=6,
)


@given(COMPONENTS, st.floats(0.01, 10))
def test_one_more_component_never_makes_a_result_surer(components: list[Component], value: float) -> None:
    before, after = uncertainty(components), uncertainty([*components, Component(value)])
    assert after.combined >= before.combined
    smallest, total = min(each.dof for each in components), sum(each.dof for each in components)
    assert smallest * (1 - 1e-9) <= before.dof <= total * (1 + 1e-9)
    assert before.expanded == pytest.approx(before.k * before.combined)


def test_readings_of_nothing_have_no_uncertainty() -> None:
    assert uncertainty([Component(0.0)]).expanded == 0
    assert of_mean(0.4, 4).standard == pytest.approx(0.2)


def test_small_samples_are_called_indicative() -> None:
    values = [1.39, 1.61] * 8
    found = capability_of(values, low=1.0, high=2.0)
    assert found.pp is not None
    assert found.pp == pytest.approx(1 / (6 * 0.11 * (16 / 15) ** 0.5))
    assert found.surely_ppk is not None
    assert found.surely_ppk < found.ppk
    assert found.remark == f"indicative: only 16 values; with 95 % confidence Ppk is above {found.surely_ppk:.2f}"
    assert capability_of(values * 2, low=1.0, high=2.0).remark == ""
    one_sided = capability_of(values, high=2.0)
    assert one_sided.pp is None
    assert one_sided.ppk == pytest.approx(found.ppk)


def test_nothing_large_is_loaded_before_it_is_asked_for() -> None:
    """No key press may wait for scipy: every module of the package and a ball advice run without it."""
    script = (
        "import pkgutil, sys, importlib, headwright.calc as calc\n"
        "for each in pkgutil.iter_modules(calc.__path__):\n"
        "    importlib.import_module(f'headwright.calc.{each.name}')\n"
        "from headwright.calc.ball import ball\n"
        "from headwright.calc.uncertainty import Component, uncertainty\n"
        "ball(pre_size=8.66, low=8.70, high=8.715, balls=[8.71, 8.72])\n"
        "uncertainty([Component(1.0, dof=9)])\n"
        "print(*sorted(name for name in ('scipy', 'numpy', 'pint', 'textual', 'sqlite3') if name in sys.modules))\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
