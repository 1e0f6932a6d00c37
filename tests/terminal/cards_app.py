"""A bare program that shows one card or screen, and what a person would see of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Generic, TypeVar

from textual.app import App

from headwright import terminal
from headwright.terminal.theme import DARK

if TYPE_CHECKING:
    from textual.screen import Screen
    from textual.widget import Widget

Answer = TypeVar("Answer")

SIZES = ((80, 24), (100, 30), (160, 45))
HOSTILE = "[/b][@click=app.quit]q[/] \x1b[31mred\x07 \u202eback " + "w" * 200
"""Markup, a link that acts, a terminal's own control codes, a turn of direction, and no place to break."""

TYPED = ("[/b][@click=app.quit]q[/] back " + "w" * 80)[:80]
"""As much of it as may be written down as a name."""


class OneScreen(App[None], Generic[Answer]):
    """Shows a screen over an empty one, and keeps its answer."""

    CSS_PATH = [Path(terminal.__file__).with_name(name) for name in ("headwright.tcss", "screens.tcss")]  # noqa: RUF012
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, shown: Screen[Answer]) -> None:
        super().__init__()
        self.animation_level = "none"
        self.shown = shown
        self.answers: list[Answer | None] = []

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DARK.variables

    def on_mount(self) -> None:
        self.register_theme(DARK)
        self.theme = DARK.name
        self.push_screen(self.shown, self.answers.append)


def seen(app: App[None]) -> str:
    """Give the text on screen, line by line."""
    return "\n".join(strip.text for strip in app.screen._compositor.render_strips(app.size))


def words(app: App[None]) -> str:
    """Give the text on screen with its lines run together: frames and the breaks between lines left out."""
    return " ".join(seen(app).replace("│", " ").replace("┃", " ").split())


def is_in_sight(app: App[None], widget: Widget) -> bool:
    """Tell whether all of a widget is on screen, and takes up some of it."""
    return bool(widget.region.area) and app.screen.region.contains_region(widget.region)
