"""Starting the screens."""

from __future__ import annotations

import gc
import os
import platform
from typing import TYPE_CHECKING

from headwright.terminal.ends import heeded

if TYPE_CHECKING:
    from headwright.store import JobStore

FRAMES = "120"
"""Frames a second that Textual may draw: at its usual 60, a figure taken may wait 16 ms to be seen."""


def run(store: JobStore, *, job: str = "") -> int:
    """Show the screens until they are left; give the exit status.

    Args:
        store: where the jobs are.
        job: the number of a job to open at the bench; empty for the list of jobs.

    Raises:
        Exception: a fault of the program ended the screens.
    """
    os.environ.setdefault("TEXTUAL_FPS", FRAMES)
    # Collecting garbage while modules are loaded finds nothing and costs a tenth of the start.
    gc.disable()
    from headwright.terminal.app import HeadwrightApp  # noqa: PLC0415 - reads TEXTUAL_FPS when it is imported

    app = HeadwrightApp(store, terminal_name(), job)
    with heeded(app):
        app.run()
    if app.fault is not None:
        raise app.fault
    return app.return_code or 0


def terminal_name() -> str:
    """Name this terminal for the record: the computer, and which of its terminals."""
    try:
        line = os.ttyname(0).removeprefix("/dev/")
    except OSError:
        line = ""
    # A record keeps 80 characters, and a machine's name can be a domain of 250.
    return f"{platform.node()[:60] or 'bench'}{':' + line if line else ''}"[:80]
