"""The sums on screen: one is found by typing, and answers while its figures are typed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input, Static

from headwright.store import open_store
from headwright.store.sample import bring_sample
from headwright.sums.catalogue import SUMS
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.cards.who import WhoCard
from headwright.terminal.drawn import Drawn, plain
from headwright.terminal.first_start import FirstStart
from headwright.terminal.jobs import JobsScreen
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import bindings, in_line
from headwright.terminal.outer_keys import SUMS_KEYS as KEYS
from headwright.terminal.sum_list import SumList
from headwright.terminal.sums import Kept, SumsScreen
from tests.sums.figures import FIVE, SIZINGS, table
from tests.terminal.cards_app import HOSTILE, SIZES, OneScreen, is_in_sight, seen, words

if TYPE_CHECKING:
    from pathlib import Path

    from textual.app import App
    from textual.pilot import Pilot


def sums(chosen: str = "clearance", system: str = "in") -> OneScreen[None]:
    """Give the screen with a sum at hand."""
    return OneScreen(SumsScreen(Kept(chosen, system="mm" if system == "mm" else "in")))


def answers(app: App[None]) -> dict[str, str]:
    """Give each answer that is shown, with its unit, by its label."""
    lines = [plain(line) for line in app.screen.query_one("#sums-answers", Drawn).lines]
    return dict(re.split(r"\s{2,}", line.strip(), maxsplit=1) for line in lines)


def said(app: App[None]) -> str:
    return str(app.screen.query_one("#sums-say", Static).render())


def labels(app: App[None]) -> list[str]:
    return [plain(line).rstrip() for line in app.screen.query_one("#sums-labels", Drawn).lines]


async def typed(pilot: Pilot[None], text: str) -> None:
    await pilot.press(*text)


async def settled(pilot: Pilot[None]) -> None:
    """Wait until the units are read, and a file that is being read."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def test_a_sum_is_found_by_typing_and_answers_at_every_key() -> None:
    """A nineteenth-century pocket-book of engineering formulae: 50.93 rpm for 160 in/min on 1 in."""
    app = sums()
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await typed(pilot, "spin")
        await pilot.press("enter")
        await typed(pilot, "160in/min")
        await pilot.press("enter")
        assert answers(app) == {"spindle speed": "–"}
        await typed(pilot, "1")
        assert answers(app) == {"spindle speed": "50.9 rpm"}
        await typed(pilot, "0")
        assert answers(app) == {"spindle speed": "5.1 rpm"}
        await pilot.press("backspace")
        assert answers(app) == {"spindle speed": "50.9 rpm"}


async def test_the_list_narrows_to_what_is_typed_names_first_and_the_arrows_go_through_it() -> None:
    app = sums()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        listed = app.screen.query_one(SumList)
        assert [plain(line)[2:].strip() for line in listed.lines] == list(SUMS)
        await typed(pilot, "leak")
        assert [plain(line).strip() for line in listed.lines] == ["▸ leak"]
        assert "Leak of a pressure test" in words(app)
        await pilot.press("escape", "down")
        assert listed.at_hand is SUMS["spindle"]
        await pilot.press("up", "up")
        assert listed.at_hand is SUMS["compression"]
        await typed(pilot, "qqq")
        assert listed.at_hand is None
        assert "no sum has" in words(app)
        await pilot.press("up", "down", "enter")
        assert listed.at_hand is None


async def test_what_is_wrong_so_far_is_one_line_that_names_the_figure() -> None:
    app = sums()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert said(app) == (
            "Still to come: smallest guide reading, largest guide reading, smallest stem reading, largest stem reading."
        )
        await pilot.press("enter")
        await typed(pilot, "0.3429")
        await pilot.press("enter")
        await typed(pilot, "9psi")
        assert said(app) == (
            "Largest guide reading: 'psi' makes it a pressure; expected a length, as 9.525mm or 0.375in."
        )
        assert labels(app) == [
            "  smallest guide reading",
            "■ largest guide reading",
            "· smallest stem reading",
            "· largest stem reading",
        ]
        assert app.screen.query_one("#sums-say").has_class("wrong")


async def test_figures_that_cannot_be_are_told_with_the_units_that_the_message_counts_in() -> None:
    app = sums("seat")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        for text in ("1.5", "1.6", "45"):
            await typed(pilot, text)
            await pilot.press("enter")
        assert said(app) == (
            "Inside (40.64) must be below outside (38.1). Lengths in this message are in mm, pressures in MPa."
        )


async def test_changing_the_system_keeps_what_was_meant() -> None:
    """1 in = 25.4 mm exactly."""
    app = sums("seat")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        for text in ("1.560", "1.470", "45"):
            await typed(pilot, text)
            await pilot.press("enter")
        assert answers(app)["diameter of its middle"] == "1.515000 in"
        await pilot.press("f2")
        assert answers(app)["diameter of its middle"] == "38.48100 mm"
        assert [entry.value for entry in shown_entries(app)] == ["1.560 in", "1.470 in", "45"]
        await pilot.press("f2")
        assert answers(app)["diameter of its middle"] == "1.515000 in"


def shown_entries(app: App[None]) -> list[Input]:
    return [entry for entry in app.screen.query("#sums-entries > Input").results(Input) if entry.display]


async def test_an_example_fills_what_is_empty_and_clearing_empties_it() -> None:
    app = sums("seat")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        await typed(pilot, "1.6")
        await pilot.press("f3")
        assert [entry.value for entry in shown_entries(app)] == ["1.6", "1.470in", "45deg"]
        assert answers(app)["diameter of its middle"] == "1.535000 in"
        await pilot.press("f4")
        assert [entry.value for entry in shown_entries(app)] == ["", "", ""]
        assert answers(app)["diameter of its middle"] == "–"


