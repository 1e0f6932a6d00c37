"""A gauge that is found off puts in doubt what rests on it in every job, and no doubt is lost on the way."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from tests.store.gauged import GAUGE, OFF, POINTS, Gauged
from tests.store.small import HandClock, at

from headwright.job.events import GaugeDoubted, Noted, ReadingStruck, Released, Reopened
from headwright.job.gauge_use import GaugeUse, doubted, gauge_uses
from headwright.job.summary import summary
from headwright.sheet.history import history
from headwright.sheet.replayed import lines
from headwright.sheet.sheet import job_sheet
from headwright.store.audit import audited
from headwright.store.contract import Waiting
from headwright.store.desk import Desk, Overtaken
from headwright.store.kept import KeptStore
from headwright.store.quarantine import bring_in
from headwright.store.record import import_job, parse_record, record_of, record_text
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from contextlib import ExitStack

    from headwright.job.events import Entry
    from headwright.store import JobStore

TOP, BOTTOM = ("1I", "top"), ("1I", "bottom")


def job(store: JobStore, clock: HandClock, name: str) -> Gauged:
    return Gauged(store, clock, name)


def never_zeroed(store: JobStore, clock: HandClock, name: str) -> Gauged:
    """Make a job whose gauge is on record and need not be checked before the release."""
    return Gauged(store, clock, name, zeroed=False)


def kinds(entries: tuple[Entry, ...]) -> list[str]:
    return [type(entry.event).__name__ for entry in entries]


def audit(path: Path) -> None:
    """See that everything in the store still fits."""
    kept = KeptStore(path)
    try:
        assert [each for name in kept.jobs() for each in audited(kept.job(name)).findings] == []
    finally:
        kept.close()


# ---- what a drift means for other jobs


def test_what_was_read_in_another_job_is_struck_listed_and_asked_for_again(
    store: JobStore, clock: HandClock, path: Path
) -> None:
    here, there = job(store, clock, "1001"), job(store, clock, "1002")
    there.zero()
    numbers = there.read(TOP, BOTTOM)
    good = there.desk.state.gauges[GAUGE].check
    here.zero(OFF)
    done = here.zero(OFF)
    assert (done.elsewhere, good is not None) == ((), True)  # the first of the two checks has told it already
    there.desk.refresh()
    doubt = there.desk.entries[-3].event
    assert isinstance(doubt, GaugeDoubted)
    assert good is not None
    assert (doubt.gauge, doubt.drift, doubt.since, doubt.job) == (GAUGE, OFF, good.time, "1001")
    assert [e.event.number for e in there.desk.entries[-2:] if isinstance(e.event, ReadingStruck)] == [*numbers][::-1]
    assert there.standing() == set()
    assert there.desk.state.gauges[GAUGE].check is None
    there.zero()
    there.read(TOP)
    assert there.standing() == {TOP}
    audit(path)


def test_the_answer_lists_the_readings_in_other_jobs(store: JobStore, clock: HandClock) -> None:
    here, there = job(store, clock, "1001"), job(store, clock, "1002")
    never_zeroed(store, clock, "1003").to_release()  # the good check that follows vouches for it
    there.zero()
    numbers = there.read(TOP)
    clock.seconds += 30
    done = here.zero(OFF)
    assert [(e.job, e.gauge, e.drift, e.found_in, e.readings, e.released, e.waiting) for e in done.elsewhere] == [
        ("1002", GAUGE, OFF, "1001", numbers, False, "")
    ]
    assert done.elsewhere[0].words == ("07 at bench-1: Size, 1I: Bore top .3440 in",)
    assert kinds(done.entries) == ["GaugeChecked"]


def test_a_released_job_has_it_on_record_and_says_so(store: JobStore, clock: HandClock, path: Path) -> None:
    released, here = never_zeroed(store, clock, "1002"), job(store, clock, "1001")
    numbers = released.to_release()
    (told,) = here.zero(OFF).elsewhere
    assert (told.job, told.readings, told.released) == ("1002", numbers, True)
    assert released.standing() == set(POINTS)
    assert kinds(released.desk.entries[-2:]) == ["Released", "GaugeDoubted"]
    assert doubted(released.desk.state) == numbers
    short = {each.job: each for each in store.jobs()}["1002"]
    assert (short.status, short.doubted) == ("released", 8)
    told_of = history(released.desk.state.plan, released.desk.entries)
    sheet = job_sheet(told_of).splitlines()
    assert sheet[2] == "8 READINGS IN DOUBT, taken with a gauge that was found off after the release"
    assert " ".join(" ".join(sheet[3:5]).split()) == (
        "2025-03-04 08:15, event 21: BG-3 was found off by +0.00030 in, in job 1001: "
        "Size, 1I; Size, 1E; Size, 2I; Size, 2E"
    )
    replayed = list(lines(told_of))
    assert replayed[-1] == "final state: released, 8 readings in doubt"
    assert any("DOUBT     BG-3 was found off by +0.00030 in, in job 1001: 8 readings in doubt" in ln for ln in replayed)
    audit(path)


def test_a_reading_that_no_longer_counts_is_no_longer_in_doubt(store: JobStore, clock: HandClock) -> None:
    released, here = never_zeroed(store, clock, "1002"), job(store, clock, "1001")
    numbers = released.to_release()
    here.zero(OFF)
    released.desk.refresh()
    assert doubted(released.desk.state) == numbers
    assert summary(released.desk.state).doubted == 8
    released.do(Reopened("the gauge was off"))
    # Opening the job again struck them, so that they are asked for anew.
    struck = [e.event.number for e in released.desk.entries if isinstance(e.event, ReadingStruck)]
    assert sorted(struck) == sorted(numbers)
    assert doubted(released.desk.state) == ()
    assert summary(released.desk.state).doubted == 0


def test_a_good_check_in_any_job_vouches_for_what_was_read_before_it(store: JobStore, clock: HandClock) -> None:
    first, second, third = (job(store, clock, name) for name in ("1001", "1002", "1003"))
    first.zero()
    first.read(TOP)
    second.zero()
    numbers = second.read(BOTTOM)
    done = third.zero(OFF)
    assert [(each.job, each.readings) for each in done.elsewhere] == [("1002", numbers)]
    assert first.standing() == {TOP}


def test_a_gauge_that_goes_to_and_fro_is_doubted_from_its_last_good_check_on(store: JobStore, clock: HandClock) -> None:
    first, second = job(store, clock, "1001"), job(store, clock, "1002")
    first.zero()
    first.read(("1I", "top"))
    second.zero()
    second.read(("1I", "top"))
    vouched = first.zero()
    late = second.read(("1I", "bottom"))
    first.read(("1I", "bottom"))
    done = first.zero(OFF)
    assert [(each.job, each.readings) for each in done.elsewhere] == [("1002", late)]
    assert second.standing() == {("1I", "top")}
    assert first.standing() == {("1I", "top")}
    doubt = next(e.event for e in second.desk.entries if isinstance(e.event, GaugeDoubted))
    assert doubt.since == vouched.entries[0].time


def test_a_check_that_found_a_drift_vouches_for_nothing(store: JobStore, clock: HandClock) -> None:
    first, second, third = (job(store, clock, name) for name in ("1001", "1002", "1003"))
    first.zero()
    first.read(TOP)
    assert [each.job for each in second.zero(OFF).elsewhere] == ["1001"]
    second.read(TOP)
    done = third.zero(-OFF)
    assert [(each.job, each.drift) for each in done.elsewhere] == [("1002", -OFF)]


def test_other_gauges_and_jobs_without_readings_are_left_alone(store: JobStore, clock: HandClock) -> None:
    here, other, idle = (job(store, clock, name) for name in ("1001", "1002", "1003"))
    other.take("BG-4")
    other.zero(gauge="BG-4")
    other.read(TOP, gauge="BG-4")
    idle.zero()
    before = {name: store.entries(name) for name in ("1002", "1003")}
    assert here.zero(OFF).elsewhere == ()
    assert {name: store.entries(name) for name in before} == before
    assert store.waiting() == ()


def test_a_drift_within_the_limit_is_none(store: JobStore, clock: HandClock) -> None:
    here, there = job(store, clock, "1001"), job(store, clock, "1002")
    there.zero()
    there.read(TOP)
    assert here.zero(0.0001 * 25.4).elsewhere == ()
    assert there.standing() == {TOP}


def test_a_doubt_never_lies_before_what_it_follows_even_where_the_clock_was_set_back(
    store: JobStore, clock: HandClock
) -> None:
    there = job(store, clock, "1002")
    there.zero()
    there.read(TOP)
    clock.seconds = 5000
    here = job(store, clock, "1001")
    here.desk.submit(Noted("a"), "07")
    clock.seconds = 2000
    done = here.zero(OFF)
    there.desk.refresh()
    doubt = next(entry for entry in there.desk.entries if isinstance(entry.event, GaugeDoubted))
    assert doubt.time > done.entries[0].time > at(5000)
    assert there.standing() == set()


# ---- imported jobs


def test_an_imported_job_triggers_nothing_and_a_later_drift_counts_for_it_too(
    store: JobStore, clock: HandClock, path: Path, tmp_path: Path, opened: ExitStack
) -> None:
    elsewhere = open_sqlite(tmp_path / "other" / "headwright.db")
    opened.callback(elsewhere.close)
    theirs, drifted = job(elsewhere, clock, "2001"), job(elsewhere, clock, "2002")
    ours = job(store, clock, "1001")
    ours.zero()
    ours.read(TOP)
    theirs.zero()
    numbers = theirs.read(TOP, BOTTOM)
    ours.zero()
    ours.read(BOTTOM)
    drifted.zero(OFF)
    drifted.zero()
    theirs.zero()
    again = theirs.read(TOP)
    for name in ("2001", "2002"):
        import_job(store, parse_record(record_text(record_of(elsewhere, name)).encode(), name))
    assert (store.waiting(), ours.standing()) == ((), {TOP, BOTTOM})
    finds = job(store, clock, "1009")
    done = finds.zero(OFF)
    assert numbers
    assert [(each.job, each.readings) for each in done.elsewhere] == [("2001", again)]
    audit(path)


# ---- nothing is lost, and nothing comes twice


def start(what: str, path: Path, name: str) -> subprocess.Popen[str]:
    script = Path(__file__).with_name("quarantine_worker.py")
    return subprocess.Popen(
        [sys.executable, str(script), what, str(path), name],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=script.parents[2],
        env={"PYTHONPATH": str(script.parents[2])},
    )


def killed_between(store: JobStore, clock: HandClock, path: Path) -> tuple[Gauged, tuple[int, ...]]:
    """Have a process find a drift in job 1001, and kill it before it writes to job 1002."""
    job(store, clock, "1001")
    there = job(store, clock, "1002")
    there.zero()
    numbers = there.read(TOP, BOTTOM)
    worker = start("drift", path, "1001")
    assert worker.stdout is not None
    assert worker.stdout.readline() == "between\n"
    worker.kill()
    worker.communicate()
    assert kinds(store.entries("1001"))[-1] == "GaugeChecked"
    assert kinds(store.entries("1002"))[-1] == "ReadingTaken"
    audit(path)
    return there, numbers


@pytest.mark.parametrize("how", ["opening", "refreshing", "listing"])
def test_a_doubt_waits_when_the_program_is_killed_between_the_two_writes(
    store: JobStore, clock: HandClock, path: Path, how: str
) -> None:
    there, numbers = killed_between(store, clock, path)
    assert [(each.job, each.found_in) for each in store.waiting()] == [("1002", "1001")]
    clock.seconds += 3600
    if how == "opening":
        Desk.open(store, "1002", "bench-2", clock)
    elif how == "refreshing":
        there.desk.refresh()
    else:
        (told,) = bring_in(store, clock)
        assert (told.readings, told.waiting) == (numbers, "")
    entries = store.entries("1002")
    assert kinds(entries)[-3:] == ["GaugeDoubted", "ReadingStruck", "ReadingStruck"]
    assert (entries[-1].operator, entries[-1].terminal) == ("07", "bench-9")
    assert store.waiting() == ()
    assert bring_in(store, clock) == ()
    assert there.standing() == set()
    assert store.entries("1002") == entries
    audit(path)


def test_nothing_is_released_while_a_doubt_waits(store: JobStore, clock: HandClock, path: Path) -> None:
    there, here = never_zeroed(store, clock, "1002"), job(store, clock, "1001")
    there.finish()
    breaks_off: Any = BreaksOff(store, "1001")
    here.desk = Desk.open(breaks_off, "1001", "bench-1", clock)
    with pytest.raises(KeyboardInterrupt):
        here.zero(OFF)
    assert store.waiting() == (Waiting("1002", "1001", 4, ""),)
    answer = there.desk.submit(Released(), "07")
    assert isinstance(answer, Overtaken)
    assert answer.news[0] == (
        "07 at bench-1: BG-3 was found off by +0.0076 mm in job 1001; readings since its check are in doubt"
    )
    assert "Released" not in kinds(store.entries("1002"))
    assert there.standing() == set()
    audit(path)


class BreaksOff:
    """A store at which Ctrl+C comes before anything is written to any job but one."""

    def __init__(self, store: JobStore, job: str) -> None:
        self._store, self._job = store, job

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    def append(self, name: str, *rest: Any) -> None:
        if name != self._job:
            raise KeyboardInterrupt
        self._store.append(name, *rest)


def test_two_terminals_that_bring_a_doubt_in_at_once_bring_it_in_once(
    store: JobStore, clock: HandClock, path: Path
) -> None:
    killed_between(store, clock, path)
    workers = [start("bring", path, "-") for _ in range(3)]
    for worker in workers:
        assert worker.stdout is not None
        assert worker.stdout.readline() == "ready\n"
    answers = [worker.communicate("go\n")[0] for worker in workers]
    assert sorted(answers) == ["0 0\n", "0 0\n", "1 0\n"]
    assert kinds(store.entries("1002")).count("GaugeDoubted") == 1
    audit(path)


class Busy:
    """A store at which somebody else writes to a job just before each of the first writes to it."""

    def __init__(self, store: JobStore, rival: Gauged, times: int) -> None:
        self._store, self._rival, self._times = store, rival, times

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    def append(self, name: str, *rest: Any) -> None:
        if name == self._rival.job and self._times:
            self._times -= 1
            self._rival.do(Noted("first"))
        self._store.append(name, *rest)


@pytest.mark.parametrize(("times", "waits"), [(3, False), (99, True)])
def test_a_job_that_is_written_to_at_the_same_moment_is_looked_at_again(
    store: JobStore, clock: HandClock, times: int, *, waits: bool
) -> None:
    there, here = job(store, clock, "1002"), job(store, clock, "1001")
    there.zero()
    numbers = there.read(TOP)
    busy: Any = Busy(store, there, times)
    here.desk = Desk.open(busy, "1001", "bench-1", clock)
    (told,) = here.zero(OFF).elsewhere
    assert told.readings == (() if waits else numbers)
    assert told.waiting == ("someone else wrote to job '1002' first; nothing was written" if waits else "")
    assert bool(store.waiting()) is waits
    assert there.standing() == set()  # whoever looks brings in what waits
    assert store.waiting() == ()


def test_a_job_that_cannot_be_read_is_told_of_and_is_in_no_others_way(
    store: JobStore, clock: HandClock, path: Path
) -> None:
    broken, sound, here = (job(store, clock, name) for name in ("1002", "1003", "1001"))
    sound.zero()
    for each in (broken, sound):
        each.zero()
        each.read(TOP)
    raw = sqlite3.connect(path, isolation_level=None)
    raw.execute("DROP TRIGGER events_stay")
    raw.execute("UPDATE events SET operator = '08' WHERE job = '1002' AND number = 2")
    raw.execute("UPDATE gauge_uses SET last_read = '2025-03-04T23' WHERE job = '1002'")
    raw.close()
    told = here.zero(OFF).elsewhere
    assert [(each.job, bool(each.readings)) for each in told] == [("1002", False), ("1003", True)]
    assert "event 2 does not fit" in told[0].waiting
    assert [each.job for each in store.waiting()] == ["1002"]


def test_a_doubt_on_which_nothing_rests_any_more_is_taken_off_the_list(store: JobStore, clock: HandClock) -> None:
    there, here = job(store, clock, "1002"), job(store, clock, "1001")
    there.zero()
    (number,) = there.read(TOP)
    busy: Any = Busy(store, there, 99)
    here.desk = Desk.open(busy, "1001", "bench-1", clock)
    here.zero(OFF)
    last = there.desk.entries[-1]
    assert last.event == Noted("first")
    there.desk.submit(ReadingStruck(number, "thumb"), "07")
    before = store.entries("1002")
    assert bring_in(store, clock) == ()
    assert store.waiting() == ()
    assert store.entries("1002") == before


# ---- what the store has of gauges


def kept_uses(path: Path) -> set[tuple[str, ...]]:
    raw = sqlite3.connect(path)
    found = set(raw.execute("SELECT job, gauge, zeroed, first_read, last_read FROM gauge_uses"))
    raw.close()
    return found


def test_the_uses_in_the_store_are_at_every_entry_what_the_readings_say(
    store: JobStore, clock: HandClock, path: Path
) -> None:
    there = job(store, clock, "1001")

    def same() -> None:
        uses = gauge_uses(there.desk.state)
        assert kept_uses(path) == {("1001", u.gauge, u.zeroed, u.first_read, u.last_read) for u in uses}

    same()
    there.zero()
    same()
    numbers = there.read(*POINTS[:4])
    same()
    (use,) = gauge_uses(there.desk.state)
    times = [there.desk.entries[number - 1].time for number in numbers]
    assert (use.first_read, use.last_read) == (times[0], times[-1])
    there.do(ReadingStruck(numbers[0], "thumb"))
    same()
    there.do(ReadingStruck(numbers[-1], "thumb"))
    same()
    assert gauge_uses(there.desk.state) == (GaugeUse(GAUGE, use.zeroed, times[1], times[2]),)
    there.take("BG-4")
    there.zero(gauge="BG-4")
    same()
    there.zero()
    same()
    assert [u.last_read for u in gauge_uses(there.desk.state)] == ["", ""]
    before = kept_uses(path)
    store.rebuild()
    assert kept_uses(path) == before
    audit(path)


def test_both_questions_are_answered_from_their_indexes(store: JobStore, clock: HandClock, path: Path) -> None:
    """SQLite's manual: a covering index holds every column that is asked for."""
    here = job(store, clock, "1001")
    seen: list[str] = []
    store._database._raw.set_trace_callback(seen.append)  # type: ignore[attr-defined]
    here.zero(OFF)
    store._database._raw.set_trace_callback(None)  # type: ignore[attr-defined]
    raw = sqlite3.connect(path)
    plans = {
        table: next(
            row[3]
            for text in seen
            if f"FROM {table}" in text
            for row in raw.execute(f"EXPLAIN QUERY PLAN {text}")
            if table in row[3]
        )
        for table in ("gauge_checks", "gauge_uses")
    }
    raw.close()
    assert plans["gauge_checks"].startswith("SEARCH gauge_checks USING COVERING INDEX gauge_checks_last (gauge=? AND ")
    assert plans["gauge_uses"].startswith("SEARCH gauge_uses USING COVERING INDEX gauge_uses_since (gauge=? AND ")
