"""The list of commands, the words of the trade and the card of colours; all in reach of keys and of the mouse."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input, OptionList

from headwright import terminal
from headwright.data import shipped
from headwright.store import open_store
from headwright.store.sample import bring_sample
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.cards.commands import CommandsCard
from headwright.terminal.cards.glossary import GlossaryCard, glossary
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.cards.look import LookCard
from headwright.terminal.cards.note import NoteCard
from headwright.terminal.cards.search import Entry, found_in
from headwright.terminal.jobs import JobsScreen
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import BENCH, use
from headwright.terminal.look import LookingApp
from headwright.terminal.new_job import NewJobScreen
from headwright.terminal.sums import SumsScreen
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import SIZES, OneScreen, is_in_sight, seen, words
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.store import JobStore


@pytest.fixture
def strike_on_f12(home: Path) -> Iterator[None]:
    """Set another key for the strike, for as long as the test runs."""
    home.mkdir()
    (home / "config.toml").write_text('[keys]\nstrike = "F12"\n', encoding="utf-8")
    yield
    use({})


@pytest.fixture
def store(home: Path) -> Iterator[JobStore]:
    home.mkdir()
    kept = open_store(home / "headwright.db")
    bring_sample(kept)
    yield kept
    kept.close()


# Commands


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("limit", "why"),
        ("clearance", "why"),
        ("spec", "why"),
        ("tolerance", "why"),
        ("undo", "strike"),
        ("micrometer", "gauge"),
        ("calibration", "gauge"),
        ("log out", "who"),
        ("quit", "leave"),
        ("taper", "profile"),
        ("glossary", "app.glossary"),
        ("kit", "app.kit"),
    ],
)
async def test_what_a_machinist_would_type_finds_the_command(typed: str, first: str) -> None:
    app = OneScreen(CommandsCard(BENCH))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*("space" if key == " " else key for key in typed))
        found = app.screen.query_one(OptionList)
        assert found.get_option_at_index(0).id == first
        if typed in {"limit", "clearance", "spec"}:
            assert {option.id for option in found.options} >= {"why", "help"}


async def test_every_key_of_the_screen_is_a_command_with_its_name_and_what_it_does() -> None:
    app = OneScreen(CommandsCard(BENCH))
    async with app.run_test(size=(160, 120)) as pilot:
        await pilot.pause()
        await pilot.pause()
        text = words(app)
    for key in BENCH:
        assert f"{key.sign} {key.label} {' '.join(key.tooltip.split())}" in text


@pytest.mark.parametrize(
    ("typed", "first"),
    [("strike", "strike"), ("F4", "hold"), ("lead resume", "stop"), ("sum", "app.sums"), ("what next", "next_up")],
)
async def test_a_command_is_found_by_its_name_its_key_or_what_it_does(typed: str, first: str) -> None:
    app = OneScreen(CommandsCard(BENCH))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*typed)
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
    assert app.answers == [first]


async def test_what_is_not_there_is_told_and_enter_takes_nothing() -> None:
    app = OneScreen(CommandsCard(BENCH))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*".3132", "enter")
        await pilot.pause()
        assert "Nothing here has that in its name." in words(app)
        assert app.answers == []
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


@pytest.mark.parametrize("size", SIZES)
async def test_the_list_can_be_walked_to_its_end_with_the_line_and_the_keys_in_sight(size: tuple[int, int]) -> None:
    app = OneScreen(CommandsCard(BENCH))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        for _ in range(2 * len(BENCH)):
            await pilot.press("pagedown")
        await pilot.press("up", "down")
        await pilot.pause()
        assert BENCH[-1].tooltip[:20] in words(app)
        assert is_in_sight(app, app.screen.query_one(Input))
        assert is_in_sight(app, app.screen.query_one(KeyLine))
        assert app.screen.query_one(OptionList).highlighted == len(BENCH) - 1


async def test_a_command_is_done_on_the_screen_from_which_it_was_asked(store: JobStore) -> None:
    app = HeadwrightApp(store, "bench 1")
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, JobsScreen)
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press(*"sums")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SumsScreen)


async def test_everything_in_reach_of_the_mouse_alone(store: JobStore) -> None:
    """From the board: a job, the help by its label, the commands from there, and a key that no line of keys shows."""
    app = HeadwrightApp(store, "bench 1")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.click(KeyLine, offset=(_column(app, "F1 help"), 0))
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        await pilot.click(KeyLine, offset=(_column(app, "c commands") - 2, 0))
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, CommandsCard)
        await pilot.pause()
        row = next(number for number, line in enumerate(seen(app).splitlines()) if "Put down a new job" in line)
        await pilot.click(offset=(20, row))
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, NewJobScreen)


def _column(app: HeadwrightApp, text: str) -> int:
    line = next(line for line in reversed(seen(app).splitlines()) if text in line)
    return line.index(text) + 1


async def test_six_labels_at_most_stand_in_the_line_of_keys_of_the_bench_at_80_columns(store: JobStore) -> None:
    app = HeadwrightApp(store, "bench 1", "1001")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        line = seen(app).splitlines()[-1]
    shown = [key for key in BENCH if f" {key.sign} {key.label} " in line]
    assert 4 <= len(shown) <= 6
    assert len(line.rstrip()) <= 80


@pytest.mark.usefixtures("strike_on_f12")
async def test_a_key_given_up_and_one_taken_are_shown_in_the_list_of_commands() -> None:
    assert LookingApp[None]().faults == ()
    app = OneScreen(CommandsCard(BENCH))
    async with app.run_test(size=(120, 90)) as pilot:
        await pilot.pause()
        assert "F12 strike Strike the reading" in words(app)
        assert "F3 strike" not in words(app)


# Words of the trade


_WORDS = """
guide liner crush bell-mouth taper lobing soak keeper bind seat throat runout spring-back shim tenth
thou port boss stem tip margin face retainer seam trim hone reamer pilot recession protrusion
surfacing hold concession uncertainty clearance burr knurling core deck comeback release drift
"""
NEEDED = frozenset(_WORDS.split())
NAMED = ("out of round", "setting ring", "installed height", "guard band", "not proven", "bore gauge", "coil bind")


def test_the_glossary_has_the_words_of_screens_and_procedures_with_a_definition_each() -> None:
    entries = glossary()
    titles = {entry.title for entry in entries}
    assert titles >= {*NEEDED, *NAMED}
    assert 80 <= len(entries) == len(titles)
    assert [entry.title for entry in entries] == sorted(titles, key=str.lower)
    for entry in entries:
        assert entry.text.endswith(".")
        assert 1 <= entry.text.rstrip(".").count(". ") + 1 <= 3, entry.title
        assert len(entry.text) <= 200, entry.title
        assert entry.title.lower() not in entry.text.lower().split(".")[0].split()[:2], entry.title


def test_what_an_operation_measures_is_explained_by_a_word() -> None:
    """The labels of results that decide a place, as the procedures have them, are words of the glossary."""
    titles = {entry.title for entry in glossary()}
    labels = {
        item["label"].lower()
        for path in (shipped("procedures") / "operations").glob("*.toml")
        for item in tomllib.loads(path.read_text(encoding="utf-8")).get("result", [])
    }
    assert labels & titles >= {"clearance", "taper", "crush", "bell-mouth", "out of round", "spring-back"}


def test_the_words_come_with_the_package() -> None:
    assert (Path(terminal.__file__).parent / "glossary.toml").is_file()


@pytest.mark.parametrize(
    ("typed", "first"),
    [("crus", "crush"), ("sinkage", "recession"), ("OVALITY", "out of round"), ("hourglass rock", ""), ("tir", "TIR")],
)
def test_a_word_is_found_by_any_part_of_it_or_another_name(typed: str, first: str) -> None:
    found = found_in(glossary(), typed)
    assert (found[0].title if found else "") == first


def test_names_that_begin_so_come_before_those_that_have_it_and_texts_last() -> None:
    entries = [Entry("1", "hot seat", ""), Entry("2", "guide", "near the seat"), Entry("3", "seat width", "")]
    assert [entry.id for entry in found_in(entries, "seat")] == ["3", "1", "2"]


async def test_a_word_is_looked_up_from_the_help_of_the_bench_and_the_way_back_is_short(store: JobStore) -> None:
    app = HeadwrightApp(store, "bench 1", "1001")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        bench = app.screen
        await pilot.press("f1")
        await pilot.pause()
        await pilot.press("w")
        await pilot.pause()
        assert isinstance(app.screen, GlossaryCard)
        await pilot.press(*"lobing")
        await pilot.pause()
        assert "lobing An odd number of high spots around a bore." in words(app)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, GlossaryCard)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is bench


# Colours and signs


async def test_a_theme_is_seen_at_once_and_kept_for_the_next_start(store: JobStore, home: Path) -> None:
    (home / "config.toml").write_text('# mine\n[keys]\nstrike = "F12"\n', encoding="utf-8")
    app = HeadwrightApp(store, "bench 1")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.look == ("dark", "full")
        await pilot.press("ctrl+t")
        await pilot.pause()
        assert isinstance(app.screen, LookCard)
        await pilot.press("3", "enter")
        await pilot.pause()
        await pilot.pause()
        assert app.look == ("contrast", "full")
        assert "High contrast (now)" in words(app)
        assert app.screen.styles.background.rgb == (0, 0, 0)
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.styles.background.rgb == (0, 0, 0)
    text = (home / "config.toml").read_text(encoding="utf-8")
    assert text == 'theme = "contrast"\n# mine\n[keys]\nstrike = "F12"\n'
    assert HeadwrightApp(store, "bench 1").look == ("contrast", "full")
    use({})


def test_plain_signs_chosen_inside_are_drawn_everywhere_at_once_and_after_the_next_start(store: JobStore) -> None:
    del store
    with PtyApp(HEADWRIGHT) as app:
        app.wait_for("▸ 1001")
        app.press("ctrl+t")
        app.wait_for("Colours and signs")
        app.press("5", "enter")
        app.wait_for("Plain signs (now)", "Full signs ", "a tick, an arrowhead")
        app.press("esc")
        app.wait_for("> 1001")
        app.read(0.3)
        assert app.text.isascii()
        app.press("ctrl+c")
        assert app.ended() == 0
    with PtyApp(HEADWRIGHT) as app:
        app.wait_for("> 1001")
        assert app.text.isascii()


def test_a_choice_that_cannot_be_kept_holds_until_the_end_and_says_so(store: JobStore, home: Path) -> None:
    del store
    (home / "config.toml").write_text("theme =\n", encoding="utf-8")
    with PtyApp(HEADWRIGHT, 100, 30) as app:
        app.wait_for("1001", "cannot be read", "Nothing in it is used.")
        app.press("ctrl+t")
        app.wait_for("Colours and signs")
        app.press("2", "enter")
        app.wait_for("Light (now)", "It was left as it is; this holds until you leave.")
    assert (home / "config.toml").read_text(encoding="utf-8") == "theme =\n"


async def test_a_line_that_is_typed_in_takes_no_command(store: JobStore) -> None:
    """Ctrl+P on a card does nothing: its keys all stand in its line."""
    app = HeadwrightApp(store, "bench 1")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.push_screen(NoteCard("2I"))
        await pilot.pause()
        await pilot.press("ctrl+p")
        await pilot.pause()
        assert isinstance(app.screen, NoteCard)
