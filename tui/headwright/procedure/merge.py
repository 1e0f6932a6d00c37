"""Putting definitions on top of one another: a family on the one that it extends, a change on an operation."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.procedure.sources import Sourced

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.procedure.problems import KeyPath
    from headwright.procedure.sources import Source

    Origins = dict[KeyPath, tuple[Source, KeyPath]]

NAMED_LISTS = ("step", "reading", "result")
"""Lists of an operation whose elements a change picks by name."""

_EXCLUSIVE = (
    (frozenset({"value"}), frozenset({"low", "high"}), frozenset({"intake", "exhaust"})),
    (frozenset({"limit"}), frozenset({"low", "high", "source"})),
    (frozenset({"value"}), frozenset({"least", "most"})),
)
_OF_SPEC = _EXCLUSIVE[:1]
_OF_HELD = _EXCLUSIVE[1:]


def _superseded(fresh: Iterable[str], sets: Iterable[tuple[frozenset[str], ...]]) -> frozenset[str]:
    """Give the keys that must go because new ones say the same thing in another form."""
    new = frozenset(fresh)
    gone: set[str] = set()
    for groups in sets:
        if any(group & new for group in groups):
            gone.update(*(group for group in groups if not group & new))
    return frozenset(gone)


def extended(parent: Sourced, child: Sourced) -> Sourced:
    """Lay a family over the one that it extends: tables merge, everything else is replaced.

    That a value is confirmed is not passed on: it was looked up for another engine.
    """
    origins: Origins = {}

    def keep(path: KeyPath) -> None:
        origins[path] = parent.origin(path)
        origins.update({known: at for known, at in parent.origins.items() if known[: len(path)] == path})

    def walk(old: dict[str, Any], new: dict[str, Any], path: KeyPath) -> dict[str, Any]:
        out: dict[str, Any] = {}
        gone = _superseded(new, _OF_SPEC) if path[:1] == ("spec",) else frozenset()
        for key, value in old.items():
            here = (*path, key)
            if key not in new:
                if key not in gone and not _is_confirmed(here):
                    out[key] = walk(value, {}, here) if isinstance(value, dict) else value
                    keep(here)
            elif isinstance(value, dict) and isinstance(new[key], dict):
                out[key] = walk(value, new[key], here)
            else:
                out[key] = new[key]
        out.update({key: value for key, value in new.items() if key not in old})
        return out

    return Sourced(walk(parent.data, child.data, ()), child.source, child.path, origins)


def _is_confirmed(path: KeyPath) -> bool:
    return path[:1] == ("spec",) and path[-1] == "confirmed"


def changed(operation: Sourced, change: Sourced) -> Sourced:
    """Lay a family's change over an operation; elements of its lists are picked by name, new names come last."""
    data = dict(operation.data)
    origins: Origins = dict(operation.origins)
    for key, value in change.data.items():
        if key in NAMED_LISTS and isinstance(value, dict):
            elements = list(data.get(key, ()))
            names = [_name(key, number, element) for number, element in enumerate(elements)]
            for name, part in value.items():
                number = names.index(name) if name in names else len(elements)
                if name not in names:
                    elements.append({"name": name})
                    names.append(name)
                    origins[key, number] = change.origin((key, name))
                elements[number] = _laid_over(elements[number], part)
                for inner in part if isinstance(part, dict) else ():
                    origins[key, number, inner] = change.origin((key, name, inner))
            data[key] = elements
        else:
            data[key] = value
            origins[key,] = change.origin((key,))
    return Sourced(data, operation.source, operation.path, origins)


def _name(key: str, number: int, element: object) -> str:
    given = element.get("name") if isinstance(element, dict) else None
    return str(given) if given is not None else f"{key}-{number + 1}"


def _laid_over(element: dict[str, Any], part: object) -> object:
    if not isinstance(part, dict):
        return part
    gone = _superseded(part, _OF_HELD)
    return {key: value for key, value in element.items() if key not in gone} | part
