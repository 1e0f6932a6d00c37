"""The hash chain over a job's entries: a gap, an edit or a swap shows at the first entry that does not fit.

hash(n) = SHA-256( hash(n-1) + canonical JSON of [job, number, time, operator, terminal, event] ), with the empty
text before the first. The first event carries the SHA-256 of the plan, so the plan is part of the chain. An event
that an older version recorded is chained by the bytes that it was recorded in.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any, get_args

import msgspec

from headwright.job.events import Entry, Event
from headwright.job.versions import STEPS, EventUnreadable, brought_up, version_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_encoder = msgspec.json.Encoder(order="sorted")
_decoder = msgspec.json.Decoder(Event)


_CHANGED = frozenset(kind for kind in get_args(Event) for tag, _ in STEPS if kind.__struct_config__.tag == tag)
"""Events that have been recorded in more than one version."""


def event_bytes(event: Event) -> bytes:
    """Give the event's canonical JSON."""
    return _encoder.encode(event)


def entry_bytes(entry: Entry) -> bytes:
    """Give the JSON of an entry's event as it is chained and kept."""
    return entry.older or event_bytes(entry.event)


def event_read(data: bytes) -> tuple[Event, bytes]:
    """Read an event from its JSON, and bring one of an older version up to the present.

    Returns:
        The event, and the bytes of one that is older, to go on being chained by; empty where it is of this version.

    Raises:
        EventUnreadable: unknown event, missing or unknown field, a value of the wrong type, or a later version.
    """
    trouble = ""
    try:
        event: Event = _decoder.decode(data)
        if type(event) not in _CHANGED:
            return event, b""
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        trouble = str(error)
    raw = _raw(data, trouble)
    now = brought_up(raw)
    if now is raw:
        if trouble:
            raise EventUnreadable(trouble)
        return event, b""
    try:
        return msgspec.convert(now, Event), data
    except msgspec.MsgspecError as error:
        raise EventUnreadable(f"version {version_of(raw)}: {error}") from error


def _raw(data: bytes, trouble: str) -> dict[str, Any]:
    try:
        raw = msgspec.json.decode(data)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise EventUnreadable(str(error)) from error
    if not isinstance(raw, dict):
        raise EventUnreadable(trouble)
    return raw


def event_from(data: bytes) -> Event:
    """Read an event from its JSON, whatever version recorded it; raises as `event_read` does."""
    return event_read(data)[0]


def entry_hash(previous: str, job: str, entry: Entry) -> str:
    """Give the hash that chains an entry to the one before it, in hexadecimal; `entry.hash` is not looked at."""
    event = msgspec.Raw(entry.older) if entry.older else entry.event
    body = _encoder.encode([job, entry.number, entry.time, entry.operator, entry.terminal, event])
    return hashlib.sha256(previous.encode() + body).hexdigest()


def chained(
    job: str, after: Entry | None, events: Sequence[Event], *, time: str, operator: str, terminal: str
) -> tuple[Entry, ...]:
    """Make entries of events that happen together, chained to the last entry of the job (None: there is none)."""
    number, previous = (after.number, after.hash) if after else (0, "")
    entries = []
    for event in events:
        number += 1
        entry = Entry(number, time, operator, terminal, event, "")
        previous = entry_hash(previous, job, entry)
        entries.append(msgspec.structs.replace(entry, hash=previous))
    return tuple(entries)


def first_misfit(job: str, entries: Iterable[Entry], *, after: Entry | None = None) -> int | None:
    """Recompute the chain; give the number that the first entry that does not fit should have, None if all fit."""
    number, previous = (after.number, after.hash) if after else (0, "")
    for entry in entries:
        number += 1
        if entry.number != number or entry.hash != entry_hash(previous, job, entry):
            return number
        previous = entry.hash
    return None
