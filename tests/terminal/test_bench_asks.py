"""What the bench asks with cards, and what is done with the answers: holds, strikes, notes, stops, release."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual import events

from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.route import Route
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.table import Table
from headwright.terminal.drawn import plain
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal.alder_bench import FIRST_BALL, opened
from tests.terminal.cards_app import seen as on_screen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from headwright.store import JobStore

HERE = "this bench"


@pytest.fixture
def store(home: Path) -> Iterator[JobStore]:
    """Give a store with job 7 at the sizing of its liners; Mara, a machinist, is at this terminal."""
    home.mkdir()
    found = open_store(home / "headwright.db")
    opened(found, read=(MARA,), up_to="size", ticked=True, terminal=HERE)
    yield found
    found.close()


@pytest.fixture
def led(home: Path) -> Iterator[JobStore]:
    """Give a store with the same job, and Owen, a lead, at this terminal."""
    home.mkdir()
    found = open_store(home / "headwright.db")
    opened(found, by=(MARA, OWEN), up_to="size", ticked=True, terminal=HERE)
    yield found
    found.close()


@pytest.fixture
def app(store: JobStore) -> HeadwrightApp:
    return HeadwrightApp(store, HERE, "7")


def seen(app: HeadwrightApp, kind: type[Strip | Table]) -> str:
    """Give what the strip or the table of the bench shows."""
    bench = next(screen for screen in app.screen_stack if isinstance(screen, BenchScreen))
    return "\n".join(plain(line) for line in bench.query_one(kind).lines)


def on_disk(app: HeadwrightApp) -> Desk:
    """Open the job again, as another terminal would."""
    return Desk.open(app.store, "7", "elsewhere")


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(*(key if key[:1] in ".0123456789" else (key,)))
        await pilot.pause()
    await pilot.pause()
    await pilot.pause()


async def measure(pilot: Pilot[None], place: str) -> None:
    """Take the ball and the six sizes of a place."""
    ball, sizes = FIRST_BALL[place]
    for figure in (ball, *sizes):
        await press(pilot, figure, "enter")


async def test_a_hold_opens_by_itself_and_left_the_work_goes_on_elsewhere(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await measure(pilot, "1I")
        await measure(pilot, "2I")
        assert type(app.screen).__name__ == "HoldCard"
        await press(pilot, "escape")
        assert "2I stays held" in seen(app, Strip)
        assert seen(app, Strip).startswith("▸ 3I: Ball diameter")
        assert "low held" in seen(app, Table)
        await press(pilot, "f4")
        assert type(app.screen).__name__ == "HoldCard", "from wherever the work has gone on to"


async def test_the_next_ball_is_named_where_it_is_asked_for(app: HeadwrightApp) -> None:
    """The kit of the shop is loaded in the background."""
    async with app.run_test(size=(160, 45)) as pilot:
        bench = app.screen
        assert isinstance(bench, BenchScreen)
        bench.hand.counsel.wait()
        bench.paint()
        assert "Guess: push B-" in seen(app, Strip)
        await measure(pilot, "1I")
        await measure(pilot, "2I")
        assert type(app.screen).__name__ == "HoldCard"
        await press(pilot, "2")
        assert "Next ball      Guess: push B-" in on_screen(app)


async def test_after_a_rework_the_bench_goes_to_the_place_that_went_back(app: HeadwrightApp) -> None:
    """The card was left first, so 3I was at hand meanwhile."""
    async with app.run_test(size=(80, 24)) as pilot:
        await measure(pilot, "1I")
        await measure(pilot, "2I")
        await press(pilot, "escape")
        assert seen(app, Strip).startswith("▸ 3I: Ball diameter")
        await press(pilot, "f4", "2", "enter", "enter")
        assert seen(app, Strip).startswith("▸ 2I: Ball diameter")


async def test_f4_where_nothing_is_held_says_so(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4")
        assert "Nothing is held." in seen(app, Strip)


async def test_the_last_reading_is_struck_with_a_reason_and_stays_on_record(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, ".31395", "enter", "f3")
        assert type(app.screen).__name__ == "StrikeCard"
        await press(pilot, "1", "enter")
        if type(app.screen).__name__ == "StrikeCard":
            await press(pilot, "enter")
        assert "Struck: 1I, Ball diameter. It stays on record." in seen(app, Strip)
        assert seen(app, Strip).startswith("▸ 1I: Ball diameter"), "it is to be taken again"
        attempt = on_disk(app).state.attempt("size", "1I")
        assert not attempt.readings
        assert [(taken.event.typed, reason) for taken, reason in attempt.struck] == [(".31395", "typed wrong")]


async def test_a_figure_struck_in_a_finished_bore_is_read_again_and_no_oil_is_asked_for(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await measure(pilot, "1I")
        assert seen(app, Strip).startswith("▸ 2I: Ball diameter")
        await press(pilot, "f3", "1", "enter")
        if type(app.screen).__name__ == "StrikeCard":
            await press(pilot, "enter")
        assert seen(app, Strip).startswith("▸ 1I: Finished ID, bottom, 90°"), "the bench goes back to it"
        await press(pilot, ".3132", "enter")
        assert seen(app, Strip).startswith("▸ 2I: Ball diameter")
        state = on_disk(app).state
        assert state.is_done(state.index.operations["size"], "1I")


async def test_a_figure_keyed_again_takes_the_place_of_the_first(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, ".31300", "enter", "left", ".31395", "enter")
        attempt = on_disk(app).state.attempt("size", "1I")
        assert [t.event.typed for t in attempt.readings.values()] == [".31395"]
        assert [(t.event.typed, reason) for t, reason in attempt.struck] == [(".31300", "keyed again")]


async def test_a_note_is_about_the_place_at_hand(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down", "f2")
        await pilot.press(*"chip under it", "enter")
        await press(pilot)
        assert [(n.place, n.text) for n in on_disk(app).state.notes] == [("2I", "chip under it")]
        assert "Noted about 2I." in seen(app, Strip)


async def test_anyone_stops_a_head_and_only_a_lead_lets_it_go_on(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f6")
        await pilot.press(*"crack seen", "enter")
        await press(pilot)
        assert on_disk(app).state.stopped == {"head:A": "crack seen"}
        assert "Stopped, head A: crack seen" in seen(app, Strip)
        await press(pilot, "f6")
        assert isinstance(app.screen, BenchScreen), "a machinist writes no reason that would be refused"
        assert "this is for a lead" in seen(app, Strip)
        assert on_disk(app).state.stopped
        app.screen.hand.operator = OWEN.operator
        await press(pilot, "f6")
        await pilot.press(*"looked at", "enter")
        await press(pilot)
        assert "head A goes on: looked at" in seen(app, Strip)
        assert not on_disk(app).state.stopped


async def test_what_only_a_lead_may_open_again_is_said_before_anything_is_written(app: HeadwrightApp) -> None:
    """The same holds for whatever asks for words: here the confirmation of a default."""
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        bench = app.screen
        assert isinstance(bench, BenchScreen)
        bench.ask_confirm(bench.hand.state.plan.specs[0].name)
        await press(pilot)
        assert app.screen is bench
        assert "this is for a lead" in seen(app, Strip)


async def test_a_caution_is_asked_for_when_somebody_else_takes_over(app: HeadwrightApp) -> None:
    """Cautions are acknowledged by each person for the shift: the next one at this terminal is shown them first."""
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f5")
        assert type(app.screen).__name__ == "WhoCard"
        row = [p.operator for p in on_disk(app).state.people.values() if p.on].index(OWEN.operator) + 1
        await press(pilot, str(row), "enter")
        assert type(app.screen).__name__ == "CautionCard"
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)
        await press(pilot, ".31395", "enter")
        assert type(app.screen).__name__ == "CautionCard", "nothing is recorded before it is read"
        assert not on_disk(app).state.attempt("size", "1I").readings
        await press(pilot, "escape")
        assert ".31395▏" in seen(app, Table), "what was typed stays"


async def test_a_lead_who_comes_on_concedes_what_is_held_before_a_caution_of_the_work_is_asked_for(
    app: HeadwrightApp,
) -> None:
    """Cautions bind whoever does the work; the lead who stays for it is asked for them then."""
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await measure(pilot, "2I")  # at 1I, which it makes too small
        await press(pilot, "escape", "f5")
        row = [p.operator for p in on_disk(app).state.people.values() if p.on].index(OWEN.operator) + 1
        await press(pilot, str(row), "enter")
        assert isinstance(app.screen, BenchScreen), "no card of a caution"
        assert seen(app, Strip).startswith("■ 1I is held in 'Size the liner'")
        await press(pilot, "enter")
        assert type(app.screen).__name__ == "HoldCard"
        await press(pilot, "8", "enter")
        await pilot.press(*"agreed with the customer", "enter")
        await press(pilot)
        state = on_disk(app).state
        assert state.is_done(state.index.operations["size"], "1I")
        assert (OWEN.operator, "hammer") not in state.acknowledged
        assert type(app.screen).__name__ == "CautionCard", "of the next work, should it be the lead who does it"


async def test_ten_lines_pasted_are_ten_readings_and_a_bad_line_stops_there(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        ball, sizes = FIRST_BALL["1I"]
        lines = [ball, *sizes, ".31395", ".3134", ".x", ".3134"]
        app.screen.post_message(events.Paste("\r\n".join(lines) + "\r\n"))
        await press(pilot)
        state = on_disk(app).state
        assert len(state.attempt("size", "1I").readings) == 7
        assert [t.event.typed for t in state.attempt("size", "2I").readings.values()] == [".31395", ".3134"]
        assert ".x▏" in seen(app, Table)
        assert "'.x' is not a figure" in seen(app, Strip)


async def test_why_tells_how_it_is_measured_and_what_it_is_held_to(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, ".31395", "enter", "question_mark")
        card = app.screen
        assert type(card).__name__ == "WhyCard"
        text = "\n".join(str(widget.render()) for widget in card.query("Static"))
        for words in ("1I: Finished ID, top, 0°", "Rock the gauge", "six readings", "Held to .0010 to .0020 in"):
            assert words.lower() in text.lower(), text


async def test_work_out_of_turn_is_refused_in_words_and_the_text_stays(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "tab", "tab", "tab")
        assert "VERIFY" in "".join(plain(line) for line in app.screen.query_one("#head").lines)  # type: ignore[attr-defined]
        assert "locked" in seen(app, Table)
        await press(pilot, "down", ".3133", "enter")
        assert isinstance(app.screen, BenchScreen)
        assert "it needs '" in seen(app, Strip)
        assert ".3133▏" in seen(app, Table)
        assert not on_disk(app).state.attempt("verify", "1I").readings


async def test_typing_is_not_lost_by_looking_elsewhere(app: HeadwrightApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, ".31", "down")
        assert ".31▏" in seen(app, Table)
        assert "'.31' is not saved yet: Enter enters it, Esc clears it." in seen(app, Strip)
        await press(pilot, "tab")
        assert ".31▏" in seen(app, Table)
        await press(pilot, "escape", "tab")
        assert "TRIM" in "".join(plain(line) for line in app.screen.query_one("#head").lines)  # type: ignore[attr-defined]


async def test_a_store_that_fails_keeps_the_text_and_says_that_it_is_not_saved(app: HeadwrightApp, home: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        (home / "headwright.db").rename(home / "away.db")
        await press(pilot, ".31395", "enter")
        assert "Not saved: " in seen(app, Strip)
        assert ".31395▏" in seen(app, Table)
        (home / "away.db").rename(home / "headwright.db")
        await press(pilot, "enter")
        assert seen(app, Strip).startswith("▸ 1I: Finished ID, top, 0°")


async def test_a_head_that_is_given_up_says_so_and_nothing_of_it_is_done_or_held(led: JobStore) -> None:
    app = HeadwrightApp(led, HERE, "7")
    async with app.run_test(size=(110, 40)) as pilot:
        await press(pilot)
        await measure(pilot, "1I")
        await measure(pilot, "2I")
        await press(pilot, "9", "enter")
        await pilot.press(*"cracked")
        await press(pilot, "enter")
        bench = app.screen
        assert isinstance(bench, BenchScreen)
        assert bench.hand.say == "Head A given up: cracked"
        rows = {line.split()[1]: line for line in seen(app, Table).splitlines() if line[:1] in "✓■▸·×"}
        assert "done" in rows["1I"] or "ok" in rows["1I"]
        for place in ("2I", "3I", "4E"):
            assert rows[place].startswith("×")
            assert rows[place].rstrip().endswith("given up")
        route = [plain(line) for line in bench.query_one(Route).lines]
        (seats,) = (line for line in route if "Cut the" in line)
        assert seats.startswith("× ")
        assert not any("■" in line for line in route)
        await press(pilot, "f4")
        assert bench.hand.say == "Nothing is held."
