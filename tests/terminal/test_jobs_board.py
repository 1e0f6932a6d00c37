"""The jobs board: every job with how far it is, what holds it and who is on it; finding one, opening one."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace
from textual.widgets import Input

from headwright.data import shipped
from headwright.errors import StoreError
from headwright.job.events import CameOn, CautionAcknowledged, Event, ReadingTaken, StepTicked, Stopped
from headwright.job.listed import Summary
from headwright.job.pace import Took
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.desk import Desk, Done
from headwright.store.record import import_job, read_record
from headwright.store.sample import bring_sample
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.first_start import FirstStart, TourScreen
from headwright.terminal.job_list import JobList
from headwright.terminal.job_words import finish_words, left_of, trouble_words, troubles
from headwright.terminal.jobs import SECONDS, JobsScreen
from headwright.terminal.keyline import KeyLine
from headwright.terminal.new_job import NewJobScreen
from tests.at_desk import opened, recorded
from tests.job.small import LEAD, MACHINIST, plan, taken
from tests.store.gauged import OFF, POINTS, Gauged, killed_when_found
from tests.store.small import HandClock
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import HOSTILE, SIZES, OneScreen, is_in_sight, seen, words
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore


class Board(OneScreen[None]):
    """Shows the board of a store, and keeps which jobs it wants opened."""

    def __init__(self, store: JobStore) -> None:
        super().__init__(JobsScreen(store, "bench 1"))
        self.opened: list[str] = []

    def on_jobs_screen_open(self, message: JobsScreen.Open) -> None:
        self.opened.append(message.job)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[JobStore]:
    kept = open_store(tmp_path / "headwright.db")
    yield kept
    kept.close()


def _job(store: JobStore, number: str, tag: str = "", customer: str = "") -> Desk:
    return Desk.create(store, plan(), number, terminal="bench 1", tag=tag, customer=customer)


def _do(desk: Desk, *events: Event, operator: str = MACHINIST) -> None:
    for event in events:
        answer = desk.submit(event, operator)
        assert isinstance(answer, Done), str(answer)


def _held(store: JobStore, number: str) -> None:
    """A job whose 1I is bored too small."""
    desk = _job(store, number, tag="418-A", customer="418")
    _do(desk, CameOn(MACHINIST, "Mara", Role.MACHINIST))
    _do(desk, CameOn(LEAD, "Lena", Role.LEAD), operator=LEAD)
    _do(
        desk,
        ReadingTaken("receive", "head:A", "cracked", "no", word="no"),
        StepTicked("soak", "head:A", "wait"),
        CautionAcknowledged("carbide"),
    )
    for place in ("1I", "1E"):
        _do(desk, taken("survey", place, "stem", 0.3115))
        _do(desk, ReadingTaken("decide", place, "repair", "liner", word="liner"), operator=LEAD)
    _do(desk, taken("bore", "1I", "bored_id", 0.3410, "top"), taken("bore", "1I", "bored_id", 0.3410, "bottom"))


async def test_a_line_tells_how_far_a_job_is_what_holds_it_who_is_on_and_where_it_stands(store: JobStore) -> None:
    _held(store, "1001")
    (summary,) = store.jobs()
    app = Board(store)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        text = words(app)
        lines = seen(app).splitlines()
        line = next(number for number, line in enumerate(lines) if "418-A" in line)
    assert lines[line].startswith(" ■ 1001  418-A, Small one, Liners ")
    assert lines[line].rstrip().endswith(f" {summary.done} of {summary.due} done  07 02")
    assert lines[line + 1].startswith("   held 1  at Bore ")
    assert "■ 1 held" in lines[0]
    assert "1001 tag 418-A, Small one, for 418 Route Liners" in text
    assert f"Stands held 1, at 'Bore'; {summary.done} of {summary.due} done" in text
    assert "At the bench 07, 02; last entry" in text


async def test_a_stop_and_an_untouched_job_are_told_in_words(store: JobStore) -> None:
    _job(store, "1")
    stopped = _job(store, "2")
    _do(stopped, CameOn(MACHINIST, "Mara", Role.MACHINIST), Stopped("head:A", "crack"))
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = seen(app).splitlines()
    assert next(line for line in lines if line.startswith(" ■ 2")).split()[-2:] == ["stopped", "07"]
    assert "■ 1 stopped" in lines[0]
    assert next(line for line in lines if line.startswith(" ▸ 1")).split()[-1] == "open"
    assert "nobody at the bench" not in lines[-1]


async def test_a_job_that_cannot_be_read_says_why_and_leaves_the_others_in_reach(
    store: JobStore, tmp_path: Path
) -> None:
    _job(store, "1")
    _job(store, "2")
    with closing(sqlite3.connect(tmp_path / "headwright.db")) as raw, raw:
        raw.execute("UPDATE plans SET json = x'7b7d'")
        raw.execute("UPDATE meta SET value = 0 WHERE key = 'read-models'")
    again = open_store(tmp_path / "headwright.db")
    app = Board(again)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = seen(app).splitlines()
        assert next(line for line in lines if line.startswith(" × 1")).split() == ["×", "1", "broken"]
        assert "It cannot be opened: job '1': its plan was changed" in words(app)
        await pilot.press("down")
        assert "It cannot be opened: job '2': its plan was changed" in words(app)
    again.close()


async def test_enter_and_a_click_open_a_job_and_the_board_says_so(store: JobStore) -> None:
    for number in ("1", "2", "3"):
        _job(store, number)
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        assert app.opened == ["2"]
        row = next(y for y, line in enumerate(seen(app).splitlines()) if line.startswith(" ▸ 1"))
        assert "Enter or a click opens the job" in seen(app)
        await pilot.click(offset=(10, row))
        await pilot.pause()
    assert app.opened == ["2", "1"]


async def test_typing_finds_jobs_by_any_part_of_their_line(store: JobStore) -> None:
    _held(store, "1001")
    for number in range(2000, 2040):
        _job(store, str(number), tag="blue" if number % 2 else "red", customer="Tern Point")
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(*"blue 2007")
        assert app.screen.query_one("#jobs-find", Input).value == "blue 2007"
        assert "1 of 41" in words(app)
        await pilot.press("enter")
        await pilot.pause()
        assert app.opened == ["2007"]
        await pilot.press("escape", *"held", "enter")
        await pilot.pause()
        assert app.opened == ["2007", "1001"]
        await pilot.press("escape", "slash", *"none such")
        assert "No job has that in its line. Esc shows them all again." in words(app)
        await pilot.press("enter")
        await pilot.pause()
        assert app.opened == ["2007", "1001"]
        await pilot.press("escape")
        assert app.screen.query_one(JobList).has_focus
        assert "Jobs 41 ■ 1 held in" in words(app)


async def test_a_long_list_scrolls_with_the_job_at_hand_always_in_sight(store: JobStore) -> None:
    for number in range(1, 61):
        _job(store, f"job{number:02}")
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        jobs = app.screen.query_one(JobList)
        for pressed in ("end", "pageup", "up", "home", "pagedown", "down", "pagedown", "pagedown", "pagedown"):
            await pilot.press(pressed)
            assert jobs.at_hand is not None
            lines = seen(app).splitlines()
            assert any(line.startswith(f" ▸ {jobs.at_hand.job}") for line in lines)
            assert any(line.startswith(f" {jobs.at_hand.job}          ") for line in lines)


async def test_what_another_terminal_does_is_seen_while_the_job_at_hand_stays(store: JobStore) -> None:
    for number in ("1", "2", "3"):
        _job(store, number)
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("down")
        _job(store, "4", tag="new")
        board = app.screen
        assert isinstance(board, JobsScreen)
        board.look()
        await pilot.pause()
        at_hand = app.screen.query_one(JobList).at_hand
        assert "new" in words(app)
        assert at_hand is not None
        assert at_hand.job == "2"


async def test_a_store_that_cannot_be_read_is_told_in_words(store: JobStore, tmp_path: Path) -> None:
    _job(store, "1")
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        (tmp_path / "headwright.db").rename(tmp_path / "away.db")
        with pytest.raises(StoreError):
            _job(store, "2")
        await pilot.press("f9")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "was moved or deleted while it was in use" in words(app)
        assert app.opened == []


@pytest.mark.parametrize("size", SIZES)
async def test_hostile_tags_are_shown_as_text(store: JobStore, size: tuple[int, int]) -> None:
    opened(store, plan(), "1", tag=HOSTILE, customer=HOSTILE)
    desk = Desk.open(store, "1", "bench 1")
    recorded(store, desk, HOSTILE[:40], CameOn(HOSTILE[:40], HOSTILE, Role.MACHINIST))
    app = Board(store)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        text = seen(app)
        assert "[/b][@" in text
        assert not set(text) & {"\x1b", "\x07", "\u202e"}
        assert is_in_sight(app, app.screen.query_one(KeyLine))
        assert is_in_sight(app, app.screen.query_one(JobList))
        await pilot.press("enter")
        await pilot.pause()
    assert app.opened == ["1"]


async def test_help_and_new_job_are_one_key_away(store: JobStore) -> None:
    _job(store, "1")
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("f1")
        assert isinstance(app.screen, HelpScreen)
        await pilot.press("escape", "n")
        assert isinstance(app.screen, NewJobScreen)
        await pilot.press("escape")
        assert isinstance(app.screen, JobsScreen)


# A shop without a job


async def test_a_shop_without_a_job_is_asked_how_to_begin(store: JobStore) -> None:
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, FirstStart)
        text = words(app)
        for choice in ("1 The sample job", "2 A new job", "3 A look round"):
            assert choice in text
        await pilot.press("escape")
        await pilot.pause()
        assert "There is no job yet: n opens a new one, F9 the sample." in words(app)


async def test_the_sample_job_is_brought_in_and_opened(store: JobStore) -> None:
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("1", "enter")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.opened == ["1001"]
        assert [job.job for job in store.jobs()] == ["1001"]


async def test_a_look_round_writes_nothing_and_comes_back_to_the_question(store: JobStore) -> None:
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("3", "enter")
        await pilot.pause()
        assert isinstance(app.screen, TourScreen)
        assert "What it does" in words(app)
        await pilot.press("pagedown", "pagedown")
        assert "F1 shows every key, and from there" in words(app)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, FirstStart)
        assert store.jobs() == ()


async def test_a_new_job_is_the_second_choice(store: JobStore) -> None:
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("2", "enter")
        await pilot.pause()
        assert isinstance(app.screen, NewJobScreen)


# Work left

NOON = datetime(2025, 3, 4, 12, 0).astimezone().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _summary(**more: Any) -> Summary:
    """A job of one operation that the plan gives an hour and a half."""
    usual = Summary("1", "418-A", "", "Small one", "Liners", "open", 3, 9, 0, ("07",), "Size", 40, NOON)
    return replace(usual, **{"left": (("size", 90.0),), **more})


def _finish(job: Summary, hour: int = 12, *, closings: int = 0, times: float = 2.0) -> str:
    """What is said of a job, its shop having taken so many times the plan's minutes so often before."""
    known = {"size": Took("size", closings, 15.0, 15.0 * times)} if closings else {}
    now = datetime(2025, 3, 4, hour, 10).astimezone()
    return finish_words(job, left_of(job, known), now.astimezone(UTC))


