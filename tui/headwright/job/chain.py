"""The hash chain over a job's entries: a gap, an edit or a swap shows at the first entry that does not fit.

hash(n) = SHA-256( hash(n-1) + canonical JSON of [job, number, time, operator, terminal, event] ), with the empty
text before the first. The first event carries the SHA-256 of the plan, so the plan is part of the chain.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

import msgspec

from headwright.job.events import Entry, Event

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_encoder = msgspec.json.Encoder(order="sorted")
_decoder = msgspec.json.Decoder(Event)


class EventUnreadable(ValueError):
    """The text is not an event that this version can read."""


def event_bytes(event: Event) -> bytes:
    """Give the event's canonical JSON."""
    return _encoder.encode(event)


def event_from(data: bytes | str) -> Event:
    """Read an event from its JSON.

    Raises:
        EventUnreadable: unknown event, missing or unknown field, or a value of the wrong type.
    """
    try:
        event: Event = _decoder.decode(data)
    except msgspec.MsgspecError as error:
        raise EventUnreadable(str(error)) from error
    return event


def entry_hash(previous: str, job: str, entry: Entry) -> str:
    """Give the hash that chains an entry to the one before it, in hexadecimal; `entry.hash` is not looked at."""
    body = _encoder.encode([job, entry.number, entry.time, entry.operator, entry.terminal, entry.event])
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
