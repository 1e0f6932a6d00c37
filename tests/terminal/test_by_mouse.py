"""Each main path by the mouse alone in a real pseudo-terminal: no key but those of figures and words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from headwright.job.agenda import Now, next_up
from headwright.job.events import CameOn, SpecConfirmed, StepTicked
from headwright.store import open_store
from headwright.store.sample import bring_sample
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal.alder_bench import FIRST_BALL, HEADWRIGHT, desk_at, do, measured, opened, work_up_to
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SIZE = (100, 30)
JOB = "2001"
BALL, SIZES_1I = FIRST_BALL["1I"]


class Mouse(PtyApp):
    """A terminal in which nothing is pressed that is no part of a figure or a word."""

    def press(self, *keys: str) -> None:
        raise AssertionError(f"by mouse alone: {keys}")

    def type(self, text: str) -> None:
        """Type a figure or a word."""
        assert re.fullmatch(r"[\w .,]+", text)
        super().press(text)

    def click_key(self, label: str) -> None:
        """Click on a label in the line of keys."""
        self.wait_for(label)
        self.settled(0.12)
        *_, (x, y) = [(line.rindex(label), y) for y, line in enumerate(self.lines) if label in line]
        self.click_at(x, y)

    def command(self, words: str) -> None:
        """Take a command of the screen from the list of all of them, which the help leads to."""
        self.click_key("F1 help")
        self.click_key("c commands")
        self.wait_for("What can be done here")
        self.type(words)
        self.settled()
        self.click_key("Enter take it")
        self.wait_for("What can be done here", gone=True)

    def read_caution(self) -> None:
        """Read the caution that is shown to its end, and acknowledge it."""
        self.wait_for("Caution: ")
        title = self.line_with("Caution: ").strip("│ ")
        while title in self.text:
            if "PgDn further" in self.text:
                self.click_key("PgDn further")
            self.click_key("a I have read it")
            self.settled()

    def click(self, text: str, *, nth: int = 0, right: int = 0, down: int = 0) -> None:
        """Click on a text once it stands still."""
        self.wait_for(text)
        self.settled(0.12)
        super().click(text, nth=nth, right=right, down=down)


@pytest.fixture
def sizing(home: Path) -> Path:
    """Give a data folder with a job at the sizing of its liners."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    opened(store, job=JOB, up_to="size", terminal="office")
    store.close()
    return home