def test_work_left_is_told_by_the_plan_until_the_shop_has_times_of_its_own() -> None:
    said = "About 1 h 30 min of work left, by the plan's minutes; near 13:40 if they stay at it."
    assert _finish(_summary()) == said
    few, many = _finish(_summary(), closings=2), _finish(_summary(), closings=990)
    assert few.startswith(
        "About 1 h 45 min of work left, by the plan's minutes and what this shop has on record so far"
    )
    assert many == "About 3 h of work left, by this shop's own times; near 15:10 if they stay at it."


@pytest.mark.parametrize(
    ("job", "hour"),
    [
        (_summary(on=()), 12),
        (_summary(status="held", held=1), 12),
        (_summary(status="stopped"), 12),
        (_summary(), 14),
        (_summary(time=NOON.replace("T", " at ")), 12),
        (_summary(left=(("size", 900.0),)), 12),
    ],
    ids=["nobody is on", "held", "stopped", "nothing written for two hours", "time not to be read", "not today"],
)
def test_no_time_of_day_is_promised(job: Summary, hour: int) -> None:
    said = _finish(job, hour)
    assert said.endswith("of work left, by the plan's minutes.")
    assert ":" not in said


def test_what_repairs_will_ask_for_is_not_known_before_they_are_decided() -> None:
    assert _finish(_summary(undecided=3)) == (
        "At least 1 h 30 min of work left, by the plan's minutes: 3 places have no repair decided yet."
    )


