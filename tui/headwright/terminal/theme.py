"""The look: neutral greys and one calm accent. Every state has a sign and a word beside its colour."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="headwright-dark",
    primary="#7fb2c8",
    secondary="#8f98a0",
    accent="#7fb2c8",
    warning="#d9b36c",
    error="#e08a7a",
    success="#9cc09a",
    foreground="#dcdcdc",
    background="#161616",
    surface="#1d1d1d",
    panel="#262626",
    dark=True,
    variables={
        "quiet": "#9a9a9a",
        "line": "#4a4a4a",
        "at-hand": "#2f4650",
        "scrollbar": "#3a3a3a",
        "scrollbar-background": "#1d1d1d",
    },
)
"""For a shop that is not flooded with light; the greys are neutral, so that 256 colours show them too."""
