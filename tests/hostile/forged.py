"""A small job made at a desk, and records of it that somebody wrote anew, with every hash in order."""

from __future__ import annotations

import hashlib
from copy import deepcopy
from typing import TYPE_CHECKING, Any

import msgspec
from msgspec.structs import replace
from tests.at_desk import DeskShop
from tests.frozen_clock import FrozenClock

from headwright.job.chain import chained, event_read
from headwright.job.events import Opened
from headwright.procedure.plan import plan_from
from headwright.store.record import Record, record_of, record_text
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.job.events import Entry, Event

Path_ = tuple[str | int, ...]
VALUES: tuple[Any, ...] = (
    *(0, -1, 1, 1e308, -1e308, 1e-320, 2**63, 0.5, "", None, True, [], {}, ["a"], "x" * 3000, "\x1b[31m", "\u202e"),
    *("((((", "1 / 0", "a.b", "9 ** 9", "least(stem)", "spec.stem", "job", "head:A", "1I", "liner", "mm", "in", "size"),
)


def small_record(folder: Path) -> Record:
    """Work the small job through to a hold, at a desk on a store, and take its record out."""
    store = open_sqlite(folder / "made.db")
    try:
        shop = DeskShop(store, FrozenClock(), "1001")
        shop.to_hold()
        return record_of(store, "1001")
    finally:
        store.close()


def forged(record: Record, plan: Any, events: list[Any]) -> bytes:
    """Give a record's text with another plan and other events, chained as an honest one is.

    Raises:
        ValueError: the plan or an event cannot be written down at all.
    """
    plan_json = msgspec.json.encode(plan, order="sorted")
    entries: tuple[Entry, ...] = ()
    for was, fields in zip(record.entries, events, strict=False):
        event: Event = event_read(msgspec.json.encode(fields))[0]
        if isinstance(event, Opened):
            event = replace(event, plan=hashlib.sha256(plan_json).hexdigest())
        last = entries[-1] if entries else None
        entries += chained(record.job, last, (event,), time=was.time, operator=was.operator, terminal=was.terminal)
    return record_text(Record(record.job, plan_json, plan_from(plan_json), entries)).encode()


def parts(whole: Any, path: Path_ = ()) -> Iterator[Path_]:
    """Give the way to every part of a tree of lists and tables."""
    if isinstance(whole, dict | list):
        for key, part in whole.items() if isinstance(whole, dict) else enumerate(whole):
            yield (*path, key)
            yield from parts(part, (*path, key))


def at(whole: Any, path: Path_) -> Any:
    """Give the part at the end of a way."""
    for key in path:
        whole = whole[key]
    return whole


def changed(whole: Any, ways: list[Path_], chance: random.Random) -> Any:
    """Give a tree with one value changed, dropped, doubled, or put in the place of another."""
    whole = deepcopy(whole)
    path = chance.choice(ways)
    outer, key = at(whole, path[:-1]), path[-1]
    value = outer[key]
    match chance.randrange(5):
        case 0:
            del outer[key]
        case 1:
            outer[key] = deepcopy(at(whole, chance.choice(ways)))
        case 2 if isinstance(value, list) and value:
            value.append(deepcopy(chance.choice(value)))
        case 3 if isinstance(value, list):
            chance.shuffle(value)
        case _:
            number = isinstance(value, int | float) and not isinstance(value, bool)
            outer[key] = chance.choice(VALUES[:8] if number else VALUES)
    return whole
