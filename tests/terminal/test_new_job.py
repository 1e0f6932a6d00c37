"""A new job: put down at once, its plan made from the procedures, faults of the procedures told as text."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from threading import Event
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input

from headwright.data import shipped
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal.cards.choices import Numbered
from headwright.terminal.keyline import KeyLine
from headwright.terminal.new_job import LOST, NewJobScreen
from tests.job.small import plan
from tests.terminal.cards_app import HOSTILE, SIZES, OneScreen, is_in_sight, words

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from headwright.store import JobStore


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[JobStore]:
    monkeypatch.setenv("HEADWRIGHT_HOME", str(tmp_path))
    kept = open_store()
    yield kept
    kept.close()


def _app(store: JobStore, folders: list[Path] | None = None) -> OneScreen[str | None]:
    return OneScreen(NewJobScreen(store, "bench 1", folders))


async def _ready(pilot: Pilot[None]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    await pilot.pause()


def _list(app: OneScreen[str | None], name: str) -> Numbered:
    return next(each for each in app.screen.query(Numbered) if each.name == name)


async def test_a_job_is_put_down_with_keys_alone_and_kept(store: JobStore) -> None:
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        text = words(app)
        for label in ("Alder 107, iron, 8 valves", "Liner rebuild, chambers in the head", "Street, long life"):
            assert label in text
        await pilot.press(*"1002", "enter", *"418-B", "enter", *"customer 418", "enter")
        await pilot.press("enter", "enter", "2", "enter", "enter")
        await _ready(pilot)
        assert app.answers == ["1002"]
    desk = Desk.open(store, "1002", "bench 1")
    assert (desk.state.tag, desk.state.customer) == ("418-B", "customer 418")
    assert desk.state.plan.family == "alder-107"
    assert desk.state.plan.application_title == "Performance"
    assert desk.entries[0].terminal == "bench 1"


class SlowFolders(list["Path"]):
    """Folders on a slow disk: nothing is found in them until they are there."""

    def __init__(self, folders: list[Path]) -> None:
        super().__init__(folders)
        self.there = Event()

    def __iter__(self) -> Iterator[Path]:
        self.there.wait()
        return super().__iter__()


async def test_the_number_can_be_typed_while_the_procedures_are_read(store: JobStore) -> None:
    folders = SlowFolders([shipped("procedures")])
    app = _app(store, folders)
    async with app.run_test(size=(80, 24)) as pilot:
        try:
            await pilot.press(*"1002", "f10")
            assert "One moment: the procedures are being read." in words(app)
        finally:
            folders.there.set()
        await _ready(pilot)
        await pilot.press("f10")
        await _ready(pilot)
        assert app.answers == ["1002"]


async def test_on_a_small_terminal_the_list_at_hand_is_whole_and_so_is_what_it_means(store: JobStore) -> None:
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        for name in ("family", "route", "application"):
            options = _list(app, name)
            options.focus()
            await pilot.pause()
            await pilot.pause()
            assert options.max_scroll_y == 0, name
            assert options.size.height == options.option_count
            assert app.screen.query_one(".new-about").max_scroll_y == 0, name
            assert "More stands below" not in words(app)
        assert "Application Street, long life: what the engine is for decides which limits" in words(app)


async def test_what_was_typed_is_not_thrown_away_by_one_key(store: JobStore) -> None:
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        await pilot.press(*"2001", "escape")
        await pilot.pause()
        assert LOST in words(app)
        await pilot.press("7")
        await pilot.pause()
        assert LOST not in words(app)
        await pilot.press("escape")
        await pilot.pause()
        assert app.answers == []
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_a_number_is_asked_for(store: JobStore) -> None:
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        await pilot.press("f10")
        assert "A job number is expected, as the shop counts them." in words(app)
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_a_number_that_is_taken_is_told_and_stays_for_correction(store: JobStore) -> None:
    Desk.create(store, plan(), "1002", terminal="bench 1")
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        await pilot.press(*"1002", "f10")
        await _ready(pilot)
        assert "'1002'" in words(app)
        assert app.answers == []
        number = next(field for field in app.screen.query(Input) if field.name == "number")
        assert number.value == "1002"
        assert number.has_focus
        await pilot.press("end", *"-2", "f10")
        await _ready(pilot)
    assert app.answers == ["1002-2"]


async def test_a_number_that_is_taken_is_told_when_its_field_is_left(store: JobStore) -> None:
    Desk.create(store, plan(), "1002", terminal="bench 1")
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        await pilot.press(*"1002", "tab")
        await pilot.pause()
        assert "Job '1002' exists already. Give the new job another number." in words(app)
        await pilot.press("shift+tab", "end", "3")
        await pilot.pause()
        assert "exists already" not in words(app)
        await pilot.press("tab")
        await pilot.pause()
        assert "exists already" not in words(app)


async def test_a_fault_in_the_procedures_is_told_with_file_line_and_key(store: JobStore, tmp_path: Path) -> None:
    folder = tmp_path / "faulty"
    shutil.copytree(shipped("procedures"), folder)
    route = next((folder / "routes").glob("*.toml"))
    route.write_text(route.read_text(encoding="utf-8") + '\n[colour]\nvalue = "[/b]red"\n', encoding="utf-8")
    app = _app(store, [folder])
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        text = words(app)
        assert f"faulty/routes/{route.name}:" in text
        assert "colour" in text
        await pilot.press(*"1002", "f10")
        assert "A family, a route and an application are expected." in words(app)
    assert store.jobs() == ()


async def test_a_folder_that_is_not_there_is_told_in_words(store: JobStore, tmp_path: Path) -> None:
    app = _app(store, [tmp_path / "nowhere"])
    async with app.run_test(size=(160, 45)) as pilot:
        await _ready(pilot)
        assert "nowhere no such folder" in words(app)


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is unreadable to root")
async def test_a_folder_that_may_not_be_read_is_told_in_words(store: JobStore, tmp_path: Path) -> None:
    folder = tmp_path / "shut"
    folder.mkdir(mode=0)
    app = _app(store, [folder])
    async with app.run_test(size=(160, 45)) as pilot:
        await _ready(pilot)
        assert "shut cannot be read: Permission denied." in words(app)


async def test_many_problems_can_be_read_to_the_last_with_keys(store: JobStore, tmp_path: Path) -> None:
    folder = tmp_path / "faulty"
    shutil.copytree(shipped("procedures"), folder)
    route = next((folder / "routes").glob("*.toml"))
    more = "".join(f"\n[colour{number:02}]\n" for number in range(40))
    route.write_text(route.read_text(encoding="utf-8") + more, encoding="utf-8")
    app = _app(store, [folder])
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        assert "colour39" not in words(app)
        about = app.screen.query_one(".new-about")
        for _ in range(8):
            if about.has_focus:
                break
            await pilot.press("tab")
        await pilot.press("end")
        await pilot.pause()
        assert "colour39" in words(app)


def _with_title(folder: Path, title: str) -> Path:
    """Copy the procedures with one family only, under another title."""
    shutil.copytree(shipped("procedures"), folder)
    for family in (folder / "families").glob("*.toml"):
        if family.stem != "alder-107":
            family.unlink()
    family = folder / "families" / "alder-107.toml"
    text = family.read_text(encoding="utf-8")
    assert '"Alder 107, iron, 8 valves"' in text
    family.write_text(text.replace('"Alder 107, iron, 8 valves"', f'"{title}"'), encoding="utf-8")
    return folder


async def test_the_shops_own_procedures_beside_the_store_are_offered_too(store: JobStore, tmp_path: Path) -> None:
    _with_title(tmp_path / "procedures", "Our Alder")
    app = _app(store)
    async with app.run_test(size=(80, 24)) as pilot:
        await _ready(pilot)
        await pilot.press(*"1002", "enter", "enter", "enter", "end")
        assert "Our Alder, the shop's own" in words(app)
        await pilot.press("f10")
        await _ready(pilot)
        assert app.answers == ["1002"]
    assert Desk.open(store, "1002", "bench 1").state.plan.family_title == "Our Alder"


@pytest.mark.parametrize("size", SIZES)
async def test_everything_is_in_reach_and_hostile_titles_are_text(
    store: JobStore, tmp_path: Path, size: tuple[int, int]
) -> None:
    title = "".join(character for character in HOSTILE if character.isprintable())
    folder = _with_title(tmp_path / "hostile", title)
    app = _app(store, [shipped("procedures"), folder])
    async with app.run_test(size=size) as pilot:
        await _ready(pilot)
        await pilot.press(*"1002", "enter", "enter", "enter", "end")
        await pilot.pause()
        assert "[/b][@click=app.quit]q[/]" in words(app)
        for widget in (
            _list(app, "family"),
            _list(app, "route"),
            _list(app, "application"),
            _list(app, "open"),
            app.screen.query_one(KeyLine),
        ):
            assert is_in_sight(app, widget)
        await pilot.press("f10")
        await _ready(pilot)
    assert app.answers == ["1002"]


def test_the_screens_are_usable_before_pint_and_pydantic_are_loaded(tmp_path: Path) -> None:
    script = (
        "import sys; import headwright.terminal.jobs; "
        "print([name for name in ('pint', 'pydantic') if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=tmp_path)
    assert found.stdout.strip() == "[]"
