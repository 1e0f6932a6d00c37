"""At a desk: what is wanted is decided, kept, and only then true; others at the same job are seen or heard of."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from tests.store.small import HandClock, Job, at, reading, small_plan

from headwright.errors import Outdated, RecordBroken, StoreError, UsageError
from headwright.job.decide import Refused
from headwright.job.events import (
    CameOn,
    Event,
    Noted,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    Released,
    StepTicked,
    Stopped,
)
from headwright.job.evolve import fold
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.procedure.plan import Role
from headwright.store.contract import NO_GAUGES, OfGauges
from headwright.store.desk import Desk, Done, Overtaken, utc_now
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from collections.abc import Sequence
    from contextlib import ExitStack
    from pathlib import Path

    from headwright.job.events import Entry
    from headwright.job.listed import Summary
    from headwright.job.sizing import Sized
    from headwright.store import JobStore


@pytest.fixture
def desk(store: JobStore, clock: HandClock) -> Desk:
    """A desk at bench 1 with a new job, and a lead on."""
    desk = Desk.create(store, small_plan(), "1001", terminal="bench-1", tag="T-17", clock=clock)
    done(desk, CameOn("07", "Ana Ruiz", Role.LEAD))
    return desk


@pytest.fixture
def other(desk: Desk, path: Path, opened: ExitStack, clock: HandClock) -> Desk:
    """Another terminal at the same job, through a store of its own."""
    store = open_sqlite(path, wait=0.05)
    opened.callback(store.close)
    return Desk.open(store, desk.job, "bench-2", clock)


def done(desk: Desk, wanted: Event) -> Done:
    """Submit something that should happen."""
    answer = desk.submit(wanted, "07")
    assert isinstance(answer, Done), str(answer)
    return answer


def overtaken(desk: Desk, wanted: Event) -> Overtaken:
    """Submit something that others have just made impossible."""
    answer = desk.submit(wanted, "07")
    assert isinstance(answer, Overtaken)
    return answer


def test_a_new_job_is_on_disk_with_its_plan(desk: Desk, store: JobStore) -> None:
    assert store.entries("1001") == desk.entries
    assert store.jobs() == (summary(desk.state),)
    assert (desk.state.job, desk.state.tag) == ("1001", "T-17")


def test_a_job_without_a_number_is_not_opened(store: JobStore) -> None:
    with pytest.raises(UsageError, match="it has no number"):
        Desk.create(store, small_plan(), " ", terminal="bench-1")
    assert store.jobs() == ()


def test_what_happens_is_on_disk_and_in_the_state(desk: Desk, store: JobStore) -> None:
    answer = done(desk, reading("1I", "top"))
    assert [entry.event for entry in answer.entries] == [reading("1I", "top")]
    assert store.entries("1001")[-1:] == answer.entries == desk.entries[-1:]
    assert desk.state.attempts == fold(begin(small_plan()), desk.entries).attempts
    assert len(desk.state.attempt("size", "1I").readings) == 1
    assert store.jobs() == (summary(desk.state),)


def test_what_follows_is_kept_together_with_what_was_wanted(desk: Desk, store: JobStore) -> None:
    done(desk, reading("1I", "top"))
    done(desk, reading("1I", "bottom"))
    answer = done(desk, StepTicked("size", "1I", "oil"))
    assert [entry.event for entry in answer.entries] == [
        StepTicked("size", "1I", "oil"),
        OperationClosed("size", "1I"),
    ]
    assert {entry.time for entry in answer.entries} == {answer.entries[0].time}
    assert store.jobs()[0].done == 1


def test_what_may_not_be_is_refused_and_nothing_is_kept(desk: Desk, store: JobStore) -> None:
    before = store.entries("1001")
    answer = desk.submit(Released(), "07")
    assert isinstance(answer, Refused)
    assert not isinstance(answer, Overtaken)
    assert store.entries("1001") == before == desk.entries


def test_a_job_opened_again_stands_where_it_was(desk: Desk, store: JobStore, clock: HandClock) -> None:
    done(desk, reading("1I", "top"))
    again = Desk.open(store, "1001", "bench-1", clock)
    assert again.entries == desk.entries
    assert summary(again.state) == summary(desk.state)
    assert again.state.attempts == desk.state.attempts


def test_a_job_that_is_not_there_is_not_opened(desk: Desk, store: JobStore) -> None:
    with pytest.raises(UsageError, match="there is no job '1002'"):
        Desk.open(store, "1002", desk.job)


def test_readings_of_another_terminal_come_in_when_asked_for(desk: Desk, other: Desk) -> None:
    new = done(other, reading("1I", "top")).entries
    assert desk.refresh() == new
    assert desk.entries == other.entries
    assert desk.state.attempts == other.state.attempts
    assert desk.refresh() == ()


def test_work_at_different_places_does_not_clash(desk: Desk, other: Desk) -> None:
    theirs = done(other, reading("1I", "top")).entries
    answer = done(desk, reading("2I", "top"))
    assert answer.news == theirs
    assert [entry.number for entry in answer.entries] == [4]
    assert desk.state.attempt("size", "1I").readings
    assert desk.state.attempt("size", "2I").readings


def test_what_others_made_impossible_is_refused_with_what_they_did(desk: Desk, other: Desk, store: JobStore) -> None:
    done(other, Noted("a crack shows at 2E"))
    done(other, Stopped("head:A", "cracked"))
    answer = overtaken(desk, reading("1I", "top"))
    assert answer.news == ("07 at bench-2: noted: a crack shows at 2E", "07 at bench-2: stopped head A: cracked")
    assert [block.kind.value for block in answer.blocks] == ["stop"]
    assert str(answer) == "\n".join(("Meanwhile:", *answer.news, str(answer.blocks[0])))
    assert store.entries("1001") == desk.entries == other.entries


def test_a_reading_that_the_operator_has_not_seen_is_not_struck(desk: Desk, other: Desk, store: JobStore) -> None:
    done(other, reading("1I", "top", 0.3438))
    answer = overtaken(desk, reading("1I", "top", 0.3442))
    assert str(answer) == (
        "Meanwhile:\n"
        "07 at bench-2: Size, 1I: Bore top .3438 in\n"
        "Bore, 1I: 07 has read .3438 in at this point. Enter it again to replace that; it stays on record as struck."
    )
    assert store.entries("1001") == desk.entries == other.entries
    seen = int(answer.blocks[0].subject)
    again = done(desk, replace(reading("1I", "top", 0.3442), over=seen))
    assert [type(entry.event) for entry in again.entries] == [ReadingStruck, ReadingTaken]


class Hasty:
    """A store at which somebody else always writes just before an append: it is outdated every time."""

    def __init__(self, store: JobStore, rival: Desk) -> None:
        self._store = store
        self._rival = rival

    def __getattr__(self, name: str) -> object:
        return getattr(self._store, name)

    def append(
        self,
        job: str,
        entries: Sequence[Entry],
        summary: Summary,
        sizings: Sequence[Sized] | None = None,
        gauges: OfGauges = NO_GAUGES,
    ) -> None:
        done(self._rival, Noted("first again"))
        self._store.append(job, entries, summary, sizings, gauges)


def test_who_is_overtaken_twice_is_told_and_nothing_is_kept(desk: Desk, other: Desk, store: JobStore) -> None:
    hasty: JobStore = Hasty(store, other)  # type: ignore[assignment]
    slow = Desk.open(hasty, "1001", "bench-3")
    with pytest.raises(Outdated):
        slow.submit(Noted("mine"), "07")
    assert [entry.event for entry in store.entries("1001")[2:]] == [Noted("first again")] * 2
    slow.refresh()
    desk.refresh()
    assert slow.entries == other.entries == desk.entries


def test_when_it_cannot_be_kept_nothing_has_changed_and_it_can_be_submitted_again(
    desk: Desk, store: JobStore, path: Path
) -> None:
    state, entries = desk.state, desk.entries
    blocker = sqlite3.connect(path, isolation_level=None)
    blocker.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError, match="is locked by another program; nothing was written"):
        desk.submit(reading(), "07")
    assert desk.state is state
    assert desk.entries is entries
    blocker.close()
    assert done(desk, reading()).entries[0].number == 3
    assert store.entries("1001") == desk.entries


def test_text_that_cannot_be_kept_is_refused_in_words(desk: Desk) -> None:
    answer = desk.submit(Noted("half a sign: \ud83d"), "07")
    assert "it has a character that does not print (U+D83D)" in str(answer)
    assert len(desk.entries) == 2


def test_entries_carry_the_time_operator_and_terminal_handed_in(desk: Desk, clock: HandClock) -> None:
    clock.seconds = 3600
    entry = done(desk, reading()).entries[0]
    assert (entry.time, entry.operator, entry.terminal) == (at(3600), "07", "bench-1")


def test_the_time_of_a_job_never_goes_back(desk: Desk, clock: HandClock) -> None:
    """While a clock is set back the times go on from the last entry, until it has caught up."""
    clock.seconds = 100
    done(desk, Noted("a"))
    clock.seconds = -5000
    done(desk, Noted("b"))
    done(desk, Noted("c"))
    clock.seconds = 100.5
    done(desk, Noted("d"))
    first, second, third, last = (entry.time for entry in desk.entries[-4:])
    assert first == at(100) < second < third < last == at(100.5)


def test_a_microsecond_after_the_last_of_a_year_is_in_the_next(store: JobStore) -> None:
    times = iter(["2025-12-31T23:59:59.999999Z", "2025-01-01T00:00:00.000000Z"])
    desk = Desk.create(store, small_plan(), "1001", terminal="bench-1", clock=lambda: next(times))
    desk.submit(CameOn("07", "Ana Ruiz", Role.LEAD), "07")
    assert desk.entries[-1].time == "2026-01-01T00:00:00.000000Z"


def test_the_computers_time_is_written_as_records_have_it() -> None:
    first, second = utc_now(), utc_now()
    assert len(first) == len("2025-03-04T08:12:09.120000Z")
    assert first[10] == "T"
    assert first[-1] == "Z"
    assert first <= second


def test_a_job_changed_on_disk_is_not_opened(store: JobStore, path: Path) -> None:
    job = Job().keep(store)
    job.keep_more(store, reading(), Noted("b"))
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER events_stay")
    connection.execute("UPDATE events SET operator = '08' WHERE number = 3")
    connection.close()
    with pytest.raises(RecordBroken, match="event 3 does not fit; it was changed") as caught:
        Desk.open(store, "1001", "bench-1")
    assert caught.value.number == 3


def test_news_that_do_not_fit_are_not_taken_in(desk: Desk, path: Path, clock: HandClock) -> None:
    before = desk.entries
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute(
        "INSERT INTO events SELECT job, 3, time, operator, terminal, event, hash FROM events WHERE number = 2"
    )
    connection.close()
    with pytest.raises(RecordBroken, match=r"event 3 in .* does not fit what this terminal knows"):
        desk.refresh()
    assert desk.entries == before
    clock.seconds = 10
    with pytest.raises(RecordBroken):
        desk.submit(Noted("a"), "07")
