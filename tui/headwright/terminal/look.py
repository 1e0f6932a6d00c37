"""How the program looks and which keys it takes, as the person at this terminal has set it."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from textual.app import App, ReturnType
from textual.filter import Monochrome, NoColor

from headwright.terminal import keys
from headwright.terminal.config import config_file, keep, read_config
from headwright.terminal.keymap import checked
from headwright.terminal.keys import EVERYWHERE, LOOK, sign_in
from headwright.terminal.signs import PlainSigns, speaks_unicode, wanted_plain
from headwright.terminal.theme import FIRST, ROLES, THEMES, Colourless, Undimmed, theme_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.filter import LineFilter

NO_COLOUR = "NO_COLOR"
"""Set to anything at all in the environment, it asks for no colours."""


class LookingApp(App[ReturnType]):
    """An app in one of our themes, in full or plain signs, with the keys that a person has set.

    Attributes:
        faults: what is wrong with the settings, a sentence or two each.
    """

    def __init__(self) -> None:
        colourless = bool(os.environ.get(NO_COLOUR))
        # Without colours Textual still sends greys unless it is told to use the terminal's own.
        super().__init__(ansi_color=True if colourless else None)
        self.no_color = colourless
        for theme in THEMES:
            self.register_theme(theme)
        config = read_config(config_file(), sorted(ROLES, key=lambda name: name != FIRST))
        own = checked(config)
        keys.use(own)
        self.set_keymap(own)
        self.faults = tuple(config.faults)
        self._begin_in(theme_name(config.theme))
        self._plain = wanted_plain(config.signs)
        self._signs = PlainSigns(letters=speaks_unicode())
        self._colourless = Colourless()
        self._undimmed = {theme_name(name): Undimmed(name) for name in ROLES}

    def _begin_in(self, theme: str) -> None:
        """Take a theme before anything is drawn: chosen as one that is changed to, every style would be read twice."""
        self.set_reactive(App.theme, theme)
        self.stylesheet.set_variables(self.get_css_variables())
        dark = self.current_theme.dark
        classes = {f"-theme-{theme}": True, "-dark-mode": dark, "-light-mode": not dark}
        self.update_classes(classes, update=False)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Give what everything drawn goes through: nothing dim, signs made plain, or all colours taken out."""
        first = [] if self.no_color else [self._undimmed[self.theme]]
        last = [self._signs] * self._plain + [self._colourless] * self.no_color
        usual = [each for each in super().get_line_filters() if not isinstance(each, Monochrome | NoColor)]
        return [*first, *usual, *last]

    @property
    def look(self) -> tuple[str, str]:
        """The theme and the signs in use."""
        return self.theme.removeprefix(theme_name("")), "plain" if self._plain else "full"

    @property
    def notice(self) -> str:
        """What is wrong with the settings, in one line: the first of the faults, and where the others are told."""
        more = len(self.faults) - 1
        also = f" And {more} more: {sign_in(EVERYWHERE, LOOK.id)} tells them." if more > 0 else ""
        return f"{self.faults[0]}{also}" if self.faults else ""

    def choose(self, name: str, value: str) -> None:
        """Change the theme or the signs at once, and keep it for the next start.

        Args:
            name: `theme` or `signs`.
            value: the name of a theme; `full` or `plain`.

        Raises:
            UsageError: it was changed, but could not be kept.
        """
        if name == "theme":
            self.theme = theme_name(value)
        else:
            self._plain = value == "plain"
            for screen in self.screen_stack:
                for widget in (screen, *screen.walk_children()):
                    widget.notify_style_update()
                    widget.refresh(layout=True)
        keep(config_file(), name, value)