async def test_up_down_and_tab_go_through_the_figures() -> None:
    app = sums("seat")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        places = []
        await pilot.press("enter")
        for key in ("down", "down", "down", "up", "tab", "shift+tab", "up"):
            await pilot.press(key)
            assert app.focused is not None
            places.append(app.focused.name)
        assert places == ["1", "2", "0", "2", None, "2", "1"]


async def test_page_keys_go_to_another_sum_from_the_figures_which_are_kept() -> None:
    app = sums("seat")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        await typed(pilot, "1.6")
        await pilot.press("pagedown")
        assert "Rate, free length and load" in words(app)
        assert [entry.value for entry in shown_entries(app)] == [""] * 5
        await typed(pilot, "110lbf")
        await pilot.press("pageup")
        assert [entry.value for entry in shown_entries(app)] == ["1.6", "", ""]
        await pilot.press("pagedown")
        assert shown_entries(app)[0].value == "110lbf"


async def test_the_mouse_picks_a_sum() -> None:
    app = sums()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.click(SumList, offset=(4, 2))
        assert "Size of a part at 20 °C" in words(app)
        assert app.focused is shown_entries(app)[0]


async def test_escape_goes_from_the_figures_to_the_list_and_from_there_away() -> None:
    app = sums()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await typed(pilot, "seat")
        await pilot.press("enter", "escape")
        assert app.focused is app.screen.query_one("#sums-find")
        await pilot.press("escape")
        assert app.screen.query_one("#sums-find", Input).value == ""
        assert app.answers == []
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_the_point_of_a_keypad_is_a_point() -> None:
    app = sums("seat")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("enter", "1", "decimal", "5")
        assert shown_entries(app)[0].value == "1.5"


async def test_a_file_is_read_while_its_name_is_typed(tmp_path: Path) -> None:
    """Minimum zone solved exactly with a linear programme, independently: 0.067262."""
    file = table(tmp_path, "\n".join(FIVE.split()))
    app = sums("flatness", "mm")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        shown_entries(app)[0].value = file[:-1]
        await settled(pilot)
        assert "cannot be read: No such file or directory." in said(app)
        await typed(pilot, file[-1])
        await settled(pilot)
        assert answers(app)["least distance of two planes that hold all"] == "0.06726 mm"


async def test_the_ball_is_advised_in_words_from_the_shops_records(tmp_path: Path) -> None:
    app = sums("ball")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("f3", "enter")
        assert said(app).startswith("Push 0.343000 in: expect ")
        shown_entries(app)[4].value = table(tmp_path, SIZINGS)
        await settled(pilot)
        assert answers(app)["ball to push"] == "0.343500 in"
        assert "Learnt from 14 sizings" in said(app)


async def test_what_is_typed_is_text_and_nothing_else() -> None:
    app = sums()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        shown_entries(app)[0].value = HOSTILE
        await settled(pilot)
        assert "\x1b" not in said(app)
        assert "\u202e" not in said(app)
        assert "[/b][@click=app.quit]q[/]" in said(app)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SUMS)
async def test_every_sum_fits_every_terminal(name: str, size: tuple[int, int]) -> None:
    app = sums(name)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await pilot.press("f3", "enter")
        await settled(pilot)
        screen = app.screen
        for part in ("#sums-head", "#sums-list", "#sums-purpose", "#sums-labels", "#sums-answers", "#sums-say"):
            assert is_in_sight(app, screen.query_one(part)), part
        assert is_in_sight(app, screen.query_one(KeyLine))
        assert all(is_in_sight(app, entry) for entry in shown_entries(app))
        shown = seen(app)
        assert "…" not in shown
        assert all(each.label in shown for each in SUMS[name].inputs)
        assert all(each.label in shown for each in SUMS[name].results)
        assert all(entry.size.width >= 13 for entry in shown_entries(app))


async def test_on_a_low_terminal_the_figures_scroll_and_the_one_at_hand_is_seen() -> None:
    app = sums("press-fit")
    async with app.run_test(size=(80, 18)) as pilot:
        await settled(pilot)
        await pilot.press("enter", "up")
        await pilot.pause()
        assert app.focused is shown_entries(app)[-1]
        assert is_in_sight(app, app.focused)
        assert is_in_sight(app, app.screen.query_one("#sums-answers"))


async def test_every_key_does_something_and_the_help_lists_it() -> None:
    assert len(in_line(KEYS)) <= 6
    app = sums()
    async with app.run_test(size=(160, 400)) as pilot:
        await settled(pilot)
        for binding in bindings(KEYS):
            whose, _, action = binding.action.rpartition(".")
            assert hasattr(HeadwrightApp if whose == "app" else app.screen, f"action_{action}")
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        for key in KEYS:
            assert f"{key.sign} {key.label} {key.tooltip}" in words(app)


async def test_f7_opens_the_sums_from_the_board_and_the_bench_and_figures_stay(tmp_path: Path) -> None:
    store = open_store(tmp_path / "headwright.db")
    app = HeadwrightApp(store, "bench 1")
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, FirstStart)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, JobsScreen)
        await pilot.press("f7")
        await settled(pilot)
        await typed(pilot, "seat")
        await pilot.press("enter")
        await typed(pilot, "1.56")
        await pilot.press("escape", "escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, JobsScreen)
        job, _ = bring_sample(store)
        app.open_bench(job)
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, WhoCard)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        await pilot.press("f7")
        await settled(pilot)
        assert isinstance(app.screen, SumsScreen)
        assert shown_entries(app)[0].value == "1.56"
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
    store.close()
