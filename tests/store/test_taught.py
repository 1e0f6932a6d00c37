"""What the store has of a job's pushes is at every entry what its readings say, though it is seldom written."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.store.pushes import BRONZE, driven, push, sizing_plan
from tests.store.small import HandClock, Job, at

from headwright.data import shipped
from headwright.job.chain import chained
from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    StepTicked,
)
from headwright.job.evolve import evolve, provisional
from headwright.job.sizing import sizings
from headwright.job.state import begin
from headwright.procedure.plan import Role
from headwright.store.desk import Desk, Done
from headwright.store.record import import_job, read_record, record_of
from headwright.store.sqlite import open_sqlite
from headwright.store.taught import Taught, may_teach

if TYPE_CHECKING:
    from contextlib import ExitStack
    from pathlib import Path

    from headwright.job.events import Event
    from headwright.job.sizing import Sized
    from headwright.store import JobStore


@pytest.fixture
def desk(store: JobStore, clock: HandClock) -> Desk:
    desk = Desk.create(store, sizing_plan(), "1001", terminal="bench-1", clock=clock)
    do(desk, CameOn("07", "Ana Ruiz", Role.LEAD))
    return desk


def do(desk: Desk, *events: Event) -> None:
    """Submit what should happen; what the desk closes by itself is not asked for."""
    for event in events:
        if not isinstance(event, OperationClosed):
            answer = desk.submit(event, "07")
            assert isinstance(answer, Done), str(answer)


def size(desk: Desk, place: str, finished: float = 0.3436) -> None:
    """Drive a liner, tick its step, and push a ball."""
    do(desk, *driven(place), StepTicked("size", place, "oil"), *push(place, finished))


def test_through_a_whole_job_the_pushes_kept_are_those_that_the_readings_tell() -> None:
    record = read_record(shipped("sample_jobs") / "1001.toml")
    state = begin(record.plan)
    taught, written = Taught(state), 0
    kept: tuple[Sized, ...] = ()
    for entry in record.entries:
        state = evolve(state, entry)
        found = taught.changed(state, (entry,))
        taught.keep(found)
        if found is not None:
            kept, written = found, written + 1
        assert kept == sizings(state), entry.number
    assert len(kept) == 10
    assert written == 11


def test_no_entry_that_changes_a_push_is_overlooked() -> None:
    record = read_record(shipped("sample_jobs") / "1001.toml")
    state = begin(record.plan)
    for entry in record.entries:
        state = evolve(state, entry)
    before = sizings(state)
    wanted: list[Event] = [ReadingStruck(n, "doubted") for n in state.where]
    for operation in record.plan.operations:
        for place in state.index.places_of(operation):
            wanted.append(OperationClosed(operation.id, place))
            wanted.extend(StepTicked(operation.id, place, step.name) for step in operation.steps)
            wanted += [
                Disposed(operation.id, place, item, disposition, "doubted", redo=operation.id)
                for item in (*(r.name for r in operation.readings), *(r.name for r in operation.results))
                for disposition in Disposition
            ]
    changed = 0
    for event in wanted:
        after = provisional(state, event, "07", "bench")
        entries = chained("1001", record.entries[-1], (event,), time=at(0), operator="07", terminal="")
        if sizings(after) != before:
            changed += 1
            assert may_teach(after, entries), event
    assert changed > 8 * 8


def test_a_push_is_found_as_soon_as_it_is_measured_and_gone_when_it_is_struck(desk: Desk, store: JobStore) -> None:
    size(desk, "1I")
    size(desk, "2I")
    assert store.past_sizings(BRONZE) == sizings(desk.state)[::-1]
    assert len(store.past_sizings(BRONZE)) == 2
    last = next(n for n, (place, point) in desk.state.where.items() if place[1] == "1I" and point[0] == "bore")
    do(desk, ReadingStruck(last, "chip"))
    assert [sized.position for sized in store.past_sizings(BRONZE)] == ["2I"]


def test_a_desk_that_others_overtook_does_not_trust_what_it_knew(
    desk: Desk, tmp_path: Path, opened: ExitStack, clock: HandClock, store: JobStore
) -> None:
    size(desk, "1I")
    again = open_sqlite(tmp_path / "headwright.db")
    opened.callback(again.close)
    other = Desk.open(again, "1001", "bench-2", clock)
    ball = next(n for n, (_, point) in desk.state.where.items() if point[0] == "ball")
    do(other, ReadingStruck(ball, "wrong tray"))
    assert store.past_sizings(BRONZE) == ()
    desk.refresh()
    do(desk, ReadingTaken("size", "1I", "ball", ".3440", "in", 0.344 * 25.4))
    assert store.past_sizings(BRONZE) == sizings(desk.state) != ()
    other.refresh()
    assert other.state.number == desk.state.number


def test_the_pushes_come_in_with_a_job(store: JobStore, tmp_path: Path) -> None:
    job = Job("1003", sizing_plan()).keep(store)
    job.keep_more(store, *driven("1I"), *push("1I"))
    record = record_of(store, "1003")
    fresh = open_sqlite(tmp_path / "fresh.db")
    assert import_job(fresh, record) == len(record.entries)
    assert fresh.past_sizings(BRONZE) == job.sizings != ()
    fresh.close()
