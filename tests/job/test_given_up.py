"""A head that was given up: what was done on it stays done, and what was not is neither done nor due."""

from __future__ import annotations

import pytest

from headwright.job.events import Disposed, Disposition
from headwright.job.holds import hold_at, holds, is_held
from headwright.job.progress import standings
from headwright.job.summary import summary
from tests.job.small import LEAD, Shop, plan

LOW = (0.3125, 0.3124)
IN = (0.3133, 0.3132)


def scrap(place: str) -> Disposed:
    return Disposed("size", place, "clearance", Disposition.SCRAP, "cracked")


@pytest.fixture
def shop() -> Shop:
    """Give a head with one liner sized and the other held, given up."""
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1E", "finished_id", *IN)
    shop.inch("size", "1I", "finished_id", *LOW)
    before = summary(shop.state)
    assert (before.status, before.held, before.given_up) == ("held", 1, 0)
    shop.do(scrap("1I"), LEAD)
    return shop


def test_what_nobody_did_is_given_up_and_not_done(shop: Shop) -> None:
    found = {s.operation: (s.applies, s.done, s.due, s.given_up) for s in standings(shop.state)}
    assert found["bore"] == (2, 2, 0, 0)
    assert found["size"] == (2, 1, 0, 1)
    assert found["verify"] == (2, 0, 0, 2)
    assert found["sign"] == (1, 0, 0, 1)
    size = shop.state.index.operations["size"]
    assert shop.state.is_given_up(size, "1I")
    assert not shop.state.is_given_up(size, "1E")


def test_the_total_is_what_it_was_before() -> None:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", *LOW)
    before = summary(shop.state)
    shop.do(scrap("1I"), LEAD)
    after = summary(shop.state)
    assert (after.status, after.done, after.due) == ("scrapped", before.done, before.due)
    assert after.given_up == before.due - before.done > 0
    assert after.left == ()


def test_nothing_is_held_on_a_head_that_was_given_up(shop: Shop) -> None:
    """Nobody can decide anything there any more, so nothing waits for a decision."""
    assert holds(shop.state) == ()
    assert hold_at(shop.state, ("size", "1I")) is None
    assert not is_held(shop.state, shop.state.index.operations["size"], "1I")


def test_the_other_head_of_a_job_is_due_as_before() -> None:
    shop = Shop(plan(heads=("L", "R")))
    before = {s.operation: s.due for s in standings(shop.state)}
    shop.do(Disposed("receive", "head:L", "cracked", Disposition.SCRAP, "cracked"), LEAD)
    for standing in standings(shop.state):
        assert (standing.due, standing.given_up) == (before[standing.operation] / 2,) * 2