@pytest.fixture
def mouse(sizing: Path) -> Iterator[Mouse]:
    """Give the bench with Mara at it."""
    with Mouse((*HEADWRIGHT, "open", JOB), *SIZE, env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        come_on(app)
        yield app


def come_on(app: Mouse, name: str = "Mara Quill") -> None:
    """Say who is at the bench: a click on the line takes it."""
    app.wait_for("Who is at the bench?")
    app.click(name)
    app.wait_for("Who is at the bench?", gone=True)


def test_a_new_job_from_an_empty_shop_with_somebody_who_was_never_there(home: Path) -> None:
    """First question, form of the job, form of the person, both cautions; then the first step is at hand."""
    with Mouse(HEADWRIGHT, *SIZE, env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.click("A new job")
        app.wait_for("Alder 107")
        app.click("Tag on head", right=20)
        app.type("T 12")
        app.click("Job number", right=20)
        app.type(JOB)
        app.click("Open this job")
        app.wait_for("Initials")
        app.type("07")
        app.click("Name  ", right=16)
        app.type("Mara Quill")
        app.click("machinist")
        app.read_caution()
        app.read_caution()
        app.wait_for("▸ Photograph the head", "07 Mara Quill")
    state = desk_at(home, JOB).state
    assert state.tag == "T 12"
    assert state.people["07"].on


def test_the_board_opens_a_job_and_the_bench_leads_back(sizing: Path) -> None:
    store = open_store(sizing / "headwright.db")
    bring_sample(store)
    store.close()
    with Mouse(HEADWRIGHT, *SIZE, env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.click(" 1001  ")
        come_on(app)
        app.wait_for("SIZE THE LINER")
        app.click_key("F8 jobs")
        app.click_key("/ find")
        app.type("2001")
        app.wait_for("1 of 2")
        app.click(" 2001  ")
        app.wait_for(" 2001  Alder 107")


def test_a_step_is_ticked_a_figure_is_taken_where_the_mouse_points_and_struck_again(sizing: Path, mouse: Mouse) -> None:
    mouse.wait_for("▸ head A: Face shield down")
    mouse.click("Space ticks it")
    mouse.click("· 3I", right=6)
    mouse.wait_for("3I: Ball diameter")
    mouse.type(".31395")
    mouse.click(".31395▏", nth=1)
    mouse.wait_for("3I: Finished ID, top, 0°")
    mouse.click("3I  ", right=10)
    mouse.wait_for("3I: Finished ID, top, 90°")
    mouse.type(".3134")
    mouse.click(".3134▏", nth=1)
    mouse.wait_for("saved")
    taken = desk_at(sizing, JOB).state.attempt("size", "3I").readings.values()
    assert [each.event.typed for each in taken] == [".31395", ".3134"]
    mouse.click("▸ 3I", right=14)
    mouse.click_key("F3 strike")
    mouse.click("Misread")
    mouse.click_key("Enter settle it")
    mouse.wait_for("Struck: 3I, Finished ID")
    assert len(desk_at(sizing, JOB).state.attempt("size", "3I").struck) == 1


def test_a_questioned_figure_is_corrected_by_a_click_on_the_question_and_kept_by_one_on_its_line(
    sizing: Path, mouse: Mouse
) -> None:
    mouse.click("Space ticks it")
    mouse.wait_for("▸ 1I: Ball diameter")
    for shown in ("Space takes", ".3383▏"):
        mouse.type(".3383")
        mouse.wait_for(".3383▏")
        mouse.click(".3383▏", nth=1)
        mouse.wait_for("Space takes", "keeps .3383")
        mouse.click("▸ 1I: ")
        mouse.wait_for("Enter does not answer this.")
        mouse.click(shown, nth=0 if shown == "Space takes" else 1)
        mouse.wait_for("keeps .3383", gone=True)
    readings = list(desk_at(sizing, "2001").state.attempt("size", "1I").readings.values())
    assert [(t.event.typed[:5], t.event.questioned != "") for t in readings] == [(".3133", False), (".3383", True)]


def test_a_caution_is_read_before_the_work_that_it_belongs_to(sizing: Path) -> None:
    home = sizing
    desk = desk_at(home, JOB)
    do(desk, CameOn("11", "Nils Berg", MARA.role), "11")
    with Mouse((*HEADWRIGHT, "open", JOB), *SIZE, env={"HEADWRIGHT_HOME": str(home)}) as app:
        come_on(app, "Nils Berg")
        app.read_caution()
        app.settled()
        while "Caution: " in app.text:
            app.read_caution()
            app.settled()
        app.wait_for("▸ head A: Face shield down")


def held(home: Path) -> None:
    """Take 1I as it should be, and let 2I come out too small."""
    desk = desk_at(home, JOB)
    do(desk, StepTicked("size", "head:A", "shield"), MARA.operator)
    for place in ("1I", "2I"):
        measured(desk, place)


def test_a_hold_has_its_way_out_under_the_mouse(sizing: Path, mouse: Mouse) -> None:
    held(sizing)
    mouse.wait_for("low held")
    mouse.click_key("F4 hold")
    mouse.wait_for("What failed")
    mouse.click("Rework")
    mouse.wait_for("Enter decides with these words")
    mouse.click_key("Enter settle it")
    mouse.wait_for("What failed", gone=True)
    mouse.wait_for("2I: rework, back to 'Size the liner'")
    assert not desk_at(sizing, JOB).state.attempt("size", "2I").readings


def test_notes_stops_and_going_on(sizing: Path, mouse: Mouse) -> None:
    mouse.command("note")
    mouse.wait_for("Note on")
    mouse.type("chip under it")
    mouse.click_key("Enter give it")
    mouse.wait_for("Noted about")
    mouse.click_key("F6 stop")
    mouse.wait_for("Stop head A")
    mouse.type("crack seen")
    mouse.click_key("Enter give it")
    mouse.wait_for("■ stopped")
    mouse.click_key("F5 who")
    come_on(mouse, "Owen Hale")
    mouse.settled()
    while "Caution: " in mouse.text:
        mouse.read_caution()
    mouse.click_key("F6 stop")
    mouse.wait_for("Resume head A")
    mouse.type("looked at")
    mouse.click_key("Enter give it")
    mouse.wait_for("goes on: looked at")
    state = desk_at(sizing, JOB).state
    assert [note.text for note in state.notes if note.text == "chip under it"]
    assert not state.stopped


def test_the_views(sizing: Path, mouse: Mouse) -> None:
    held(sizing)
    mouse.wait_for("low held")
    mouse.click("Alder 107")
    mouse.click("4E")
    mouse.wait_for("4E: Ball diameter")
    mouse.click("SIZE THE LINER")
    mouse.wait_for("Enter go there")
    mouse.click_key("Esc ")
    mouse.wait_for("Enter go there", gone=True)
    mouse.click(" 1I  .313", right=6)
    mouse.command("profile")
    mouse.wait_for("1I: Finished ID", "limits")
    mouse.click_key("Ctrl+X back")
    mouse.command("trends")
    mouse.wait_for("Finished bores of this job")
    mouse.click_key("3 ")
    mouse.wait_for("Springback over interference")
    mouse.click_key("Esc ")
    mouse.command("large")
    mouse.wait_for("██")
    mouse.click_key("Ctrl+E back")
    mouse.wait_for("██", gone=True)
    mouse.wait_for("· 4E")


def test_help_words_colours_history_and_why(mouse: Mouse) -> None:
    mouse.click_key("? why")
    mouse.wait_for("How")
    mouse.click_key("Esc leave")
    mouse.click("07 Mara Quill")
    mouse.wait_for("Who is at the bench?")
    mouse.click_key("Esc leave")
    mouse.wait_for("Who is at the bench?", gone=True)
    mouse.click("Space ticks it")
    mouse.click("▸ 1I: Ball diameter")
    mouse.wait_for("Why")
    mouse.click_key("Esc leave")
    mouse.wait_for("▸ 1I: Ball diameter")
    assert "Nothing typed" not in mouse.text
    mouse.click("lines, ?")
    mouse.wait_for("Why")
    mouse.click_key("Esc leave")
    mouse.click_key("F1 help")
    mouse.wait_for("Keys here")
    mouse.scroll("Keys here", 30)
    mouse.wait_for("Keys here", gone=True)
    mouse.click_key("w words")
    mouse.type("out of round")
    mouse.wait_for("two ways across")
    mouse.click_key("Esc leave")
    mouse.click_key("l colours")
    mouse.click("High contrast")
    mouse.settled()
    mouse.click_key("Esc leave")
    mouse.command("history")
    mouse.wait_for("everything on record")
    mouse.click_key("Esc leave")
    mouse.wait_for("everything on record", gone=True)
    mouse.click("✓ Lubricat")
    mouse.wait_for("LUBRICATE FOR SIZING")
    mouse.command("what next")
    mouse.wait_for("▸ 1I: Ball diameter")


def test_kit_and_sums(sizing: Path) -> None:
    with Mouse(HEADWRIGHT, *SIZE, env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.wait_for("2001")
        app.command("kit")
        app.wait_for("Tern Point Head Works", "BG-1")
        app.scroll("BG-1", 10)
        app.wait_for("BG-1", gone=True)
        app.click_key("Esc leave")
        app.command("sums")
        app.click("press-fit")
        app.wait_for("Formula")
        app.click_key("F3 example")
        app.wait_for("Still to come", gone=True)
        app.click_key("Esc back")
        app.click_key("Esc back")
        app.wait_for("Jobs  1")


def test_handing_over(mouse: Mouse) -> None:
    mouse.command("hand over")
    mouse.wait_for("that is how it stands")
    while "Who takes over?" not in mouse.text:
        if "PgDn further" in mouse.text:
            mouse.click_key("PgDn further")
        mouse.click_key("a that is how")
        mouse.settled()
    mouse.click("Owen Hale")
    mouse.wait_for("that is how it stands")
    while "that is how it stands" in mouse.text:
        if "PgDn further" in mouse.text:
            mouse.click_key("PgDn further")
        mouse.click_key("a that is how")
        mouse.settled()
    while "Caution: " in mouse.text:
        mouse.read_caution()
        mouse.settled()
    mouse.wait_for("02 Owen Hale")


def test_the_release(home: Path) -> None:
    home.mkdir()
    store = open_store(home / "headwright.db")
    desk = opened(store, job=JOB, terminal="office")
    work_up_to(desk, "")
    while (found := next_up(desk.state, MARA.operator)).now is Now.CONFIRM:
        do(desk, SpecConfirmed(found.subject, "data sheet"), OWEN.operator)
    assert found.now is Now.RELEASE
    store.close()
    with Mouse((*HEADWRIGHT, "open", JOB), *SIZE, env={"HEADWRIGHT_HOME": str(home)}) as app:
        come_on(app, "Owen Hale")
        app.click("Enter signs")
        app.wait_for("Sign-off")
        app.type("Owen Hale")
        app.click_key("Enter give it")
        app.wait_for("Sign-off", gone=True)
        app.settled()
    assert desk_at(home, JOB).state.released
