"""A job gone through entry by entry tells every hold with how it cleared."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.job.events import Disposed, Disposition, Entry, ReadingStruck, StepTicked
from headwright.job.holds import holds
from headwright.job.state import begin
from headwright.sheet.history import History, history, walked
from headwright.sheet.words import how_cleared
from headwright.store import open_store
from headwright.store.record import read_record
from tests.at_desk import DeskShop
from tests.job.small import LEAD, plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.frozen_clock import FrozenClock


@pytest.fixture
def shop(clock: FrozenClock) -> Iterator[DeskShop]:
    store = open_store()
    yield DeskShop(store, clock)
    store.close()


def _told(shop: DeskShop) -> History:
    return history(shop.state.plan, shop.entries)


def test_the_history_ends_in_the_state_of_the_job(shop: DeskShop) -> None:
    shop.to_hold()
    told = _told(shop)
    assert replace(told.state, index=shop.state.index) == shop.state


def test_a_hold_stands_until_it_is_decided(shop: DeskShop) -> None:
    shop.to_hold()
    (held,) = _told(shop).holds
    assert (held.hold.place, held.hold.figure.item, held.hold.attempt, held.cleared) == ("1I", "clearance", 1, None)
    assert held.since == shop.entries[-1]
    shop.out_of_hold()
    (held,) = _told(shop).holds
    assert held.cleared == shop.entries[-1]
    assert how_cleared(shop.entries[-1], shop.state.index) == "by rework from 'Size': next ball"


def test_each_attempt_that_fails_is_a_hold_of_its_own(shop: DeskShop) -> None:
    shop.to_hold()
    shop.out_of_hold()
    shop.inch("size", "1I", "finished_id", 0.3124, 0.3124)
    shop.do(Disposed("size", "1I", "clearance", Disposition.CONCESSION, "race", agreed="Heron"), LEAD)
    first, second = _told(shop).holds
    assert [first.hold.attempt, second.hold.attempt] == [1, 2]
    assert second.cleared is not None
    assert how_cleared(second.cleared, shop.state.index) == "by concession, agreed by Heron: race"


def test_a_strike_can_clear_a_hold(shop: DeskShop) -> None:
    shop.to_hold()
    number = shop.entries[-1].number
    shop.do(ReadingStruck(number, "dirt in the bore"))
    (held,) = _told(shop).holds
    assert held.cleared is not None
    assert how_cleared(held.cleared, shop.state.index) == f"by striking the reading of event {number}: dirt in the bore"
    assert _told(shop).strike(number) == shop.entries[-1]


def test_a_rework_on_another_path_names_the_repair(shop: DeskShop) -> None:
    shop.to_bore()
    shop.inch("bore", "1I", "bored_id", 0.3445, 0.3445)
    shop.do(Disposed("bore", "1I", "bored_id", Disposition.REWORK, "bored over", redo="bore", repair="next-liner"))
    (held,) = _told(shop).holds
    assert held.cleared is not None
    words = how_cleared(held.cleared, shop.state.index)
    assert words == "by rework from 'Bore', repair now 'Next liner': bored over"


def test_an_attempt_set_aside_keeps_the_figures_that_it_had(shop: DeskShop) -> None:
    shop.to_hold()
    before = shop.state
    shop.out_of_hold()
    (figure,) = _told(shop).figures["size", "1I", 1]
    (hold,) = holds(before)
    assert figure == hold.figure


def test_in_the_sample_job_every_hold_is_told_when_it_comes_and_when_it_goes() -> None:
    record = read_record(shipped("sample_jobs") / "1001.toml")
    standing = 0
    for passed in walked(record.plan, record.entries):
        standing += len(passed.came) - len(passed.cleared)
        assert standing == len(holds(passed.state))
    assert standing == 0


def test_a_tick_that_an_attempt_took_over_is_found_in_the_one_before() -> None:
    first = Entry(1, "t", "07", "bench", StepTicked("size", "1I", "oil"), "")
    later = Entry(9, "t", "02", "bench", StepTicked("size", "1I", "oil"), "")
    told = History(begin(plan()), (), (), {}, {("size", "1I", "oil"): [(1, first), (3, later)]})
    assert [told.tick("size", "1I", "oil", attempt).number for attempt in (1, 2, 3, 4)] == [1, 1, 9, 9]
