"""Names of keys: as people write them, as the line of keys shows them, as Textual has them; which are spoken for."""

from __future__ import annotations

from typing import NamedTuple

_SIGNS = {
    "question_mark": "?",
    "exclamation_mark": "!",
    "slash": "/",
    "backslash": "\\",
    "full_stop": ".",
    "comma": ",",
    "colon": ":",
    "semicolon": ";",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "left_parenthesis": "(",
    "right_parenthesis": ")",
    "left_curly_bracket": "{",
    "right_curly_bracket": "}",
    "plus": "+",
    "minus": "-",
    "asterisk": "*",
    "equals_sign": "=",
    "less_than_sign": "<",
    "greater_than_sign": ">",
    "number_sign": "#",
    "dollar_sign": "$",
    "percent_sign": "%",
    "ampersand": "&",
    "quotation_mark": '"',
    "apostrophe": "'",
    "grave_accent": "`",
    "circumflex_accent": "^",
    "underscore": "_",
    "vertical_line": "|",
    "tilde": "~",
    "at": "@",
}
_NAMED = {
    "enter": "Enter",
    "escape": "Esc",
    "space": "Space",
    "backspace": "Backspace",
    "tab": "Tab",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "home": "Home",
    "end": "End",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "insert": "Ins",
    "delete": "Del",
    **{f"f{number}": f"F{number}" for number in range(1, 25)},
}
_OTHER_WORDS = {
    "esc": "escape",
    "return": "enter",
    "pgup": "pageup",
    "pgdn": "pagedown",
    "pgdown": "pagedown",
    "page up": "pageup",
    "page down": "pagedown",
    "ins": "insert",
    "del": "delete",
    "blank": "space",
}
_MODIFIERS = {"ctrl": "Ctrl", "alt": "Alt", "shift": "Shift"}

FIXED = frozenset({
    *("enter", "escape", "space", "backspace", "tab", "shift+tab", "up", "down", "left", "right", "home", "end"),
    *("delete", *"123456789"),
})  # fmt: skip
"""Keys that stay what they are: gauges send them, and every list, line and card rests on them."""
_SAME = {
    "ctrl+i": "Tab",
    "ctrl+j": "Enter",
    "ctrl+m": "Enter",
    "ctrl+h": "Backspace",
    "ctrl+left_square_bracket": "Esc",
}
"""What a terminal cannot tell from another key."""
_EDITING = frozenset(f"ctrl+{letter}" for letter in "adekuwfxv")
"""Keys with which the lines that are typed in are edited."""


class Key(NamedTuple):
    """A key by Textual's name, and as it is shown."""

    name: str
    sign: str


def read(text: str) -> Key | None:
    """Give the key that a text names (`F4`, `Ctrl+P`, `PgDn`, `?`, `n`), None where it names none."""
    text = text.strip()
    if len(text) <= 1:
        return _printable(text)
    *before, last = text.lower().replace("-", "+").split("+") if text[-1] != "+" else [text]
    modifiers = [each.strip() for each in before]
    if any(each not in _MODIFIERS for each in modifiers) or len(set(modifiers)) < len(modifiers):
        return None
    base = last.strip()
    base = _OTHER_WORDS.get(base, base)
    if base in _NAMED:
        name, sign = base, _NAMED[base]
    elif base in _SIGNS:
        name, sign = base, _SIGNS[base]
    elif len(base) == 1 and modifiers and (found := _printable(base)) is not None:
        name, sign = found.name, found.sign.upper()
    else:
        return None
    in_order = [each for each in _MODIFIERS if each in modifiers]
    return Key("+".join([*in_order, name]), "+".join([*(_MODIFIERS[each] for each in in_order), sign]))


def _printable(character: str) -> Key | None:
    if character.isascii() and character.isalnum():
        return Key(character, character)
    return next((Key(name, sign) for name, sign in _SIGNS.items() if sign == character), None)


def known() -> list[str]:
    """Give the names of keys as a person writes them, to find the nearest to a wrong one."""
    letters = "bcgloprty"
    return [
        *(sign for name, sign in _NAMED.items() if name not in FIXED),
        *(f"Ctrl+{each.upper()}" for each in letters),
    ]


def types(name: str) -> bool:
    """Tell whether a key types something: a digit, a letter or a sign."""
    return len(name) == 1 or name in _SIGNS or name == "space"


def spoken_for(name: str, *, line: bool) -> str:
    """Say why a key cannot be given to anything; empty where it can.

    Args:
        name: Textual's name.
        line: the screen has a line to type in.
    """
    if name in FIXED:
        return "it stays what it is, for gauges send it and lists and lines rest on it"
    if name in _SAME:
        return f"a terminal cannot tell it from {_SAME[name]}"
    if name == "ctrl+q":
        return "it leaves the program"
    if line and types(name):
        return "it types, and what is typed there is a figure or a word"
    if line and name in _EDITING:
        return "the lines that are typed in are edited with it"
    return ""
