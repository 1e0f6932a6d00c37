"""What terminals do to a program: they close, hang, change their size, put it to sleep, paste, and send in bursts."""

from __future__ import annotations

import os
import signal
import sqlite3
import time
from functools import partial, wraps
from typing import TYPE_CHECKING

import pytest

from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal.ends import LONGEST
from tests.terminal.alder_bench import FIRST_BALL, HEADWRIGHT, POINTS, at_bench, come_on, desk_at
from tests.terminal.pty_app import TWICE, PtyApp, Stalled

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
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


def readings(home: Path, place: str = "1I") -> list[Taken]:
    """Give the readings of a place that are on disk."""
    store = open_store(home / "headwright.db")
    try:
        return list(Desk.open(store, JOB, "office").state.attempt("size", place).readings.values())
    finally:
        store.close()


def typed(home: Path) -> list[str]:
    """Give what was typed for them."""
    return [taken.event.typed for taken in readings(home)]


def left_in_order(home: Path, way: str = "") -> None:
    """See that the first ball is on disk and nothing else is, and that nothing holds the file."""
    assert sorted(path.name for path in home.iterdir()) == ["headwright.db"], f"a log or lock is left over: {way}"
    with sqlite3.connect(home / "headwright.db", timeout=0) as free:
        free.execute("BEGIN EXCLUSIVE")
        free.rollback()
    free.close()
    assert typed(home) == [BALL]


def in_order(home: Path) -> None:
    """See that all was left in order, and the job opens again."""
    left_in_order(home)
    with at_bench(home, JOB) as app:
        app.wait_for(TOP)
        assert "▏" not in app.text, "what was not saved is not there"
        app.press("ctrl+c")
        assert app.ended() == 0


def _hung_up(app: PtyApp) -> int:
    closed = time.monotonic()
    app.hang_up()
    status = app.ended()
    assert time.monotonic() - closed < LONGEST
    return status - 128


def _signalled(number: int, app: PtyApp) -> int:
    app.kill(number)
    return app.ended() - 128


def _signalled_over_a_card(app: PtyApp) -> int:
    app.press("esc")
    app.wait_for(".31▏", gone=True)
    app.press("f2")
    app.wait_for("Note on 1I")
    app.press("half a no")
    app.wait_for("half a no")
    return _signalled(signal.SIGTERM, app)


def _left_by_ctrl_c(app: PtyApp) -> int:
    app.press("ctrl+c")
    app.wait_for("'.31' is not saved")
    app.press("ctrl+c")
    return app.ended()


WAYS: dict[str, tuple[Callable[[PtyApp], int], int]] = {
    "the terminal is closed": (_hung_up, signal.SIGHUP),
    "SIGTERM": (partial(_signalled, signal.SIGTERM), signal.SIGTERM),
    "SIGHUP": (partial(_signalled, signal.SIGHUP), signal.SIGHUP),
    "SIGTERM with a card open": (_signalled_over_a_card, signal.SIGTERM),
    "Ctrl+C": (_left_by_ctrl_c, 0),
}
"""Ways to end the program in the middle of an entry; each gives the signal that the exit status tells, 0 for none."""


def test_however_it_is_ended_it_ends_in_order_and_gives_the_terminal_back_as_it_was(sizing: Path) -> None:
    """Each program after the first finds what the one before it left behind."""
    with with_ball(sizing) as app:
        app.press("ctrl+c")
        assert app.ended() == 0
    for way, (end, number) in WAYS.items():
        with at_bench(sizing, JOB) as app:
            app.wait_for(TOP)
            assert "▏" not in app.text, f"what was not saved before {way} is not there"
            app.press(".31")
            app.wait_for(".31▏")
            assert app.modes
            assert not app.is_restored
            assert end(app) == number, way
            assert end is _hung_up or app.is_restored, way
        left_in_order(sizing, way)


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
        app.wait_until_drawn()
        app.resize(80, 24)
        come_on(app, "Mara Quill")
        app.enter(BALL, TOP)
    with PtyApp((*HEADWRIGHT, "open", JOB), 1, 1, env={"HEADWRIGHT_HOME": str(sizing)}) as app:
        app.wait_until_drawn()
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
        app.wait_for("▏")
        app.settled()
        sent = bytes(app.raw[before:])
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
SLOW, AT_ONCE = 9600, 0
"""Baud of a cable: ten bits a byte, so that a millisecond goes by between two characters; 0 sends them at once."""


