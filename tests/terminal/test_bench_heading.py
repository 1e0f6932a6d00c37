"""What the strip says first: the field at the cursor, what comes next, and that a line was cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from rich.cells import cell_len

from headwright.job.agenda import Now
from headwright.job.events import Disposed, Disposition, ReadingStruck, ReadingTaken
from headwright.job.sent_back import sent_back
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.flow import by_words, fitted, flowed
from headwright.terminal.bench.header import Header
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.struck import sent_back_words
from headwright.terminal.bench.why import why
from headwright.terminal.drawn import plain
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal import alder_bench
from tests.terminal.alder_bench import do, work_to_hold
from tests.terminal.idle import settled

if TYPE_CHECKING:
    from headwright.procedure.plan import Reading
    from headwright.store import JobStore
    from headwright.store.desk import Desk
    from headwright.terminal.bench.hand import Hand

HERE = "this bench"


def opened(store: JobStore, operation: str) -> Desk:
    """Open job 7 at an operation with its first step ticked."""
    return alder_bench.opened(store, up_to=operation, ticked=True, terminal=HERE)


def strip(app: HeadwrightApp) -> list[str]:
    """Give the lines of the strip, as many as it has room for."""
    part = app.screen.query_one(Strip)
    return [plain(line).rstrip() for line in part.lines[: part.size.height]]


def hand(app: HeadwrightApp) -> Hand:
    assert isinstance(app.screen, BenchScreen)
    return app.screen.hand


def bench_reading(app: HeadwrightApp) -> Reading:
    found = hand(app).reading
    assert found is not None
    return found


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_the_field_at_the_cursor_is_named_before_what_is_held_elsewhere(
    store: JobStore, size: tuple[int, int]
) -> None:
    """With 2I and 4E held and all else done: F3 strikes what is at the cursor, so that is what the heading names."""
    work_to_hold(opened(store, "size"))
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        assert hand(app).next.now is Now.HOLD
        assert strip(app)[0].startswith("■ 2I is held in 'Size the liner'")
        await pilot.press("up", "right")
        await settled(pilot)
        lines = strip(app)
        assert lines[0].strip().startswith("1I: Finished ID, top, 0°"), lines
        assert "■ F4: 2I is held in 'Size the liner'" in " ".join(lines[:2])
        how = bench_reading(app).how
        assert lines[0].endswith("…")
        assert how not in lines[0]
        told = [paragraph for _, paragraph in why(hand(app))[1]]
        assert any(how in each for each in told), "what is cut there is whole under ?"
        assert hand(app).next.say in told
        await pilot.press("home")
        await settled(pilot)
        assert strip(app)[0].startswith("■ 2I is held in 'Size the liner'")


async def test_left_and_right_stay_within_the_row(store: JobStore) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("down")
        first = hand(app).spot
        assert first is not None
        await pilot.press("left")
        assert hand(app).spot == first
        await pilot.press(*["right"] * 20)
        last = hand(app).spot
        assert last is not None
        assert last.place == first.place
        assert last != first


def test_a_cut_line_ends_with_an_ellipsis_wherever_it_is_cut() -> None:
    words = [("Top and bottom,", "strong"), ("  then the middle of the bore", "quiet")]
    whole = "".join(text for text, _ in words)
    for width in range(1, len(whole) + 3):
        for lines in ([fitted(words, width)], flowed(by_words(words), width, 1), flowed(by_words(words), width, 2)):
            shown = "".join(text for line in lines for text, _ in line)
            assert all(cell_len("".join(text for text, _ in line)) <= width for line in lines)
            told = shown.split() == whole.split() or "".join(shown.split()) == "".join(whole.split())
            assert told is not shown.rstrip().endswith("…"), (width, shown)


async def test_a_strike_tells_what_was_struck_and_the_bench_goes_to_what_is_read_again(store: JobStore) -> None:
    """The reading at the cursor is struck; the bore is no longer oiled by then, and need not be to be read."""
    work_to_hold(opened(store, "size"))
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        bench = hand(app)
        bench.pick(next(s for row in bench.rows for s in row if s.place == "3E" and s.item == "finished_id"))
        await pilot.press("f3")
        await settled(pilot)
        assert type(app.screen).__name__ == "StrikeCard"
        for key in ("1", "enter", "enter"):
            if type(app.screen).__name__ == "StrikeCard":
                await pilot.press(key)
                await pilot.pause()
        assert bench.operation_id == "size"
        said = " ".join(" ".join(strip(app)).split())
        assert said.startswith("▸ 3E: Finished ID, top, 0°")
        assert "Struck: 3E, Finished ID, top, 0°. It stays on record." in said
        assert "goes back" not in said


def test_where_a_place_goes_back_to_is_told_only_where_that_has_changed(store: JobStore) -> None:
    """Oil was on the valve when it went in, and a guide is measured dry."""
    desk = opened(store, "vacuum-test")
    before, at = desk.state, ("verify", "3E")
    number = next(iter(before.attempt(*at).readings.values())).number
    do(desk, ReadingStruck(number, "typed wrong"), MARA.operator)
    told = sent_back_words(desk.state, at, sent_back(before, desk.state, at), "vacuum-test")
    assert told.startswith("3E goes back to 'Brush and wash the guides': 'Verify the guide' wants it ")
    nothing = sent_back(desk.state, desk.state, at)
    assert sent_back_words(desk.state, at, nothing, "vacuum-test") == "", "nothing there has changed"


async def test_a_head_given_up_says_so_and_enter_tells_where_to_go(store: JobStore) -> None:
    desk = opened(store, "size")
    work_to_hold(desk)
    do(desk, Disposed("size", "2I", "clearance", Disposition.SCRAP, "cracked"), OWEN.operator)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert plain(app.screen.query_one(Header).lines[0]).rstrip().endswith("× scrapped")
        await pilot.press("enter")
        await settled(pilot)
        assert "Given up. Nothing more is due. F8 goes to the list of jobs." in " ".join(strip(app))


async def test_why_work_is_done_again_stays_in_sight_until_its_first_figure(store: JobStore) -> None:
    desk = opened(store, "size")
    work_to_hold(desk)
    do(
        desk,
        Disposed("size", "2I", "clearance", Disposition.REWORK, "oil again, the next ball", redo="size"),
        MARA.operator,
    )
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        bench = hand(app)
        bench.look_at("size")
        bench.pick(next(s for row in bench.rows for s in row if s.place == "2I" and s.item == "ball"))
        await pilot.press(".")
        await settled(pilot)
        assert "Again: oil again, the next ball" in strip(app), "while the ball is typed too"
        do(desk, ReadingTaken("size", "2I", "ball", ".3140", "in", 0.3140 * 25.4), MARA.operator)
        bench.refresh()
        bench.clear()
        await pilot.press("right", "left")
        await settled(pilot)
        assert "Again:" not in " ".join(strip(app))


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (60, 18)])
async def test_the_key_that_answers_what_is_next_is_never_cut_off(store: JobStore, size: tuple[int, int]) -> None:
    """A lead has a default to confirm, which takes more words than the strip has room for."""
    alder_bench.opened(store, up_to="release", terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        bench = hand(app)
        bench.at_bench(OWEN.operator)
        bench.follow()
        app.screen.paint()  # type: ignore[attr-defined]
        while bench.operation_id == "release" and bench.next.now is not Now.CONFIRM:
            await pilot.press("space" if bench.step is not None else "y")
            await settled(pilot)
        assert bench.next.now is Now.CONFIRM, bench.next
        first = " ".join(strip(app)[:2])
        assert first.rstrip().endswith("Enter: a lead confirms it"), first
        assert "give the bench back" not in bench.say, "there is more for a lead"
