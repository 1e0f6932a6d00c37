"""The keys that a person has set, checked against every screen: no two actions on one key, none on a key that types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal import key_names
from headwright.terminal.config import listed, meant, shown
from headwright.terminal.keys import SUSPEND
from headwright.terminal.outer_keys import GROUPS, QUIT, STOP

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
    groups = _groups_of(name_of(key))
    if key.id in FIXED:
        return False
    same = [each for group in groups for each in keys_of(group) if each.id == key.id]
    return not any(name in key_names.FIXED for each in same for name in each.keys.split(","))


def checked(config: Config) -> dict[str, str]:
    """Give the keys that are to be used in place of ours, by id; faults are added to those of the settings.

    Args:
        config: what the person set, by the names that `name_of` gives.

    Returns:
        Textual's names, separated by commas, by a key's id.
    """
    if not config.keys:
        return {}  # going through every key of every screen would be felt at the start
    own: dict[str, str] = {}
    every = {name_of(key): key for group in GROUPS for key in keys_of(group)}
    known = [name for name, key in every.items() if may_change(key)]
    for name, given in config.keys.items():
        if name not in every:
            config.fault(("keys", name), f"there is no such key{meant(name, known)} The help lists them.")
        elif name not in known:
            config.fault(("keys", name), "this one stays as it is: gauges send it, or lists and cards rest on it.")
        else:
            found = _read(config, name, given)
            own.update(dict.fromkeys(_ids(name), ",".join(found)) if found else {})
    while clash := _clash(own):
        group, one, other, key = clash
        _tell(config, group, (one, other), key)
        for each in (*_ids(name_of(one)), *_ids(name_of(other))):
            own.pop(each, None)
    return own


def keys_of(group: Group) -> tuple[Key, ...]:
    """Give every key that acts on a screen or card: its own, and those that act everywhere."""
    names = {name_of(key) for key in group.keys}
    return (*group.keys, *(key for key in (STOP, QUIT, SUSPEND) if name_of(key) not in names))


def _ids(name: str) -> set[str]:
    """Give the ids that one name stands for: the bench has a stop of its own, and every other screen has one."""
    return {key.id for group in GROUPS for key in keys_of(group) if name_of(key) == name}


def _groups_of(name: str) -> list[Group]:
    return [group for group in GROUPS if any(name_of(key) == name for key in keys_of(group))]


def _read(config: Config, name: str, given: Iterable[str]) -> list[str]:
    """Read the names given for a key; empty where any of them cannot serve."""
    found: list[str] = []
    for text in given:
        key = key_names.read(text)
        if key is None:
            near = meant(text, key_names.known())
            config.fault(("keys", name), f"{shown(text)} is the name of no key{near} {STANDS}")
            return []
        for group in _groups_of(name):
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
        for key in sorted(keys_of(group), key=lambda key: key.id not in own):
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
