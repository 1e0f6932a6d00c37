"""The start: who is there is asked before the job is read, and whatever is typed meanwhile arrives."""

from __future__ import annotations

import asyncio
import json
import sqlite3
import threading
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from headwright.job.events import CameOn, ReadingTaken
from headwright.store import open_store
from headwright.store.front import SqlFront
from headwright.store.sqlite import WAIT, SqliteDatabase
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.cards.who import WhoCard
from headwright.terminal.jobs import JobsScreen
from headwright.terminal.opening import OpeningScreen
from tests.store.gauged import POINTS, Gauged, killed_when_found
from tests.store.small import HandClock
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import words
from tests.terminal.pty_app import LONGEST, PtyApp

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.store.jobs import SqlJobs

JOB = "2001"
ASKED = "Who is at the bench?"
FIRST = "▸ 1I: Finished ID, top, 0°"


def started(home: Path, job: str = JOB) -> PtyApp:
    """Start the program on a job, and wait for nothing."""
    return PtyApp((*HEADWRIGHT, "open", job), 100, 30, {"HEADWRIGHT_HOME": str(home)})


class SlowFront(SqlFront):
    """A store whose jobs take until they are let to be read."""

    def __init__(self, database: SqliteDatabase) -> None:
        super().__init__(database)
        self.may_go = threading.Event()

    def whole(self) -> SqlJobs:
        assert self.may_go.wait(LONGEST)
        return super().whole()


def slow(home: Path) -> SlowFront:
    database = SqliteDatabase(home / "headwright.db", WAIT)
    database.prepare()
    return SlowFront(database)


async def at_the_bench(app: HeadwrightApp) -> BenchScreen:
    """Wait until the job is read and has what was kept for it."""
    until = time.monotonic() + LONGEST
    while time.monotonic() < until:
        bench = next((screen for screen in app.screen_stack if isinstance(screen, BenchScreen)), None)
        if bench is not None and not app.is_starting:
            return bench
        await asyncio.sleep(0.01)
    raise AssertionError("the job was not read")


async def shown(app: HeadwrightApp, text: str) -> None:
    """Wait until a text is on screen."""
    until = time.monotonic() + LONGEST
    while text not in words(app):
        assert time.monotonic() < until, words(app)
        await asyncio.sleep(0.01)


