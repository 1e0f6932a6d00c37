"""What is shown in a terminal that is too small for the screens: a line or two that say so."""

from __future__ import annotations

from textwrap import wrap
from typing import ClassVar

from headwright.terminal.drawn import Lines, fit

COLUMNS, LINES = 60, 18
"""The least that the screens are laid out for."""
BESIDE = (150, 40)
"""Columns and lines from which map and profile stand beside the table; the table keeps 80 columns there."""
ACROSS = [(0, "-tight"), (COLUMNS, "-narrow"), (100, "-middle"), (120, "-broad"), (BESIDE[0], "-wide")]
DOWN = [(0, "-low"), (LINES, "-high"), (BESIDE[1], "-tall")]
"""Columns and lines from which a screen has a class of the style sheet."""


def size_classes(width: int, height: int) -> tuple[str, ...]:
    """Give the classes of a screen of a size, in columns and lines."""
    return tuple(
        max((least, name) for least, name in steps if size >= least)[1]
        for steps, size in ((ACROSS, width), (DOWN, height))
    )


class TooSmall(Lines):
    """Covers a screen while the terminal is smaller than the least; the style sheet shows it then."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"drawn--strong"}

    def on_resize(self) -> None:
        """Say how large the terminal is and should be."""
        width, height = self.app.size
        told = f"Too small: {width}×{height}."
        needed = (f"At least {COLUMNS}×{LINES} is needed.", f"{COLUMNS}×{LINES} needed.")
        wide = max(width, 1)
        whole = f"{told} {needed[0]}"
        ways = [[whole]] if len(whole) <= width else []
        ways += [[*wrap(told, wide), *wrap(each, wide)] for each in needed]
        lines = next((way for way in ways if len(way) <= height), ways[-1])
        self.put([((fit(line, width), "strong"),) for line in lines])
