"""Limits that have to be proved: the guard band, what the uncertainty of a figure comes from, and the holds."""

from __future__ import annotations

from math import hypot, sqrt
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from headwright.job.events import Disposed, Disposition, GaugeChecked, GaugeTaken, OperationClosed, ReadingStruck
from headwright.job.figures import Bench, Figure
from headwright.job.holds import hold_at, stops_at_once
from headwright.job.uncertainty import proof_words, uncertainty_words
from headwright.job.verdict import Verdict, judge, prove
from headwright.procedure.plan import Formula, Limit, Plan, Remedy
from tests.job.proving import BORE, MIC, ProvingShop, judged_sum, length, proving_plan, sum_plan
from tests.job.small import INCH, LEAD, Shop, formula, plan, reading_ref, taken

if TYPE_CHECKING:
    from headwright.job.index import PointKey

GUARD = 1.644854
"""Standard uncertainties at one limit for 95 %: any table of the normal distribution."""
WHOLE = hypot(BORE, MIC)
"""Expanded uncertainty (k = 2) of a hole less a stem."""


def words(shop: Shop, figure: Figure) -> str:
    return proof_words(shop.state.plan, shop.state.index.results["size", "clearance"], figure)


def test_a_clearance_well_inside_its_limits_is_proved_and_closes() -> None:
    shop = ProvingShop()
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3133, "top"))
    done = shop.do(taken("size", "1I", "finished_id", 0.3133, "bottom"))
    figure = shop.clearance()
    assert (figure.verdict, figure.proof, figure.lacks) == (Verdict.IN, True, "")
    assert figure.uncertain == pytest.approx(WHOLE)
    assert figure.guard == pytest.approx(GUARD * WHOLE / 2)
    assert done[1:] == (OperationClosed("size", "1I"),)


def test_a_figure_that_is_on_its_limit_is_in_by_plain_limits_and_not_proved() -> None:
    plain = Shop()
    plain.to_size()
    plain.inch("size", "1I", "finished_id", 0.3138, 0.3133)
    figure = Bench(plain.state, plain.state.index.operations["size"], "1I").figure("clearance")
    assert (figure.verdict, figure.proof, figure.uncertain) == (Verdict.NEAR, False, None)
    proved = ProvingShop().sized(0.3138, 0.3133)
    assert proved.verdict is Verdict.UNPROVEN
    assert proved.out == 0


@pytest.mark.parametrize(
    ("inches", "verdict"), [(0.3127, Verdict.LOW), (0.3139, Verdict.HIGH), (0.3128, Verdict.UNPROVEN)]
)
def test_beyond_a_limit_is_out_and_not_a_matter_of_proof(inches: float, verdict: Verdict) -> None:
    assert ProvingShop().sized(inches, inches).verdict is verdict


def test_the_edges_of_the_band_are_those_that_the_screens_draw() -> None:
    figure = ProvingShop().sized(0.3133, 0.3133)
    bottom, top = figure.proving
    assert figure.low is not None
    assert figure.high is not None
    assert bottom == pytest.approx(figure.low + figure.guard)
    assert top == pytest.approx(figure.high - figure.guard)


def test_a_ring_adds_its_own_uncertainty_to_what_is_read_after_it() -> None:
    shop = ProvingShop()
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3133, "top"))
    shop.do(GaugeChecked("BG-1", "R-3130", 0.3130 * INCH, 0.0, uncertainty=0.00009 * INCH))
    assert shop.clearance().uncertain == pytest.approx(WHOLE)  # what was read before it does not change
    shop.do(taken("size", "1I", "finished_id", 0.3133, "bottom"))
    assert shop.clearance().uncertain == pytest.approx(hypot(WHOLE, 0.00009 * INCH))


