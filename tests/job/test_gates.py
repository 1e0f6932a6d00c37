"""Nothing passes that should not: needs, cautions, missing readings, limits, stops, defaults nobody confirmed."""

from __future__ import annotations

import math

import msgspec

from headwright.job.blocks import BlockKind, release_blocks
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Noted,
    Opened,
    OperationClosed,
    Released,
    Resumed,
    SpecConfirmed,
    StepBegun,
    Stopped,
    WentOff,
)
from headwright.job.holds import hold_at
from headwright.job.state import begin
from headwright.procedure.plan import Operation, Role
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop, plan, taken


def test_an_operation_waits_for_what_it_needs_and_says_why() -> None:
    shop = Shop()
    refusal = shop.refused(taken("survey", "1I", "stem", 0.3118))
    assert str(refusal) == ("Survey, 1I: it needs 'soaked'. Because soaked matters. 'Soak' makes it so.")


def test_a_caution_is_wanted_from_everyone_who_works_and_in_every_shift() -> None:
    shop = Shop()
    shop.to_bore()
    wanted = taken("bore", "1I", "bored_id", 0.3424, "top")
    assert [b.kind for b in shop.refused(wanted, TRAINEE).blocks] == [BlockKind.CAUTION]
    shop.do(WentOff(MACHINIST))
    shop.do(CameOn(MACHINIST, "Mara", Role.MACHINIST))
    assert [b.kind for b in shop.refused(wanted).blocks] == [BlockKind.CAUTION]
    shop.do(CautionAcknowledged("carbide"))
    shop.do(wanted)


def test_nobody_at_the_bench_writes_nothing() -> None:
    shop = Shop()
    assert str(shop.refused(Noted("hello"), "99")) == (
        "Note: 99 is not on at the bench. Say who is at the bench first."
    )


def test_a_position_does_not_pass_with_a_reading_missing() -> None:
    shop = Shop()
    shop.to_bore()
    assert shop.do(taken("bore", "1I", "bored_id", 0.3424, "top"))[1:] == ()
    assert shop.do(taken("bore", "1I", "bored_id", 0.3424, "bottom"))[1:] == (OperationClosed("bore", "1I"),)


def test_a_position_does_not_pass_with_a_step_not_ticked_and_passes_when_it_is() -> None:
    shop = Shop()
    shop.to_bore()
    for place in ("1I", "1E"):
        shop.inch("bore", place, "bored_id", 0.3424, 0.3424)
        shop.tick("install", place, "drive")
        shop.tick("oil", place, "oil")
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    size = shop.state.index.operations["size"]
    assert not shop.state.is_done(size, "1I")
    shop.tick("size", "head:A", "tray")
    assert shop.state.is_done(size, "1I")
    assert not shop.state.is_done(size, "1E")


def test_a_figure_out_of_limits_holds_the_position_and_nothing_else() -> None:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    assert [b.kind for b in shop.refused(taken("verify", "1I", "drops", 0)).blocks][-1:] == [BlockKind.NEED]
    shop.inch("size", "1E", "finished_id", 0.3133, 0.3132)
    assert shop.state.is_done(shop.state.index.operations["size"], "1E")


def test_a_figure_on_the_limit_is_in() -> None:
    """0.3128 - 0.3118 is a hair under 0.0010 in floats; on the limit is inside it."""
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3128, 0.3138)
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_a_crack_stops_the_whole_head_and_only_a_lead_lets_it_go_on() -> None:
    shop = Shop()
    shop.word("receive", "head:A", "cracked", "yes")
    assert "head:A" in shop.state.stopped
    refusal = shop.refused(taken("survey", "1I", "stem", 0.3118))
    assert BlockKind.STOP in {b.kind for b in refusal.blocks}
    assert BlockKind.PERSON in {b.kind for b in shop.refused(Resumed("head:A", "looked at it")).blocks}
    assert "a reason is expected" in str(shop.refused(Resumed("head:A", " "), LEAD))
    shop.do(Resumed("head:A", "a scratch, no crack"), LEAD)
    assert shop.state.stopped == {}


def test_a_stop_on_one_head_leaves_the_other_alone() -> None:
    shop = Shop(plan(heads=("L", "R")))
    shop.do(Stopped("L1I", "dropped"))
    assert list(shop.state.stopped) == ["head:L"]
    shop.word("receive", "head:R", "cracked", "no")


