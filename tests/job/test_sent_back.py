"""A reading that is struck sends its place back: to what is to be done again there, and to nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.data import shipped
from headwright.job.events import ReadingStruck
from headwright.job.evolve import fold, provisional
from headwright.job.sent_back import SentBack, sent_back
from headwright.job.state import begin
from headwright.store.record import read_record
from tests.job.small import OPERATIONS, Shop, plan, taken

if TYPE_CHECKING:
    from headwright.job.state import At, State


def struck(shop: Shop, at: At, station: str = "") -> SentBack:
    """Strike the reading at a place, and give where that sends it."""
    before = shop.state
    reading = next(t for key, t in before.attempt(*at).readings.items() if key[1] == station)
    shop.do(ReadingStruck(reading.number, "typed wrong"))
    return sent_back(before, shop.state, at)


def test_a_struck_reading_opens_its_own_operation_and_what_rests_on_it() -> None:
    """The clearance of 1I rests on its stem; at 1E nothing was struck."""
    shop = Shop()
    shop.to_size()
    for place in ("1I", "1E"):
        shop.inch("size", place, "finished_id", 0.3133, 0.3132)
    assert struck(shop, ("survey", "1I")) == SentBack(here=True, later=("size",))
    assert shop.state.is_done(shop.state.index.operations["size"], "1E")


def test_where_what_the_operation_needs_has_passed_the_work_goes_back_to_what_makes_it() -> None:
    """After the wash the liner is dry, and here it is measured in oil."""
    size = next(op for op in OPERATIONS if op.id == "size")
    in_oil = replace(size, breaks=tuple(name for name in size.breaks if name != "oiled"))
    shop = Shop(replace(plan(), operations=tuple(in_oil if op is size else op for op in OPERATIONS)))
    shop.to_size()
    for place in ("1I", "1E"):
        shop.inch("size", place, "finished_id", 0.3133, 0.3132)
        shop.tick("wash", place, "wash")
    assert struck(shop, ("size", "1I"), "top") == SentBack(earlier=("oil",), here=True, wants=("oiled",))


def test_what_the_work_used_up_is_no_way_back() -> None:
    """Sizing uses the oil up: its bore is read again as it is."""
    shop = Shop()
    shop.to_size()
    for place in ("1I", "1E"):
        shop.inch("size", place, "finished_id", 0.3133, 0.3132)
        shop.tick("wash", place, "wash")
    assert struck(shop, ("size", "1I"), "top") == SentBack(here=True)


def test_where_an_operation_was_open_before_nothing_goes_back() -> None:
    shop = Shop()
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3133, "top"))
    assert struck(shop, ("size", "1I"), "top") == SentBack()


def test_another_head_goes_back_nowhere() -> None:
    shop = Shop(plan(heads=("L", "R")))
    shop.to_survey()
    for place in ("L1I", "R1I"):
        shop.inch("survey", place, "stem", 0.3118)
    before = shop.state
    assert struck(shop, ("survey", "L1I")).here
    assert sent_back(before, shop.state, ("survey", "R1I")) == SentBack()


def test_it_is_what_a_walk_over_all_operations_finds_wherever_a_reading_of_the_sample_job_is_struck() -> None:
    record = read_record(shipped("sample_jobs") / "1001.toml")
    state = fold(begin(record.plan), record.entries)
    found = set()
    for number, (at, _) in state.where.items():
        after = provisional(state, ReadingStruck(number, "typed wrong"), "", "")
        back = sent_back(state, after, at)
        again = {*back.earlier, *back.later, *([at[0]] if back.here else [])}
        assert again == _due_around(after, at[1]) - _due_around(state, at[1])
        found |= again
    assert len(found) > 1


def _due_around(state: State, place: str) -> set[str]:
    return {
        operation.id
        for operation in state.plan.operations
        if any(state.is_due(operation, each) for each in state.index.around(place, operation.per))
    }
