"""The keys of the views that are screens of their own; declared once, as those of the bench."""

from __future__ import annotations

from headwright.terminal.keys import Key

LEAVE = Key("view_leave", "escape", "Esc", "back", "Back to where you were; nothing changes.", 9)

MAP = (
    Key("map_go", "enter", "Enter", "go there", "Go to the valve that is picked.", 1),
    Key("map_left", "left", "←", "left", "The valve to the left."),
    Key("map_right", "right", "→", "right", "The valve to the right."),
    Key("map_up", "up", "↑", "up", "The valve above."),
    Key("map_down", "down", "↓", "down", "The valve below."),
    Key("map_next", "home", "Home", "what next", "The valve at which the next thing is to be done.", 2),
    LEAVE._replace(keys="escape,f9"),
)
"""The head map; the key that opens it closes it too."""

TRENDS = (
    Key("trend_1", "1", "1", "positions", "The finished bores of this job, each in its limits.", 1),
    Key("trend_2", "2", "2", "jobs", "The finished bores of every job, in their limits.", 2),
    Key("trend_3", "3", "3", "first ball", "Springback over interference, first balls.", 3),
    Key("trend_4", "4", "4", "later balls", "Springback over interference, later balls.", 4),
    Key("trend_on", "tab", "Tab", "next", "The next of the drawings."),
    LEAVE,
)
"""The trends."""
