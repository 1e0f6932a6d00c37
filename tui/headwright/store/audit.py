"""Auditing what a store has of a job: everything recomputed, and the first event that does not fit found."""

from __future__ import annotations

import hashlib
from collections import Counter
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from headwright.errors import RecordBroken
from headwright.job.chain import entry_hash, event_bytes, event_read
from headwright.job.events import Entry, GaugeChecked, Opened
from headwright.job.gauge_use import gauge_uses
from headwright.job.sizing import sizings
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.job.versions import EventUnreadable
from headwright.procedure.plan import PlanUnreadable, plan_from
from headwright.store.gauge_rows import check_rows, use_row
from headwright.store.jobs import sizing_row, summary_row
from headwright.store.record import is_time
from headwright.store.replay import folded
from headwright.store.tables import READ_TABLES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.job.state import State
    from headwright.procedure.plan import Plan
    from headwright.store.kept import KeptJob, Row

CHANGED = "it was changed, or something before it is missing"
_LISTS = {
    "summaries": "the list of jobs",
    "sizings": "the list of past sizings",
    "gauge_uses": "the list of gauges in use",
    "gauge_checks": "the list of gauge checks",
}


class Finding(Struct, frozen=True):
    """Something that does not fit: the number of the event and its time (0 and empty: it is no event), and what."""

    event: int
    time: str
    what: str


class Audited(Struct, frozen=True):
    """A job gone through: how many events it has, the hash of the last, and everything that does not fit.

    The first finding has the first event that does not fit, where one does not. `waiting` counts doubts about gauges
    that the job has not taken in yet.
    """

    job: str
    events: int
    hash: str
    findings: tuple[Finding, ...]
    waiting: int = 0


def audited(kept: KeptJob) -> Audited:
    """Recompute everything that a store has of a job."""
    entries, misfit = _chain(kept)
    plan, faults = _plan(kept, entries)
    findings = [*misfit, *faults]
    if plan is not None and not misfit:
        try:
            state = folded(begin(plan), entries, "it")
        except RecordBroken as error:
            findings.append(_at(kept, error.number, f"it {error.message.partition(f'event {error.number} ')[2]}"))
        else:
            findings.extend(_lists(kept, entries, state))
    findings.extend(_doubts(kept))
    last = kept.events[-1][6] if kept.events else ""
    return Audited(kept.job, len(kept.events), str(last), tuple(findings), len(kept.doubts))


def _at(kept: KeptJob, number: int, what: str) -> Finding:
    time = kept.events[number - 1][2] if 0 < number <= len(kept.events) else ""
    return Finding(number, str(time), what)


def _chain(kept: KeptJob) -> tuple[tuple[Entry, ...], list[Finding]]:
    """Give the entries as far as they fit, and the first that does not."""
    entries: list[Entry] = []
    previous = ""
    for number, row in enumerate(kept.events, start=1):
        try:
            entry = _entry(row)
            what = _misfit(kept.job, number, entry, row, previous)
        except (EventUnreadable, UnicodeEncodeError) as error:
            what = CHANGED if isinstance(error, UnicodeEncodeError) else f"it cannot be read: {error}"
        if what:
            return tuple(entries), [_at(kept, number, what)]
        entries.append(entry)
        previous = entry.hash
    if not entries:
        return (), [Finding(1, "", "there is no event")]
    opened = entries[0].event
    if not isinstance(opened, Opened) or opened.job != kept.job:
        return tuple(entries), [_at(kept, 1, "it does not open this job")]
    return tuple(entries), []


def _entry(row: Row) -> Entry:
    _, number, time, operator, terminal, data, digest = row
    texts = all(isinstance(text, str) for text in (time, operator, terminal, digest))
    if not texts or not isinstance(data, bytes) or not isinstance(number, int):
        raise EventUnreadable("a value in it is not of its kind")
    event, older = event_read(data)
    return Entry(number, time, operator, terminal, event, digest, older)


def _misfit(job: str, number: int, entry: Entry, row: Row, previous: str) -> str:
    """Tell why an entry does not fit where event `number` should be; empty where it fits."""
    if entry.number != number:
        return f"it is missing, event {entry.number} stands in its place"
    if entry.hash != entry_hash(previous, job, entry):
        return CHANGED
    if not entry.older and event_bytes(entry.event) != row[5]:
        return "it is not written as headwright writes it"
    return "" if is_time(entry.time) else f"its time '{entry.time}' is not a UTC time"


def _plan(kept: KeptJob, entries: tuple[Entry, ...]) -> tuple[Plan | None, Iterable[Finding]]:
    """Give the plan that a job is held to, with what is wrong with it."""
    opened = entries[0].event if entries else None
    if kept.listed is None or kept.plan is None:
        return None, [Finding(0, "", "its plan is missing")]
    sha256, text = kept.plan
    found = hashlib.sha256(text).hexdigest() if isinstance(text, bytes) else ""
    if found != sha256 or (isinstance(opened, Opened) and opened.plan != sha256):
        return None, [Finding(0, "", "its plan was changed: it is not the one that the job was opened under")]
    try:
        return plan_from(text), ()
    except PlanUnreadable as error:
        return None, [Finding(0, "", f"its plan cannot be read: {error}")]


def _lists(kept: KeptJob, entries: tuple[Entry, ...], state: State) -> Iterator[Finding]:
    """Compare what is kept beside the entries with what follows from them."""
    if kept.read is None:
        return
    later = max((number for number in _numbers(kept.read) if number > len(entries)), default=0)
    if later:
        yield Finding(len(entries) + 1, "", f"it is missing: there was an event {later} when the lists were written")
    for name, expected in _expected(kept.job, entries, state).items():
        if Counter(kept.read[name]) != Counter(expected):
            yield Finding(0, "", f"{_LISTS[name]} does not say what follows from the events")


def _numbers(read: dict[str, list[Row]]) -> Iterator[int]:
    for table in READ_TABLES:
        if "number" in table.columns:
            at = table.columns.index("number")
            yield from (row[at] for row in read[table.name] if isinstance(row[1], int))


def _expected(job: str, entries: tuple[Entry, ...], state: State) -> dict[str, list[Row]]:
    rows: dict[str, list[dict[str, Any]]] = {
        "summaries": [{"job": job, **summary_row(entries[-1], summary(state))}],
        "sizings": [sizing_row(job, sized) for sized in sizings(state)],
        "gauge_uses": [use_row(job, use) for use in gauge_uses(state)],
        "gauge_checks": check_rows(job, entries),
    }
    return {table.name: [table.row(row) for row in rows[table.name]] for table in READ_TABLES}


def _doubts(kept: KeptJob) -> Iterator[Finding]:
    """See that every doubt that waits for the job comes from the check of a gauge."""
    for (_, found_in, number, _), source, checked in kept.doubts:
        try:
            sound = isinstance(source, bytes) and isinstance(event_read(source)[0], GaugeChecked) and checked
        except EventUnreadable:
            sound = False
        if not sound:
            yield Finding(0, "", f"a doubt waits for it that does not come from event {number} of job '{found_in}'")