TRIES = 20
"""Times that a cable is tried on a machine that is busy, before the test gives up."""


def by_cable(test: Callable[..., None]) -> Callable[..., None]:
    """Begin a test again, from the job as it was, while this machine is too busy to send as a cable does."""

    @wraps(test)
    def tried(sizing: Path, **named: object) -> None:
        kept = (sizing / "headwright.db").read_bytes()
        for _ in range(TRIES):
            try:
                test(sizing, **named)
            except Stalled:
                for path in sizing.iterdir():
                    path.unlink()
                (sizing / "headwright.db").write_bytes(kept)
            else:
                return
        raise Stalled

    return tried


def _point(number: int, places: Sequence[str]) -> tuple[str, str]:
    """Give the place and point of a size in working order, counted from 0 over these places."""
    return places[number // len(POINTS)], POINTS[number % len(POINTS)]


def _wait_at(app: PtyApp, number: int, places: Sequence[str]) -> None:
    """Wait until a size is asked for, as the one before it is saved; a ball that is asked for first is typed by hand.

    The next line comes no sooner after that than a button can be pressed again.
    """
    place, point = _point(number, places)
    if number and not number % len(POINTS):
        app.wait_for(f"▸ {place}: Ball diameter")
        app.read_until(time.monotonic() + TWICE)
        app.press(BALL, "enter")
    app.wait_for(f"▸ {place}: Finished ID, {point}")
    app.read_until(time.monotonic() + TWICE)


@by_cable
def test_a_gauge_on_a_cable_sends_a_line_at_a_press_and_each_is_one_reading(sizing: Path) -> None:
    """Three presses with each end of line."""
    places = ("1I", "2I", "3I")
    lines = [(FIRST_BALL["1I"][1][n % 3], end) for n, end in enumerate(end for end in ENDS for _ in range(3))]
    with with_ball(sizing) as app:
        for number, (size, end) in enumerate(lines):
            _wait_at(app, number, places)
            app.write(f"{size}{end}".encode(), baud=SLOW)
        _wait_at(app, len(lines), places)
        assert "Nothing typed" not in app.text
        assert "▏" not in app.text
    kept = [each for place in places for each in readings(sizing, place)[1:]]
    assert [each.event.typed.removesuffix("in").strip() for each in kept] == [size for size, _ in lines]
    assert {each.event.questioned for each in kept} == {""}


@pytest.mark.parametrize("baud", [SLOW, AT_ONCE])
@by_cable
def test_a_cable_that_sends_more_than_one_line_at_a_press_is_asked_about(sizing: Path, baud: int) -> None:
    """A button that bounces sends its figure twice: the second would be taken for the next point, whatever ends it."""
    places = ("1I", "2I")
    with with_ball(sizing) as app:
        _wait_at(app, 0, places)
        for turn, end in enumerate(ENDS):
            place, _ = _point(2 * turn, places)
            app.write("".join(f"{figure}{end}" for figure in SIZES_1I[:3]).encode(), baud=baud)
            app.wait_for("Two arrivals within 150 ms", "What was sent after it is not taken.", SIZES_1I[1], "▏")
            app.settled()
            here = readings(sizing, place)
            before = 2 * turn % len(POINTS)
            assert [each.event.questioned for each in here] == ["", *["", "two arrivals"] * (before // 2), ""]
            assert here[-1].event.typed == f"{SIZES_1I[0]}{end}".strip()
            app.press("k")
            _wait_at(app, 2 * turn + 2, places)
            assert readings(sizing, place)[-1].event.questioned == "two arrivals"


@by_cable
def test_a_button_that_bounces_is_one_reading_until_somebody_says_otherwise(sizing: Path) -> None:
    with with_ball(sizing) as app:
        for number, end in enumerate(ENDS):
            _wait_at(app, number, ("1I",))
            app.write(f".3133{end}.3133{end}".encode(), baud=SLOW)
            app.wait_for("Two arrivals within 150 ms", "Esc clears it.")
            app.settled()
            assert "not taken" not in app.text
            app.press("esc")
            app.wait_for("▏", gone=True)
        _wait_at(app, len(ENDS), ("1I",))
    assert len(readings(sizing)) == 1 + len(ENDS)


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
