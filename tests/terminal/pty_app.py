"""A program in a real pseudo-terminal: keys go in as bytes, and what comes out is read as the screen a person sees."""

from __future__ import annotations

import copy
import fcntl
import os
import pty
import re
import select
import signal
import struct
import termios
import time
from typing import TYPE_CHECKING, Any, Self

import pyte

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from types import TracebackType

KEYS = {
    "enter": "\r",
    "tab": "\t",
    "shift+tab": "\x1b[Z",
    "esc": "\x1b",
    "space": " ",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "pgup": "\x1b[5~",
    "pgdn": "\x1b[6~",
    "back": "\x7f",
    "f1": "\x1bOP",
    "f2": "\x1bOQ",
    "f3": "\x1bOR",
    "f4": "\x1bOS",
    "f5": "\x1b[15~",
    "f6": "\x1b[17~",
    "f7": "\x1b[18~",
    "f8": "\x1b[19~",
    "f9": "\x1b[20~",
    "f10": "\x1b[21~",
    "f12": "\x1b[24~",
    "ctrl+c": "\x03",
    "ctrl+e": "\x05",
    "ctrl+g": "\x07",
    "ctrl+k": "\x0b",
    "ctrl+l": "\x0c",
    "ctrl+n": "\x0e",
    "ctrl+o": "\x0f",
    "ctrl+p": "\x10",
    "ctrl+r": "\x12",
    "ctrl+y": "\x19",
    "ctrl+t": "\x14",
    "ctrl+x": "\x18",
    "ctrl+z": "\x1a",
}
"""What terminals send for the keys that are no characters."""
TWICE = 0.2
"""Seconds between two entries: what comes sooner from a cable is taken for one press of its button."""
STALL = 0.02
"""Seconds between two bytes of a cable from which on they may seem to be typed: less than the program allows."""
QUIET = 0.25
"""Seconds in which nothing is drawn, after which a test takes the screen for finished."""
LONGEST = 20.0
"""Seconds that a test waits for something before it fails: many times what a busy machine needs."""
_ALTERNATE = 1049
"""The mode of xterm's second screen, on which programs draw; what stood on the first comes back when it is left."""
_USUAL = frozenset({7, 25})
"""Modes that a terminal has before a program changes them: lines wrap (DECAWM), the cursor is seen (DECTCEM)."""
_KITTY = re.compile(rb"\x1b\[[<>=]\d*u")
"""Keyboard modes that pyte would show as a letter, where terminals that do not know them show nothing."""
_MODE = re.compile(rb"\x1b\[\?(\d+)([hl])")


class Stalled(Exception):
    """This machine was too busy to send as a cable does."""


class Screen(pyte.Screen):
    """A terminal's screen with the second one that programs draw on."""

    def __init__(self, columns: int, lines: int) -> None:
        self._first: tuple[Any, Any] | None = None
        super().__init__(columns, lines)

    def set_mode(self, *modes: int, **kwargs: Any) -> None:
        super().set_mode(*modes, **kwargs)
        if kwargs.get("private") and _ALTERNATE in modes and self._first is None:
            self._first = (copy.deepcopy(self.buffer), copy.copy(self.cursor))
            self.erase_in_display(2)

    def reset_mode(self, *modes: int, **kwargs: Any) -> None:
        super().reset_mode(*modes, **kwargs)
        if kwargs.get("private") and _ALTERNATE in modes and self._first is not None:
            (self.buffer, self.cursor), self._first = self._first, None


