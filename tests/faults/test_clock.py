"""A clock that jumps: times on record never go back, and no zero or date of a gauge becomes young again by it."""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from tests.faults.bench_job import at_bench, depth, new_job, sound, typed_in
from tests.job.small import INCH, MACHINIST, taken
from tests.terminal.strict_bench import JOB as STRICT
from tests.terminal.strict_bench import job_at, ready_to_read, to_bore

from headwright.job.events import GaugeChecked, GaugeTaken, Noted
from headwright.job.gauges import in_hand
from headwright.job.refusal import Refused
from headwright.store import open_store
from headwright.store.desk import Desk, Done
from headwright.store.record import is_time
from headwright.store.times import later, not_before, stamp

if TYPE_CHECKING:
    from pathlib import Path

HOUR, DAY = 3600.0, 86400.0
JOB = "clock"


class JumpingClock:
    """The computer's clock, set wrong by so many seconds."""

    def __init__(self) -> None:
        self.off = 0.0

    def __call__(self) -> str:
        return stamp(datetime.now(UTC) + timedelta(seconds=self.off))


@pytest.fixture
def wrong() -> JumpingClock:
    return JumpingClock()


@pytest.mark.parametrize("off", [-1.0, -HOUR, -3 * DAY, -366 * DAY, HOUR, 400 * DAY])
def test_times_on_record_never_go_back_and_the_job_goes_on(home: Path, wrong: JumpingClock, off: float) -> None:
    new_job(home, JOB)
    store = open_store()
    desk = Desk.open(store, JOB, "here", wrong)
    for number, station in enumerate("abcdef"):
        wrong.off = off if number in {2, 3} else 0.0
        assert isinstance(desk.submit(depth("1I", station, f"8.{number:03}"), "07"), Done)
    store.close()
    entries = sound(home, JOB)
    assert typed_in(entries) == [f"8.{number:03}" for number in range(6)]
    assert all(one.time < other.time for one, other in pairwise(entries[2:]))
    assert all(is_time(entry.time) for entry in entries)


def test_a_terminal_opened_with_a_clock_behind_the_record_says_so(home: Path, wrong: JumpingClock) -> None:
    new_job(home, JOB)
    store = open_store()
    wrong.off = -DAY - HOUR
    desk = Desk.open(store, JOB, "here", wrong)
    assert desk.clock_words() == (
        "This computer's clock is 25 hours behind the record; times go on from the last entry. Set the clock right."
    )
    wrong.off = 0
    assert desk.clock_words() == ""
    store.close()


def _gauged(home: Path, wrong: JumpingClock) -> Desk:
    """Work a job under the rules up to the bore, with a gauge zeroed by the clock."""
    to_bore(job_at(home))
    desk = Desk.open(open_store(), STRICT, "here", wrong)
    ready_to_read(desk)
    return desk


def _read(desk: Desk, station: str) -> Done | Refused:
    gauge = in_hand(desk.state, MACHINIST, "bore gauge")
    assert gauge is not None
    return desk.submit(replace(taken("bore", "1I", "bored_id", 0.3424, station), gauge=gauge.gauge), MACHINIST)


def _zero(desk: Desk) -> None:
    assert isinstance(desk.submit(GaugeChecked("BG-3", "R-3420", 0.3420 * INCH, 0.0), MACHINIST), Done)


