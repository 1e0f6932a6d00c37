"""The looks: three themes from one table of roles. Every state has a sign or a word beside its colour."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from rich.color import Color as RichColor
from rich.segment import Segment
from rich.style import Style
from textual.filter import LineFilter
from textual.theme import Theme

if TYPE_CHECKING:
    from textual.color import Color

ROLES = {
    "dark": {
        "ground": "#121212",
        "surface": "#1c1c1c",
        "panel": "#262626",
        "text": "#dedede",
        "quiet": "#a8a8a8",
        "line": "#767676",
        "accent": "#87afd7",
        "good": "#87af87",
        "near": "#d7af5f",
        "bad": "#ff8787",
        "hand": "#005f87",
        "on-hand": "#ffffff",
    },
    "light": {
        "ground": "#ffffff",
        "surface": "#f7f7f7",
        "panel": "#e4e4e4",
        "text": "#121212",
        "quiet": "#4e4e4e",
        "line": "#767676",
        "accent": "#005f87",
        "good": "#005f00",
        "near": "#5f5f00",
        "bad": "#af0000",
        "hand": "#005f87",
        "on-hand": "#ffffff",
    },
    "contrast": {
        "ground": "#000000",
        "surface": "#000000",
        "panel": "#262626",
        "text": "#ffffff",
        "quiet": "#d0d0d0",
        "line": "#bcbcbc",
        "accent": "#5fffff",
        "good": "#87ff87",
        "near": "#ffff5f",
        "bad": "#ffafaf",
        "hand": "#ffff00",
        "on-hand": "#000000",
    },
}
"""What each colour is for, and its colour in each theme. Neutral greys, and colours of the 256 that terminals have."""

GROUNDS = ("ground", "surface", "panel")
WORDS = ("text", "quiet", "accent", "good", "near", "bad")
PAIRS = (
    *((word, ground) for word in WORDS for ground in GROUNDS),
    ("on-hand", "hand"),
    ("ground", "accent"),
)
"""Every role that is written in with every role that it stands on."""
STROKES = tuple(("line", ground) for ground in GROUNDS)
"""Lines of drawings and frames, which nobody reads."""

TITLES = {
    "dark": "dark, for a shop that is not flooded with light",
    "light": "light, for a bright shop",
    "contrast": "high contrast, for glare and tired eyes",
}
FIRST = "dark"
"""The theme where none is chosen."""


def _theme(name: str) -> Theme:
    role = ROLES[name]
    return Theme(
        name=theme_name(name),
        primary=role["accent"],
        secondary=role["quiet"],
        accent=role["accent"],
        warning=role["near"],
        error=role["bad"],
        success=role["good"],
        foreground=role["text"],
        background=role["ground"],
        surface=role["surface"],
        panel=role["panel"],
        dark=name != "light",
        variables={
            "quiet": role["quiet"],
            "line": role["line"],
            "at-hand": role["hand"],
            "on-hand": role["on-hand"],
            "scrollbar": role["line"],
            "scrollbar-hover": role["quiet"],
            "scrollbar-active": role["accent"],
            "scrollbar-background": role["panel"],
            "scrollbar-background-hover": role["panel"],
            "scrollbar-background-active": role["panel"],
            "scrollbar-corner-color": role["panel"],
            "input-cursor-background": role["text"],
            "input-cursor-foreground": role["ground"],
            "input-selection-background": role["accent"],
            "input-selection-foreground": role["ground"],
        },
    )


def theme_name(name: str) -> str:
    """Give Textual's name of a theme of ours."""
    return f"headwright-{name}"


DARK, LIGHT, CONTRAST = (_theme(name) for name in ROLES)
THEMES = (DARK, LIGHT, CONTRAST)


class Undimmed(LineFilter):
    """Writes in the quiet colour what is to be dim: how far a terminal dims is not known, and it may not be read.

    Args:
        name: the theme.
    """

    def __init__(self, name: str) -> None:
        super().__init__()
        self._hand = RichColor.parse(ROLES[name]["hand"])
        self._quiet = Style(dim=False, color=ROLES[name]["quiet"])
        self._plain = Style(dim=False)

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002 - as Textual calls it
        """Give the segments with nothing dim in them."""
        return [
            Segment(text, style + (self._plain if style.bgcolor == self._hand else self._quiet), control)
            if style is not None and style.dim
            else segment
            for segment in segments
            for text, style, control in [segment]
        ]


@lru_cache(1024)
def _bare(style: Style) -> Style:
    """Give a style without its colours; what acts under the mouse stays."""
    return Style(
        bold=style.bold or None,
        dim=style.dim or None,
        underline=style.underline or None,
        reverse=style.reverse or None,
        meta=style.meta or None,
    )


class Colourless(LineFilter):
    """Takes every colour out of what is drawn: not even the terminal's own default is asked for."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002 - as Textual calls it
        """Give the segments without colours."""
        return [Segment(text, None if style is None else _bare(style), None) for text, style, _ in segments]
