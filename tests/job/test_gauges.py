"""A reading counts with a gauge that is in date and zeroed; one whose zero did not hold takes its readings with it.

The rule of thirty minutes or ten readings, and of a tenth of drift, is common practice, no source.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.job.agenda import Now, next_up
from headwright.job.blocks import BlockKind, release_blocks
from headwright.job.by_hand import named_by_hand
from headwright.job.events import (
    FirstPieceReleased,
    GaugeChecked,
    GaugeDoubted,
    GaugeTaken,
    ReadingStruck,
    ToolChosen,
)
from headwright.job.gauges import in_doubt, in_hand
from headwright.procedure.kit import Gauge
from tests.job.small import INCH, LEAD, MACHINIST, TRAINEE, taken
from tests.job.strict import StrictShop, stamp, strict_plan

if TYPE_CHECKING:
    from headwright.job.decide import Refused


@pytest.fixture
def shop() -> StrictShop:
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    return shop


def kinds(refused: Refused) -> list[BlockKind]:
    return [block.kind for block in refused.blocks]


def test_a_reading_wants_a_gauge_in_hand() -> None:
    shop = StrictShop()
    shop.to_survey()
    wanted = taken("survey", "1I", "stem", 0.3118)
    assert str(shop.refused(wanted)) == "Stem, 1I: 07 has no micrometer in hand. Take one from the kit."
    found = next_up(shop.state, MACHINIST)
    assert (found.now, found.subject, found.place) == (Now.GAUGE, "micrometer", "1I")
    shop.do(GaugeTaken("MIC-1", "micrometer", due="2027-02-16"))
    assert kinds(shop.refused(wanted)) == [BlockKind.GAUGE]  # it does not say which
    assert kinds(shop.refused(replace(wanted, gauge="MIC-9"))) == [BlockKind.GAUGE]
    shop.do(replace(wanted, gauge="MIC-1"))
    assert shop.state.gauges["MIC-1"].after


def test_an_overdue_gauge_is_not_taken_in_hand_and_not_read(shop: StrictShop) -> None:
    refused = shop.refused(GaugeTaken("BG-2", "bore gauge", due="2025-11-04"))
    assert "it was due to be checked by 2025-11-04." in str(refused)
    shop.do(GaugeTaken("BG-4", "bore gauge", due="2026-03-04"))  # on its last day
    shop.do(GaugeChecked("BG-4", "R-3430", 0.3430 * INCH, 0.0))
    shop.do(shop.read("bore", "1I", "bored_id", 0.3424, "top"))
    shop.wait(24 * 60)
    assert "BG-4 was due to be checked by 2026-03-04." in str(
        shop.refused(shop.read("bore", "1I", "bored_id", 0.3424, "bottom"))
    )


def test_a_gauge_is_not_rid_of_the_day_on_which_it_is_due_by_being_named_by_hand(shop: StrictShop) -> None:
    shop.do(GaugeTaken("BG-4", "bore gauge", due="2026-03-05"))
    refused = shop.refused(GaugeTaken("BG-4", "bore gauge"))
    assert str(refused) == "Gauge BG-4: it is on record as due by 2026-03-05. Take it from the kit."
    shop.do(GaugeTaken("BG-4", "bore gauge", due="2027-03-05"))  # calibrated meanwhile


KIT = (
    Gauge("BG-1", "bore gauge", "length", 0.001, 0.002, "2025-03-04", "2027-03-04"),
    Gauge("MIC-7", "micrometer", "length", 0.001, 0.002, "2025-03-04", "2027-03-04"),
)


@pytest.mark.parametrize("typed", ["BG-1", "bg-1", "Bg-1"])
def test_a_gauge_that_is_named_by_hand_is_the_kits_in_whatever_letters(shop: StrictShop, typed: str) -> None:
    wanted = named_by_hand(shop.state, KIT, "bore gauge", typed)
    assert wanted == GaugeTaken("BG-1", "bore gauge", 0.001, 0.002, "2027-03-04")


def test_or_that_of_the_job_where_the_kit_is_not_at_hand(shop: StrictShop) -> None:
    shop.do(GaugeTaken("BG-4", "bore gauge", 0.002, 0.003, "2027-02-16"))
    assert named_by_hand(shop.state, (), "bore gauge", "bg-4") == GaugeTaken(
        "BG-4", "bore gauge", 0.002, 0.003, "2027-02-16"
    )


@pytest.mark.parametrize("typed", ["mic-7", "mic-1"])
def test_or_it_is_of_another_sort_in_the_kit_or_the_job(shop: StrictShop, typed: str) -> None:
    wanted = named_by_hand(shop.state, KIT, "bore gauge", typed)
    assert str(wanted) == f"{typed.upper()}: it is a micrometer. A bore gauge is wanted here."


def test_of_any_other_gauge_that_is_named_by_hand_nothing_is_known(shop: StrictShop) -> None:
    assert named_by_hand(shop.state, KIT, "bore gauge", "old one") == GaugeTaken("old one", "bore gauge")


def test_a_comparator_is_zeroed_before_its_first_reading() -> None:
    shop = StrictShop()
    shop.do(GaugeTaken("MIC-1", "micrometer", due="2027-02-16"))
    shop.do(GaugeTaken("BG-3", "bore gauge", due="2027-02-16"))
    shop.to_bore()
    shop.name_cutter()
    wanted = shop.read("bore", "1I", "bored_id", 0.3424, "top")
    assert "BG-3 is not zeroed on a ring for this job." in str(shop.refused(wanted))
    assert next_up(shop.state, MACHINIST).now is Now.GAUGE
    shop.zero()
    shop.do(wanted)


def test_a_zero_counts_for_half_an_hour(shop: StrictShop) -> None:
    shop.zero()
    wanted = shop.read("bore", "1I", "bored_id", 0.3424, "top")
    shop.wait(30)
    shop.do(wanted)
    shop.wait(1)
    refused = shop.refused(shop.read("bore", "1I", "bored_id", 0.3424, "bottom"))
    assert "was zeroed 31 minutes ago; 30 is the most." in str(refused)
    found = next_up(shop.state, MACHINIST, now=stamp(shop.time))
    assert (found.now, found.subject) == (Now.GAUGE, "bore gauge")
    shop.zero()
    shop.do(shop.read("bore", "1I", "bored_id", 0.3424, "bottom"))


def test_a_zero_counts_for_ten_readings(shop: StrictShop) -> None:
    for _ in range(10):
        shop.do(shop.read("bore", "1I", "bored_id", 0.3424, "top"))
    assert "BG-3 has taken 10 readings since its zero." in str(
        shop.refused(shop.read("bore", "1I", "bored_id", 0.3424, "bottom"))
    )


def test_a_zero_counts_for_whoever_set_it(shop: StrictShop) -> None:
    shop.acknowledge(operator=TRAINEE)
    shop.do(GaugeTaken("BG-3", "bore gauge", due="2027-02-16"), TRAINEE)
    refused = shop.refused(shop.read("bore", "1I", "bored_id", 0.3424, "top"), TRAINEE)
    assert "BG-3 was zeroed by 07, and a zero counts for whoever set it." in str(refused)


def test_a_ring_is_near_the_size_that_is_read(shop: StrictShop) -> None:
    shop.zero(ring=0.3740)
    refused = shop.refused(shop.read("bore", "1I", "bored_id", 0.3424, "top"))
    assert "BG-3 is zeroed on R-0.3740, too far from the size that is expected here." in str(refused)


def test_a_gauge_left_off_its_ring_is_not_zeroed(shop: StrictShop) -> None:
    refused = shop.refused(GaugeChecked("BG-3", "R-3430", 0.3430 * INCH, 0.0, 0.0002 * INCH))
    assert "it is left off by +0.00020 in." in str(refused)


@pytest.mark.parametrize("figure", [math.nan, math.inf, -math.inf])
def test_no_figure_of_a_gauge_or_tool_is_not_a_number(shop: StrictShop, figure: float) -> None:
    for size, before in ((figure, 0.0), (8.0, figure)):
        assert "a figure is expected" in str(shop.refused(GaugeChecked("BG-3", "R", size, before)))
    assert "are sizes" in str(shop.refused(GaugeTaken("BG-9", "bore gauge", figure)))
    assert "a size is expected" in str(shop.refused(ToolChosen("bore", "1I", "cutter", "C1", figure)))


def bored(shop: StrictShop) -> None:
    """Bore both positions; the first piece of each kind is released."""
    shop.inch("bore", "1I", "bored_id", 0.3424, 0.3424)
    shop.name_cutter("1E")
    shop.inch("bore", "1E", "bored_id", 0.3424, 0.3424)


def test_a_drift_takes_every_reading_since_the_last_good_zero_with_it(shop: StrictShop) -> None:
    shop.inch("bore", "1I", "bored_id", 0.3424, 0.3424)
    shop.zero(off=0.0001)  # a tenth: it held
    shop.name_cutter("1E")
    shop.inch("bore", "1E", "bored_id", 0.3424, 0.3424)
    assert "bored" in shop.state.held["1E"]
    doubtful = in_doubt(shop.state, "BG-3")
    answer = shop.zero(off=-0.00015)
    struck = [event.number for event in answer if isinstance(event, ReadingStruck)]
    assert sorted(struck) == sorted(doubtful) == list(shop.state.doubts[-1].readings)
    assert len(struck) == 2
    assert "bored" not in shop.state.held["1E"]
    assert "bored" in shop.state.held["1I"]
    _, reason = shop.state.attempt("bore", "1E").struck[0]
    assert reason == "BG-3 came back to its ring off by -0.00015 in"
    found = next_up(shop.state, MACHINIST)
    assert (found.now, found.place) == (Now.READING, "1E")
    shop.inch("bore", "1E", "bored_id", 0.3425, 0.3425)
    assert "bored" in shop.state.held["1E"]


def test_a_drift_reaches_what_rests_on_the_reading() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    bored(shop)
    for place in ("1I", "1E"):
        shop.tick("install", place, "drive")
        shop.tick("oil", place, "oil")
    shop.tick("size", "head:A", "tray")
    shop.zero(ring=0.3130)
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3133)
    assert "sized" in shop.state.held["1I"]
    shop.zero(ring=0.3130, off=0.0003)
    assert "sized" not in shop.state.held["1I"]
    assert "bored" in shop.state.held["1I"]  # read before the last good zero


def test_a_job_is_released_only_after_its_gauges_came_back_to_their_ring(shop: StrictShop) -> None:
    bored(shop)
    blocks = [b for b in release_blocks(shop.state) if b.kind is BlockKind.GAUGE]
    assert [b.why for b in blocks] == ["BG-3 was not checked after its last 4 readings."]
    shop.zero()
    assert not [b for b in release_blocks(shop.state) if b.kind is BlockKind.GAUGE]


def test_a_gauge_found_off_in_another_job_strikes_what_rests_on_it_here(shop: StrictShop) -> None:
    bored(shop)
    late = shop.entries[-1].time
    assert "nothing in this job rests on it" in str(shop.refused(GaugeDoubted("BG-3", 0.006, late, "1005")))
    assert "nothing in this job rests on it" in str(shop.refused(GaugeDoubted("BG-9", 0.006, "", "1005")))
    answer = shop.do(GaugeDoubted("BG-3", 0.006, "", "1005"), "99")  # whoever found it need not be at this bench
    assert sum(isinstance(event, ReadingStruck) for event in answer) == 4
    assert "bored" not in shop.state.held["1I"]
    assert "nothing in this job rests on it" in str(shop.refused(GaugeDoubted("BG-3", 0.006, "", "1005")))


def test_what_was_read_before_a_check_elsewhere_is_not_doubted(shop: StrictShop) -> None:
    shop.inch("bore", "1I", "bored_id", 0.3424, 0.3424)
    vouched = shop.entries[-1].time
    shop.name_cutter("1E")
    shop.inch("bore", "1E", "bored_id", 0.3424, 0.3424)
    shop.do(GaugeDoubted("BG-3", 0.006, vouched, "1005"))
    assert "bored" in shop.state.held["1I"]
    assert "bored" not in shop.state.held["1E"]
    assert in_doubt(shop.state, "BG-3") != ()  # its zero still has to be shown to hold for 1I


def test_two_figures_agree_or_a_third_decides() -> None:
    shop = StrictShop()
    shop.take_gauges()
    shop.to_survey()
    index = shop.state.index
    stem = index.readings["survey", "stem"]
    point = ("stem", "", None)
    shop.do(shop.read("survey", "1I", "stem", 0.3118))
    assert not shop.state.attempt("survey", "1I").has(stem, point)
    found = next_up(shop.state, MACHINIST)
    assert (found.place, found.say) == ("1I", "1I: Stem, again")
    shop.do(shop.read("survey", "1I", "stem", 0.3115))
    assert not shop.state.attempt("survey", "1I").has(stem, point)
    shop.do(shop.read("survey", "1I", "stem", 0.3117))
    taken_ = shop.state.attempt("survey", "1I").readings[point]
    assert taken_.value == pytest.approx(0.3117 * INCH)  # the median
    assert "surveyed" in shop.state.held["1I"]
    first, second = (each.number for each in taken_.others)
    shop.do(ReadingStruck(second, "misread"))
    assert shop.state.attempt("survey", "1I").readings[point].value == pytest.approx(0.31175 * INCH)  # the mean of two
    shop.do(ReadingStruck(first, "misread too"))
    assert "surveyed" not in shop.state.held["1I"]
    assert next_up(shop.state, MACHINIST).say == "1I: Stem, again"


def test_a_settled_point_is_replaced_as_a_whole() -> None:
    shop = StrictShop()
    shop.take_gauges()
    shop.to_survey()
    shop.inch("survey", "1I", "stem", 0.3118)
    answer = shop.do(replace(taken("survey", "1E", "stem", 0.3113), gauge="MIC-1"))
    number = shop.state.attempt("survey", "1E").readings["stem", "", None].number
    assert len(answer) == 1
    again = replace(taken("survey", "1E", "stem", 0.3112), gauge="MIC-1", over=number, repeat=False)
    assert [type(event).__name__ for event in shop.do(again)] == ["ReadingStruck", "ReadingTaken"]
    done = replace(taken("survey", "1I", "stem", 0.3118), gauge="MIC-1", repeat=True)
    assert "it is done here" in str(shop.refused(done))


def test_the_cutter_is_named_and_its_first_piece_released() -> None:
    shop = StrictShop()
    shop.to_bore("liner", "next-liner")
    assert next_up(shop.state, MACHINIST).now is Now.TOOL
    wanted = shop.read("bore", "1I", "bored_id", 0.3424, "top")
    assert kinds(shop.refused(wanted)) == [BlockKind.TOOL]
    assert "names no ball" in str(shop.refused(ToolChosen("bore", "1I", "ball", "B-1")))
    assert "names no ball" in str(shop.refused(ToolChosen("size", "1I", "ball", "B-1")))
    shop.name_cutter("1I")
    shop.do(wanted)


def test_others_wait_for_the_first_piece() -> None:
    shop = StrictShop(strict_plan(heads=("L", "R")))
    shop.to_bore()
    shop.do(ToolChosen("bore", "L1I", "cutter", "K-1"))
    other = shop.read("bore", "R1I", "bored_id", 0.3424, "top")
    assert "Finish it there" in str(shop.refused(other))
    assert "is not complete there" in str(shop.refused(FirstPieceReleased("bore", "L1I")))
    shop.inch("bore", "L1I", "bored_id", 0.3424, 0.3424)
    assert kinds(shop.refused(other)) == [BlockKind.FIRST]
    found = next_up(shop.state, MACHINIST)
    assert (found.now, found.place) == (Now.FIRST, "L1I")
    assert "this is for a machinist" in str(shop.refused(FirstPieceReleased("bore", "L1I"), TRAINEE))
    shop.do(FirstPieceReleased("bore", "L1I"), LEAD)
    shop.do(other)
    # another cutter: the piece that comes next is the first
    shop.do(ToolChosen("bore", "R1I", "cutter", "K-2"))
    shop.do(shop.read("bore", "R1I", "bored_id", 0.3424, "bottom"))
    assert "it does not wait" in str(shop.refused(FirstPieceReleased("bore", "L1I")))
    assert "nothing is to be done here" in str(shop.refused(ToolChosen("bore", "L1I", "cutter", "K-3")))


def test_a_gauge_is_in_the_hand_of_whoever_took_it(shop: StrictShop) -> None:
    gauge = in_hand(shop.state, MACHINIST, "bore gauge")
    assert gauge is not None
    assert gauge.gauge == "BG-3"
    assert in_hand(shop.state, TRAINEE, "bore gauge") is None
