"""Back to the shell for a while: the screens are put away, and drawn again as they were."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from typing import TYPE_CHECKING

from textual.drivers.linux_driver import LinuxDriver

if TYPE_CHECKING:
    from textual.app import App

ASLEEP = "Headwright is asleep; what is saved is on disk. 'fg' brings it back."
NOBODY = "No shell is waiting that could bring the program back: it stays."


class WakingDriver(LinuxDriver):
    """Textual's terminal, which begins anew where the program was stopped without having put its screen away."""

    _drawing = False

    def start_application_mode(self) -> None:
        """Take the terminal."""
        self._drawing = True
        super().start_application_mode()

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