def test_a_stop_among_other_ways_out_is_a_choice_and_not_a_reflex() -> None:
    shop = Shop()
    shop.to_bore()
    shop.inch("bore", "1I", "bored_id", 0.3445, 0.3445)
    assert shop.state.stopped == {}
    hold = hold_at(shop.state, ("bore", "1I"))
    assert hold is not None
    assert [(w.disposition, w.stop) for w in hold.ways][:2] == [(Disposition.REWORK, False), (None, True)]
    shop.do(Stopped("1I", hold.ways[1].say))
    assert list(shop.state.stopped) == ["head:A"]


def test_a_default_nobody_confirmed_keeps_the_head() -> None:
    shop = Shop(plan(confirmed=False))
    kinds = {b.kind for b in release_blocks(shop.state)}
    assert BlockKind.SPEC in kinds
    assert BlockKind.PERSON in {b.kind for b in shop.refused(SpecConfirmed("clearance", "data sheet")).blocks}
    shop.do(SpecConfirmed("clearance", "data sheet"), LEAD)
    assert BlockKind.SPEC not in {b.kind for b in release_blocks(shop.state)}


def test_release_names_everything_that_is_open() -> None:
    shop = Shop()
    refusal = shop.refused(Released(), LEAD)
    assert "'Receive' is not done at head A." in str(refusal)
    assert "'Survey' is not done at 1I, 1E." in str(refusal)


def test_a_head_given_up_asks_for_nothing_more() -> None:
    shop = Shop(plan(heads=("L", "R")))
    scrap = Disposed("receive", "head:L", "cracked", Disposition.SCRAP, "cracked through the seat")
    assert BlockKind.PERSON in {b.kind for b in shop.refused(scrap).blocks}
    shop.do(scrap, LEAD)
    assert "head L was given up" in str(shop.refused(taken("survey", "L1I", "stem", 0.3118)))
    assert not shop.state.is_due(shop.state.index.operations["survey"], "L1I")
    assert shop.state.is_due(shop.state.index.operations["receive"], "head:R")


def test_an_unknown_name_gets_the_nearest_right_one() -> None:
    shop = Shop()
    assert str(shop.refused(taken("servey", "1I", "stem", 0.3118))) == (
        "operation 'servey': this job's plan has none of that name. Nearest: survey."
    )
    assert "Nearest: 1I" in str(shop.refused(taken("survey", "1i", "stem", 0.3118)))


def test_no_figure_on_record_is_not_a_number() -> None:
    shop = Shop()
    shop.to_bore()
    wanted = taken("bore", "1I", "bored_id", math.nan, "top")
    assert str(shop.refused(wanted)) == "Bored id: a figure is expected. Type it in inches."


def test_a_firm_limit_is_not_conceded() -> None:
    firm = msgspec.structs.replace(plan(), operations=tuple(_firm(op) for op in plan().operations))
    shop = Shop(firm)
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    assert {w.disposition for w in hold.ways} == {Disposition.REWORK, Disposition.REMEASURE}


def _firm(operation: Operation) -> Operation:
    results = tuple(msgspec.structs.replace(result, firm=True) for result in operation.results)
    return msgspec.structs.replace(operation, results=results)


def test_a_concession_of_a_firm_limit_is_refused_to_a_lead_too() -> None:
    firm = msgspec.structs.replace(plan(), operations=tuple(_firm(op) for op in plan().operations))
    shop = Shop(firm)
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    wanted = Disposed("size", "1I", "clearance", Disposition.CONCESSION, "it will do")
    assert "nobody concedes it" in str(shop.refused(wanted, LEAD))


def test_a_job_number_is_fit_for_file_names_and_commands() -> None:
    answer = decide(begin(plan()), Opened("../x", "sha"), "", "bench")
    assert isinstance(answer, Refused)
    assert str(answer).endswith("Nearest: x.")
    assert isinstance(decide(begin(plan()), Opened("1001-a", "sha"), "", "bench"), tuple)


def test_a_stopped_head_is_not_stopped_twice() -> None:
    shop = Shop()
    shop.do(Stopped("head:A", "dropped"))
    assert "it is stopped already" in str(shop.refused(Stopped("1I", "again")))


def test_a_step_that_has_to_last_is_begun_and_then_ticked() -> None:
    shop = Shop()
    shop.word("receive", "head:A", "cracked", "no")
    shop.do(StepBegun("soak", "head:A", "wait"))
    assert shop.state.begun == {("soak", "head:A", "wait"): "t"}
    shop.tick("soak", "head:A", "wait")
    assert shop.state.begun == {}
