"""Every key of the screens, declared once: bindings, the line of keys at the bottom and the help all come from here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from textual.binding import Binding

from headwright.terminal import key_names

if TYPE_CHECKING:
    from collections.abc import Mapping


class Key(NamedTuple):
    """A key and what it does.

    `keys` are Textual's names, separated by commas, the first of them the one that is shown as `sign`. `label` is one
    or two words, `tooltip` a sentence. `rank` is the place in the line of keys, 0 for a key that stands in the help
    only. `also` are other words by which somebody may look for it.
    """

    id: str
    keys: str
    sign: str
    label: str
    tooltip: str
    rank: int = 0
    also: str = ""


SUMS = Key(
    "app.sums",
    "f7",
    "F7",
    "sums",
    "Any sum of the trade, answered while its figures are typed.",
    also="calculate calculator sum clearance press fit interference spec formula",
)
"""Opens the sums, from the bench and from the jobs board."""
ALL = Key("app.commands", "ctrl+p", "Ctrl+P", "commands", "Everything that can be done here, with search.")
KIT = Key(
    "app.kit",
    "ctrl+n",
    "Ctrl+N",
    "kit",
    "The shop's gauges, rings, balls and the rest: what is due, who has it.",
    also="gauges rings balls liners shims stock calibration due overdue",
)
"""Shows the shop's kit, from the bench and from the jobs board."""
GLOSSARY = Key(
    "app.glossary",
    "ctrl+g",
    "Ctrl+G",
    "words",
    "The words of the trade, with search.",
    also="glossary dictionary meaning term definition clearance limits spec",
)
LOOK = Key(
    "app.look",
    "ctrl+t",
    "Ctrl+T",
    "colours",
    "Dark, light or high contrast; full or plain signs.",
    also="theme look bright night ascii settings",
)
SUSPEND = Key(
    "app.suspend", "ctrl+z", "Ctrl+Z", "suspend", "Back to the shell for a while; its 'fg' brings this back as it was."
)
EVERYWHERE = (ALL, GLOSSARY, LOOK, SUSPEND)
"""Keys of every screen that is no card."""

KEEP = Key(
    "keep",
    "k,K",
    "K",
    "keep",
    "Keep a figure that was questioned; Enter never does. Elsewhere the letter is typed.",
    also="doubtful doubt questioned sure anyway insist",
)
"""Answers a question about a figure: no gauge sends it, and no hand presses it by habit."""

