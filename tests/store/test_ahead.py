"""What is worked out ahead of a reading is what comes of it, and holds only while nothing else happens."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from tests.store.small import HandClock, reading, small_plan

from headwright.job.chain import first_misfit
from headwright.job.events import CameOn, StepTicked
from headwright.job.evolve import fold
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.procedure.plan import Role
from headwright.store.desk import AHEAD, Desk, Done, Overtaken
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from contextlib import ExitStack
    from pathlib import Path

    from headwright.job.events import Event
    from headwright.store import JobStore


@pytest.fixture
def desk(store: JobStore, clock: HandClock) -> Desk:
    """A desk with a new job, two people on, and a bore of which one station is read."""
    desk = Desk.create(store, small_plan(), "1001", terminal="bench-1", clock=clock)
    for initials in ("07", "02"):
        done(desk, CameOn(initials, f"Somebody {initials}", Role.LEAD), initials)
    done(desk, StepTicked("size", "1I", "oil"))
    done(desk, reading("1I", "top"))
    clock.seconds += 1
    return desk


def done(desk: Desk, wanted: Event, operator: str = "07") -> Done:
    """Submit something that should happen."""
    answer = desk.submit(wanted, operator)
    assert isinstance(answer, Done), str(answer)
    return answer


def test_it_is_kept_as_it_was_worked_out(desk: Desk, store: JobStore, clock: HandClock) -> None:
    before = desk.entries
    worked = clock()
    state = desk.work_ahead(reading("1I", "bottom"), "07")
    assert store.entries("1001") == before == desk.entries
    clock.seconds += AHEAD
    answer = done(desk, reading("1I", "bottom"))
    assert desk.state is state
    assert [type(entry.event).__name__ for entry in answer.entries] == ["ReadingTaken", "OperationClosed"]
    assert {entry.time for entry in answer.entries} == {worked}
    assert store.entries("1001") == desk.entries == (*before, *answer.entries)
    assert first_misfit("1001", desk.entries) is None
    assert store.jobs() == (summary(fold(begin(small_plan()), desk.entries)),)


def test_it_answers_once(desk: Desk) -> None:
    wanted = reading("1I", "bottom")
    state = desk.work_ahead(wanted, "07")
    done(desk, wanted)
    second = desk.submit(wanted, "07")
    assert not isinstance(second, Done)
    assert desk.state is state


def test_what_would_be_refused_is_not_worked_out(desk: Desk) -> None:
    assert desk.work_ahead(reading("9I", "top"), "07") is None
    assert desk.work_ahead(reading("1I", "bottom"), "nobody") is None


@pytest.mark.parametrize(
    ("wanted", "operator", "later"),
    [
        pytest.param(reading("1I", "bottom", 0.3441), "07", 0.0, id="another figure"),
        pytest.param(reading("2I", "bottom"), "07", 0.0, id="another place"),
        pytest.param(reading("1I", "bottom"), "02", 0.0, id="another person"),
        pytest.param(reading("1I", "bottom"), "07", AHEAD + 0.1, id="too late"),
    ],
)
def test_something_else_is_decided_anew(
    desk: Desk, clock: HandClock, wanted: Event, operator: str, later: float
) -> None:
    state = desk.work_ahead(reading("1I", "bottom"), "07")
    clock.seconds += later
    answer = done(desk, wanted, operator)
    assert desk.state is not state
    assert (answer.entries[0].event, answer.entries[0].operator) == (wanted, operator)
    assert answer.entries[0].time == clock()


def test_after_something_else_happened_it_is_decided_anew(desk: Desk) -> None:
    state = desk.work_ahead(reading("1I", "bottom"), "07")
    done(desk, reading("2I", "top"))
    answer = done(desk, reading("1I", "bottom"))
    assert desk.state is not state
    assert all(desk.state.attempt("size", place).readings for place in ("1I", "2I"))
    assert first_misfit("1001", desk.entries) is None
    assert len(answer.entries) == 2


def test_what_another_terminal_recorded_meanwhile_comes_first(
    desk: Desk, path: Path, opened: ExitStack, clock: HandClock
) -> None:
    store = open_sqlite(path, wait=0.05)
    opened.callback(store.close)
    other = Desk.open(store, "1001", "bench-2", clock)
    desk.work_ahead(reading("1I", "bottom"), "07")
    theirs = done(other, reading("2I", "top")).entries
    answer = done(desk, reading("1I", "bottom"))
    assert answer.news == theirs
    desk.work_ahead(reading("1E", "top"), "07")
    done(other, reading("1E", "top", 0.3442), "02")
    clash = desk.submit(reading("1E", "top"), "07")
    assert isinstance(clash, Overtaken)
    assert first_misfit("1001", desk.entries) is None


def test_a_disk_that_refuses_changes_nothing(desk: Desk, monkeypatch: pytest.MonkeyPatch, store: JobStore) -> None:
    wanted = replace(reading("1I", "bottom"))
    before = desk.state
    desk.work_ahead(wanted, "07")

    def full(*_: object) -> None:
        raise OSError(28, "no space left")

    with monkeypatch.context() as at_store:
        at_store.setattr(store, "append", full)
        with pytest.raises(OSError, match="no space"):
            desk.submit(wanted, "07")
    assert desk.state is before
    done(desk, wanted)
