"""Cautions bind whoever does the work: a lead who comes to decide is not asked for those of work that others do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.job.agenda import Now, next_up
from headwright.job.blocks import BlockKind
from headwright.job.events import CautionAcknowledged, Disposed, Disposition, Resumed, Stopped, ToolChosen
from headwright.procedure.plan import Caution
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop, plan, taken

if TYPE_CHECKING:
    from headwright.job.events import Event

CONCEDED = Disposed("size", "1I", "clearance", Disposition.CONCESSION, "agreed with the customer", signed=True)
HEADS = plan(heads=("L", "R"))


def held() -> Shop:
    """Give a shop with 1I held in its sizing, and 1E still to size."""
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    return shop


def test_a_lead_who_comes_on_is_asked_for_the_hold_and_may_concede_it_with_no_caution_read() -> None:
    shop = held()
    for at in (None, ("size", "1I"), ("size", "1E")):
        asked = next_up(shop.state, LEAD, at)
        assert (asked.now, asked.operation, asked.place) == (Now.HOLD, "size", "1I")
    shop.do(CONCEDED, LEAD)
    assert shop.state.is_done(shop.state.index.operations["size"], "1I")


def test_once_nothing_waits_for_a_lead_the_caution_comes_before_the_work_as_for_anybody() -> None:
    shop = held()
    shop.do(CONCEDED, LEAD)
    assert next_up(shop.state, LEAD).now is Now.CAUTION
    refusal = shop.refused(taken("size", "1E", "finished_id", 0.3133, "top"), LEAD)
    assert [block.kind for block in refusal.blocks] == [BlockKind.CAUTION]


@pytest.mark.parametrize("operator", [TRAINEE, MACHINIST])
def test_who_comes_to_work_reads_the_caution_first_whatever_is_held(operator: str) -> None:
    shop = held()
    if operator == MACHINIST:
        assert next_up(shop.state, operator).now is Now.READING, "he has read it"
        shop.state.acknowledged.clear()
    assert next_up(shop.state, operator).now is Now.CAUTION


def test_a_lead_who_works_is_sent_to_a_hold_no_more_than_others_are() -> None:
    """From the first caution on: the second follows it, and then the work."""
    known = plan()
    both = ("carbide", "dust")
    operations = tuple(replace(o, cautions=both) if o.id == "size" else o for o in known.operations)
    dust = Caution("dust", "Dust", "It is breathed in.", "A mask.", "The machine's manual.")
    shop = Shop(replace(known, operations=operations, cautions=(*known.cautions, dust)))
    shop.to_bore()
    shop.acknowledge("dust")
    for place in ("1I", "1E"):
        shop.inch("bore", place, "bored_id", 0.3424, 0.3424)
        shop.tick("install", place, "drive")
        shop.tick("oil", place, "oil")
    shop.tick("size", "head:A", "tray")
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    assert next_up(shop.state, LEAD, ("size", "1E")).now is Now.HOLD
    shop.do(CautionAcknowledged("carbide"), LEAD)
    asked = next_up(shop.state, LEAD, ("size", "1E"))
    assert (asked.now, asked.subject) == (Now.CAUTION, "dust")
    shop.do(CautionAcknowledged("dust"), LEAD)
    asked = next_up(shop.state, LEAD)
    assert (asked.now, asked.place) == (Now.READING, "1E")


def test_a_stopped_head_is_asked_about_before_the_cautions_of_the_other() -> None:
    shop = Shop(HEADS)
    shop.to_bore()
    shop.do(Stopped("head:L", "dropped"))
    asked = next_up(shop.state, LEAD)
    assert (asked.now, asked.place) == (Now.STOP, "head:L")
    shop.do(Resumed("head:L", "looked at it", signed=True), LEAD)
    assert next_up(shop.state, LEAD).now is Now.CAUTION


def test_what_is_held_on_a_stopped_head_waits_until_that_goes_on() -> None:
    shop = Shop(HEADS)
    shop.to_bore()
    shop.inch("bore", "L1I", "bored_id", 0.3405, 0.3405)
    assert next_up(shop.state, LEAD).now is Now.HOLD
    shop.do(Stopped("head:L", "dropped"))
    assert next_up(shop.state, LEAD).now is Now.STOP


def test_a_first_piece_is_looked_at_with_no_caution_read() -> None:
    """By a lead or a machinist, who need not go on with the work; nothing else can be done until then."""
    operations = tuple(replace(o, tool="cutter") if o.id == "bore" else o for o in HEADS.operations)
    shop = Shop(replace(HEADS, operations=operations))
    shop.to_bore()
    wanted: tuple[Event, ...] = (
        CautionAcknowledged("carbide"),
        ToolChosen("bore", "L1I", "cutter", "K-1"),
        *(taken("bore", "L1I", "bored_id", 0.3424, station) for station in ("top", "bottom")),
    )
    for event in wanted:
        shop.do(event, TRAINEE)
    asked = next_up(shop.state, LEAD)
    assert (asked.now, asked.place) == (Now.FIRST, "L1I")
