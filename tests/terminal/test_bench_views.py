"""The drawn views at the bench: opened by their keys, fed by what is typed, and picked in by arrows and mouse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.agenda import next_up
from headwright.job.events import ReadingStruck, ReadingTaken
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.route import Route
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.table import Table
from headwright.terminal.drawn import Lines, plain
from headwright.terminal.keyline import KeyLine
from headwright.terminal.views.big_panel import BigPanel
from headwright.terminal.views.map_panel import MapPanel, MapScreen
from headwright.terminal.views.profile_panel import ProfilePanel
from headwright.terminal.views.where_panel import WherePanel
from tests.stories.alder_1001 import MARA
from tests.terminal.alder_bench import FIRST_BALL, at_bench, desk_at, do, opened, typed_reading
from tests.terminal.cards_app import is_in_sight, seen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from headwright.store import JobStore
    from tests.terminal.pty_app import PtyApp

SIZES = [(80, 24), (100, 30), (120, 36), (160, 45)]
HERE = "this bench"
LARGE, PROFILE, TRENDS = "\x05", "\x18", "\x0b"
"""Ctrl+E, Ctrl+X and Ctrl+K, as terminals send them."""
BALL, SIZES_1I = FIRST_BALL["1I"]


@pytest.fixture
def store(home: Path) -> Iterator[JobStore]:
    """Give a store with job 7 at the sizing of its liners: the step ticked, Mara at this terminal."""
    home.mkdir()
    found = open_store(home / "headwright.db")
    opened(found, up_to="size", ticked=True, terminal=HERE)
    yield found
    found.close()


async def settled(pilot: Pilot[None]) -> BenchScreen:
    """Wait until everything is laid out, and give the bench."""
    for _ in range(4):
        await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, BenchScreen), screen
    return screen


def shown(widget: Lines) -> list[str]:
    return [plain(line).rstrip() for line in widget.lines[: widget.size.height]]


def places_in(screen: BenchScreen) -> list[str]:
    """Give the places that stand in the table on screen."""
    lines = shown(screen.query_one(Table))
    return [place for place in FIRST_BALL if any(line[2:].startswith(place) for line in lines)]


async def size_at_hand(pilot: Pilot[None]) -> BenchScreen:
    """Take the ball of 1I, so that its first size is at hand."""
    await settled(pilot)
    await pilot.press(*BALL, "enter")
    return await settled(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_each_size_is_used_for_what_it_is_good_for(store: JobStore, size: tuple[int, int]) -> None:
    """At 80 columns the route is one line; at 160 map and profile stand beside the table; nothing overlaps."""
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        screen = await size_at_hand(pilot)
        assert places_in(screen) == list(FIRST_BALL)
        assert sum("·" in line and line.count("·") >= 6 for line in shown(screen.query_one(Table))) >= 7
        assert (screen.query_one(Route).size.height == 1) is (size[0] < 100)
        assert screen.query_one(Strip).region.bottom == size[1] - 1
        beside = [*screen.query(MapPanel), *screen.query(ProfilePanel)]
        assert len(beside) == (2 if size == (160, 45) else 0)
        parts = [screen.query_one(Route), screen.query_one("#work"), *beside]
        for number, part in enumerate(parts):
            assert is_in_sight(app, part), part
            assert not any(part.region.overlaps(other.region) for other in parts[number + 1 :]), part
        for widget in screen.query(Lines):
            assert all(len(line) <= max(1, widget.size.width) for line in shown(widget)), widget


async def test_beside_the_table_the_profile_follows_every_key_and_the_map_what_is_recorded(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await size_at_hand(pilot)
        drawn_map, profile = screen.query_one(MapPanel), screen.query_one(ProfilePanel)
        assert shown(profile)[0] == "1I: Finished ID"
        before = drawn_map.lines
        await pilot.press(*".3133")
        assert any(".3133" in line for line in shown(profile))
        assert drawn_map.lines is before, "the map is not drawn anew while one types"
        await pilot.press("enter")
        await settled(pilot)
        assert any("1I: intake" in line for line in shown(drawn_map))
        for figure in SIZES_1I[1:]:
            await pilot.press(*figure, "enter")
        await settled(pilot)
        assert drawn_map.picked == "2I", "the map goes along with the hand"
        assert shown(profile)[0] == "2I: Finished ID"


async def test_a_click_on_the_map_beside_the_table_goes_to_that_valve(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await size_at_hand(pilot)
        lines = seen(app).splitlines()
        left = screen.query_one(MapPanel).region.x
        y = next(y for y, line in enumerate(lines) if "3I" in line[left:])
        await pilot.click(offset=(lines[y].index("3I", left), y))
        await settled(pilot)
        assert shown(screen.query_one(Strip))[0].strip().startswith("3I: Ball diameter")
        await pilot.press(*".31")
        await pilot.click(offset=(lines[y].index("3E", left), y))
        await settled(pilot)
        strip = "\n".join(shown(screen.query_one(Strip)))
        assert "3I: Ball diameter" in strip, "what is typed is not lost by a click"
        assert "Enter enters it" in strip


async def test_the_map_of_an_operation_that_does_nothing_at_a_valve_says_so(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await settled(pilot)
        screen.go_to("no such place")
        await settled(pilot)
        assert "'Size the liner' has nothing to write down there." in shown(screen.query_one(Strip))


async def test_a_head_picked_from_the_map_leads_to_what_is_to_be_written_down_for_it(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await settled(pilot)
        screen.hand.look_at("receive")
        screen.paint()
        await pilot.press("f9")
        await pilot.pause()
        assert isinstance(app.screen, MapScreen)
        await pilot.press("right", "enter")
        await settled(pilot)
        assert screen.hand.operation_id == "receive"
        assert screen.hand.spot is not None
        assert screen.hand.spot.place == "head:A"


@pytest.mark.parametrize("size", SIZES)
async def test_the_profile_takes_the_place_of_the_table_while_one_goes_on_typing(
    store: JobStore, size: tuple[int, int]
) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+x")
        await settled(pilot)
        profile = screen.query_one("#profile", ProfilePanel)
        assert is_in_sight(app, profile)
        assert not screen.query_one(Table).display
        await pilot.press(*".3134")
        lines = shown(profile)
        assert lines[0] == "1I: Finished ID  · ok so far"
        assert any(".3134" in line for line in lines), lines
        assert any(line.startswith("Clearance") for line in shown(screen.query_one(Strip)))
        await pilot.press("enter", "ctrl+x")
        await settled(pilot)
        assert places_in(screen) == list(FIRST_BALL)
        assert not screen.query_one("#profile").display
    assert len(Desk.open(store, "7", HERE).state.attempt("size", "1I").readings) == 2


async def test_what_was_saved_in_the_table_is_large_where_one_turns_to_large_digits_then(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press(*".3134", "enter")
        await settled(pilot)
        await pilot.press("ctrl+e")
        await settled(pilot)
        large = screen.query_one(BigPanel)
        assert large.big is not None
        assert (large.big.point, large.big.figure) == ("Finished ID, top, 0°", ".3134")
        await pilot.press("right")
        await settled(pilot)
        assert (large.big.point, large.big.figure) == ("Finished ID, middle, 0°", "")


@pytest.mark.parametrize("size", [*SIZES, (60, 18)])
async def test_at_arms_length_figure_verdict_and_position_are_large_while_one_types(
    store: JobStore, size: tuple[int, int]
) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+e", *".3142")
        await settled(pilot)
        large = screen.query_one(BigPanel)
        assert is_in_sight(app, large)
        assert not any(widget.display for widget in (screen.query_one(Table), screen.query_one(Route)))
        assert large.big is not None
        assert (large.big.place, large.big.figure, large.big.sign, large.big.word) == ("1I", ".3142", "■", "high")
        rows = sum("██" in line for line in shown(large))
        assert rows >= (5 if size[1] < 24 else 10), "the figure is large, and above it place and verdict from 24 lines"
        assert shown(screen.query_one(Strip))[1].startswith(".3142▏")
        assert shown(screen.query_one(KeyLine))[0].startswith(" Ctrl+E back")
        await pilot.press(*["backspace"] * 2, *"34", "enter")
        await settled(pilot)
        assert large.big is not None
        assert (large.big.point, large.big.figure) == ("Finished ID, top, 0°", ".3134"), "what was saved stays"
        assert "1I  Finished ID, top, 0°   ✓ saved" in shown(large)[0]
        assert "▸ 1I: Finished ID, top, 90°" in shown(screen.query_one(Strip))[0], "what comes next is told beneath"
        await pilot.press("right")
        await settled(pilot)
        assert (large.big.point, large.big.figure) == ("Finished ID, middle, 0°", ""), "arrows go on from there"
        await pilot.press("left", "left")
        await settled(pilot)
        assert (large.big.figure, large.big.saved) == (".3134", ""), "arrows go about as before"
        await pilot.press("ctrl+e")
        await settled(pilot)
        assert screen.query_one(Table).display
        assert not large.display
        assert shown(screen.query_one(KeyLine))[0].startswith(" ? why")


async def test_at_arms_length_the_first_key_of_the_next_figure_takes_the_place_of_the_one_saved(
    store: JobStore,
) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+e", *".3134", "enter", "enter")
        await settled(pilot)
        large = screen.query_one(BigPanel)
        assert large.big is not None
        assert large.big.figure == ".3134", "Enter once more takes nothing away"
        await pilot.press(".")
        await settled(pilot)
        assert (large.big.point, large.big.figure, large.big.saved) == ("Finished ID, top, 90°", ".", "")
        await pilot.press("backspace")
        await settled(pilot)
        assert large.big.figure == ""


async def test_at_arms_length_the_last_figure_of_a_bore_shows_the_verdict_of_all_of_it(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+e")
        for figure in SIZES_1I:
            await pilot.press(*figure, "enter")
        await settled(pilot)
        assert screen.hand.spot is not None
        assert screen.hand.spot.place == "2I", "the hand is at the next valve"
        large = screen.query_one(BigPanel)
        assert large.big is not None
        assert (large.big.place, large.big.figure, large.big.sign, large.big.word) == ("1I", SIZES_1I[-1], "✓", "ok")
        assert large.big.by.startswith("all read: Clearance .0014–.0016, limits .0010 to .0020 in; ")
        assert "so far" not in large.big.by
        assert shown(screen.query_one(Strip))[0].startswith("▸ 2I: Ball diameter")


async def test_at_arms_length_a_figure_that_was_struck_says_so_here_and_at_another_terminal(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+e", *".3134", "enter")
        await settled(pilot)
        office = Desk.open(store, "7", "office")
        number = office.state.number
        do(office, ReadingStruck(number, "chip under the gauge"), MARA.operator)
        screen.poll()
        await settled(pilot)
        large = screen.query_one(BigPanel)
        assert large.big is not None
        assert (large.big.place, large.big.point, large.big.figure) == ("1I", "Finished ID, top, 0°", "")
        assert (large.big.word, large.big.saved) == ("struck", "")
        assert large.big.by == ".3134 in does not count: chip under the gauge"
        assert not any("saved" in line or "nothing read" in line for line in shown(large))
        await pilot.press("left")
        await settled(pilot)
        assert large.big.word == "struck", "it is told at that point until it is read again"


async def test_at_arms_length_what_another_terminal_reads_there_counts_in_the_verdict_that_stays(
    store: JobStore,
) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+e", *".3134", "enter")
        await settled(pilot)
        large = screen.query_one(BigPanel)
        assert large.big is not None
        assert large.big.by.startswith("Clearance so far .0016, ")
        office = Desk.open(store, "7", "office")
        found = next_up(office.state, MARA.operator, ("size", "1I"))
        do(office, typed_reading(office, found, ".3132"), MARA.operator)
        screen.poll()
        await settled(pilot)
        assert (large.big.figure, large.big.saved) == (".3134", "✓ saved")
        assert large.big.by.startswith("Clearance so far .0014–.0016, ")


async def test_at_arms_length_a_step_is_shown_with_what_ticks_it_and_that_it_is_ticked(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await settled(pilot)
        await pilot.press("up", "ctrl+e")
        await settled(pilot)
        large = screen.query_one(BigPanel)
        lines = shown(large)
        assert "Face shield down" in lines[0]
        assert lines[-1].strip() == "✓ ticked"
        screen.hand.turn(1)
        screen.paint()
        await settled(pilot)
        assert screen.hand.step is not None
        assert large.big is not None
        assert large.big.figure == "Space ticks it"
        assert "no verdict" not in "\n".join(shown(large))


async def test_what_is_refused_is_told_at_arms_length_too_and_esc_first_clears_and_then_goes_back(
    store: JobStore,
) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press("ctrl+e", *".3383", "enter")
        await settled(pilot)
        said = " ".join(shown(screen.query_one(Strip)))
        assert "Space takes .3133, K keeps .3383, Esc clears it." in said
        await pilot.press("escape")
        await settled(pilot)
        assert screen.hand.typed == ""
        assert screen.query_one(BigPanel).display
        await pilot.press("escape")
        await settled(pilot)
        assert screen.query_one(Table).display


@pytest.mark.parametrize("view", ["", "ctrl+e", "ctrl+x"])
async def test_resizing_in_the_middle_of_an_entry_keeps_what_is_typed_and_the_view(store: JobStore, view: str) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await size_at_hand(pilot)
        await pilot.press(*filter(None, [view]), *".313")
        for size in ((5, 2), (20, 6), (59, 40), (200, 8)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
        for size in ((80, 24), (120, 36), (160, 45), (100, 30), (200, 60)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            assert any(line.startswith(".313▏") for line in shown(screen.query_one(Strip))), size
            assert screen.query_one(Table).display is (not view)
            assert bool([w for w in screen.query(MapPanel) if is_in_sight(app, w)]) is (
                size[0] >= 150 and view != "ctrl+e"
            )
        await pilot.press("3", "enter")
        await settled(pilot)
    taken = Desk.open(store, "7", HERE).state.attempt("size", "1I").readings
    assert [t.event.typed for t in taken.values()] == [BALL, ".3133"]


async def test_why_shows_where_a_reading_with_points_is_taken_and_nothing_for_one_without(store: JobStore) -> None:
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("?")
        await pilot.pause()
        assert not app.screen.query(WherePanel)
        await pilot.press("escape")
        await size_at_hand(pilot)
        await pilot.press("right", "?")
        await pilot.pause()
        await pilot.pause()
        assert is_in_sight(app, app.screen.query_one(WherePanel)), "without scrolling"
        lines = seen(app).splitlines()
        (how,) = [y for y, line in enumerate(lines) if line.strip("│ ") == "How"]
        (why,) = [y for y, line in enumerate(lines) if line.strip("│ ") == "Why"]
        assert any("top" in line and "◂ here" in line for line in lines[how:why])
        assert any("90° ◂ here" in line for line in lines[how:why])
        assert any("With: bore gauge." in line for line in lines[how:why])


def at_size(home: Path, size: tuple[int, int]) -> PtyApp:
    """Start the program on job 7, Mara at this terminal, the ball of 1I taken."""
    app = at_bench(home, "7", size)
    app.wait_for("▸ 1I: Ball diameter")
    app.enter(BALL, "▸ 1I: Finished ID, top, 0°")
    return app


@pytest.mark.usefixtures("store")
def test_the_head_map_is_picked_in_by_arrows_and_by_mouse(home: Path) -> None:
    with at_size(home, (80, 24)) as app:
        app.press("f9")
        app.wait_for("Enter go there", "1I: intake, cylinder 1.")
        app.press("right")
        app.wait_for("2I: intake, cylinder 2.")
        app.press("enter")
        app.wait_for("2I: Ball diameter", "Home goes to ")
        app.press("f9")
        app.wait_for("Enter go there", "2I: intake, cylinder 2.")
        y = next(y for y, line in enumerate(app.lines) if "4E" in line)
        x = app.lines[y].index("4E")
        app.press(f"\x1b[<0;{x + 1};{y + 1}M", f"\x1b[<0;{x + 1};{y + 1}m")  # SGR mouse reports count from 1
        app.wait_for("4E: Ball diameter")
        app.press("f9")
        app.wait_for("Enter go there")
        app.press("esc")
        app.wait_for("4E: Ball diameter")


@pytest.mark.usefixtures("store")
def test_at_arms_length_a_figure_is_typed_saved_and_on_disk(home: Path) -> None:
    with at_size(home, (80, 24)) as app:
        app.press(LARGE)
        app.wait_for("Ctrl+E back", "✓ saved")
        app.press(".3133")
        app.wait_for("██", "· ok   Clearance so far .0015", ".3133▏", "not saved yet")
        app.press("enter")
        app.wait_for("1I  Finished ID, top, 0°   ✓ saved", "▸ 1I: Finished ID, top, 90°")
        app.press(LARGE)
        app.wait_for("▸ 1I", "· 4E", "? why")
        assert "██" not in app.text
    taken = desk_at(home, "7").state.attempt("size", "1I").readings.values()
    assert [t.event for t in taken][-1].typed == ".3133"
    assert isinstance([t.event for t in taken][-1], ReadingTaken)


@pytest.mark.usefixtures("store")
def test_trends_and_profile_are_a_key_away_and_in_the_list_of_commands(home: Path) -> None:
    with at_size(home, (80, 24)) as app:
        app.press(TRENDS)
        app.wait_for("Finished bores of this job")
        app.press("3")
        app.wait_for("Springback over interference, first ball")
        app.press("esc")
        app.wait_for("▸ 1I: Finished ID, top, 0°")
        app.press("ctrl+p")
        app.wait_for("What can be done here")
        app.press("profile", "enter")
        app.wait_for("1I: Finished ID", "Ctrl+X back", "H .3138 in")
        app.press(PROFILE)
        app.wait_for("· 4E")
