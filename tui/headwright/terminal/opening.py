"""The screen that is seen until a job is at the bench: what the list of jobs knows of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.screen import Screen

from headwright.terminal.drawn import Lines, clean, fit
from headwright.terminal.small import TooSmall

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from headwright.store.front import Glance


class OpeningHead(Lines):
    """The line that names the job."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"drawn--strong"}


class OpeningScreen(Screen[None]):
    """The bench before its job is read: which job it is, and nothing that reading it could change.

    Args:
        glance: the job as the list has it.
        classes: those of its size.
    """

    AUTO_FOCUS = None

    def __init__(self, glance: Glance, classes: tuple[str, ...]) -> None:
        super().__init__(classes=" ".join(classes))
        self._head = f" {clean(glance.job)}  {clean(glance.family)}"

    def compose(self) -> ComposeResult:
        """Lay out the line above."""
        yield OpeningHead(id="head")
        yield TooSmall()

    def on_resize(self) -> None:
        """Name the job as the bench will."""
        width = self.app.size.width
        self.query_one(OpeningHead).put([((fit(self._head, width // 2), "strong"),)])

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """Take the styles as they were just made, or as they were left: nothing of it can have changed."""
        event.refresh_styles = False