def test_a_gauge_that_is_given_another_uncertainty_leaves_what_it_has_read() -> None:
    shop = ProvingShop()
    before = shop.sized(0.3133, 0.3133)
    shop.do(GaugeTaken("BG-1", "bore gauge", 0.0001 * INCH, 10 * BORE))
    assert shop.clearance() == before


def test_repeats_take_nothing_off_and_the_least_certain_of_them_counts() -> None:
    shop = ProvingShop(agreeing(0.00001))
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3133, "top"))
    first = shop.state.attempt("size", "1I").readings["finished_id", "top", None]
    shop.do(GaugeTaken("BG-9", "bore gauge", 0.0001 * INCH, BORE / 4))
    again = taken("size", "1I", "finished_id", 0.31332, "top")
    shop.do(replace(again, over=first.number, repeat=True))
    assert shop.clearance().uncertain == pytest.approx(WHOLE)


def agreeing(inches: float) -> Plan:
    """Give the plan with figures of the finished hole asked to agree so far."""
    found = []
    made = proving_plan()
    for operation in made.operations:
        readings = tuple(replace(r, agree=inches * INCH) if r.name == "finished_id" else r for r in operation.readings)
        found.append(replace(operation, readings=readings))
    return replace(made, operations=tuple(found))


def test_without_a_gauge_of_known_uncertainty_nothing_is_proved_and_the_reading_is_named() -> None:
    shop = ProvingShop()
    shop.do(GaugeTaken("MIC-2", "micrometer"))
    figure = shop.sized(0.3133, 0.3133)
    assert (figure.verdict, figure.uncertain) == (Verdict.UNPROVEN, None)
    assert figure.lacks == "Stem in 'Survey'"
    assert words(shop, figure) == "Nothing is proved: Stem in 'Survey' names no gauge of known uncertainty."
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    assert hold.ways[0].say == "Not proved: take Stem in 'Survey' again, with a gauge of known uncertainty."


def test_a_figure_being_typed_is_judged_with_the_gauge_in_hand() -> None:
    shop = ProvingShop()
    shop.to_size()
    size = shop.state.index.operations["size"]
    typed: dict[PointKey, float] = {
        ("finished_id", "top", None): 0.3133 * INCH,
        ("finished_id", "bottom", None): 0.3137 * INCH + 0.002,
    }
    live = Bench(shop.state, size, "1I", typed).figure("clearance")
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3137 + 0.002 / INCH)
    saved = shop.clearance()
    assert (live.verdict, live.complete) == (saved.verdict, saved.complete) == (Verdict.UNPROVEN, True)
    assert (live.least, live.most, live.uncertain) == pytest.approx((saved.least, saved.most, saved.uncertain))


def test_limits_too_close_for_the_gauges_are_said_to_be_so() -> None:
    shop = ProvingShop(bore=0.0012 * INCH)
    figure = shop.sized(0.3133, 0.3133)
    assert (figure.verdict, figure.proving) == (Verdict.UNPROVEN, (None, None))
    assert words(shop, figure) == "U 0.0013 in (k = 2): the limits lie too close together for any figure to prove them."
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    assert hold.ways[0].say == "Not to be proved with these gauges: measure again with better ones."


def test_what_proves_the_limits_is_said_rounded_inward() -> None:
    """U = 0.000144 in; 0.0010 + 0.000119 and 0.0020 - 0.000119 in."""
    shop = ProvingShop()
    figure = shop.sized(0.3133, 0.3133)
    item = shop.state.index.results["size", "clearance"]
    assert uncertainty_words(shop.state.plan, item, figure) == "U 0.00015 in (k = 2)"
    assert words(shop, figure) == "U 0.00015 in (k = 2): 0.00112 to 0.00188 in proves the limits, by guard band."
    plain = Shop()
    plain.to_size()
    plain.inch("size", "1I", "finished_id", 0.3133, 0.3133)
    held = Bench(plain.state, plain.state.index.operations["size"], "1I").figure("clearance")
    assert words(plain, held) == ""


