"""What a person has set for their screens: `config.toml`, read with every fault told and kept with its other lines."""

from __future__ import annotations

import os
import re
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from headwright.errors import UsageError
from headwright.nearest import nearest
from headwright.store.place import HOME_VARIABLE

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

FILE_NAME = "config.toml"
BIGGEST = 100_000
"""Bytes: more than any settings take."""
SIGNS = ("full", "plain")
_TOP = ("theme", "signs", "keys")
_LONGEST = 40
"""Characters of a wrong value that a message repeats."""


@dataclass
class Config:
    """Settings as they were found.

    Attributes:
        path: the file.
        theme: the name of the theme.
        signs: `full` or `plain`.
        keys: by a key's id, the names that the person gave; not yet checked against the screens.
        faults: what was wrong, a sentence or two each; the part at fault is as if it were not there.
    """

    path: Path
    theme: str
    signs: str = SIGNS[0]
    keys: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    _text: str = field(default="", repr=False)

    def fault(self, key: tuple[str, ...], text: str) -> None:
        """Add what is wrong with a key: the file, the line, the key and the text."""
        from headwright.procedure import positions  # noqa: PLC0415 - only when something is wrong

        line = positions.line_at(positions.lines_of(self._text), key)
        self.faults.append(f"{self.path.name}, line {line}, {'.'.join(map(shown, key))}: {text}")


def config_file() -> Path:
    """Give the file of the settings: in the folder that HEADWRIGHT_HOME names, else in the user's settings folder."""
    home = os.environ.get(HOME_VARIABLE, "").strip()
    if home:
        return Path(home).expanduser().absolute() / FILE_NAME
    from platformdirs import user_config_path  # noqa: PLC0415 - not needed when the folder is named

    return user_config_path("headwright", appauthor=False) / FILE_NAME


def read_config(path: Path, themes: Sequence[str]) -> Config:
    """Read the settings; whatever is wrong with them is told in `faults`, and nothing is raised.

    Args:
        path: the file; one that is not there is no fault.
        themes: the names of the themes, that of the default first.
    """
    found = Config(path, themes[0])
    try:
        found._text = _text(path)  # noqa: SLF001 - it is being made here
        import tomllib  # noqa: PLC0415 - most have no such file, and need not wait for it

        table = tomllib.loads(found._text)  # noqa: SLF001
    except FileNotFoundError:
        return found
    except (OSError, ValueError, RecursionError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        found.faults.append(f"{path} cannot be read: {why}. Nothing in it is used.")
        return found
    for name in table:
        if name not in _TOP:
            found.fault((name,), f"there is no such setting{meant(name, _TOP)} There are {listed(_TOP)}.")
    found.theme = _one_of(found, table, "theme", themes)
    found.signs = _one_of(found, table, "signs", SIGNS)
    found.keys = _keys(found, table.get("keys", {}))
    return found


def _text(path: Path) -> str:
    with path.open("rb") as file:
        raw = file.read(BIGGEST + 1)
    if len(raw) > BIGGEST:
        raise ValueError(f"it has more than {BIGGEST} bytes")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise ValueError(f"line {line} is not UTF-8 text") from error


def _one_of(found: Config, table: Mapping[str, Any], name: str, known: Sequence[str]) -> str:
    value = table.get(name, known[0])
    if isinstance(value, str) and value in known:
        return value
    near = meant(value, known) if isinstance(value, str) else "."
    found.fault((name,), f"{shown(value)} is none of {listed(known)}{near} It stays {known[0]}.")
    return known[0]


def _keys(found: Config, given: object) -> dict[str, tuple[str, ...]]:
    if not isinstance(given, dict):
        found.fault(("keys",), 'a table is expected, with lines such as strike = "F12". Every key stays as it is.')
        return {}
    keys: dict[str, tuple[str, ...]] = {}
    for name, value in given.items():
        several = [value] if isinstance(value, str) else value
        if isinstance(several, list) and several and all(isinstance(each, str) for each in several):
            keys[name] = tuple(several)
        else:
            found.fault(("keys", name), 'the name of a key is expected, "F12", or a list. It stays as it is.')
    return keys


def shown(value: object) -> str:
    """Give a value from the file as a message repeats it."""
    text = f"'{value}'" if isinstance(value, str) and not value.isidentifier() else str(value)
    text = "".join(c if c.isprintable() else " " for c in text)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"


def listed(names: Iterable[str]) -> str:
    """Give names as a sentence lists them."""
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def meant(name: str, known: Iterable[str]) -> str:
    """Give the end of a sentence about a wrong name: with the nearest right one where there is one."""
    spelt = {each.lower(): each for each in known}
    near = nearest(name.lower(), spelt)
    return f"; did you mean {spelt[near]}?" if near else "."


def keep(path: Path, name: str, value: str) -> None:
    """Write one of the settings above the tables down; every other line stays, with its comments.

    Args:
        path: the file; it is made where it is not there.
        name: `theme` or `signs`.
        value: what it is to be.

    Raises:
        UsageError: the file is not TOML or cannot be written; it stays as it was.
    """
    import tomllib  # noqa: PLC0415 - on first use

    try:
        text = _text(path) if path.exists() else ""
        _replace(path, _with(text, name, value, {**tomllib.loads(text), name: value}))
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}.", "It holds until you leave.") from error
    except (ValueError, RecursionError) as error:
        raise UsageError(f"{path} cannot be read: {error}.", "It was left as it is; this holds until you leave.") from (
            error
        )


def _with(text: str, name: str, value: str, wanted: Mapping[str, Any]) -> str:
    """Give the text with one line of it changed or added; where that is not so simple, all of it written anew."""
    import tomllib  # noqa: PLC0415 - on first use

    line = f'{name} = "{value}"'
    lines = text.splitlines()
    end = next((at for at, each in enumerate(lines) if each.lstrip().startswith("[")), len(lines))
    for at in range(end):
        old = re.fullmatch(rf"\s*{name}\s*=[^#]*?(\s*#.*)?", lines[at])
        if old:
            lines[at] = line + (old[1] or "")
            break
    else:
        lines.insert(0, line)
    edited = "\n".join(lines) + "\n"
    try:
        if tomllib.loads(edited) == wanted:
            return edited
    except tomllib.TOMLDecodeError:
        pass
    import tomli_w  # noqa: PLC0415 - for a file that is written in an unusual way only

    return tomli_w.dumps(dict(wanted))


def _replace(path: Path, text: str) -> None:
    """Write a file so that it is there whole or as it was, whatever happens meanwhile."""
    path = path.resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".new")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
