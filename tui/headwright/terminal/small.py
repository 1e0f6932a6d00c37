"""What is shown in a terminal that is too small for the screens: one line that says so."""

from __future__ import annotations

from headwright.terminal.drawn import Drawn, fit

COLUMNS, LINES = 60, 18
"""The least that the screens are laid out for."""


class TooSmall(Drawn):
    """Covers a screen while the terminal is smaller than the least; the style sheet shows it then."""

    def on_resize(self) -> None:
        """Say how large the terminal is and should be."""
        width, height = self.app.size
        text = f"Too small: {width}×{height}. At least {COLUMNS}×{LINES} is needed."
        self.put((((fit(text, width), "strong"),),))
