"""A program in a real pseudo-terminal: keys go in as bytes, and what comes out is read as the screen a person sees."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from typing import TYPE_CHECKING, Self

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
    "ctrl+g": "\x07",
    "ctrl+l": "\x0c",
    "ctrl+o": "\x0f",
    "ctrl+p": "\x10",
    "ctrl+r": "\x12",
    "ctrl+y": "\x19",
    "ctrl+t": "\x14",
}
"""What terminals send for the keys that are no characters."""
TWICE = 0.2
"""Seconds between two entries: what comes sooner from a cable is taken for one press of its button."""
LONGEST = 20.0
"""Seconds that a test waits for something before it fails: many times what a busy machine needs."""


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
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.pid, self._fd = pty.fork()
        if self.pid == 0:
            # A terminal that shows every sign, whatever the locale of the machine is.
            usual = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LC_ALL": "C.UTF-8"}
            os.environ.update({**usual, **(env or {})})
            # With the environment as Python has it: readline, which pytest loads, puts COLUMNS and LINES beside it.
            os.execvpe(command[0], list(command), os.environ)  # noqa: S606 - the program under test
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        self.status: int | None = None
        self._entered = 0.0
        self.raw = bytearray()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.kill()
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

    def press(self, *keys: str) -> None:
        """Press keys: names from `KEYS`, anything else is typed as it is, no sooner after Enter than a hand could."""
        for key in keys:
            if key not in KEYS:
                self.read_until(self._entered + TWICE)
            elif key == "enter":
                self._entered = time.monotonic()
            os.write(self._fd, KEYS.get(key, key).encode())
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
            self._stream.feed(data)

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
            self.read(0.05)
            self._reap(os.WNOHANG)
        assert self.status is not None, f"still running:\n{self.text}"
        return self.status

    def _reap(self, how: int) -> None:
        if self.status is None:
            pid, status = os.waitpid(self.pid, how)
            if pid:
                self.status = os.waitstatus_to_exitcode(status)