def changed(home: Path, statement: str, *values: object) -> None:
    """Change the store's file behind the program's back."""
    with closing(sqlite3.connect(home / "headwright.db")) as connection:
        for (trigger,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {trigger}")
        connection.execute(statement, values)
        connection.commit()


def test_a_choice_typed_before_anything_is_drawn_arrives(sizing: Path) -> None:
    with started(sizing) as app:
        app.write(b"2")
        app.wait_for(ASKED, f"▸ 2 {MARA.operator}  {MARA.name}")
        app.press("enter")
        app.wait_for(f"{MARA.operator} {MARA.name}", "▸ 1I: Ball diameter")


def test_initials_and_name_typed_while_the_job_is_read_arrive(sizing: Path) -> None:
    with started(sizing) as app:
        app.wait_for(ASKED)
        app.press("9", "enter")
        app.wait_for("Your initials or number")
        app.write(b"44\r")
        app.wait_for("Your name")
        app.write(b"Nils Holm\r")
        app.wait_for("Your role")
        app.write(b"1\r")
        app.wait_for("Nils Holm: press a when you have read it")


def test_what_is_typed_after_the_answer_waits_for_the_bench(sizing: Path) -> None:
    """The answer is given at the first paint, and the ball follows as soon as a hand can type it."""
    with started(sizing) as app:
        app.wait_for(ASKED)
        app.press("2", "enter")
        app.read(0.03)
        app.press(".31395", "enter")
        app.wait_for(FIRST)
    store = open_store(sizing / "headwright.db")
    last = store.entries(JOB)[-1].event
    store.close()
    assert isinstance(last, ReadingTaken)
    assert (last.reading, last.typed) == ("ball", ".31395")


def test_leaving_the_card_at_once_shows_the_bench_and_does_not_ask_again(sizing: Path) -> None:
    with started(sizing) as app:
        app.wait_for(ASKED)
        app.press("esc")
        app.wait_for("nobody at the bench", "Say who is at the bench.")
        assert ASKED not in app.settled()


def test_the_stop_of_the_head_is_asked_for_once_the_job_is_read(sizing: Path) -> None:
    with started(sizing) as app:
        app.wait_for(ASKED)
        app.press("f6")
        app.read(0.03)
        app.press("2", "enter")
        app.wait_for("Stop head A of job")


def test_a_job_that_is_not_there_is_told_before_the_screens(sizing: Path) -> None:
    with started(sizing, "2010") as app:
        assert app.ended() == 2
        assert "headwright: there is no job '2010' in" in app.text
        assert f"Nearest: '{JOB}'." in app.text
        assert not app.modes


def test_a_record_that_was_changed_is_told_and_never_opened(sizing: Path) -> None:
    changed(
        sizing,
        "UPDATE events SET event = CAST(replace(CAST(event AS TEXT), ?, 'Nobody') AS BLOB) WHERE job = ?",
        MARA.name,
        JOB,
    )
    with started(sizing) as app:
        assert app.ended() == 1
        assert "does not fit; it was changed, or something before it is missing" in app.text.replace("\n", "")
        assert app.is_restored


def test_a_plan_that_was_changed_is_told_and_never_opened(sizing: Path) -> None:
    changed(sizing, "UPDATE plans SET json = CAST(replace(CAST(json AS TEXT), 'Alder', 'Elder') AS BLOB)")
    with started(sizing) as app:
        assert app.ended() == 1
        assert f"headwright: job '{JOB}': its plan was changed after it was kept" in app.text.replace("\n", "")
        assert app.is_restored


async def test_a_figure_typed_before_the_job_is_read_waits_for_the_bench(sizing: Path) -> None:
    front = slow(sizing)
    app = HeadwrightApp(front, "here", JOB)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("2", "enter", ".", "3")
        assert isinstance(app.screen, WhoCard)
        front.may_go.set()
        bench = await at_the_bench(app)
        await pilot.pause()
        assert bench.hand.operator == MARA.operator
        assert bench.hand.typed == ".3"
    front.close()


async def test_whoever_is_on_at_this_terminal_is_not_asked_and_loses_no_key(sizing: Path) -> None:
    front = slow(sizing)
    app = HeadwrightApp(front, "office", JOB)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press(".", "3", "1")
        assert isinstance(app.screen, OpeningScreen)
        front.may_go.set()
        bench = await at_the_bench(app)
        await pilot.pause()
        assert bench.hand.operator == MARA.operator
        assert bench.hand.typed == ".31"
    front.close()


async def test_an_answer_to_a_list_that_the_record_does_not_bear_out_is_asked_for_again(sizing: Path) -> None:
    """What the list of jobs says is not the record: nobody comes on under a name that only the list has."""
    with closing(sqlite3.connect(sizing / "headwright.db")) as connection:
        (text,) = connection.execute("SELECT json FROM summaries WHERE job = ?", (JOB,)).fetchone()
    summary = json.loads(text)
    for person in summary["people"]:
        person.update(name="Nobody", role="lead")
    changed(sizing, "UPDATE summaries SET json = ? WHERE job = ?", json.dumps(summary).encode(), JOB)
    front = slow(sizing)
    app = HeadwrightApp(front, "here", JOB)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        assert "2 07 Nobody lead, on since" in words(app)
        await pilot.press("2", "enter", "4")
        front.may_go.set()
        bench = await at_the_bench(app)
        await pilot.pause()
        assert "2 07 Mara Quill machinist, on since" in words(app)
        assert "listed anew: choose once more." in words(app)
        await pilot.press("2", "enter")
        await pilot.pause()
        assert app.screen is bench
        assert bench.hand.typed == ""
    names = {entry.event.name for entry in front.whole().entries(JOB) if isinstance(entry.event, CameOn)}
    assert names == {OWEN.name, MARA.name}
    front.close()


def test_a_list_that_cannot_be_understood_does_not_keep_the_job_from_being_opened(sizing: Path) -> None:
    changed(sizing, "UPDATE summaries SET json = ? WHERE job = ?", b'{"job":', JOB)
    with started(sizing) as app:
        app.wait_for(ASKED, MARA.name, OWEN.name)


async def test_the_list_of_jobs_is_shown_before_what_works_on_jobs_is_there(sizing: Path) -> None:
    """And keys move in it; a doubt that waits is brought in once that is there."""
    clock = HandClock()
    store = open_store(sizing / "headwright.db")
    finder, other = Gauged(store, clock, "1002"), Gauged(store, clock, "1001")
    finder.zero()
    other.zero()
    other.read(*POINTS[:4])
    store.close()
    killed_when_found(sizing / "headwright.db", "1002")
    front = slow(sizing)
    app = HeadwrightApp(front, "here")
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, JobsScreen)
        assert "Jobs 3" in words(app)
        for job in ("1001", "1002", JOB):
            assert job in words(app)
        first = app.screen.at_hand
        await pilot.press("down")
        assert app.screen.at_hand != first
        assert not app.is_loaded
        assert "was found off" not in words(app)
        front.may_go.set()
        await shown(app, "▲ BG-3 was found off in job 1002: 4 readings of job 1001 struck, to be taken again.")
        assert app.is_loaded
    front.close()


def test_a_job_chosen_at_the_first_paint_of_the_list_is_opened(sizing: Path) -> None:
    with PtyApp(HEADWRIGHT, 100, 30, {"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.wait_for("Jobs  1")
        app.write(b"\r")
        app.wait_for(ASKED, MARA.name)
        app.press("esc")
        app.wait_for(ASKED, gone=True)
        app.press("f8")
        app.wait_for("Jobs  1")
        app.press("ctrl+c")
        assert app.ended() == 0
        assert app.is_restored


@pytest.mark.parametrize("wait", [0.0, 0.05, 0.15, 0.3])
def test_killed_while_the_job_is_read_nothing_is_left_over(sizing: Path, wait: float) -> None:
    with started(sizing) as app:
        app.wait_for(ASKED)
        app.read_until(wait)
        app.kill()
    with started(sizing) as app:
        app.wait_for(ASKED)
        app.press("ctrl+c")
        assert app.ended() == 0
        assert app.is_restored
    assert sorted(path.name for path in sizing.iterdir()) == ["headwright.db"]