class PtyApp:
    """A program started in a pseudo-terminal of its own.

    Args:
        command: the program and its arguments.
        columns: width in characters.
        rows: height in lines.
        env: added to the environment.
    """

    def __init__(
        self, command: Sequence[str], columns: int = 80, rows: int = 24, env: Mapping[str, str] | None = None
    ) -> None:
        self.screen = Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.pid, self._fd = pty.fork()
        if self.pid == 0:
            # A terminal that shows every sign, whatever the locale of the machine is.
            usual = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LC_ALL": "C.UTF-8"}
            os.environ.update({**usual, **(env or {})})
            # With the environment as Python has it: readline, which pytest loads, puts COLUMNS and LINES beside it.
            os.execvpe(command[0], list(command), os.environ)  # noqa: S606 - the program under test
        self._at_first = termios.tcgetattr(self._fd)
        self._resize(columns, rows)
        self.status: int | None = None
        self._entered = 0.0
        self.raw = bytearray()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.kill()
        if self._fd >= 0:
            os.close(self._fd)

    @property
    def lines(self) -> list[str]:
        """Give the lines on screen, without the blanks at their ends."""
        return [line.rstrip() for line in self.screen.display]

    @property
    def text(self) -> str:
        """Give the screen as one text."""
        return "\n".join(self.lines)

    def line_with(self, text: str) -> str:
        """Give the first line on screen that has a text; fail where there is none."""
        found = next((line for line in self.lines if text in line), None)
        assert found is not None, f"no line has {text!r}:\n{self.text}"
        return found

    def find(self, text: str, *, nth: int = 0) -> tuple[int, int]:
        """Give column and line (from 0) of a text on screen, of the `nth` where it is there more than once."""
        found = [
            (match.start(), y) for y, line in enumerate(self.lines) for match in re.finditer(re.escape(text), line)
        ]
        assert len(found) > nth, f"not on screen {nth + 1} times: {text!r}\n{self.text}"
        return found[nth]

    def click(self, text: str, *, nth: int = 0, right: int = 0, down: int = 0) -> None:
        """Wait for a text and click on it, so many cells `right` of its beginning and lines `down`."""
        self.wait_for(text)
        x, y = self.find(text, nth=nth)
        self.click_at(x + right, y + down)

    def click_at(self, x: int, y: int) -> None:
        """Click on a cell, counted from 0: the mouse goes there, its left button goes down and up again."""
        self._mouse(35, x, y)
        self._mouse(0, x, y)
        self._mouse(0, x, y, up=True)
        self.read(0.02)

    def scroll(self, text: str, lines: int) -> None:
        """Turn the wheel over a text, down by so many notches; up where it is below 0."""
        x, y = self.find(text)
        for _ in range(abs(lines)):
            self._mouse(65 if lines > 0 else 64, x, y)
            self.read(0.02)

    def _mouse(self, button: int, x: int, y: int, *, up: bool = False) -> None:
        """Report the mouse as xterm does with mode 1006 (SGR), which counts from 1."""
        self.write(f"\x1b[<{button};{x + 1};{y + 1}{'m' if up else 'M'}".encode())

    def paste(self, text: str) -> None:
        """Paste a text as terminals do in bracketed paste mode (2004)."""
        assert 2004 in self.modes, "the program has not asked for it"
        self.write(b"\x1b[200~" + text.encode() + b"\x1b[201~")
        self.read(0.02)

    def write(self, data: bytes, *, baud: int = 0) -> None:
        """Send bytes, at once or as fast as a serial cable of so many baud brings them, ten bits to a byte.

        Raises:
            Stalled: two bytes came so far apart as no cable sends them.
        """
        if not baud:
            os.write(self._fd, data)
            return
        begun = last = time.monotonic()
        for count, byte in enumerate(data):
            # Each by its own time: a cable does not wait for a machine that is busy.
            time.sleep(max(0.0, begun + count * 10 / baud - time.monotonic()))
            os.write(self._fd, bytes([byte]))
            now = time.monotonic()
            if now - last > STALL:
                raise Stalled
            last = now

    def resize(self, columns: int, rows: int) -> None:
        """Give the terminal another size, as when its window is dragged."""
        self.screen.resize(rows, columns)
        self._resize(columns, rows)

    def _resize(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    @property
    def modes(self) -> set[int]:
        """Give the private modes of the terminal that are on, beyond those that it has by itself."""
        on = set(_USUAL)
        for number, what in _MODE.findall(bytes(self.raw)):
            (on.add if what == b"h" else on.discard)(int(number))
        assert on >= _USUAL or _ALTERNATE in on, f"left off: {_USUAL - on}"
        return on - _USUAL

    @property
    def is_restored(self) -> bool:
        """Tell whether the terminal is as it was before the program was started."""
        return not self.modes and termios.tcgetattr(self._fd) == self._at_first

    def give_back(self) -> None:
        """Set the terminal as it was at first, as a shell does for its own line."""
        termios.tcsetattr(self._fd, termios.TCSANOW, self._at_first)

    def hang_up(self) -> None:
        """Close the terminal, as a window that is closed or a connection that breaks."""
        os.close(self._fd)
        self._fd = -1

    def wait_until_stopped(self) -> None:
        """Wait until the program was stopped by a signal of job control."""
        until = time.monotonic() + LONGEST
        while time.monotonic() < until:
            pid, status = os.waitpid(self.pid, os.WNOHANG | os.WUNTRACED)
            if pid:
                assert os.WIFSTOPPED(status), status
                self.read(0.1)
                return
            self.read(0.05)
        raise AssertionError(f"not stopped:\n{self.text}")

    def press(self, *keys: str) -> None:
        """Press keys: names from `KEYS`, anything else is typed as it is, no sooner after Enter than a hand could."""
        for key in keys:
            if key not in KEYS:
                self.read_until(self._entered + TWICE)
            elif key == "enter":
                self._entered = time.monotonic()
            self.write(KEYS.get(key, key).encode())
            self.read(0.02)

    def read(self, seconds: float) -> None:
        """Take in what is drawn for so long."""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            ready, _, _ = select.select([self._fd], [], [], left)
            if not ready:
                return
            try:
                data = os.read(self._fd, 65536)
            except OSError:
                self._reap(os.WNOHANG)
                return
            self.raw += data
            self._answer(data)
            self._stream.feed(_KITTY.sub(b"", data))

    def _answer(self, data: bytes) -> None:
        """Answer what a program asks of its terminal, as terminals do: that it can draw in one go."""
        if b"\x1b[?2026$p" in data:
            os.write(self._fd, b"\x1b[?2026;2$y")

    def wait_for(self, *texts: str, gone: bool = False) -> None:
        """Wait until all texts are on screen (or, `gone`, none of them is)."""
        until = time.monotonic() + LONGEST
        while time.monotonic() < until:
            shown = self.text
            if all((text in shown) is not gone for text in texts):
                return
            if self.status is not None:
                break
            self.read(0.05)
        raise AssertionError(f"{'still' if gone else 'not'} on screen: {texts}\n{self.text}")

    def wait_until_drawn(self) -> None:
        """Wait until the program has taken the screen over and has drawn it, however small that is."""
        until = time.monotonic() + LONGEST
        while _ALTERNATE not in self.modes:
            assert time.monotonic() < until, "the screen is not taken over"
            self.read(0.05)
        self.settled()

    def settled(self, quiet: float = QUIET) -> str:
        """Wait until nothing more is drawn for so many seconds, and give the screen as one text."""
        until, before = time.monotonic() + LONGEST, -1
        while len(self.raw) != before and time.monotonic() < until:
            before = len(self.raw)
            self.read_until(time.monotonic() + quiet)
        return self.text

    def enter(self, text: str, then: str) -> None:
        """Type a text and Enter, and wait for another text to come up."""
        self.press(text, "enter")
        self.wait_for(then)

    def read_until(self, at: float) -> None:
        """Take in what is drawn until a time (monotonic s)."""
        while (left := at - time.monotonic()) > 0:
            self.read(left)
            time.sleep(min(left, 0.01))

    def kill(self, number: int = signal.SIGKILL) -> None:
        """Send the program a signal, and wait for its end where the signal kills."""
        if self.status is None:
            os.kill(self.pid, number)
            if number == signal.SIGKILL:
                self._reap(0)

    def ended(self) -> int:
        """Wait for the program's own end and give its exit status."""
        until = time.monotonic() + LONGEST
        while self.status is None and time.monotonic() < until:
            if self._fd >= 0:
                self.read(0.05)
            else:
                time.sleep(0.05)
            self._reap(os.WNOHANG)
        assert self.status is not None, f"still running:\n{self.text}"
        return self.status

    def _reap(self, how: int) -> None:
        if self.status is None:
            pid, status = os.waitpid(self.pid, how)
            if pid:
                self.status = os.waitstatus_to_exitcode(status)
