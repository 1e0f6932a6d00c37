"""The bench in a real pseudo-terminal, by keys alone, with the job in a real store."""

from __future__ import annotations

import re
import sys
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from headwright.job.agenda import Next, Now
from headwright.job.events import CameOn, CautionAcknowledged
from headwright.store import open_store
from headwright.terminal.cards.figure_line import UNREAD
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal.alder_bench import (
    CLEARANCES,
    FIRST_BALL,
    HEADWRIGHT,
    POINTS,
    SECOND_BALL,
    SECOND_CLEARANCES,
    at_bench,
    desk_at,
    do,
    opened,
    typed_reading,
    work_up_to,
)
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from pathlib import Path

JOB = "2001"
COLOUR = re.compile(rb"\x1b\[(?:\d+;)*(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;\d+)*m")
"""A sequence that sets a colour, as ECMA-48 and xterm have them."""


@pytest.fixture
def sized(home: Path) -> Path:
    """Give a data folder with job 2001 worked up to the sizing of its liners."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    opened(store, job=JOB, by=(MARA, OWEN), read=(), up_to="size", terminal="office")
    store.close()
    return home


def acknowledge(app: PtyApp, *titles: str) -> None:
    """Read each caution to its end and acknowledge it."""
    for title in titles:
        app.wait_for("Caution: " + title)
        app.press("pgdn", "pgdn", "pgdn")
        app.read(0.3)
        app.press("a")
        app.wait_for("Caution: " + title, gone=True)


def tick_shield(app: PtyApp) -> None:
    """Tick the one step of sizing that wants it."""
    app.wait_for("▸ head A: Face shield down")
    app.press("space")
    app.wait_for("▸ 1I: Ball diameter")


def take(app: PtyApp, place: str, ball: str, sizes: tuple[str, ...], then: str) -> None:
    """Take the ball and the six sizes of a place; after each the cursor must be at the next point by itself."""
    app.wait_for(f"▸ {place}: Ball diameter")
    app.press(ball, "enter")
    following = [f"▸ {place}: Finished ID, {point}" for point in POINTS[1:]] + [then]
    app.wait_for(f"▸ {place}: Finished ID, {POINTS[0]}")
    for size, words in zip(sizes, following, strict=True):
        app.enter(size, words)


class UnderRules:
    """Takes places as `take` does where the gauge has to be zeroed again after ten readings.

    Args:
        app: the bench.
        read: how many readings were taken since the last zero.
    """

    ASKED = "It shows"
    MOST = 10

    def __init__(self, app: PtyApp, read: int) -> None:
        self.app = app
        self.read = read

    def take(self, place: str, ball: str, sizes: tuple[str, ...], then: str) -> None:
        points = [f"▸ {place}: Finished ID, {point}" for point in POINTS]
        self.app.wait_for(f"▸ {place}: Ball diameter")
        self._enter(ball, points[0])
        for size, words in zip(sizes, [*points[1:], then], strict=True):
            self.read += 1
            self._enter(size, words)

    def _enter(self, typed: str, words: str) -> None:
        if self.read < self.MOST or "Finished ID" not in words:
            self.app.enter(typed, words)
            return
        self.app.enter(typed, self.ASKED)
        self.read = 0
        self.app.read(UNREAD)
        self.app.press(".3130")
        self.app.wait_for("Off by")
        self.app.press("enter")
        self.app.wait_for(words, "BG-1 is zeroed on R-3130")


def rework(app: PtyApp) -> None:
    """Take the first rework of a hold, with its own words for the reason."""
    app.press("2")
    app.press("enter")
    app.wait_for("Enter decides with these words")
    app.press("enter")
    app.wait_for("What failed", gone=True)


def test_a_new_job_is_opened_worked_on_and_an_undersize_guide_goes_back_alone(home: Path) -> None:
    """New job, coming on, cautions, zeroes, sizing of eight guides: 2I is held, goes back alone, all are finished."""
    with PtyApp(HEADWRIGHT, env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("A new job")
        app.press("2")
        app.press("enter")
        app.wait_for("Job number", "1 Alder 107")
        app.press("2001")
        app.press("f10")
        app.wait_for("Who is at the bench?", "Initials")
        app.enter("07", "Your name")
        app.enter("Mara Quill", "Your role")
        app.press("1")
        app.press("enter")
        acknowledge(app, "Heavy", "Hollow exhaust valves")
        app.wait_for("RECEIVE AND IDENTIFY", "▸ Photograph the head", "07 Mara Quill")

        # Somebody at another terminal does the work up to sizing; this one sees it and goes there.
        desk = desk_at(home, "2001")
        do(desk, CameOn(OWEN.operator, OWEN.name, OWEN.role), OWEN.operator, "red kettle")
        work_up_to(desk, "size")
        app.wait_for("Home goes to Face shield down")
        app.press("home")
        app.read(0.3)
        if "Caution: " in app.text:
            acknowledge(app, app.line_with("Caution: ").split("Caution: ")[1].split("  ")[0])
        tick_shield(app)
        bench = UnderRules(app, len(desk.state.gauges["BG-1"].after))

        bench.take("1I", *FIRST_BALL["1I"], "▸ 2I: Ball diameter")
        bench.take("2I", *FIRST_BALL["2I"], "What failed")
        app.wait_for("Clearance: .0004–.0007 in, low", ".0010 to .0020 in", ".0006 in")
        rework(app)
        app.wait_for("2I: rework, back to 'Size the liner'; 7 readings set aside", "▸ 2I: Ball diameter")
        state = desk_at(home, "2001").state
        assert len(state.attempt("size", "1I").readings) == 7, "1I keeps its readings"
        assert not state.attempt("size", "2I").readings
        assert len(state.past["size", "2I"][-1].readings) == 7, "what 2I lost stays on record"
        assert "✓ 1I" in app.text
        assert "· 2I" in app.text or "▸ 2I" in app.text

        bench.take("2I", *SECOND_BALL["2I"], "▸ 3I: Ball diameter")
        order = ["3I", "4I", "1E", "2E", "3E", "4E"]
        for place, following in pairwise(order):
            bench.take(place, *FIRST_BALL[place], f"▸ {following}: Ball diameter")
        bench.take("4E", *FIRST_BALL["4E"], "What failed")
        rework(app)
        app.press("home")
        bench.take("4E", *SECOND_BALL["4E"], "TRIM BOTH ENDS")
        app.press("shift+tab")
        app.wait_for("SIZE THE LINER  8 of 8")
        app.read(0.5)
        for place, clearance in {**CLEARANCES, **SECOND_CLEARANCES}.items():
            line = app.line_with(f"✓ {place}")
            assert clearance in line, line
            assert line.split()[-1] in {"ok", "near"}, line


def test_killed_in_the_middle_every_saved_reading_is_there_again(sized: Path) -> None:
    """SIGKILL with a figure half typed: what said saved is there on the next start, what was not typed out is not."""
    ball, sizes = FIRST_BALL["1I"]
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        take(app, "1I", ball, sizes, "▸ 2I: Ball diameter")
        app.enter(FIRST_BALL["2I"][0], "▸ 2I: Finished ID, top, 0°")
        app.enter(FIRST_BALL["2I"][1][0], "▸ 2I: Finished ID, top, 90°")
        app.wait_for("saved")
        app.press(".31")
        app.wait_for(".31▏", "not saved yet")
        app.kill()
        app.ended()
    with at_bench(sized, JOB) as app:
        app.wait_for("▸ 2I: Finished ID, top, 90°", "✓ 1I", "· 4E")
        first, second = app.line_with("✓ 1I"), app.line_with("▸ 2I")
        assert [word for word in first.split() if word.startswith(".313")][: len(sizes)] == list(sizes), first
        assert ".3125" in second
        assert ".31▏" not in app.text
    taken = desk_at(sized, "2001").state.attempt("size", "2I").readings
    assert [t.event.typed for t in taken.values()] == [".31300", ".3125"]


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("abc", "'abc' is not a figure"),
        (".31.3", "two decimal points"),
        ("", "Nothing typed"),
        ("ERR", "The gauge sent 'ERR'"),
        ("3.134", "3.1340 in is far from the 0.3130 expected here: a decimal place, 0.3134 in?"),
    ],
)
def test_what_is_no_figure_keeps_the_typed_text_and_says_what_is_expected(
    sized: Path, typed: str, expected: str
) -> None:
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        app.enter(".31395", "▸ 1I: Finished ID, top, 0°")
        app.press(typed, "enter")
        app.wait_for(expected)
        assert "▸ 1I: Finished ID, top, 0°" in app.text, "the cursor stays"
        if typed:
            app.wait_for(f"{typed}▏")
            app.press("esc")
            app.wait_for(f"{typed}▏", gone=True)
        app.enter(".3133", "▸ 1I: Finished ID, top, 90°")
    assert len(desk_at(sized, "2001").state.attempt("size", "1I").readings) == 2


def test_a_doubtful_figure_is_corrected_by_one_key_or_kept_by_another_and_never_by_enter(sized: Path) -> None:
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        app.enter(".31395", "▸ 1I: Finished ID, top, 0°")
        app.press(".3383", "enter")
        app.wait_for("one thimble turn, 0.3133 in?", "Space takes .3133, K keeps .3383, Esc clears it.")
        app.press("space")
        app.wait_for("▸ 1I: Finished ID, top, 90°")
        app.press(".3383", "\r\n\r\n")
        app.wait_for("K keeps .3383")
        app.read(0.6)
        app.press("enter")
        app.wait_for("Enter does not answer this. Space takes .3133, K keeps .3383, Esc clears it.")
        app.press("\r", "\n")
        app.read(0.2)
        assert "▸ 1I: Finished ID, top, 90°" in app.text, "however often, and however late, Enter keeps nothing"
        app.press("k")
        app.wait_for("▸ 1I: Finished ID, middle, 0°")
        app.press(".3384", "enter")
        app.wait_for("K keeps .3384")
        app.press("K")
        app.wait_for("▸ 1I: Finished ID, middle, 90°")
    taken = list(desk_at(sized, "2001").state.attempt("size", "1I").readings.values())
    turn = "one thimble turn"
    assert [(t.event.typed, t.event.questioned) for t in taken[1:]] == [
        (".3133", ""),
        (".3383", turn),
        (".3384", turn),
    ]


def test_what_is_sent_while_a_figure_is_questioned_answers_nothing(sized: Path) -> None:
    """A gauge may send a blank first, and a scanner a K: neither takes the offer, and neither keeps the figure."""
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        app.enter(".31395", "▸ 1I: Finished ID, top, 0°")
        for sent in (" .3133", "KN12"):
            app.press(".3383", "enter")
            app.wait_for("K keeps .3383")
            app.press(sent)
            app.wait_for(f"{sent.strip()}▏")
            assert ".3383" not in app.line_with("▸ 1I"), "what is sent is a figure of its own"
            app.press("esc")
            app.wait_for("▏", gone=True)
    assert len(desk_at(sized, "2001").state.attempt("size", "1I").readings) == 1


def test_a_figure_entered_too_early_is_asked_about_and_typed_on(sized: Path) -> None:
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        app.enter(".314", "▸ 1I: Finished ID, top, 0°")
        app.press(".31", "enter")
        app.wait_for(".31 has two digits fewer than are read here: not finished? Type on, K keeps", ".3100, Esc")
        app.press("33", "enter")
        app.wait_for("▸ 1I: Finished ID, top, 90°")
        app.enter(".313", "▸ 1I: Finished ID, middle, 0°")
    taken = list(desk_at(sized, "2001").state.attempt("size", "1I").readings.values())
    assert [(t.event.typed, t.event.questioned) for t in taken] == [(".314", ""), (".3133", ""), (".313", "")]


def test_what_another_terminal_records_is_seen_and_typing_stays(sized: Path) -> None:
    """A reading taken elsewhere is on this screen within two seconds, beside the figure that is being typed here."""
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        app.press(".31")
        app.wait_for(".31▏")
        desk = desk_at(sized, "2001")
        ball = Next(Now.READING, "", "size", "3I", "ball", desk.state.index.points("size", "ball")[0])
        for caution in desk.state.index.operations["size"].cautions:
            do(desk, CautionAcknowledged(caution), OWEN.operator)
        do(desk, typed_reading(desk, ball, ".31395"), OWEN.operator)
        app.read(2.0)
        assert ".31395" in app.line_with("3I")
        assert "02 at office" in app.text
        assert ".31▏" in app.text


def test_without_colour_not_one_colour_is_sent(sized: Path) -> None:
    with at_bench(sized, JOB, NO_COLOR="1") as app:
        tick_shield(app)
        app.press("abc", "enter")
        app.wait_for("is not a figure")
        assert not COLOUR.findall(bytes(app.raw))


def test_leaving_with_something_typed_asks_once(sized: Path) -> None:
    with at_bench(sized, JOB) as app:
        tick_shield(app)
        app.press(".31", "ctrl+c")
        app.wait_for("'.31' is not saved")
        app.press("ctrl+c")
        assert app.ended() == 0


BROKEN = """
import sys
from headwright.cli import main
from headwright.terminal.bench.screen import BenchScreen

def begin(self):
    raise RuntimeError("out of thin air")

BenchScreen.begin = begin
sys.exit(main(["open", "2001"]))
"""


def test_a_fault_of_the_program_leaves_one_line_and_a_file_that_tells_of_it(sized: Path) -> None:
    with PtyApp((sys.executable, "-c", BROKEN), env={"HEADWRIGHT_HOME": str(sized)}) as app:
        assert app.ended() == 70
        assert "a fault in the program; what is known of it is in" in " ".join(app.lines)
        assert "Traceback" not in app.text
    (log,) = sized.glob("fault-*.log")
    assert "out of thin air" in log.read_text(encoding="utf-8")


def test_ctrl_c_leaves_from_a_card_too(sized: Path) -> None:
    with PtyApp((*HEADWRIGHT, "open", "2001"), env={"HEADWRIGHT_HOME": str(sized)}) as app:
        app.wait_for("Who is at the bench?", "Mara Quill")
        app.press("ctrl+c")
        assert app.ended() == 0