@pytest.mark.parametrize("status", ["released", "scrapped", "broken"])
def test_a_job_that_is_over_has_no_work_left(status: str) -> None:
    assert _finish(_summary(status=status)) == ""


def test_everything_that_is_wrong_with_a_job_is_said_in_words() -> None:
    job = _summary(status="stopped", held=2, doubted=1)
    assert trouble_words(job) == "stopped, held 2, 1 reading in doubt"
    assert "".join(text for text, _ in troubles(job)) == "stopped  ■ held 2  ▲ 1 in doubt"


@pytest.mark.parametrize("size", SIZES)
async def test_the_work_left_stands_in_the_line_and_beside_the_job_at_hand(
    store: JobStore, size: tuple[int, int]
) -> None:
    import_job(store, read_record(shipped("sample_jobs") / "1004.toml"))
    bring_sample(store)
    app = Board(store)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.press("down")
        lines, text = seen(app).splitlines(), words(app)
    row = next(number for number, line in enumerate(lines) if line.startswith(" ▸ 1001"))
    here = lines[row] + lines[row + 1]
    assert "2 h 50 min" in here
    assert ("about 2 h 50 min of work left" in here) is (size[0] > 80)
    assert "About 2 h 50 min of work left, by the plan's minutes and what this shop has on record so far." in text
    assert "━" in lines[row]
    assert "70" in lines[row]


