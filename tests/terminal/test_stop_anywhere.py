"""One key stops the head from any screen, and what was open there stays as it was; only a lead lets it go on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.events import Stopped
from headwright.store import open_store
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.cards.confirm import ReasonCard
from headwright.terminal.cards.gauge import GaugeCard
from tests.job.small import MACHINIST
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import words
from tests.terminal.pty_app import PtyApp
from tests.terminal.strict_bench import JOB, MARA, at_bench, do, job_at, ready_to_read, state_at, to_bore

if TYPE_CHECKING:
    from pathlib import Path


def test_from_a_card_with_something_typed_and_the_card_stays(home: Path) -> None:
    to_bore(job_at(home))
    with at_bench(home) as app:
        app.wait_for("Bore: which cutter?")
        app.press("K-34")
        app.wait_for("K-34")
        app.press("f6")
        app.wait_for("Stop head A")
        app.press("f6")  # once more opens nothing more
        app.press("belt smokes", "enter")
        app.wait_for("Stop head A", gone=True)
        app.wait_for("Bore: which cutter?", "K-34", "Head A is stopped. A lead lets it go on")
        app.enter("25", "Its size as measured")
        app.press("enter")
        app.wait_for("is stopped: belt smokes")
        app.press("esc")
        app.wait_for("Stopped, head A: belt smokes", "■ stopped")
        app.press("f6")
        app.wait_for("Resume head A", "A lead says what was found and done")
        app.press("esc")
    assert state_at(home).stopped == {"head:A": "belt smokes"}


async def test_over_a_card_a_stopped_head_is_told_of_and_nothing_is_asked(home: Path) -> None:
    desk = job_at(home)
    do(desk, Stopped("head:A", "smoke"))
    app = HeadwrightApp(open_store(home / "headwright.db"), "here", JOB)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        while not isinstance(app.screen, BenchScreen):
            await pilot.press("escape")
        bench = app.screen
        bench.hand.operator = MACHINIST
        bench.action_note()
        await pilot.pause()
        card = app.screen
        await pilot.press("f6")
        assert app.screen is card
        assert "Head A is stopped. A lead lets it go on" in words(app)
        assert "this is for a lead" not in words(app)


def test_from_the_bench_with_a_figure_typed(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Bored id, top")
        app.press(".34")
        app.press("f6")
        app.wait_for("Stop head A")
        app.press("esc")
        app.wait_for("Stop head A", gone=True)
        app.wait_for(".34▏", "'.34' is not saved yet: Enter enters it, Esc clears it.")
        app.press("f6")
        app.wait_for("Stop head A")
        app.press("dropped", "enter")
        app.wait_for("Stop head A", gone=True)
        app.wait_for(".34▏")
        app.press("esc")
        app.wait_for("Stopped, head A: dropped")
    assert state_at(home).stopped == {"head:A": "dropped"}


def test_from_the_sums_over_the_bench(home: Path) -> None:
    to_bore(job_at(home))
    with at_bench(home) as app:
        app.wait_for("which cutter?")
        app.press("esc")
        app.wait_for("which cutter?", gone=True)
        app.press("f7")
        app.wait_for("F2 mm/in")
        app.press("f6")
        app.wait_for("Stop head A")
        app.press("fire", "enter")
        app.wait_for("F2 mm/in")
    assert state_at(home).stopped == {"head:A": "fire"}


def test_from_the_list_of_jobs_it_asks_who(home: Path) -> None:
    job_at(home)
    with PtyApp(HEADWRIGHT, env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("Jobs", JOB)
        app.press("f6")
        app.wait_for("Who is at the bench?", MARA)
        app.press("1", "enter")
        app.wait_for("Stop head A")
        app.press("crack heard", "enter")
        app.wait_for("Stopped, head A: crack heard")
    state = state_at(home)
    assert state.stopped == {"head:A": "crack heard"}


async def test_a_card_left_over_by_a_stop_takes_nothing_by_itself(home: Path) -> None:
    """The caution or gauge that comes next is not shown over the card that is still open."""
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    app = HeadwrightApp(open_store(home / "headwright.db"), "here", JOB)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        bench = app.screen_stack[1]
        assert isinstance(bench, BenchScreen)
        bench.hand.operator = MACHINIST
        await pilot.press("escape")
        bench.ask_gauge("bore gauge", choose=True)
        await pilot.pause()
        await pilot.press("f6")
        assert isinstance(app.screen, ReasonCard)
        await pilot.press(*"smoke", "enter")
        await pilot.pause()
        assert isinstance(app.screen, GaugeCard)
        assert "BG-4" in words(app)


def test_where_no_head_is_at_hand_it_is_said_so(home: Path) -> None:
    home.mkdir()
    with PtyApp(HEADWRIGHT, env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("A new job")
        app.press("f6")
        app.wait_for("No head is at hand: one is stopped at its bench")
        app.press("esc")
        app.wait_for("There is no job yet")
        for opens, shows in (("f7", "Still to come"), ("ctrl+n", "BG-1")):
            app.press(opens)
            app.wait_for(shows)
            app.press("f6")
            app.wait_for("No head is at hand")
            app.press("esc")
            app.wait_for("There is no job yet")
