"""Definition files as read: bounded, with the origin of every key kept through merging."""

from __future__ import annotations

import hashlib
import re
import stat
import tomllib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from headwright.procedure.problems import KeyPath, Problem

if TYPE_CHECKING:
    from pathlib import Path

BIGGEST = 1_000_000
"""Bytes in a definition file; the longest of ours has some ten thousand."""
DEEPEST = 10
"""Tables and lists within one another."""

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


class Unreadable(Exception):
    """A file could not be taken in; carries its problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


@dataclass(frozen=True)
class Source:
    """One file: `shown` is its path for messages, `name` its path within the procedures folder."""

    shown: str
    name: str
    text: str
    sha256: str
    data: dict[str, Any]
    _lines: dict[KeyPath, int] = field(default_factory=dict, repr=False, compare=False)

    def line(self, path: KeyPath) -> int:
        """Give the line of a key, or of the nearest table around it."""
        from headwright.procedure import positions  # noqa: PLC0415  only when something is wrong

        if not self._lines:
            self._lines.update(positions.lines_of(self.text.removeprefix("\ufeff")))
        return positions.line_at(self._lines, path)


def read(path: Path, shown: str, name: str) -> Source:
    """Read one definition file.

    Raises:
        Unreadable: it is missing, too big, not UTF-8, not TOML, or nested too deeply.
    """
    content = _content(path, shown)
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Unreadable(
            Problem(
                shown,
                content.count(b"\n", 0, error.start) + 1,
                "",
                f"not UTF-8: byte 0x{content[error.start]:02x} at offset {error.start}; save the file as UTF-8 text",
            )
        ) from error
    try:
        data = tomllib.loads(text.removeprefix("\ufeff"))
    except ValueError as error:
        raise Unreadable(_not_toml(shown, text, str(error))) from error
    except RecursionError as error:
        raise Unreadable(Problem(shown, 0, "", f"more than {DEEPEST} tables or lists within one another")) from error
    if _deeper_than(data, DEEPEST):
        raise Unreadable(Problem(shown, 0, "", f"more than {DEEPEST} tables or lists within one another"))
    return Source(shown, name, text, hashlib.sha256(content).hexdigest(), data)


def _content(path: Path, shown: str) -> bytes:
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise Unreadable(Problem(shown, 0, "", "not a file"))
        if status.st_size > BIGGEST:
            raise Unreadable(Problem(shown, 0, "", f"{status.st_size} bytes; the most is {BIGGEST}"))
        return path.read_bytes()
    except OSError as error:
        raise Unreadable(Problem(shown, 0, "", f"cannot be read: {error.strerror}")) from error


def _not_toml(shown: str, text: str, message: str) -> Problem:
    match = _PLACE.search(message)
    reason = message[: match.start()] if match else message.partition(";")[0]
    reason = reason[:1].lower() + reason[1:]
    if match and match[1]:
        return Problem(shown, int(match[1]), "", f"not TOML: {reason} (column {match[2]})")
    return Problem(shown, text.rstrip().count("\n") + 1, "", f"not TOML: {reason}{' (at the end)' if match else ''}")


def _deeper_than(data: object, limit: int) -> bool:
    level: list[object] = [data]
    for _ in range(limit + 1):
        inner: list[object] = []
        for value in level:
            if isinstance(value, dict):
                inner.extend(value.values())
            elif isinstance(value, list):
                inner.extend(value)
        level = inner
    return any(isinstance(value, dict | list) for value in level)


@dataclass(frozen=True)
class Sourced:
    """A table, perhaps merged from several files, that knows where each key comes from."""

    data: dict[str, Any]
    source: Source
    path: KeyPath = ()
    origins: dict[KeyPath, tuple[Source, KeyPath]] = field(default_factory=dict)

    def origin(self, path: KeyPath) -> tuple[Source, KeyPath]:
        """Give the file of a key and the key's path in that file."""
        for end in range(len(path), 0, -1):
            found = self.origins.get(path[:end])
            if found is not None:
                return found[0], (*found[1], *path[end:])
        return self.source, (*self.path, *path)

    def problem(self, path: KeyPath, message: str) -> Problem:
        """Make a problem that stands at a key."""
        source, inside = self.origin(path)
        return Problem(source.shown, source.line(inside), in_words(source.data, inside), message)

    @property
    def sources(self) -> tuple[Source, ...]:
        """Give every file that has a part in it, its own first."""
        parts = (self.source, *(source for source, _ in self.origins.values()))
        return tuple({source.name: source for source in parts}.values())


def in_words(data: object, path: KeyPath) -> str:
    """Write a key's path as a person would: tables with dots, tables of a list by name or number."""
    words = ""
    for position, key in enumerate(path):
        if isinstance(key, int):
            element = data[key] if isinstance(data, list) and key < len(data) else None
            if not isinstance(element, dict):
                break
            name = element.get("name")
            words += f" '{name}'" if isinstance(name, str) else f" {key + 1}"
            data = element
            continue
        if not isinstance(data, dict) or key not in data:
            break
        after_element = position > 0 and isinstance(path[position - 1], int)
        words += f"{' ' if after_element else '.' if words else ''}{key}"
        data = data[key]
    return words
