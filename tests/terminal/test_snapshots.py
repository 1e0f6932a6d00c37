"""Each screen as a person sees it, at two sizes, dark, light and without colours: text files that a diff can show.

A file has the lines of the screen, then the runs of each line by letters, and what the letters stand for. After a
change that was meant: `pytest tests/terminal/test_snapshots.py --snapshot-update`, and look at the diff.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from itertools import groupby
from shutil import copy
from string import ascii_letters
from typing import TYPE_CHECKING

import pytest
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode

from headwright.data import shipped
from headwright.job.events import CameOn
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.sample import bring_sample
from tests.frozen_clock import FrozenClock
from tests.terminal import frozen_program, screens
from tests.terminal.alder_bench import come_on, do, measured, opened
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from syrupy.assertion import SnapshotAssertion

JOB = "2001"
SHOP = "shop"
BEGUN = datetime(2026, 3, 16, 8, 0, tzinfo=UTC)
SEEN = datetime(2026, 3, 16, 13, 30, tzinfo=UTC)
SIZES = ((80, 24), (120, 36))
LOOKS: dict[str, dict[str, str]] = {"dark": {}, "light": {}, "no-colour": {"NO_COLOR": "1"}}


class Text(SingleFileSnapshotExtension):
    """A text file a snapshot."""

    _write_mode = WriteMode.TEXT
    file_extension = "txt"


@pytest.fixture
def kept(snapshot: SnapshotAssertion) -> SnapshotAssertion:
    """Give the files that the screens are compared with."""
    return snapshot.use_extension(Text)


class _Clock(FrozenClock):
    """Goes on by ten seconds each time it is asked."""

    def __call__(self) -> str:
        self.forward(seconds=10)
        return super().__call__()


@pytest.fixture
def folder(home: Path) -> Path:
    """Give a folder with a shop in it: the sample job, and one at the sizing of its liners with one place held."""
    shop = home / SHOP
    shop.mkdir(parents=True)
    copy(shipped("sample_jobs") / "kit.toml", shop)
    store = open_store(shop / "headwright.db")
    bring_sample(store)
    desk = opened(
        store, job=JOB, tag="T-12", up_to="size", ticked=True, read=(), terminal="office", clock=_Clock(BEGUN)
    )
    for place, count in (("1I", 7), ("2I", 7), ("3I", 3)):
        measured(desk, place, count)
    do(desk, CameOn("11", "Nils Berg", Role.MACHINIST), "11")
    store.close()
    return home


def walk(app: PtyApp) -> Iterator[str]:
    """Go through the screens; at each step the one of that name is seen."""
    screens.board(app)
    yield "jobs"
    app.press("n")
    app.wait_for("Four cylinders in line")
    yield "new-job"
    app.press("esc")
    app.wait_for("A new job", gone=True)
    app.press("ctrl+n")
    app.wait_for("Tern Point", "BG-1")
    yield "kit"
    app.press("esc")
    app.wait_for("F9 sample")
    screens.sums(app)
    yield "sums"
    app.press("esc", "esc")
    app.wait_for("F9 sample")
    app.press(*JOB)
    app.wait_for("1 of 2")
    screens.who(app, "Nils Berg")
    yield "who"
    come_on(app, "Nils Berg")
    app.wait_for("I have read it")
    yield "caution"
    app.press("esc")
    app.wait_for("I have read it", gone=True)
    app.press("f5")
    come_on(app, "Mara Quill")
    app.wait_for("▸ 3I: Finished ID, middle, 0°")
    app.press(".3133")
    app.wait_for(".3133▏")
    yield "bench"
    app.press("ctrl+e")
    app.wait_for("██")
    yield "large"
    app.press("ctrl+e", "esc")
    app.wait_for("██", gone=True)
    yield from _looked_at(app)


def _looked_at(app: PtyApp) -> Iterator[str]:
    """Go through what is looked at from the bench, with nothing typed there."""
    app.wait_for("▏", gone=True)
    app.press("f9")
    app.wait_for("Enter go there")
    yield "map"
    app.press("esc")
    app.wait_for("Enter go there", gone=True)
    app.press("ctrl+x")
    app.wait_for("Ctrl+X back")
    yield "profile"
    app.press("ctrl+x")
    app.wait_for("Ctrl+X back", gone=True)
    app.press("ctrl+k")
    app.wait_for("Finished bores of this job")
    yield "trends"
    app.press("esc")
    app.wait_for("Finished bores of this job", gone=True)
    app.press("f4")
    app.wait_for("What failed")
    yield "hold"
    app.press("esc")
    app.wait_for("What failed", gone=True)
    app.press("ctrl+o")
    app.wait_for("how it stands")
    yield "handover"
    app.press("esc")
    app.wait_for("how it stands", gone=True)
    screens.keys(app)
    yield "help"


def drawn(app: PtyApp) -> str:
    """Give the screen as text: its lines, the runs of each line by letters, and the looks that the letters name."""
    looks: dict[str, str] = {}
    runs = []
    for y in range(app.screen.lines):
        found = groupby(_look(app, x, y) for x in range(app.screen.columns))
        named = (f"{looks.setdefault(look, ascii_letters[len(looks)])}{len(list(same))}" for look, same in found)
        runs.append(f"{y + 1:>3}  {' '.join(named)}")
    legend = [f"  {letter}  {look}" for look, letter in looks.items()]
    return "\n".join((*app.lines, "", "Runs", *runs, "", "Looks", *legend, ""))


def _look(app: PtyApp, x: int, y: int) -> str:
    """Give how a cell looks: its colours and attributes; a blank has no colour of its own."""
    cell = app.screen.buffer[y][x]
    attributes = [
        name for name in ("bold", "italics", "underscore", "strikethrough", "blink", "reverse") if getattr(cell, name)
    ]
    ink = "-" if cell.data == " " and not attributes else cell.fg
    return " ".join((f"{ink} on {cell.bg}", *attributes))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("look", LOOKS)
def test_screens(kept: SnapshotAssertion, folder: Path, look: str, size: tuple[int, int]) -> None:
    (folder / SHOP / "config.toml").write_text(
        f'theme = "{"light" if look == "light" else "dark"}"\n', encoding="utf-8"
    )
    command = (sys.executable, frozen_program.__file__, str(folder), SEEN.isoformat())
    env = {"HEADWRIGHT_HOME": SHOP, "TZ": "UTC", **LOOKS[look]}
    seen = {}
    with PtyApp(command, *size, env=env) as app:
        for name in walk(app):
            app.settled()
            seen[name] = drawn(app)
    changed = {name: kept.get_assert_diff() for name, text in seen.items() if text != kept(name=name)}
    assert not changed, "\n\n".join(f"{name}\n" + "\n".join(diff) for name, diff in changed.items())
