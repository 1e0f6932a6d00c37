"""The keys that a person has set, checked against every screen: no two actions on one key, none on a key that types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal import key_names
from headwright.terminal.config import listed, meant, shown
from headwright.terminal.outer_keys import GROUPS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from headwright.terminal.config import Config
    from headwright.terminal.keys import Key
    from headwright.terminal.outer_keys import Group

STANDS = "It stays as it is."
FIXED = frozenset({"next_up"})
"""Ids of keys that stay beside those that rest on a key of `key_names.FIXED`."""


def name_of(key: Key) -> str:
    """Give the name by which the settings know a key."""
    return key.id.removeprefix("app.")


def may_change(key: Key) -> bool:
    """Tell whether a person may set another key in place of this one."""
    groups = _groups_of(key.id)
    if key.id in FIXED or all(group.card for group in groups):
        return False
    same = [each for group in groups for each in group.keys if each.id == key.id]
    return not any(name in key_names.FIXED for each in same for name in each.keys.split(","))


def checked(config: Config) -> dict[str, str]:
    """Give the keys that are to be used in place of ours, by id; faults are added to those of the settings.

    Args:
        config: what the person set, by the names that `name_of` gives.

    Returns:
        Textual's names, separated by commas, by a key's id.
    """
    own: dict[str, str] = {}
    known = {name_of(key): key for group in GROUPS for key in group.keys if may_change(key)}
    fixed = {name_of(key) for group in GROUPS for key in group.keys} - set(known)
    for name, given in config.keys.items():
        if name in fixed:
            config.fault(("keys", name), "this one stays as it is: gauges send it, or lists and cards rest on it.")
        elif name not in known:
            config.fault(("keys", name), f"there is no such key{meant(name, known)} The help lists them.")
        else:
            found = _read(config, name, given, _groups_of(known[name].id))
            if found:
                own[known[name].id] = ",".join(found)
    while clash := _clash(own):
        group, one, other, key = clash
        _tell(config, group, (one, other), key)
        for each in (one, other):
            own.pop(each.id, None)
    return own


def _groups_of(name: str) -> list[Group]:
    return [group for group in GROUPS if any(key.id == name for key in group.keys)]


def _read(config: Config, name: str, given: Iterable[str], groups: Iterable[Group]) -> list[str]:
    """Read the names given for a key; empty where any of them cannot serve."""
    found: list[str] = []
    for text in given:
        key = key_names.read(text)
        if key is None:
            near = meant(text, key_names.known())
            config.fault(("keys", name), f"{shown(text)} is the name of no key{near} {STANDS}")
            return []
        for group in groups:
            why = key_names.spoken_for(key.name, line=group.line and key.name not in group.free)
            if why:
                config.fault(("keys", name), f"{key.sign} cannot serve: {why} ({group.title.lower()}). {STANDS}")
                return []
        found.append(key.name)
    return list(dict.fromkeys(found))


def _clash(own: Mapping[str, str]) -> tuple[Group, Key, Key, str] | None:
    """Find two actions of one screen on one key of which at least one was set; the one that was set comes first."""
    for group in GROUPS:
        taken: dict[str, Key] = {}
        for key in sorted(group.keys, key=lambda key: key.id not in own):
            for name in own.get(key.id, key.keys).split(","):
                other = taken.setdefault(name, key)
                if name and other.id != key.id and other.id in own:
                    return group, other, key, name
    return None


def _tell(config: Config, group: Group, both: tuple[Key, Key], key: str) -> None:
    found = key_names.read(key)
    sign = found.sign if found else key
    names = [f"{name_of(each)} ({each.label})" for each in both]
    set_both = name_of(both[1]) in config.keys
    stay = "Both stay as they are" if set_both else "It stays as it is"
    config.fault(
        ("keys", name_of(both[0])), f"{sign} is on {listed(names)} of one screen ({group.title.lower()}). {stay}."
    )
