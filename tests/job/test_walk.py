"""One head from receiving to release, by the rules of the job alone."""

from __future__ import annotations

import pytest

from headwright.job.agenda import Now, next_up
from headwright.job.blocks import BlockKind, release_blocks
from headwright.job.events import Released, Reopened
from headwright.job.progress import standings
from headwright.job.summary import summary
from tests.job.small import LEAD, MACHINIST, Shop, plan, taken


def test_a_head_goes_from_receiving_to_release() -> None:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    shop.inch("size", "1E", "finished_id", 0.3133, 0.3132)
    shop.finish("1I", "1E")
    shop.tick("sign", "head:A", "check", LEAD)
    assert release_blocks(shop.state) == ()
    assert next_up(shop.state, LEAD).now is Now.RELEASE
    shop.do(Released(), LEAD)
    assert summary(shop.state).status == "released"
    assert next_up(shop.state, MACHINIST).now is Now.RELEASED


def test_nothing_goes_into_a_released_job_until_a_lead_reopens_it() -> None:
    shop = Shop()
    shop.to_bore("reuse", "reuse")
    for place in ("1I", "1E"):
        shop.word("verify", place, "drops", "yes")
    shop.tick("sign", "head:A", "check", LEAD)
    shop.do(Released(), LEAD)
    refusal = shop.refused(taken("bore", "1I", "bored_id", 0.3424, "top"))
    assert BlockKind.RELEASED in {b.kind for b in refusal.blocks}
    assert str(shop.refused(Reopened("smokes"))) == (
        "Reopen: this is for a lead; Mara (07) is at the bench as machinist. A lead comes on at the bench."
    )
    shop.do(Reopened("smokes"), LEAD)
    assert not shop.state.released


def test_work_comes_kind_by_kind_then_front_to_rear() -> None:
    shop = Shop(plan(heads=("L", "R")))
    size = shop.state.index.operations["size"]
    assert shop.state.index.places_of(size) == ("L1I", "R1I", "L1E", "R1E")
    install = shop.state.index.operations["install"]
    assert shop.state.index.places_of(install) == ("L1E", "L1I", "R1E", "R1I")


def test_the_next_thing_is_named_from_an_empty_bench_on() -> None:
    shop = Shop()
    assert next_up(shop.state, "99").now is Now.COME_ON
    first = next_up(shop.state, MACHINIST)
    assert (first.now, first.operation, first.place, first.subject) == (Now.READING, "receive", "head:A", "cracked")
    shop.to_survey()
    following = next_up(shop.state, MACHINIST)
    assert (following.operation, following.place) == ("survey", "1I")
    shop.inch("survey", "1I", "stem", 0.3118)
    assert next_up(shop.state, MACHINIST).place == "1E"


def test_what_a_lead_must_decide_is_said_to_a_machinist() -> None:
    shop = Shop()
    shop.to_survey()
    for place in ("1I", "1E"):
        shop.inch("survey", place, "stem", 0.3118)
    waiting = next_up(shop.state, MACHINIST)
    assert waiting.now is Now.LOCKED
    assert "this is for a lead" in waiting.say


def test_an_operation_is_not_in_the_way_of_a_position_on_another_path() -> None:
    shop = Shop()
    shop.to_bore("reuse", "liner")
    bore = next(s for s in standings(shop.state) if s.operation == "bore")
    assert (bore.applies, bore.due) == (1, 1)
    refusal = shop.refused(taken("bore", "1I", "bored_id", 0.3424, "top"))
    assert [b.kind for b in refusal.blocks if b.kind is BlockKind.PATH] == [BlockKind.PATH]
    shop.word("verify", "1I", "drops", "yes")
    assert shop.state.is_done(shop.state.index.operations["verify"], "1I")


@pytest.mark.parametrize("number_of_heads", [1, 2])
def test_a_wide_need_asks_every_place_inside(number_of_heads: int) -> None:
    heads = ("L", "R")[:number_of_heads]
    shop = Shop(plan(heads=heads))
    shop.to_bore(*["reuse"] * 4)
    sign = shop.state.index.operations["sign"]
    verify = shop.state.index.places_of(shop.state.index.operations["verify"])
    for place in verify[:-1]:
        shop.word("verify", place, "drops", "yes")
    assert shop.state.missing_needs(sign, shop.state.index.heads[-1].id) == {"verified": (verify[-1],)}
    shop.word("verify", verify[-1], "drops", "yes")
    assert shop.state.missing_needs(sign, shop.state.index.heads[-1].id) == {}


def test_a_lead_is_waited_for_before_later_operations_begin() -> None:
    """One operation for all positions before the next: a decided position does not run ahead of the others."""
    shop = Shop()
    shop.to_survey()
    for place in ("1I", "1E"):
        shop.inch("survey", place, "stem", 0.3118)
    shop.word("decide", "1E", "repair", "liner", LEAD)
    shop.acknowledge()
    waiting = next_up(shop.state, MACHINIST)
    assert (waiting.now, waiting.operation, waiting.place) == (Now.LOCKED, "decide", "1I")
    assert next_up(shop.state, LEAD).operation == "decide"
