"""The bench laid out at the sizes it is made for: nothing falls off, and each size is used for what it is good for."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from headwright.job.events import StepTicked
from headwright.store.desk import Desk
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.route import Route
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.steps import Steps
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.table import Table
from headwright.terminal.drawn import Drawn, Lines, plain
from headwright.terminal.keyline import KeyLine
from tests.stories.alder_1001 import MARA
from tests.terminal.alder_bench import FIRST_BALL, alder, do, opened, work_up_to

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from headwright.store import JobStore

SIZES = [(80, 24), (100, 30), (160, 45)]
HERE = "this bench"


@pytest.fixture
def new(store: JobStore) -> JobStore:
    """Give a store with a new job 7, somebody on at this terminal, the cautions read."""
    opened(store, terminal=HERE, tag="[b]tag[/b] [@click=app.bell]x")
    return store


@pytest.fixture
def sizing(new: JobStore) -> JobStore:
    """Give the same job at the sizing of its liners, the step for all of them ticked."""
    desk = Desk.open(new, "7", HERE)
    work_up_to(desk, "size")
    do(desk, StepTicked("size", "head:A", "shield"), MARA.operator)
    return new


def shown(app: HeadwrightApp, kind: type[Lines]) -> list[str]:
    """Give the lines that a part of the bench shows, as many as it has room for."""
    widget = app.screen.query_one(kind)
    return [plain(line).rstrip() for line in widget.lines[: widget.size.height]]


async def settled(pilot: Pilot[None]) -> None:
    """Wait until everything is laid out."""
    for _ in range(3):
        await pilot.pause()
    assert isinstance(pilot.app.screen, BenchScreen), pilot.app.screen


@pytest.mark.parametrize("size", SIZES)
async def test_all_eight_places_and_every_line_of_the_strip_are_there(sizing: JobStore, size: tuple[int, int]) -> None:
    app = HeadwrightApp(sizing, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        table = shown(app, Table)
        for place in FIRST_BALL:
            assert any(line[2:].startswith(place) for line in table), table
        strip = shown(app, Strip)
        assert strip[0].startswith("▸ 1I: Ball diameter")
        labels = [line.split()[0] for line in strip if line]
        assert labels[labels.index("Clearance") :][:3] == ["Clearance", "Taper", "Out"]
        assert app.screen.query_one(Strip).region.bottom == size[1] - 1, "the strip ends above the keys"
        assert shown(app, Steps), "there is always a line that says how"
        for widget in app.screen.query(Drawn):
            for line in widget.lines:
                assert len(plain(line).rstrip()) <= widget.size.width, plain(line)


@pytest.mark.parametrize("size", SIZES)
async def test_six_points_and_the_results_held_to_limits_stand_side_by_side(
    sizing: JobStore, size: tuple[int, int]
) -> None:
    """With a size at hand its six points are in full, and clearance, taper and out of round with their verdict."""
    app = HeadwrightApp(sizing, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        ball, sizes = FIRST_BALL["1I"]
        for figure in (ball, *sizes):
            await pilot.press(*figure, "enter")
        await pilot.press("up")
        await settled(pilot)
        await pilot.press("right")
        await settled(pilot)
        row = next(line for line in shown(app, Table) if line.startswith("✓ 1I"))
        for text in (*sizes, ".0014–.0016", ".00005", ".0001"):
            assert text in row
        assert row.split()[-1] == "ok"


async def test_the_route_is_one_line_when_narrow_and_a_list_when_there_is_room(sizing: JobStore) -> None:
    app = HeadwrightApp(sizing, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert len(shown(app, Route)) == 1
        assert "Size the liner" in shown(app, Route)[0]
        assert re.match(r"‹\d+ before ", shown(app, Route)[0]), "how many stand off each end, in words"
        assert re.search(r"\d+ after›", shown(app, Route)[0])
        await pilot.resize_terminal(160, 45)
        await settled(pilot)
        lines = shown(app, Route)
        assert sum(not line.startswith("  ") for line in lines) == len(alder().operations)
        assert "✓ Bore the guide" in lines, "the tick says that all eight are"
        assert not any("›" in line for line in lines), "what is looked at is what is next"
        await pilot.press("]")
        await settled(pilot)
        assert [line[:2] for line in shown(app, Route) if "›" in line] == ["·›"]
        assert any(line.startswith("▸ Size the liner") for line in shown(app, Route))
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert "  ·›Trim both ends" in shown(app, Route)[0]


async def test_resizing_in_the_middle_of_an_entry_keeps_what_is_typed(sizing: JobStore) -> None:
    app = HeadwrightApp(sizing, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        await settled(pilot)
        await pilot.press(*".3139")
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert any(".3139▏" in line for line in shown(app, Table))
        assert any(line.startswith(".3139▏") for line in shown(app, Strip))


async def test_six_keys_at_most_stand_in_the_line_and_all_of_them_fit(sizing: JobStore) -> None:
    app = HeadwrightApp(sizing, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        labels = shown(app, KeyLine)[0].split()
        assert labels == ["?", "why", "F1", "help", "F3", "strike", "F4", "hold", "F5", "who", "F6", "stop"]


async def test_a_head_is_gone_through_as_a_list_and_words_are_no_markup(new: JobStore) -> None:
    """Text is shown as it was typed, an answer of one key is saved at once, and the rest of the word is let pass."""
    app = HeadwrightApp(new, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        assert shown(app, Steps)[0].startswith("▸ Photograph")
        await pilot.press("space")
        await pilot.press(*"A107 [/b]", "enter")
        await pilot.press(*"[@click=x]", "enter")
        await pilot.press(*"yes", "enter")
        await settled(pilot)
        table = shown(app, Table)
        assert "A107 [/b]" in table[0]
        assert "[@click=x]" in table[1]
        assert table[2].split()[-1] == "ok"
        assert shown(app, Strip)[0].startswith("▸ Sodium-filled valves")
        state = Desk.open(new, "7", HERE).state
        assert [t.event.word for t in state.attempt("receive", "head:A").readings.values()] == [
            "A107 [/b]",
            "[@click=x]",
            "yes",
        ]


async def test_a_click_takes_a_point_in_hand_and_a_key_label_does_what_its_key_does(sizing: JobStore) -> None:
    app = HeadwrightApp(sizing, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        table = app.screen.query_one(Table)
        row = next(i for i, line in enumerate(shown(app, Table)) if line[2:].startswith("3I"))
        await pilot.click(table, offset=(7, row))
        await settled(pilot)
        assert shown(app, Strip)[0].strip().startswith("3I: Ball diameter")
        await pilot.press("home")
        await settled(pilot)
        assert shown(app, Strip)[0].startswith("▸ 1I: Ball diameter"), "back to what is next"
        await pilot.click(KeyLine, offset=(10, 0))
        await pilot.pause()
        assert not isinstance(app.screen, BenchScreen), "the help is open"