def test_an_unproven_figure_is_held_measuring_first_and_a_lead_may_accept_it_by_plain_limits() -> None:
    shop = ProvingShop()
    figure = shop.sized(0.3138, 0.3133)
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    assert [(w.disposition, w.say) for w in hold.ways] == [
        (Disposition.REMEASURE, "Too near to call: measure again with a better gauge."),
        (Disposition.REWORK, "Take the liner out and reline."),
        (Disposition.CONCESSION, "Accept it by plain limits. The reason and the name go on the sheet."),
        (Disposition.SCRAP, "Give the head up. Nothing more is done on it."),
    ]
    assert stops_at_once(shop.state, ("size", "1I"), figure) is None
    accepted = Disposed("size", "1I", "clearance", Disposition.CONCESSION, "on the limit, and the customer knows")
    assert "this is for a lead" in str(shop.refused(accepted))
    shop.do(accepted, LEAD)
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_measured_again_with_a_better_gauge_it_is_proved() -> None:
    shop = ProvingShop()
    edge = 0.3138 - 0.0001
    assert shop.sized(edge, 0.3133).verdict is Verdict.UNPROVEN
    shop.do(Disposed("size", "1I", "clearance", Disposition.REMEASURE, "with the air gauge"))
    shop.do(GaugeTaken("AG-1", "bore gauge", 0.00001 * INCH, 0.00004 * INCH))
    shop.inch("size", "1I", "finished_id", edge, 0.3133)
    assert shop.clearance().verdict is Verdict.IN
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_a_stop_is_for_figures_that_are_out() -> None:
    """A head is not stopped by a figure inside its limits, only held."""
    stop = Remedy("", "Stop the head.", stop=True)
    shop = ProvingShop(proving_plan(remedies=(stop,), firm=True))
    shop.sized(0.3138, 0.3138)
    assert shop.state.stopped == {}
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    assert [w.disposition for w in hold.ways] == [Disposition.REMEASURE, None]
    over = ProvingShop(proving_plan(remedies=(stop,), firm=True))
    over.sized(0.3140, 0.3140)
    assert list(over.state.stopped) == ["head:A"]


def test_each_end_of_a_reading_is_held_with_its_own_gauge() -> None:
    """8.715 mm at most, U 0.004 and 0.001 mm (k = 2): the guard band is that of the less certain figure."""
    hole = length("hole", stations=("top", "bottom"))
    hole = replace(hole, proof=True, limit=Limit(high=Formula("8.715 mm", constant=8.715)))
    shop = Shop(sum_plan([hole], replace(plan().operations[7].results[0], least=None, most=None, limit=None)))
    for gauge, u, station in (("A", 0.004, "top"), ("B", 0.001, "bottom")):
        shop.do(GaugeTaken(gauge, "hole gauge", uncertainty=u))
        event = replace(taken("sum", "head:A", "hole", 8.712 / INCH, station), unit="mm", gauge=gauge)
        shop.do(event)
    figure = Bench(shop.state, shop.state.index.operations["sum"], "head:A").figure("hole")
    assert figure.uncertain == pytest.approx(0.004)
    assert figure.verdict is Verdict.UNPROVEN


def test_a_limit_that_is_read_too_brings_its_own_uncertainty() -> None:
    """A figure held to 0.9 of another reading: u² = 0.003² + (0.9 × 0.002)², by the law of propagation."""
    blank = length("blank")
    held = replace(
        length("held"), proof=True, limit=Limit(low=formula("0.9 * blank", blank=reading_ref("sum", "blank")))
    )
    shop = Shop(sum_plan([blank, held], replace(plan().operations[7].results[0], least=None, most=None, limit=None)))
    for reading, u, value in ((blank, 0.002, 10.0), (held, 0.003, 9.5)):
        shop.do(GaugeTaken(reading.name, reading.gauge, uncertainty=2 * u))
        shop.do(replace(taken("sum", "head:A", reading.name, value / INCH), unit="mm", gauge=reading.name))
    figure = Bench(shop.state, shop.state.index.operations["sum"], "head:A").figure("held")
    assert figure.uncertain == pytest.approx(2 * hypot(0.003, 0.9 * 0.002))


