"""A figure struck in work that is done is read again, and nothing is done again for it."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from headwright.job.agenda import Now, next_up
from headwright.job.events import Disposed, Disposition, OperationClosed, ReadingStruck, ReadingTaken
from headwright.job.evolve import provisional
from headwright.procedure.plan import Step, Tick
from tests.job.small import MACHINIST, OPERATIONS, Shop, plan, taken

USED_UP = ("size", "1I")


@pytest.fixture
def sized() -> Shop:
    """Both bores sized to their limits."""
    shop = Shop()
    shop.to_size()
    for place in ("1I", "1E"):
        shop.inch("size", place, "finished_id", 0.3133, 0.3132)
    return shop


def strike(shop: Shop, operation: str, place: str, reading: str, station: str = "") -> None:
    taken = shop.state.attempt(operation, place).readings[reading, station, None]
    shop.do(ReadingStruck(taken.number, "typed wrong"))


def due(shop: Shop, place: str) -> set[str]:
    return {op.id for op in shop.state.plan.operations if shop.state.is_due(op, place)}


def test_what_the_work_used_up_is_not_wanted_to_read_what_came_of_it(sized: Shop) -> None:
    """Sizing needs oil and uses it up: the bore is read again, and not oiled."""
    before = sized.state.held["1I"]
    strike(sized, "size", "1I", "finished_id", "top")
    found = next_up(sized.state, MACHINIST)
    assert (found.now, found.operation, found.place, found.point) == (
        Now.READING,
        *USED_UP,
        ("finished_id", "top", None),
    )
    assert "oil" not in due(sized, "1I")
    answer = sized.do(taken("size", "1I", "finished_id", 0.3133, "top"))
    assert answer[1:] == (OperationClosed(*USED_UP),)
    assert sized.state.held["1I"] == before
    assert due(sized, "1I") == {"wash", "verify", "sign"}


def test_after_the_wash_too(sized: Shop) -> None:
    for place in ("1I", "1E"):
        sized.tick("wash", place, "wash")
    before = sized.state.held["1I"]
    strike(sized, "size", "1I", "finished_id", "top")
    assert {"oil", "wash"}.isdisjoint(due(sized, "1I"))
    sized.do(taken("size", "1I", "finished_id", 0.3132, "top"))
    assert sized.state.held["1I"] == before


def test_a_state_that_the_work_leaves_is_wanted_as_ever(sized: Shop) -> None:
    """A stem is measured at one temperature, and hot water took that away."""
    sized.tick("wash", "1I", "wash")
    strike(sized, "survey", "1I", "stem")
    survey = sized.state.index.operations["survey"]
    assert sized.state.missing_needs(survey, "1I") == {"soaked": ("1I",)}
    assert "soak" in due(sized, "1I")


def test_a_figure_out_of_its_limits_wants_all_of_the_work_again(sized: Shop) -> None:
    strike(sized, "size", "1I", "finished_id", "top")
    sized.do(taken("size", "1I", "finished_id", 0.3123, "top"))
    sized.do(Disposed("size", "1I", "clearance", Disposition.REWORK, "undersize", redo="size"))
    assert sized.state.missing_needs(sized.state.index.operations["size"], "1I") == {"oiled": ("1I",)}
    assert next_up(sized.state, MACHINIST).operation == "oil"
    assert sized.state.is_done(sized.state.index.operations["size"], "1E")


def test_work_that_is_undone_after_the_strike_is_done_again_with_all_that_it_needs(sized: Shop) -> None:
    """The liner comes out, so a new one is sized, and never dry."""
    strike(sized, "size", "1I", "finished_id", "top")
    sized.do(taken("size", "1I", "finished_id", 0.3139, "top"))
    sized.do(Disposed("size", "1I", "clearance", Disposition.REWORK, "oversize", redo="install"))
    assert sized.state.reread_at("1I") == frozenset()
    assert not sized.state.attempt(*USED_UP).readings
    sized.tick("install", "1I", "drive")
    assert sized.state.index.rules.missing(
        sized.state.index.operations["size"], frozenset({"lined"}), sized.state.reread_at("1I")
    ) == ("oiled",)


def test_work_that_other_work_undoes_after_the_strike_is_done_again(sized: Shop) -> None:
    """A wash is called for again while a verified guide is only to be read again: that spoils what was verified."""
    sized.finish("1I")
    strike(sized, "verify", "1I", "drops")
    assert sized.state.reread_at("1I") == {"verify"}
    wash = sized.state.index.operations["wash"]
    spoils = replace(wash, breaks=("verified",))
    assert sized.state.index.rules.still_reread(sized.state.reread_at("1I"), spoils.breaks) == frozenset()
    assert sized.state.index.rules.still_reread(sized.state.reread_at("1I"), wash.breaks) == {"verify"}


def test_work_lost_before_the_strike_is_not_only_read_again(sized: Shop) -> None:
    """A hole bored again has no sized liner in it, though what was read of the old one still stands."""
    bored = provisional(sized.state, OperationClosed("bore", "1I"), MACHINIST, "bench")
    assert "sized" not in bored.held["1I"]
    assert bored.attempt(*USED_UP).closed
    number = bored.attempt(*USED_UP).readings["finished_id", "top", None].number
    after = provisional(bored, ReadingStruck(number, "typed wrong"), MACHINIST, "bench")
    assert after.reread_at("1I") == frozenset()
    assert "oiled" in after.missing_needs(after.index.operations["size"], "1I")


def test_a_wide_operation_is_read_again_at_each_position_inside() -> None:
    """A step more in the work of a whole head changes nothing: what is ticked stays ticked."""
    operations = tuple(
        replace(op, steps=(Step("look", "Look all over.", tick=Tick.ONCE),), needs=("dry",), breaks=("dry",))
        if op.id == "receive"
        else op
        for op in OPERATIONS
    )
    shop = Shop(replace(plan(), operations=operations))
    shop.tick("receive", "head:A", "look")
    shop.word("receive", "head:A", "cracked", "no")
    assert "dry" not in shop.state.held["1E"]
    strike(shop, "receive", "head:A", "cracked")
    assert shop.state.reread == {"1E": frozenset({"receive"}), "1I": frozenset({"receive"})}
    answer = shop.do(ReadingTaken("receive", "head:A", "cracked", "no", word="no"))
    assert answer[1:] == (OperationClosed("receive", "head:A"),)
    assert "dry" not in shop.state.held["1E"]
