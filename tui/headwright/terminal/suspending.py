"""The terminal under the screens: it can be left to the shell for a while, and is drawn again as it was."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from shutil import get_terminal_size
from typing import TYPE_CHECKING

from textual.drivers.linux_driver import LinuxDriver
from textual.events import Resize
from textual.geometry import Size

from headwright.terminal.outlet import Outlet

if TYPE_CHECKING:
    from textual.app import App
    from textual.drivers._writer_thread import WriterThread

ASLEEP = "Headwright is asleep; what is saved is on disk. 'fg' brings it back."
NOBODY = "No shell is waiting that could bring the program back: it stays."


class WakingDriver(LinuxDriver):
    """Textual's terminal; it begins anew where the program was stopped without having put its screen away.

    Of sizes that change fast it takes the last.
    """

    _drawing = False
    _outlet: Outlet | None = None

    @property
    def _writer_thread(self) -> Outlet | None:
        """Give what writes to the terminal; where Textual would put a writer of its own, it is ours."""
        return self._outlet

    @_writer_thread.setter
    def _writer_thread(self, writer: WriterThread | None) -> None:
        self._outlet = Outlet(sys.__stderr__) if writer is not None and sys.__stderr__ is not None else None

    def start_application_mode(self) -> None:
        """Take the terminal."""
        self._drawing = True
        super().start_application_mode()  # type: ignore[no-untyped-call] # Textual's
        # Textual looks at the size while the signal interrupts; one that interrupts that look is seen before it, so
        # that a window dragged fast would be drawn for a size that it had on the way.
        loop = asyncio.get_running_loop()
        signal.signal(signal.SIGWINCH, lambda *_: loop.call_soon_threadsafe(self._look_at_size))

    def _look_at_size(self) -> None:
        if not self._in_band_window_resize:
            size = Size(*get_terminal_size())
            self._app.post_message(Resize(size, size))

    def stop_application_mode(self) -> None:
        """Give the terminal back."""
        self._drawing = False
        super().stop_application_mode()

    def resume_application_mode(self) -> None:
        """Take the terminal again; what is still held of it is given back first, so that nothing reads it twice."""
        if self._drawing:
            # Later, for this may interrupt the very work that it needs.
            asyncio.get_running_loop().call_soon_threadsafe(self._begin_anew)
        else:
            super().resume_application_mode()

    def _begin_anew(self) -> None:
        self.suspend_application_mode()
        super().resume_application_mode()


def suspended(app: App[None]) -> str:
    """Go back to the shell until it brings the program back.

    Args:
        app: the screens.

    Returns:
        Why it was not done, in words; empty where it was.
    """
    # A program that leads its session was started by a window or a login of its own: no shell would wake it.
    if os.getpgrp() == os.getsid(0):
        return NOBODY
    with app.suspend():
        sys.stderr.write(f"{ASLEEP}\n")
        sys.stderr.flush()
        # All that were started with it, as the terminal does: a shell waits for the first of them.
        os.killpg(os.getpgrp(), signal.SIGTSTP)
    return ""
