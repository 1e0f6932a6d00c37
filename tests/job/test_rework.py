"""Going back: what a rework takes away, what stays, and what is kept on record."""

from __future__ import annotations

from msgspec.structs import replace

from headwright.job.agenda import Now, next_up
from headwright.job.blocks import BlockKind
from headwright.job.events import Disposed, Disposition, ReadingStruck
from headwright.job.holds import hold_at, holds
from headwright.job.verdict import Verdict
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop, taken


def _held_low() -> Shop:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    return shop


def _rework(
    redo: str, *, operation: str = "size", item: str = "clearance", repair: str = "", place: str = "1I"
) -> Disposed:
    return Disposed(operation, place, item, Disposition.REWORK, "as said", redo=redo, repair=repair)


def test_an_undersize_liner_is_held_with_its_ways_out() -> None:
    shop = _held_low()
    (hold,) = holds(shop.state)
    assert (hold.operation, hold.place, hold.figure.verdict) == ("size", "1I", Verdict.LOW)
    assert abs(hold.figure.out / 25.4 - 0.0004) < 1e-9
    first = hold.ways[0]
    assert (first.disposition, first.redo, first.advise) == (Disposition.REWORK, "size", "ball")
    assert [w.disposition for w in hold.ways] == ["rework", "remeasure", "concession", "scrap"]


def test_a_rework_sends_back_one_position_and_keeps_what_was_read() -> None:
    shop = _held_low()
    shop.inch("size", "1E", "finished_id", 0.3133, 0.3132)
    shop.do(_rework("size"))
    attempt = shop.state.attempt("size", "1I")
    assert (attempt.number, attempt.readings) == (2, {})
    (old,) = shop.state.past["size", "1I"]
    assert len(old.readings) == 2
    assert shop.state.is_done(shop.state.index.operations["size"], "1E")
    now = next_up(shop.state, MACHINIST)
    assert (now.now, now.operation, now.place) == (Now.READING, "size", "1I")
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    assert holds(shop.state) == ()
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_a_rework_says_beforehand_exactly_what_it_then_undoes() -> None:
    shop = _held_low()
    shop.do(_rework("size"))
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    shop.inch("size", "1E", "finished_id", 0.3133, 0.3132)
    shop.tick("wash", "1I", "wash")
    shop.tick("wash", "1E", "wash")
    shop.tick("soak", "head:A", "wait")
    shop.word("verify", "1I", "drops", "no")
    (hold,) = holds(shop.state)
    assert hold.ways[0].undoes == {"size": ("1I",), "wash": ("1I",)}
    done = {(op.id, p) for op in shop.state.plan.operations for p in ("1I", "1E") if shop.state.is_done(op, p)}
    shop.do(_rework("size", operation="verify", item="drops"))
    after = {(op.id, p) for op in shop.state.plan.operations for p in ("1I", "1E") if shop.state.is_done(op, p)}
    assert done - after == {("size", "1I"), ("wash", "1I")}


def test_a_state_that_a_rework_wants_again_is_called_for_where_it_is_made() -> None:
    """After washing, the liner is dry; sizing it again wants oil, so oiling is opened again, at that place alone."""
    shop = _held_low()
    shop.do(_rework("size"))
    for place in ("1I", "1E"):
        shop.inch("size", place, "finished_id", 0.3133, 0.3132)
        shop.tick("wash", place, "wash")
    shop.tick("soak", "head:A", "wait")
    shop.word("verify", "1I", "drops", "no")
    shop.do(_rework("size", operation="verify", item="drops"))
    refusal = shop.refused(taken("size", "1I", "finished_id", 0.3133, "top"))
    assert [(b.kind, b.subject) for b in refusal.blocks] == [(BlockKind.NEED, "oiled")]
    now = next_up(shop.state, MACHINIST)
    assert (now.operation, now.place) == ("oil", "1I")
    assert not shop.state.is_due(shop.state.index.operations["oil"], "1E")
    shop.tick("oil", "1I", "oil")
    assert shop.state.attempt("oil", "1I").number == 2
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)


def test_a_hole_bored_over_goes_to_the_next_liner_and_its_limits() -> None:
    shop = Shop()
    shop.to_bore()
    shop.inch("bore", "1E", "bored_id", 0.3445, 0.3441)
    hold = hold_at(shop.state, ("bore", "1E"))
    assert hold is not None
    assert hold.ways[0].repair == "next-liner"
    shop.do(_rework("bore", operation="bore", item="bored_id", repair="next-liner", place="1E"))
    assert shop.state.repair_at("1E") == "next-liner"
    shop.inch("bore", "1E", "bored_id", 0.3472, 0.3471)
    assert shop.state.is_done(shop.state.index.operations["bore"], "1E")
    assert shop.state.repair_at("1I") == "liner"


def test_measuring_again_keeps_the_work_and_sets_the_readings_aside() -> None:
    shop = _held_low()
    shop.do(Disposed("size", "1I", "clearance", Disposition.REMEASURE, "chip on the gauge"))
    attempt = shop.state.attempt("size", "1I")
    assert (attempt.number, attempt.readings) == (2, {})
    assert shop.state.past["size", "1I"][0].ended == "chip on the gauge"


