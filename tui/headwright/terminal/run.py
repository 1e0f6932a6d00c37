"""Starting the screens."""

from __future__ import annotations

import gc
import os
import platform
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from headwright.store.front import Front

FRAMES = "120"
"""Frames a second that Textual may draw: at its usual 60, a figure taken may wait 16 ms to be seen."""


TURN = 0.0001
"""Seconds after which a thread lets another one run: at Python's usual 5 ms, a key typed while a job is being read, or
the kit, would be seen 20 ms later; and what is drawn goes out in a thread of its own, while the next is drawn."""


def run(store: Front, *, job: str = "") -> int:
    """Show the screens until they are left; give the exit status.

    Args:
        store: where the jobs are.
        job: the number of a job to open at the bench; empty for the list of jobs.

    Raises:
        HeadwrightError: the job cannot be opened.
        Exception: a fault of the program ended the screens.
    """
    os.environ.setdefault("TEXTUAL_FPS", FRAMES)
    # Collecting garbage while modules are loaded finds nothing and costs a tenth of the start.
    gc.disable()
    sys.setswitchinterval(TURN)
    from headwright.terminal.app import HeadwrightApp  # noqa: PLC0415 - reads TEXTUAL_FPS when it is imported
    from headwright.terminal.ends import heeded  # noqa: PLC0415 - as late as the app

    app = HeadwrightApp(store, terminal_name(), job)
    with heeded(app):
        app.run()
    app.wait()
    if app.fault is not None:
        raise app.fault
    if app.refused is not None:
        raise app.refused
    return app.return_code or 0


def terminal_name() -> str:
    """Name this terminal for the record: the computer, and which of its terminals."""
    try:
        line = os.ttyname(0).removeprefix("/dev/")
    except OSError:
        line = ""
    # A record keeps 80 characters, and a machine's name can be a domain of 250.
    return f"{platform.node()[:60] or 'bench'}{':' + line if line else ''}"[:80]
