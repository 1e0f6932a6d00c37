"""What work takes in the shop: what counts as time at the bench, and how far it moves the plan's minutes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from headwright.data import shipped
from headwright.job.events import CameOn, Entry, Event, Opened, OperationClosed, ReadingTaken, StepTicked
from headwright.job.evolve import fold
from headwright.job.pace import FARTHEST, WEIGHT, Took, learned, minutes_left, ratio, time_words
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.procedure.plan import Role, plan_sha256
from headwright.store.record import read_record
from headwright.store.replay import folded
from tests.job.small import MACHINIST, plan, taken

if TYPE_CHECKING:
    from headwright.job.state import State

MINUTES = {"receive": 10.0, "soak": 60.0, "survey": 2.0}


def worked(*steps: tuple[float, Event], terminal: str = "bench 1") -> State:
    """Give a job after events, each so many minutes after the one before."""
    small = plan()
    small = replace(
        small, operations=tuple(replace(each, minutes=MINUTES.get(each.id, 0.0)) for each in small.operations)
    )
    now = datetime(2025, 3, 4, 8, 0, tzinfo=UTC)
    numbers, entries = count(1), []
    first: list[tuple[float, Event]] = [
        (0.0, Opened("1", plan_sha256(small))),
        (0.0, CameOn(MACHINIST, "Mara", Role.MACHINIST)),
    ]
    for minutes, event in (*first, *steps):
        now += timedelta(minutes=minutes)
        time = now.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
        entries.append(Entry(next(numbers), time, MACHINIST, terminal, event, ""))
    return fold(begin(small), entries)


def cracked(minutes: float) -> tuple[float, Event]:
    return minutes, ReadingTaken("receive", "head:A", "cracked", "no", word="no")


def test_an_operation_takes_from_the_closing_before_it_to_its_own() -> None:
    state = worked(
        cracked(7),
        (1, OperationClosed("receive", "head:A")),
        (50, StepTicked("soak", "head:A", "wait")),
        (0, OperationClosed("soak", "head:A")),
        (3, taken("survey", "1I", "stem", 0.3115)),
        (0, OperationClosed("survey", "1I")),
        (1, taken("survey", "1E", "stem", 0.3115)),
        (0.5, OperationClosed("survey", "1E")),
    )
    assert state.took == {
        "receive": Took("receive", 1, 10.0, 8.0),
        "soak": Took("soak", 1, 60.0, 50.0),
        "survey": Took("survey", 2, 4.0, 4.5),
    }


def test_for_a_pause_the_minutes_of_the_plan_stand() -> None:
    """Twenty minutes are a pause in two minutes' work, and so is a night of a soak; an hour and a half of it is not."""
    state = worked(
        cracked(15 * 60),
        (1, OperationClosed("receive", "head:A")),
        (90, StepTicked("soak", "head:A", "wait")),
        (0, OperationClosed("soak", "head:A")),
        (20.1, taken("survey", "1I", "stem", 0.3115)),
        (1, OperationClosed("survey", "1I")),
    )
    assert {name: each.taken for name, each in state.took.items()} == {"receive": 11.0, "soak": 90.0, "survey": 3.0}


def test_what_goes_by_before_somebody_comes_on_is_no_work() -> None:
    state = worked(cracked(5), (15, CameOn("02", "Lena", Role.LEAD)), (2, OperationClosed("receive", "head:A")))
    assert state.took["receive"].taken == 7.0


def test_an_operation_without_minutes_teaches_nothing_and_takes_none_from_the_next() -> None:
    state = worked(
        (9, taken("bore", "1I", "bored_id", 0.3410, "top")),
        (0, OperationClosed("bore", "1I")),
        cracked(4),
        (0, OperationClosed("receive", "head:A")),
    )
    assert state.took == {"receive": Took("receive", 1, 10.0, 4.0)}


def test_a_job_just_opened_has_nothing_done_and_says_what_is_left_by_the_plan() -> None:
    """What came in done, the small one's heads with their guides in, is neither done nor due."""
    state = worked()
    short = summary(state)
    assert short.done == 0
    assert short.due == sum(
        state.is_due(operation, place)
        for operation in state.plan.operations
        for place in state.index.places_of(operation)
    )
    assert dict(short.left) == {"receive": 10.0, "soak": 60.0, "survey": 4.0}
    assert short.undecided == 2


@pytest.mark.parametrize("name", ["1001", "1002", "1004", "1005"])
def test_at_its_release_all_that_was_done_in_a_sample_job_counts_and_nothing_is_left(name: str) -> None:
    record = read_record(shipped("sample_jobs") / f"{name}.toml")
    state = folded(begin(record.plan), record.entries, name)
    short = summary(state)
    closed = sum(attempt.closed for attempt in state.attempts.values())
    assert short.done == short.due == closed
    assert short.left == ()
    assert minutes_left(short.left, learned([short.took])) == (0.0, 0.0)


@pytest.mark.parametrize("name", ["1001", "1002", "1003", "1004", "1005"])
def test_a_sample_job_just_opened_has_nothing_done(name: str) -> None:
    record = read_record(shipped("sample_jobs") / f"{name}.toml")
    assert summary(folded(begin(record.plan), record.entries[:1], name)).done == 0


# The sum


def test_nothing_on_record_leaves_the_plan_as_it_is() -> None:
    assert minutes_left((("size", 12.0), ("soak", 60.0)), {}) == (72.0, 0.0)


def test_plan_and_shop_weigh_alike_after_ten_closings() -> None:
    """Twice the plan's minutes, ten times: half way between once and twice."""
    took = Took("size", int(WEIGHT), 15.0, 30.0)
    assert ratio(took) == pytest.approx(1.5)
    assert minutes_left((("size", 12.0), ("soak", 60.0)), {"size": took}) == pytest.approx((78.0, 9.0 / 78.0))


def test_the_times_of_all_jobs_count_together() -> None:
    known = learned([[Took("size", 8, 12.0, 36.0)], [Took("size", 16, 24.0, 24.0), Took("bore", 8, 16.0, 16.0)]])
    assert known == {"size": Took("size", 24, 36.0, 60.0), "bore": Took("bore", 8, 16.0, 16.0)}


_took = st.builds(Took, st.just("size"), st.integers(0, 10_000), st.floats(0, 1e5), st.floats(0, 1e6))


@given(_took)
def test_no_record_moves_an_operation_further_than_four_times(took: Took) -> None:
    assert 1 / FARTHEST <= ratio(took) <= FARTHEST


@given(_took, st.floats(1, 1e4))
def test_more_of_the_same_pace_goes_further_from_the_plan(took: Took, planned: float) -> None:
    double = Took("size", took.closings * 2, took.planned * 2, took.taken * 2)
    assert abs(ratio(double) - 1) >= abs(ratio(took) - 1) - 1e-12
    left = minutes_left((("size", planned),), {"size": took})
    assert left.minutes == pytest.approx(planned * ratio(took))
    assert 0.0 <= left.learned < 1.0


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0.4, "under 10 min"),
        (9.9, "under 10 min"),
        (12.4, "10 min"),
        (58.0, "1 h"),
        (63.0, "1 h 5 min"),
        (158.0, "2 h 40 min"),
        (596.0, "10 h"),
        (839.0, "14 h"),
    ],
)
def test_time_is_told_no_finer_than_anybody_can_tell(minutes: float, words: str) -> None:
    assert time_words(minutes) == words