def test_of_equal_readings_one_is_the_least() -> None:
    """Six equal figures are no less certain than one, and no more: u(least) = u; u(greatest - least) = √2 u."""
    holes = length("holes", stations=("top", "middle", "bottom"), angles=(0, 90))
    equal = {"holes": [8.7] * 6}
    least = judged_sum([holes], "least(holes)", equal, {"holes gauge": 0.002})
    assert least.uncertain == pytest.approx(2 * 0.002)
    spread = judged_sum([holes], "greatest(holes) - least(holes)", equal, {"holes gauge": 0.002})
    assert spread.uncertain == pytest.approx(2 * sqrt(2) * 0.002)


def test_of_equal_readings_of_two_gauges_the_less_certain_one_counts() -> None:
    a, b = length("a"), length("b")
    values = {"a": [8.7], "b": [8.7]}
    for text in ("min(a, b)", "max(a, b)"):
        figure = judged_sum([a, b], text, values, {"a gauge": 0.001, "b gauge": 0.003})
        assert figure.uncertain == pytest.approx(2 * 0.003)


def test_a_mean_of_one_gauge_is_no_better_than_one_reading() -> None:
    """What the readings of one gauge share does not average out; of two gauges it does: √(u₁² + u₂²) / 2."""
    holes = length("holes", stations=("top", "bottom"))
    mean = judged_sum([holes], "mean(holes)", {"holes": [8.70, 8.71]}, {"holes gauge": 0.002})
    assert mean.uncertain == pytest.approx(2 * 0.002)
    a, b = length("a"), length("b")
    both = judged_sum([a, b], "(a + b) / 2", {"a": [8.70], "b": [8.71]}, {"a gauge": 0.002, "b gauge": 0.003})
    assert both.uncertain == pytest.approx(hypot(0.002, 0.003))


def test_a_sum_without_an_answer_beside_its_readings_proves_nothing() -> None:
    """The root of a difference that is zero has no slope."""
    a, b = length("a"), length("b")
    figure = judged_sum([a, b], "sqrt(a - b)", {"a": [8.7], "b": [8.7]}, {"a gauge": 0.002, "b gauge": 0.002})
    assert (figure.least, figure.uncertain, figure.verdict) == (0.0, None, Verdict.UNPROVEN)


def test_readings_struck_take_the_proof_back() -> None:
    shop = ProvingShop()
    shop.sized(0.3133, 0.3133)
    number = shop.state.attempt("survey", "1I").readings["stem", "", None].number
    shop.do(ReadingStruck(number, "wrong valve"))
    assert shop.clearance().verdict is Verdict.OPEN
    assert not shop.state.is_done(shop.state.index.operations["size"], "1I")


sizes = st.floats(-10, 10)


@given(least=sizes, span=st.floats(0, 5), low=sizes, width=st.floats(0, 10), guard=st.floats(0, 5))
def test_proof_never_passes_what_plain_limits_hold_and_holds_nothing_that_they_fail_otherwise(
    least: float, span: float, low: float, width: float, guard: float
) -> None:
    held = judge(least, least + span, low, low + width)
    proved = prove(least, least + span, low, low + width, guard)
    assert proved is held if held.fails else proved in {Verdict.IN, Verdict.UNPROVEN}


@given(value=sizes, low=sizes, guard=st.floats(0, 5), more=st.floats(0, 5))
def test_a_wider_band_proves_no_more(value: float, low: float, guard: float, more: float) -> None:
    if prove(value, value, low, None, guard + more) is Verdict.IN:
        assert prove(value, value, low, None, guard) is Verdict.IN
