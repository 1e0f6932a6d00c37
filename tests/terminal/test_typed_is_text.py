"""What people typed, however odd, is text on every screen that is opened from the bench: it acts on nothing."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest
from rich.cells import cell_len

from headwright.job.events import CameOn, Noted, ReadingTaken
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.desk import Desk
from tests.at_desk import opened, recorded
from tests.hostile.test_plain_everywhere import ODD, POINTER, STEERING
from tests.job.small import INCH, LEAD, MACHINIST, plan
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from pathlib import Path

TEXTS = [text for text in (*STEERING.values(), *ODD.values()) if text != STEERING["half a sign"]]
NAMES = (
    "n" * 200,
    "\u05d0\u05d1\u05d2 \u0627\u0628 \u202egnp.exe",
    "e" + "\u0301" * 60,
    "[red]a[/] [@click=app.quit]b[/]",
    "漢字" * 100,
)
"""As long as anybody might try, from the right, marks without end, markup and a link that acts, two cells a sign."""
SCREENS = {
    "map": ("f9", "Esc"),
    "profile": ("ctrl+x", "back"),
    "trends": ("ctrl+k", "Esc"),
    "large": ("ctrl+e", "back"),
    "history": ("ctrl+y", "everything on record"),
    "handover": ("ctrl+o", "that is how it stands"),
    "why": ("?", "Esc leave"),
}
SENT = (
    b"\x1b]",
    b"\x1bP",
    b"\x07",
    b"\x1b[31mred",
    "\x9b".encode(),
    "\x9d".encode(),
    "\u202e".encode(),
    b"\x00",
    b"\b",
)
"""What the texts would send to the terminal if they acted."""


def keep(home: Path, name: str) -> None:
    """Keep a job with a name in every text of its own, as another program could have recorded it."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    odd = "".join(TEXTS)
    opened(store, plan(), "1", tag=name + odd, customer=odd + name)
    desk = Desk.open(store, "1", "bench 1")
    for initials, role in ((MACHINIST, Role.MACHINIST), (LEAD, Role.LEAD), (name, Role.TRAINEE)):
        recorded(store, desk, initials, CameOn(initials, f"{initials} {name}", role))
    recorded(store, desk, MACHINIST, Noted(name, "1I"), Noted(odd, "head:A"))
    recorded(store, desk, MACHINIST, ReadingTaken("receive", "head:A", "cracked", name, word="no"))
    recorded(store, desk, MACHINIST, ReadingTaken("survey", "1I", "stem", name + odd, "in", 0.3118 * INCH, gauge=name))
    store.close()
    (home / "kit.toml").write_text(
        f'shop = {_toml(name)}\n[[gauge]]\nid = {_toml(name[:20])}\nsort = "bore gauge"\n', encoding="utf-8"
    )


def _toml(text: str) -> str:
    return '"' + "".join(f"\\U{ord(c):08x}" for c in text) + '"'


@pytest.mark.parametrize("name", NAMES, ids=("long", "from the right", "marks", "markup", "wide"))
def test_no_screen_of_the_bench_obeys_what_was_typed(home: Path, name: str) -> None:
    keep(home, name)
    with PtyApp([sys.executable, "-m", "headwright"], 80, 24) as app:
        app.wait_for("Jobs", "F9 sample")
        app.press("ctrl+n")
        app.wait_for("Kit")
        _look(app)
        app.press("esc")
        app.wait_for("F9 sample")
        app.press("enter")
        app.wait_for("Who is at the bench?")
        _look(app)
        app.press("1", "enter")
        app.wait_for("Who is at the bench?", gone=True)
        app.settled()
        if "I have read it" in app.text:
            app.press("esc")
            app.wait_for("I have read it", gone=True)
        for operation in range(2):
            for key, marker in SCREENS.values():
                app.press(key)
                app.wait_for(marker)
                _look(app)
                app.press("esc")
                app.wait_for("F3 strike")
                app.settled()
            app.press("tab" if not operation else "esc")
        raw = POINTER.sub(b"", bytes(app.raw))
    assert not [sent for sent in SENT if sent in raw]


def _look(app: PtyApp) -> None:
    """See that everything is where it belongs: the keys in the last line or in the card's, nothing beyond the edge."""
    app.settled()
    assert app.status is None, app.text
    assert any("Esc" in line or "F1 help" in line for line in app.lines), app.text
    assert all(cell_len(line) <= app.screen.columns for line in app.lines), app.text
    framed = {cell_len(line) for line in app.lines if line.startswith(("│", "┃"))}
    assert framed <= {app.screen.columns}, app.text