@pytest.mark.parametrize("back", [-2 * HOUR, -2 * DAY, -366 * DAY])
def test_a_zero_grows_old_at_its_own_pace_while_the_clock_is_set_back(
    home: Path, wrong: JumpingClock, back: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = _gauged(home, wrong)
    assert isinstance(_read(desk, "top"), Done)
    wrong.off = back
    # Nobody waits half an hour for a test.
    monkeypatch.setattr("headwright.store.desk.monotonic", lambda: time.monotonic() + 31 * 60)
    refused = _read(desk, "bottom")
    assert "was zeroed 31 minutes ago; 30 is the most." in str(refused)
    _zero(desk)
    assert isinstance(_read(desk, "bottom"), Done)


@pytest.mark.parametrize("back", [-HOUR, -2 * DAY, -366 * DAY])
def test_a_zero_from_before_counts_no_more_at_a_terminal_started_with_a_clock_set_back(
    home: Path, wrong: JumpingClock, back: float
) -> None:
    """How long the program was off cannot be known; after a new zero work goes on, and that zero grows old in turn."""
    before = _gauged(home, wrong)
    wrong.off = back
    desk = Desk.open(open_store(), STRICT, "here", wrong)
    entries = desk.entries
    assert "BG-3 was zeroed at a time that this clock has not come to: how old the zero is cannot be known." in str(
        _read(desk, "top")
    )
    assert isinstance(desk.submit(Noted("another entry makes the zero no younger"), MACHINIST), Done)
    assert isinstance(_read(desk, "top"), Refused)
    assert desk.entries[:-1] == entries == before.entries
    _zero(desk)
    assert isinstance(_read(desk, "top"), Done)
    zeroed = desk.state.gauges["BG-3"].check
    assert zeroed is not None
    wrong.off = (datetime.fromisoformat(later(zeroed.time, 31 * 60)) - datetime.now(UTC)).total_seconds()
    assert "was zeroed 31 minutes ago" in str(_read(desk, "bottom"))


def test_a_clock_set_forward_makes_a_zero_old_and_not_young(home: Path, wrong: JumpingClock) -> None:
    desk = _gauged(home, wrong)
    wrong.off = HOUR
    assert "was zeroed 60 minutes ago; 30 is the most." in str(_read(desk, "top"))
    wrong.off = 0
    assert isinstance(_read(desk, "top"), Done)


def test_clocks_of_two_terminals_may_differ_by_less_than_a_minute(home: Path, wrong: JumpingClock) -> None:
    _gauged(home, wrong)
    wrong.off = -50
    assert isinstance(_read(Desk.open(open_store(), STRICT, "there", wrong), "top"), Done)


def test_an_overdue_gauge_comes_into_date_by_no_clock_that_is_set_back(home: Path, wrong: JumpingClock) -> None:
    desk = _gauged(home, wrong)
    day = desk.state.time[:10]
    assert isinstance(desk.submit(GaugeTaken("BG-4", "bore gauge", due=day), MACHINIST), Done)
    assert isinstance(desk.submit(GaugeChecked("BG-4", "R-3420", 0.3420 * INCH, 0.0), MACHINIST), Done)
    wrong.off = DAY
    assert isinstance(desk.submit(Noted("the next day"), MACHINIST), Done)
    wrong.off = -400 * DAY
    assert f"BG-4 was due to be checked by {day}." in str(_read(desk, "top"))


@pytest.mark.parametrize(
    "text",
    [
        "2016-12-31T23:59:60.000000Z",
        "2025-03-04T08:12:09.120000+01:00",
        "2025-03-04T08:12:09.120000",
        "2025-03-04 08:12:09.120000Z",
        "2025-02-29T08:12:09.120000Z",
        "2025-03-04T24:00:00.000000Z",
        "2025-03-04T08:12:09Z",
    ],
)
def test_a_leap_second_a_zone_or_a_day_that_never_was_is_no_time_of_a_record(text: str) -> None:
    """The leap second of 31 December 2016, IERS Bulletin C 52; Python's clock repeats the second before it."""
    assert not is_time(text)


def test_the_last_microsecond_that_can_be_told_is_followed_by_itself() -> None:
    end = "9999-12-31T23:59:59.999999Z"
    assert not_before("2026-01-01T00:00:00.000000Z", end) == end


SET_BACK = """
import sys
from datetime import datetime, timedelta
from headwright.cli import main
from headwright.store import desk

class Behind(datetime):
    @classmethod
    def now(cls, zone=None):
        return datetime.now(zone) - timedelta(hours=5)

desk.datetime = Behind
sys.exit(main(sys.argv[1:]))
"""
"""The program on a computer whose clock is five hours behind: the clock of the machine itself stays as it is."""


def test_the_bench_tells_of_a_clock_behind_the_record_and_saves(home: Path) -> None:
    new_job(home, JOB)
    with at_bench(home, JOB, command=(sys.executable, "-c", SET_BACK)) as app:
        for figure in ("8.001", "8.102"):
            app.press(figure[0])
            app.read(0.06)
            app.press(figure[1:], "enter")
            app.wait_for("clock is 5 hours behind the record; times go on from the last entry.", "saved")
        app.wait_for("▸ 1I: Depth, c")
        app.kill()
    assert typed_in(sound(home, JOB)) == ["8.001", "8.102"]
