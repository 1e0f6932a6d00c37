"""What terminals do to a program: they close, hang, change their size, put it to sleep, paste, and send in bursts."""

from __future__ import annotations

import os
import signal
import sqlite3
import time
from typing import TYPE_CHECKING

import pytest

from headwright.terminal.ends import LONGEST
from tests.terminal.alder_bench import FIRST_BALL, HEADWRIGHT, at_bench, come_on, desk_at
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.state import Taken

JOB = "2001"
BALL, SIZES_1I = FIRST_BALL["1I"]
TOP = "▸ 1I: Finished ID, top, 0°"


def with_ball(home: Path, size: tuple[int, int] = (80, 24), **env: str) -> PtyApp:
    """Go to the bench and take the first ball: its first size is at hand."""
    app = at_bench(home, JOB, size, **env)
    app.wait_for("▸ 1I: Ball diameter")
    app.enter(BALL, TOP)
    app.wait_for("saved")
    return app


def readings(home: Path) -> list[Taken]:
    """Give the readings of 1I that are on disk."""
    return list(desk_at(home, JOB).state.attempt("size", "1I").readings.values())


def typed(home: Path) -> list[str]:
    """Give what was typed for them."""
    return [taken.event.typed for taken in readings(home)]


def in_order(home: Path) -> None:
    """See that the first ball is on disk and nothing else is, that nothing holds the file, and the job opens again."""
    assert sorted(path.name for path in home.iterdir()) == ["headwright.db"], "no log or lock is left over"
    with sqlite3.connect(home / "headwright.db", timeout=0) as free:
        free.execute("BEGIN EXCLUSIVE")
        free.rollback()
    free.close()
    assert typed(home) == [BALL]
    with at_bench(home, JOB) as app:
        app.wait_for(TOP)
        assert "▏" not in app.text, "what was not saved is not there"
        app.press("ctrl+c")
        assert app.ended() == 0


def test_a_terminal_that_is_closed_in_the_middle_of_an_entry_ends_the_program_in_order(sizing: Path) -> None:
    with with_ball(sizing) as app:
        app.press(".31")
        app.wait_for(".31▏")
        closed = time.monotonic()
        app.hang_up()
        assert app.ended() == 128 + signal.SIGHUP
        assert time.monotonic() - closed < LONGEST
    in_order(sizing)


APART = """
import os, sys
if os.fork():
    os.wait()
    os._exit(0)
os.setsid()
with open(sys.argv[1], "w") as file:
    file.write(str(os.getpid()))
os.execv(sys.argv[2], sys.argv[2:])
"""
"""Starts a program in a session of its own, and writes its number down."""


def test_a_terminal_that_goes_without_a_word_leaves_no_program_running(sizing: Path) -> None:
    """Its own session has another terminal or none, so that no signal comes when this one is closed."""
    apart = (
        "import os, sys; os.fork() and os._exit(os.wait()[1] and 1); os.setsid(); os.execv(sys.argv[1], sys.argv[1:])"
    )
    pid_file = sizing / "pid"
    told = f"import os, sys; open({str(pid_file)!r}, 'w').write(str(os.getpid())); os.execv(sys.argv[1], sys.argv[1:])"
    command = (HEADWRIGHT[0], "-c", apart, HEADWRIGHT[0], "-c", told, *HEADWRIGHT, "open")
    with at_bench(sizing, JOB, command=command) as app:
        app.wait_for("▸ 1I: Ball diameter")
        app.enter(BALL, TOP)
        pid = int(pid_file.read_text())
        pid_file.unlink()
        assert pid != app.pid
        app.hang_up()
        until = time.monotonic() + LONGEST
        while _runs(pid) and time.monotonic() < until:
            time.sleep(0.05)
        assert not _runs(pid)
    in_order(sizing)