def test_a_concession_wants_a_lead_and_a_reason_and_lets_it_stand() -> None:
    shop = _held_low()
    wanted = Disposed("size", "1I", "clearance", Disposition.CONCESSION, "", agreed=LEAD)
    refusal = shop.refused(wanted)
    assert [b.kind for b in refusal.blocks] == [BlockKind.PERSON, BlockKind.ENTRY]
    shop.do(Disposed("size", "1I", "clearance", Disposition.CONCESSION, "customer runs it cold", agreed=LEAD), LEAD)
    assert holds(shop.state) == ()
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_a_trainee_does_not_clear_a_hold() -> None:
    shop = _held_low()
    assert [b.kind for b in shop.refused(_rework("size"), TRAINEE).blocks] == [BlockKind.PERSON]


def test_only_a_lead_may_send_a_position_further_back_than_the_procedure_says() -> None:
    shop = _held_low()
    assert [b.kind for b in shop.refused(_rework("bore")).blocks] == [BlockKind.PERSON]
    shop.do(_rework("bore"), LEAD)
    assert not shop.state.is_done(shop.state.index.operations["bore"], "1I")
    assert "comes later" not in str(shop.state.disposed)


def test_a_later_operation_is_no_way_back() -> None:
    shop = _held_low()
    assert "'Verify' comes later in the route." in str(shop.refused(_rework("verify"), LEAD))


def test_a_struck_reading_stays_on_record_and_counts_for_nothing() -> None:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    number = shop.state.attempt("size", "1I").readings["finished_id", "bottom", None].number
    shop.do(ReadingStruck(number, "read the wrong valve"))
    attempt = shop.state.attempt("size", "1I")
    assert not shop.state.is_done(shop.state.index.operations["size"], "1I")
    assert [t.number for t, reason in attempt.struck] == [number]
    assert "struck already" in str(shop.refused(ReadingStruck(number, "again")))
    shop.do(taken("size", "1I", "finished_id", 0.3132, "bottom"))
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_striking_a_stem_takes_back_what_rests_on_it_and_retaking_it_brings_it_again() -> None:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    shop.tick("wash", "1I", "wash")
    number = shop.state.attempt("survey", "1I").readings["stem", "", None].number
    shop.do(ReadingStruck(number, "misread"))
    done = {op.id for op in shop.state.plan.operations if shop.state.is_done(op, "1I")}
    assert not {"survey", "size"} & done
    assert {"bore", "install", "wash"} <= done
    assert len(shop.state.attempt("size", "1I").readings) == 2
    shop.tick("soak", "head:A", "wait")
    answer = shop.do(taken("survey", "1I", "stem", 0.3117))
    assert [type(e).__name__ for e in answer] == ["ReadingTaken", "OperationClosed", "OperationClosed"]
    assert {"bore", "install", "size", "wash"} <= {
        op.id for op in shop.state.plan.operations if shop.state.is_done(op, "1I")
    }


def test_a_point_keyed_again_strikes_the_figure_before() -> None:
    shop = Shop()
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3153, "top"))
    number = shop.state.attempt("size", "1I").readings["finished_id", "top", None].number
    answer = shop.do(replace(taken("size", "1I", "finished_id", 0.3133, "top"), over=number))
    assert isinstance(answer[0], ReadingStruck)
    assert answer[0].reason == "keyed again"
    assert len(shop.state.attempt("size", "1I").struck) == 1


def test_a_figure_for_a_point_that_was_filled_meanwhile_is_refused_with_what_stands_there() -> None:
    """Nobody strikes a reading that they have not seen."""
    shop = Shop()
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3153, "top"))
    (block,) = shop.refused(taken("size", "1I", "finished_id", 0.3133, "top"), LEAD).blocks[-1:]
    assert block.kind is BlockKind.CAUTION
    shop.acknowledge(operator=LEAD)
    (block,) = shop.refused(taken("size", "1I", "finished_id", 0.3133, "top"), LEAD).blocks
    assert (block.kind, block.why) == (BlockKind.CLASH, "07 has read 0.3153 in at this point.")
    shop.do(replace(taken("size", "1I", "finished_id", 0.3133, "top"), over=int(block.subject)), LEAD)


def test_a_way_that_is_not_on_the_path_of_the_position_is_not_offered() -> None:
    """A kept guide has no liner to size again."""
    shop = Shop()
    shop.to_bore("reuse", "liner")
    shop.word("verify", "1I", "drops", "no")
    (hold,) = holds(shop.state)
    assert [w.redo for w in hold.ways if w.disposition is Disposition.REWORK] == ["decide"]
    assert [b.kind for b in shop.refused(_rework("size", operation="verify", item="drops")).blocks] == [
        BlockKind.PERSON
    ]


def test_what_restores_a_state_is_called_after_what_spoils_it() -> None:
    """Washing warms the head: where both are wanted again, wash comes before soak, whatever the route says."""
    rules = Shop().state.index.rules
    works = frozenset(c for op in rules.operations for c in rules.work(op)) - {"verified", "signed"}
    called = rules.called_for(works, "liner")
    assert [op.id for op in called] == ["wash", "soak"]