BENCH = (
    Key(
        "why",
        "question_mark",
        "?",
        "why",
        "What this is, how to measure it, why it matters, what is in the way.",
        1,
        also="limits clearance specs specification size tolerance expected nominal measure where how explain",
    ),
    Key(
        "help",
        "f1",
        "F1",
        "help",
        "Every key, and how figures may be typed.",
        2,
        also="limits limit spec clearance figures units inch mm fractions typing manual keys keyboard",
    ),
    Key(
        "strike",
        "f3",
        "F3",
        "strike",
        "Strike the reading at the cursor, else the last; it stays on record, with the reason.",
        3,
        also="undo delete erase wrong mistake correct remove take back",
    ),
    Key(
        "hold",
        "f4",
        "F4",
        "hold",
        "The hold at this place: what failed, and the ways out.",
        4,
        also="held out of limits reject concession rework scrap ways out decide spec",
    ),
    Key(
        "who",
        "f5",
        "F5",
        "who",
        "Say who is at the bench, or go off.",
        5,
        also="person people operator name initials shift log in login log out come on",
    ),
    Key(
        "jobs",
        "f8",
        "F8",
        "jobs",
        "The list of jobs. This one stays as it is.",
        7,
        also="list board other job open another head",
    ),
    Key("note", "f2", "F2", "note", "Write a note about this place.", 8, also="remark comment write"),
    Key(
        "stop",
        "f6",
        "F6",
        "stop",
        "Stop the whole head with a reason, or let a lead resume it.",
        6,
        also="halt emergency danger resume go on unsafe",
    ),
    Key(
        "gauge",
        "ctrl+r",
        "Ctrl+R",
        "gauge",
        "Change the gauge, or check it on its ring now.",
        9,
        also="micrometer bore gauge ring zero set master check calibrate calibration drift",
    ),
    Key(
        "tool",
        "ctrl+l",
        "Ctrl+L",
        "tool",
        "Name a tool that was changed; the next piece made with it is the first.",
        13,
        also="cutter reamer stone ball broach change",
    ),
    Key(
        "handover",
        "ctrl+o",
        "Ctrl+O",
        "hand over",
        "Show how the job stands to whoever takes over the bench.",
        14,
        also="shift change takeover relieve",
    ),
    Key(
        "history",
        "ctrl+y",
        "Ctrl+Y",
        "history",
        "Everything read at this place, struck and set aside too.",
        15,
        also="past earlier readings record struck old attempts log",
    ),
    Key("enter", "enter", "Enter", "save", "Save what is typed, or open what the line asks for; never a step's tick."),
    Key(
        "tick",
        "space",
        "Space",
        "tick",
        "Tick the step, and nothing else does; or take the figure that is offered for a doubtful one.",
    ),
    KEEP,
    Key("clear", "escape", "Esc", "clear", "Clear what is typed."),
    Key("rub", "backspace", "Backspace", "rub out", "Rub out the last character."),
    Key("up", "up", "↑", "up", "The place above."),
    Key("down", "down", "↓", "down", "The place below."),
    Key("left", "left", "←", "left", "The point before."),
    Key("right", "right", "→", "right", "The point after."),
    Key("page_up", "pageup", "PgUp", "first", "The first place."),
    Key("page_down", "pagedown", "PgDn", "last", "The last place."),
    Key("next_up", "home", "Home", "what next", "Back to what is to be done next.", 10, also="what now go on due"),
    Key(
        "later",
        "tab,right_square_bracket",
        "Tab ]",
        "later",
        "Look at the operation after this one.",
        also="next operation route forward",
    ),
    Key(
        "earlier",
        "shift+tab,left_square_bracket",
        "Shift+Tab [",
        "earlier",
        "Look at the operation before this one.",
        also="previous operation route back before",
    ),
    SUMS._replace(rank=9),
    KIT._replace(rank=16),
    Key(
        "map",
        "f9",
        "F9",
        "map",
        "The head from above: pick a valve, and go there.",
        9,
        also="valves positions drawing head plan casting cylinders",
    ),
    Key(
        "large",
        "ctrl+e",
        "Ctrl+E",
        "large",
        "Figure, verdict and position in digits to be read across the shop, while you type; once more for the table.",
        9,
        also="big digits figures far distance zoom arm",
    ),
    Key(
        "profile",
        "ctrl+x",
        "Ctrl+X",
        "profile",
        "The shape of the bore at hand; once more for the table.",
        9,
        also="bore shape taper bell-mouth barrel out of round guide section",
    ),
    Key(
        "trends",
        "ctrl+k",
        "Ctrl+K",
        "trends",
        "Finished bores in their limits, and how balls sprang back.",
        10,
        also="plot graph chart spring-back springback history sizes ball",
    ),
    ALL._replace(rank=12),
    GLOSSARY,
    LOOK,
    SUSPEND,
    Key(
        "leave",
        "ctrl+c",
        "Ctrl+C",
        "leave",
        "Leave the program; everything that says saved is kept.",
        11,
        also="quit exit close end",
    ),
)
"""The keys of the bench."""


_own: dict[str, str] = {}


def use(own: Mapping[str, str]) -> None:
    """Take the keys that a person has set in place of ours, for as long as the program runs.

    Args:
        own: by a key's id, Textual's names separated by commas; they have been checked.
    """
    _own.clear()
    _own.update(own)


def in_use(key: Key) -> Key:
    """Give a key as it is in use: with the keys that a person has set for it, where any are."""
    own = _own.get(key.id)
    if own is None:
        return key
    signs = (found.sign for name in own.split(",") if (found := key_names.read(name)) is not None)
    return key._replace(keys=own, sign=" ".join(signs))


def sign_in(keys: tuple[Key, ...], name: str) -> str:
    """Give the sign of the key in use for the action of a name, to be named in a text."""
    return next(in_use(key).sign for key in keys if key.id == name)


def bindings(keys: tuple[Key, ...]) -> list[Binding]:
    """Give Textual's bindings for keys: the action has the key's id."""
    return [
        Binding(key.keys, key.id, key.label, show=key.rank > 0, key_display=key.sign, tooltip=key.tooltip, id=key.id)
        for key in keys
    ]


def in_line(keys: tuple[Key, ...]) -> tuple[Key, ...]:
    """Give the keys that the line at the bottom shows, in their order."""
    return tuple(sorted((key for key in keys if key.rank), key=lambda key: key.rank))
