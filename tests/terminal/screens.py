"""The way to screens that several tests look at, by keys; each function waits until its screen is there."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.terminal.pty_app import PtyApp


def board(app: PtyApp) -> None:
    """Wait for the list of jobs, with the sample in it."""
    app.wait_for("1001", "F9 sample")


def who(app: PtyApp, *names: str) -> None:
    """Open the job at hand on the list: who is at the bench is asked, and these people are offered."""
    app.press("enter")
    app.wait_for("Who is at the bench?", *names)


def keys(app: PtyApp) -> None:
    """Open the help."""
    app.press("f1")
    app.wait_for("Keys here")


def words(app: PtyApp, part: str, found: str) -> None:
    """Open the words of the trade from the help, and find one."""
    app.press("w")
    app.wait_for("Words of the trade")
    app.press(part)
    app.wait_for(found)


def left_words(app: PtyApp) -> None:
    """Leave the words of the trade, and the help."""
    app.press("esc")
    app.wait_for("Words of the trade", gone=True)
    app.press("esc")
    app.wait_for("Esc leave", gone=True)


def sums(app: PtyApp, *way: str) -> None:
    """Open the sums by keys, and have one worked out with the figures that are offered."""
    app.press(*(way or ("f7",)))
    app.wait_for("without a unit")
    app.press("f3", "enter")
    app.wait_for("0.001400")
