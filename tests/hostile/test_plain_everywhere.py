"""Whatever was typed is kept within bounds and shown as plain text: at the screens, in the sheet, by every command."""

from __future__ import annotations

import json
import re
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.at_desk import opened, recorded
from tests.cli.conftest import headwright  # noqa: F401 - a fixture
from tests.job.small import LEAD, MACHINIST, Shop, plan
from tests.terminal.pty_app import PtyApp

from headwright.errors import UsageError
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    GaugeTaken,
    Noted,
    Opened,
    ReadingStruck,
    ReadingTaken,
    Reopened,
    Resumed,
    SpecConfirmed,
    Stopped,
    ToolChosen,
)
from headwright.job.state import begin
from headwright.job.texts import LONGEST_NAME, LONGEST_TEXT
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.store.news import in_words

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Outcome

    from headwright.job.events import Event

STEERING = {
    "colour": "\x1b[31mred",
    "clear the screen": "\x1b[2J\x1b[H",
    "a link": "\x1b]8;;http://x.invalid\x07here\x1b]8;;\x07",
    "the clipboard": "\x1b]52;c;aGk=\x07",
    "a device's string": "\x1bP+q544e\x1b\\",
    "the eight-bit forms": "\x9b31mred \x9d8;;x\x9c \x90q",
    "a bell": "ding\x07",
    "over itself": "no\b\bok\rno",
    "two lines": "one\ntwo\x0bthree\x85four\u2028five",
    "a cell's end": "one\ttwo",
    "turned round": "\u202egnp.exe",
    "isolated": "\u2066in\u2069out",
    "half a sign": "\ud83d",
    "nought": "a\x00b",
}
"""What no keyboard types into a field, and what would act on a terminal, a spreadsheet or a reader's eye."""
ODD = {
    "markup": "[red]a[/] [@click=app.quit]b[/] [/] [[x]]",
    "html": "<script>alert(1)</script><b>&amp;</b>",
    "a sum": "=1+1",
    "a command": "=cmd|' /C calc'!A0",
    "plus": "+1",
    "minus": "-1",
    "at": "@SUM(A1)",
    "marks": "e" + "\u0301" * 60,
    "no width": "a\u200bb\u200dc\ufeffd",
    "wide": "漢字" * 20,
    "from the right": "\u05d0\u05d1\u05d2 \u0627\u0628",
    "a long word": "w" * 80,
    "quotes": "\"; DROP TABLE events; --'",
    "braces": "{0} %s %(x)s ${x} \\x1b[31m \\u202e",
}
"""What may be written, and means nothing: it is shown as it stands."""


def texts_of(text: str) -> tuple[Event, ...]:
    """Give every event that carries a text of somebody's own, with this one in it."""
    return (
        Noted(text, "1I"),
        CameOn(text, "Mara", Role.MACHINIST),
        CameOn("31", text, Role.MACHINIST),
        Stopped("head:A", text),
        Resumed("head:A", text),
        Reopened(text),
        ReadingStruck(5, text),
        SpecConfirmed("clearance", text),
        Disposed("size", "1I", "clearance", Disposition.CONCESSION, text),
        Disposed("size", "1I", "clearance", Disposition.CONCESSION, "so", agreed=text),
        ToolChosen("bore", "1I", "", text),
        GaugeTaken(text, "bore-gauge"),
        ReadingTaken("receive", "head:A", "cracked", text, word="no"),
        ReadingTaken("receive", "head:A", "cracked", "no", word=text),
    )


@pytest.mark.parametrize("text", STEERING.values(), ids=STEERING)
def test_what_steers_is_refused_wherever_it_is_typed(text: str) -> None:
    shop = Shop()
    for wanted in texts_of(text):
        refused = shop.refused(wanted)
        assert "has a character that does not print" in str(refused), wanted
        assert str(refused).isprintable()
    for new in (Opened("2", "sha", tag=text), Opened("2", "sha", customer=text)):
        assert isinstance(decide(begin(plan()), new, "", "bench"), Refused)
    assert isinstance(decide(shop.state, Noted("so"), MACHINIST, text), Refused), "nor does a terminal have such a name"


@pytest.mark.parametrize("text", ["w" * 1_000_000, "\u0301" * 1_000_000, " " * 1_000_000, "x\n" * 500_000])
def test_a_megabyte_is_refused_wherever_it_is_typed(text: str) -> None:
    shop = Shop()
    for wanted in texts_of(text):
        refused = str(shop.refused(wanted))
        assert "it has 1000000 characters" in refused
        assert len(refused) < 200


def test_the_bounds_are_those_of_the_refusal() -> None:
    shop = Shop()
    shop.do(Noted("w" * LONGEST_TEXT))
    assert f"At most {LONGEST_TEXT} are kept" in str(shop.refused(Noted("w" * (LONGEST_TEXT + 1))))
    shop.do(CameOn("31", "w" * LONGEST_NAME, Role.MACHINIST))
    assert f"At most {LONGEST_NAME} are kept" in str(
        shop.refused(CameOn("32", "w" * (LONGEST_NAME + 1), Role.MACHINIST))
    )


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_what_only_looks_odd_may_be_written(text: str) -> None:
    assert Shop().do(Noted(text, "1I")) == (Noted(text, "1I"),)