def test_a_double_click_opens_a_job_once_and_its_second_half_chooses_nobody(home: Path) -> None:
    home.mkdir()
    kept = open_store(home / "headwright.db")
    for number in range(1, 16):
        _do(_job(kept, f"job{number:02}"), CameOn(MACHINIST, "Mara Quill", Role.MACHINIST))
    kept.close()
    with PtyApp(HEADWRIGHT, 80, 24) as app:
        app.wait_for("job01")
        y = 10  # where the first of the people will be
        app.click_at(20, y)
        app.click_at(20, y)
        app.wait_for("Who is at the bench?", "Mara Quill")
        app.read(0.6)
        assert "Mara Quill" in app.lines[y]
        app.press("esc")
        app.wait_for("nobody at the bench")
        app.press("f8")
        app.wait_for("Jobs  15")


async def test_a_click_on_any_line_of_a_job_opens_it(store: JobStore) -> None:
    for number in ("1", "2", "3"):
        _job(store, number)
    app = Board(store)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        row = next(y for y, line in enumerate(seen(app).splitlines()) if line.startswith(" ▸ 1"))
        await pilot.click(offset=(10, row + 1))
        await pilot.pause()
        at_hand = app.screen.query_one(JobList).at_hand
        assert at_hand is not None
        assert at_hand.job == "1"
    assert app.opened == ["1"]


# Doubts


async def test_doubts_that_wait_are_brought_in_and_told_when_nobody_types(store: JobStore, tmp_path: Path) -> None:
    """A check found the gauge off, and its program was killed before the other job was told."""
    clock = HandClock()
    finder, other = Gauged(store, clock, "1002"), Gauged(store, clock, "1001")
    finder.zero()
    other.zero()
    other.read(*POINTS[:4])
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(*"zzz")
        killed_when_found(tmp_path / "headwright.db", "1002")
        await pilot.pause(SECONDS + 0.5)
        assert store.waiting()
        await pilot.press("escape")
        await pilot.pause(SECONDS + 0.5)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert store.waiting() == ()
        assert "▲ BG-3 was found off in job 1002: 4 readings of job 1001 struck, to be taken again." in words(app)


async def test_a_doubt_that_cannot_be_brought_in_is_told_and_not_tried_for_ever(
    store: JobStore, tmp_path: Path
) -> None:
    clock = HandClock()
    finder, other = Gauged(store, clock, "1002"), Gauged(store, clock, "1001")
    finder.zero()
    other.zero()
    other.read(*POINTS[:4])
    with closing(sqlite3.connect(tmp_path / "headwright.db")) as raw, raw:
        raw.execute("DROP TRIGGER events_stay")
        raw.execute("UPDATE events SET operator = '08' WHERE job = '1001' AND number = 3")
    finder.zero(OFF)
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "A doubt about a gauge could not be told to job 1001:" in words(app)
        await pilot.pause(SECONDS + 0.5)
        assert not [worker for worker in app.workers if worker.is_running]
        assert len(store.waiting()) == 1


async def test_esc_goes_back_to_the_job_that_was_left_for_the_list(store: JobStore) -> None:
    for number in ("1", "2", "3"):
        _job(store, number)
    app = Board(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("escape")
        await pilot.pause()
        assert app.opened == []
        assert "Every job is shown already; Ctrl+C leaves the program." in words(app)
        board = app.screen
        assert isinstance(board, JobsScreen)
        board.come_from("2")
        await pilot.press("slash", "3", "escape")
        await pilot.pause()
        assert app.opened == []
        await pilot.press("escape")
        await pilot.pause()
    assert app.opened == ["2"]


async def test_the_list_begins_at_the_job_that_was_left_for_it(store: JobStore) -> None:
    for number in ("1", "2", "3"):
        _job(store, number)
    board = JobsScreen(store, "bench 1")
    board.come_from("2")
    app = OneScreen(board)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert board.at_hand == "2"
        assert "Enter or a click opens the job; Esc goes back to 2." in words(app)