def _runs(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_asked_to_end_the_program_gives_the_terminal_back_as_it_was(sizing: Path, number: int) -> None:
    with with_ball(sizing) as app:
        app.press(".31")
        app.wait_for(".31▏")
        assert app.modes
        assert not app.is_restored
        app.kill(number)
        assert app.ended() == 128 + number
        assert app.is_restored
    in_order(sizing)


def test_asked_to_end_with_a_card_open_it_does(sizing: Path) -> None:
    with with_ball(sizing) as app:
        app.press("f2", "half a no")
        app.wait_for("half a no")
        app.kill(signal.SIGTERM)
        assert app.ended() == 128 + signal.SIGTERM
        assert app.is_restored
    in_order(sizing)


def test_ctrl_c_gives_the_terminal_back_as_it_was(sizing: Path) -> None:
    with with_ball(sizing) as app:
        app.press(".31", "ctrl+c")
        app.wait_for("'.31' is not saved")
        app.press("ctrl+c")
        assert app.ended() == 0
        assert app.is_restored
    in_order(sizing)


def test_it_sleeps_while_the_shell_is_wanted_and_wakes_up_as_it_was(sizing: Path) -> None:
    """Ctrl+Z, the shell, `bg`, for which there is nothing to do without a terminal, and `fg`."""
    shell = PtyApp(("bash", "--norc", "--noprofile", "-i"), env={"HEADWRIGHT_HOME": str(sizing), "PS1": "shell> "})
    with shell as app:
        app.wait_for("shell>")
        app.press(" ".join((*HEADWRIGHT, "open", JOB)), "enter")
        come_on(app, "Mara Quill")
        app.enter(BALL, TOP)
        app.press(".31")
        app.wait_for(".31▏")
        asleep = app.settled()
        for pause in ("echo $((2 + 2))", "bg"):
            app.press("ctrl+z")
            app.wait_for("asleep; what is saved is on disk. 'fg' brings it back.", "shell>")
            assert not app.modes - {2004}, "bash itself asks for bracketed paste"
            app.press(pause, "enter")
            app.wait_for("4\nshell>" if "echo" in pause else "&\n")
            app.settled()
            app.press("fg", "enter")
            app.wait_for(TOP, ".31▏")
            assert app.settled() == asleep, "the screen is drawn again, and what was typed is there"
        app.press("33", "enter")
        app.wait_for("▸ 1I: Finished ID, top, 90°")
        app.press("ctrl+c")
        app.wait_for("shell>")
        app.press("echo $?", "enter")
        app.wait_for("0\nshell>")
    assert typed(sizing) == [BALL, ".3133"]


def test_with_no_shell_that_could_wake_it_ctrl_z_leaves_it_awake(sizing: Path) -> None:
    """A window or a login that starts the program as its own first process: put to sleep there, it would be lost."""
    with with_ball(sizing) as app:
        app.press(".31", "ctrl+z")
        app.wait_for("No shell is waiting", ".31▏")
        app.press("33", "enter")
        app.wait_for("▸ 1I: Finished ID, top, 90°")


@pytest.mark.parametrize("number", [signal.SIGTSTP, signal.SIGSTOP])
def test_stopped_and_continued_from_outside_it_goes_on(sizing: Path, number: int) -> None:
    """By SIGSTOP too, which no program can prepare for; the terminal was changed by others meanwhile."""
    with with_ball(sizing) as app:
        app.press(".31")
        app.wait_for(".31▏")
        before = app.settled()
        app.kill(number)
        app.wait_until_stopped()
        assert app.is_restored is (number == signal.SIGTSTP)
        app.give_back()
        app.screen.erase_in_display(2)
        app.kill(signal.SIGCONT)
        app.wait_for(TOP, ".31▏")
        assert app.settled() == before
        app.press("33", "enter")
        app.wait_for("▸ 1I: Finished ID, top, 90°")
        app.press("ctrl+c")
        assert app.ended() == 0
        assert app.is_restored
    assert typed(sizing) == [BALL, ".3133"]


SIZES = ((100, 30), (160, 45), (120, 36), (59, 24), (80, 17), (20, 5), (3, 2), (1, 1), (1, 50), (200, 60), (61, 18))
"""From a wall screen to one character; the least that is drawn is 60 by 18."""


def test_a_terminal_of_any_size_in_the_middle_of_an_entry_keeps_what_is_typed(sizing: Path) -> None:
    with with_ball(sizing) as app:
        app.press(".31")
        app.wait_for(".31▏")
        for columns, rows in SIZES:
            app.resize(columns, rows)
            if columns >= 60 and rows >= 18:
                app.wait_for(TOP[:9], ".31▏")
            elif columns >= 20:
                app.wait_for(f"Too small: {columns}×{rows}")
                assert not [line for line in app.lines[3:] if line], "and nothing else is drawn"
            else:
                app.read(0.2)
            assert app.status is None
        for columns, rows in SIZES * 3:
            app.resize(columns, rows)  # dragged, faster than it is drawn
        app.resize(80, 24)
        app.press("3", "3")
        app.wait_for(".3133▏", TOP)
        app.press("enter")
        app.wait_for("▸ 1I: Finished ID, top, 90°")
    assert typed(sizing) == [BALL, ".3133"]


def test_started_in_a_terminal_of_one_character_it_is_there_when_it_grows(sizing: Path) -> None:
    with PtyApp((*HEADWRIGHT, "open", JOB), 1, 1, env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.read_until(time.monotonic() + 1)
        app.resize(80, 24)
        come_on(app, "Mara Quill")
        app.enter(BALL, TOP)
    with PtyApp((*HEADWRIGHT, "open", JOB), 1, 1, env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.read_until(time.monotonic() + 1)
        app.press("ctrl+c")
        assert app.ended() == 0
        assert app.is_restored


def test_ten_readings_that_are_pasted_are_kept_up_to_the_first_that_is_asked_about(sizing: Path) -> None:
    """Four good ones, then a thimble turn out, then five that were meant for other places: they are not guessed at."""
    lines = [".3133", ".3134", ".3133", ".3383", ".3132", ".3133", ".3133", ".31395", ".x", ".3134"]
    with with_ball(sizing) as app:
        app.paste("\r\n".join(lines) + "\r\n")
        app.wait_for("one\nthimble turn, 0.3133 in?", ".3383▏")
        app.wait_for("3 of 10 lines are saved")
        assert typed(sizing) == [BALL, ".3133", ".3134", ".3133"]
        app.press("space")
        app.wait_for("▸ 1I: Finished ID, bottom, 0°")
        app.paste(".3133\n.3133\n.31395\n.x\n.3134")
        app.wait_for("'.x' is not a figure", ".x▏")
        app.wait_for("3 of 5 lines are saved")
    state = desk_at(sizing, JOB).state
    assert typed(sizing) == [BALL, ".3133", ".3134", ".3133", ".3133", ".3133", ".3133"]
    assert [each.event.typed for each in state.attempt("size", "2I").readings.values()] == [".31395"]


@pytest.mark.parametrize("text", ["\x07.31\x9b31m\x0133\x08\x7f", ".31\x1b[2J\x1b]52;c;aGk=\x0733"])
def test_a_paste_that_would_steer_the_terminal_steers_nothing(sizing: Path, text: str) -> None:
    """With the codes that terminals let through, and with those that begin with Esc, of which they let none through."""
    with with_ball(sizing) as app:
        before = len(app.raw)
        app.paste(text)
        app.read_until(time.monotonic() + 0.5)
        sent = bytes(app.raw[before:])
        assert sent
        for steering in (b"\x1b]52", b"\x1b[2J", b"\x9b", b"\x08"):
            assert steering not in sent
        while TOP not in app.text:
            app.press("esc")
            app.read(0.3)
        app.press("esc")
        app.wait_for("▏", gone=True)
        app.enter(".3133", "▸ 1I: Finished ID, top, 90°")
    assert typed(sizing) == [BALL, ".3133"]


ENDS = ("\r", "\n", "\r\n", " in\r\n", "in\r")
"""What gauges send after a figure; some name its unit."""
PRESS = 0.3
"""Seconds between two presses of a gauge's button: quicker than a hand."""


@pytest.mark.parametrize("end", ENDS)
def test_a_gauge_on_a_cable_sends_a_line_at_a_press_and_each_is_one_reading(sizing: Path, end: str) -> None:
    """At 9600 baud, ten bits a byte, a millisecond goes by between two characters."""
    with with_ball(sizing) as app:
        for size in SIZES_1I:
            app.read_until(time.monotonic() + PRESS)
            app.write(f"{size}{end}".encode(), baud=9600)
        app.wait_for("▸ 2I: Ball diameter")
        app.read(0.3)
        assert "Nothing typed" not in app.text
        assert "▏" not in app.text
    assert [figure.removesuffix("in").strip() for figure in typed(sizing)] == [BALL, *SIZES_1I]
    assert {each.event.questioned for each in readings(sizing)} == {""}


@pytest.mark.parametrize("baud", [9600, 0])
@pytest.mark.parametrize("end", ENDS)
def test_a_cable_that_sends_more_than_one_line_at_a_press_is_asked_about(sizing: Path, end: str, baud: int) -> None:
    """A button that bounces sends its figure twice: the second would be taken for the next point, whatever ends it."""
    with with_ball(sizing) as app:
        app.read_until(time.monotonic() + PRESS)
        app.write("".join(f"{figure}{end}" for figure in SIZES_1I).encode(), baud=baud)
        app.wait_for("Two arrivals within 150 ms", "What was sent after it is not taken.", ".3134", "▏")
        app.read_until(time.monotonic() + 3 * PRESS)
        assert typed(sizing)[1:] == [f"{SIZES_1I[0]}{end}".strip()]
        app.press("k")
        app.wait_for("▸ 1I: Finished ID, middle, 0°", "saved")
    assert [each.event.questioned for each in readings(sizing)] == ["", "", "two arrivals"]


@pytest.mark.parametrize("end", ENDS)
def test_a_button_that_bounces_is_one_reading_until_somebody_says_otherwise(sizing: Path, end: str) -> None:
    with with_ball(sizing) as app:
        app.read_until(time.monotonic() + PRESS)
        app.write(f".3133{end}.3133{end}".encode(), baud=9600)
        app.wait_for("Two arrivals within 150 ms", "Esc clears it.")
        app.read_until(time.monotonic() + 3 * PRESS)
        assert "not taken" not in app.text
        app.press("esc")
        app.wait_for("▸ 1I: Finished ID, top, 90°", "saved")
    assert len(readings(sizing)) == 2


def test_a_terminal_that_is_not_read_for_a_while_loses_no_key(sizing: Path) -> None:
    """More is drawn than a pipe holds (64 KiB on Linux), so that writing waits, while somebody goes on typing."""
    with with_ball(sizing) as app:
        app.write(b"\x05" * 40)  # large digits and back
        begun = time.monotonic()
        for key in ".3133\r.3134\r.3133\r.31":
            app.write(key.encode())
            time.sleep(0.12)
        time.sleep(max(0.0, begun + 3 - time.monotonic()))
        app.wait_for("▸ 1I: Finished ID, middle, 90°", ".31▏")
    assert typed(sizing) == [BALL, ".3133", ".3134", ".3133"]


@pytest.mark.parametrize("term", ["xterm", "vt100", "linux", "screen", "tmux-256color", "no-such"])
def test_terminals_of_few_colours_have_all_of_it(sizing: Path, term: str) -> None:
    """TERM as terminfo(5) has it; without COLORTERM none of them is promised more than its kind says."""
    with with_ball(sizing, TERM=term, COLORTERM="") as app:
        app.press(".31")
        app.wait_for(".31▏", "not saved yet", "by clearance")
        assert b"8;2;" not in app.raw, "no 24-bit colour"
        assert (b"8;5;" in app.raw) is ("256" in term)
        app.press("33", "enter")
        app.wait_for("▸ 1I: Finished ID, top, 90°")


def test_a_terminal_that_can_be_drawn_on_by_nobody_is_told_in_a_line(sizing: Path) -> None:
    with PtyApp((*HEADWRIGHT, "open", JOB), env={"HEADWRIGHT_HOME": str(sizing), "TERM": "dumb"}) as app:
        assert app.ended() == 2
        assert "headwright: the screens cannot be drawn on a terminal of the kind 'dumb'" in "".join(app.lines)
        assert b"\x1b" not in app.raw


@pytest.mark.parametrize(
    ("redirected", "told"),
    [(">&-", True), ("| head -c1", True), ("<&-", True), ("2>&-", False), ("2>/dev/null", False), ("2> >(cat)", True)],
)
def test_with_an_output_that_is_no_terminal_it_says_so_and_ends(sizing: Path, redirected: str, *, told: bool) -> None:
    """Where it leads elsewhere, and where its reader has gone."""
    line = f"set -o pipefail; {' '.join(HEADWRIGHT)} open {JOB} {redirected}; echo code $?"
    with PtyApp(("bash", "-c", line), env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.wait_for("code 2")
        assert ("headwright: the screens need a terminal" in app.text) is told
        assert app.ended() == 0
        assert app.is_restored
    in_order_but_untouched = sorted(path.name for path in sizing.iterdir())
    assert in_order_but_untouched == ["headwright.db"]
