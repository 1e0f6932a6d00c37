"""Bringing events that older versions recorded up to the present one, step by step.

An event that has a `version` field is of that version, any other of the first. What is chained and kept are always
the bytes that were recorded: a step changes what an old event is read as, never the record.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

    Raw = dict[str, Any]
    Step = Callable[[Raw], Raw]

NOT_RECORDED = "not recorded"
"""Stands for a word that an older version did not ask for."""


class EventUnreadable(ValueError):
    """The text is not an event that this version can read."""


def present_version(what: str) -> int:
    """Give the version that an event with this tag is recorded in now, from 1."""
    return max((version + 1 for tag, version in STEPS if tag == what), default=1)


def version_of(raw: Raw) -> int:
    """Give the version of an event as it was read from its JSON.

    Raises:
        EventUnreadable: what it says of its version cannot be.
    """
    version = raw.get("version", 1)
    if type(version) is not int or ("version" in raw and version < 2):
        raise EventUnreadable(f"it says that it is of version {version!r}, which cannot be")
    return version


def brought_up(raw: Raw) -> Raw:
    """Give an event as this version would have recorded it, every step between its version and the present one done.

    Raises:
        EventUnreadable: it is of a later version, or not what its version is.
    """
    what, version = str(raw.get("what", "")), version_of(raw)
    present = present_version(what)
    if version > present:
        raise EventUnreadable(
            f"'{what}' is of version {version}, and this headwright reads it up to version {present}: "
            "a newer one has written it"
        )
    for step in range(version, present):
        raw = STEPS[what, step](raw)
    return raw


def _with_ring(raw: Raw) -> Raw:
    """Give the check of a gauge the ring that it was checked on, which nobody wrote down at first."""
    _only(raw, "gauge", "size", "before", "after")
    return {**raw, "ring": NOT_RECORDED, "version": 2}


def _only(raw: Raw, *fields: str) -> None:
    """See that an older event has no field that came later: it would be read as something that it was not."""
    stray = next((name for name in raw if name not in {"what", "version", *fields}), None)
    if stray is not None:
        raise EventUnreadable(f"Object contains unknown field `{stray}`")


STEPS: dict[tuple[str, int], Step] = {("gauge-checked", 1): _with_ring}
"""What brings an event with a tag from a version to the next."""