@given(st.text(max_size=60))
def test_any_note_is_kept_as_it_is_or_refused_in_words(text: str) -> None:
    shop = Shop()
    answer = shop.ask(Noted(text))
    assert answer == (Noted(text),) or (isinstance(answer, Refused) and str(answer).isprintable())


def hostile_job(home: Path) -> None:
    """Keep a job with every text above in it, as another program could have recorded it."""
    assert home  # open_store looks there
    store = open_store()
    try:
        texts = [text for text in (*STEERING.values(), *ODD.values()) if text != STEERING["half a sign"]]
        opened(store, plan(), "1", tag="".join(texts), customer="".join(reversed(texts)))
        desk = Desk.open(store, "1", "bench 1")
        for number, text in enumerate(texts):
            recorded(store, desk, f"{number}{text}", CameOn(f"{number}{text}", text, Role.MACHINIST))
            recorded(store, desk, f"{number}{text}", Noted(text, "1I"))
        recorded(store, desk, MACHINIST, CameOn(MACHINIST, "w" * 100_000, Role.MACHINIST), Noted("漢" * 100_000))
        recorded(store, desk, LEAD, CameOn(LEAD, "Lena", Role.LEAD), Stopped("head:A", "".join(texts)))
        for entry in desk.entries:
            in_words(entry, desk.state.index)
    finally:
        store.close()


POINTER = re.compile(rb"\x1b\]22;[a-z-]*\x07")
"""How textual asks for the shape of the mouse's pointer: the one string of its own that it sends to the terminal."""

WORDS = (
    ("sheet", "1"),
    ("replay", "1"),
    ("replay", "1", "--json"),
    ("jobs",),
    ("jobs", "--json"),
    ("audit",),
    ("audit", "--json"),
    ("operator",),
)


@pytest.mark.parametrize("words", WORDS, ids=" ".join)
def test_no_command_says_a_sign_that_does_not_print(
    words: tuple[str, ...],
    headwright: Callable[..., Outcome],  # noqa: F811
    home: Path,
) -> None:
    hostile_job(home)
    said = headwright(*words)
    assert said.out or said.err
    for line in (said.out + said.err).split("\n"):
        assert line.isprintable(), line[:200]
    if "--json" in words:
        json.loads(said.out)


def test_the_sheet_is_text_and_its_texts_are_nothing_else(headwright: Callable[..., Outcome], home: Path) -> None:  # noqa: F811
    """HTML stands there as it was typed: nothing reads the sheet as HTML, so writing it out would only spoil it.

    Nor does a spreadsheet take it for cells: it is a plain text with no separators, and each text stands behind a
    label, a time or a blank, so no line begins with what starts a formula.
    """
    hostile_job(home)
    sheet = headwright("sheet", "1").out
    assert "<script>alert(1)</script><b>&amp;</b>" in sheet
    assert "[red]a[/]" in sheet
    assert "=1+1" in sheet
    assert not [line for line in sheet.splitlines() if re.match(r"[=@+\t-][^=-]", line)]


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
def test_no_screen_sends_what_was_typed_to_the_terminal(home: Path, size: tuple[int, int]) -> None:
    """The bytes that reach the terminal are the program's own: none of the sequences in the texts is among them."""
    hostile_job(home)
    with PtyApp([sys.executable, "-m", "headwright"], *size) as app:
        app.wait_for("Jobs")
        app.press("enter")
        app.wait_for("Who is at the bench?")
        app.press("2", "enter")
        app.wait_for("it has a character that does not print (U+001B)")
        app.press("esc")
        app.wait_for("■ stopped", "F1 help")
        for key in ("f1", "esc", "f2", "esc", "f3", "esc", "ctrl+p", "esc", "esc", "esc"):
            app.press(key)
            app.read(0.3)
        assert app.status is None, app.text
        assert all(len(line) <= size[0] for line in app.lines)
        raw = POINTER.sub(b"", bytes(app.raw))
    for sent in (
        b"\x1b]",
        b"\x1b\\\\",
        b"\x1bP",
        b"\x07",
        "\x9b".encode(),
        "\x9d".encode(),
        b"\x1b[31mred",
        b"\x00",
        b"\b",
    ):
        assert sent not in raw, sent
    for turned in "\u202e\u2066\u2069\u2028\x85":
        assert turned.encode() not in raw, ascii(turned)


def test_a_job_cannot_be_opened_with_a_tag_that_steers(home: Path) -> None:
    assert home
    store = open_store()
    try:
        with pytest.raises(UsageError, match="has a character that does not print"):
            Desk.create(store, plan(), "1", terminal="bench 1", tag="\x1b]52;c;aGk=\x07")
        assert store.jobs() == ()
    finally:
        store.close()
