"""One job as a portable TOML record: its entries, each under its number, and the text of its plan.

A record is checked as a whole when it is read: by the hashes, by the count of events, and byte by byte against the
text that headwright writes for the same job. Only the ends of lines may be those of another system.
"""

from __future__ import annotations

import hashlib
import os
import re
import tomllib
from contextlib import suppress
from datetime import datetime
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

import msgspec
import tomli_w
from msgspec import Struct

from headwright.errors import RecordBroken, UsageError
from headwright.job.chain import entry_bytes, event_bytes, event_read, first_misfit
from headwright.job.events import Entry, Opened
from headwright.job.gauge_use import gauge_uses
from headwright.job.sizing import sizings
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.job.versions import EventUnreadable
from headwright.procedure.plan import Plan, PlanUnreadable, plan_from
from headwright.procedure.sound import unsound
from headwright.store.replay import folded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

    from headwright.store.contract import JobStore

FORMAT = "headwright-job 1"
MOST_BYTES = 64 * 1024 * 1024
"""Bounds what a stray file can make us load; a record of 2,000 events has about 1 MB."""

_TOP = {"format": str, "job": str, "events": int, "event": list, "plan": dict}
_OWN = {"number": int, "time": str, "operator": str, "terminal": str, "hash": str}
_PLAN = {"sha256": str, "json": str}
_WORDS = {str: "a text", int: "a whole number", list: "a list of tables", dict: "a table"}
_SIGNS = (b"headwright-job", b"[[event]]", b"\n[event.")
"""Of these a damaged record still has one, so that it is told from a file that never was a record."""
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z", re.ASCII)
_LINE = re.compile(r"at line (\d+)")
_HEADER = re.compile(rb"^\[+[^.\n\[\]]+\]+[ \t\r]*$", re.MULTILINE)
_encoder = msgspec.json.Encoder(order="sorted")


class Record(Struct, frozen=True):
    """A job that verified: its entries, and its plan both as it was kept and ready for use."""

    job: str
    plan_json: bytes
    plan: Plan
    entries: tuple[Entry, ...]


def record_of(store: JobStore, job: str) -> Record:
    """Take the record of a job out of a store.

    Raises:
        RecordBroken: what the store holds does not verify.
        UsageError: there is no such job.
    """
    return verified(job, store.plan_json(job), store.entries(job), store.where)


def verified(job: str, plan_json: bytes, entries: tuple[Entry, ...], where: str) -> Record:
    """Check that entries chain, and that they belong to the job and to the plan; `where` names them in messages.

    Raises:
        RecordBroken: with the number of the first entry that does not fit, 0 for the plan.
    """
    if not entries:
        raise RecordBroken(f"{where}: there is no event in it", 1)
    misfit = first_misfit(job, entries)
    if misfit is not None:
        raise RecordBroken(
            f"{where}: event {misfit} does not fit; it was changed, or something before it is missing",
            misfit,
            "Everything before it is as it was written.",
        )
    opened = entries[0].event
    if not isinstance(opened, Opened) or opened.job != job:
        raise RecordBroken(f"{where}: event 1 does not open job '{job}'", 1)
    if opened.plan != hashlib.sha256(plan_json).hexdigest():
        raise RecordBroken(f"{where}: the plan was changed: it is not the one that the job was opened under", 0)
    try:
        plan = plan_from(plan_json)
    except PlanUnreadable as error:
        raise RecordBroken(f"{where}: {error}", 0) from error
    return Record(job, plan_json, plan, entries)


def record_text(record: Record) -> str:
    """Write a record as TOML; the same job gives the same text, whoever writes it."""
    tables = []
    for entry in record.entries:
        fields: dict[str, Any] = msgspec.json.decode(entry_bytes(entry))
        what = fields.pop("what")
        tables.append({**{name: getattr(entry, name) for name in _OWN}, what: fields})
    return tomli_w.dumps(
        {
            "format": FORMAT,
            "job": record.job,
            "events": len(tables),
            "event": tables,
            "plan": {"sha256": hashlib.sha256(record.plan_json).hexdigest(), "json": record.plan_json.decode()},
        }
    )


def write_record(record: Record, path: Path) -> None:
    """Write a record to a file, whole or not at all; a file that is there is replaced.

    Raises:
        UsageError: the file cannot be written.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        with part.open("wb") as file:
            file.write(record_text(record).encode())
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink()
        reason = error.strerror or error
        raise UsageError(
            f"{path} cannot be written: {reason}", "Name a file in a folder that you may write in."
        ) from error


def read_record(path: Path, progress: Callable[[int, int], None] | None = None) -> Record:
    """Read a record from a file and check all of it.

    Args:
        path: the file.
        progress: is told how many events are read, and of how many; what it raises ends the reading.

    Raises:
        UsageError: the file cannot be opened, is far too big to be a record, or is none.
        RecordBroken: it is a record, but not one that this version can read, or it does not verify; with the number of
            the event.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror or error}", "Name a job record.") from error
    if len(data) > MOST_BYTES:
        raise UsageError(f"{path} is over {MOST_BYTES // 1024**2} MB: too big for a job record", "Name a job record.")
    return parse_record(data, str(path), progress)


def parse_record(data: bytes, where: str, progress: Callable[[int, int], None] | None = None) -> Record:
    """Read a record from its bytes and check all of it; `where` names it in messages, `progress` as in `read_record`.

    Raises:
        UsageError: it is no record at all.
        RecordBroken: it is a record, but not one that this version can read, or it does not verify; with the number of
            the event.
    """
    if not any(sign in data for sign in _SIGNS):
        raise UsageError(f"{where} is no job record", "'headwright export' writes one.")
    document = _toml(data, where)
    stray = next((key for key in document if key not in _TOP), None)
    if stray is not None and "event" in document:
        number = _event_at(data[: data.find(b"\n", data.rfind(stray.encode()))])
        raise RecordBroken(f"{where}: {_place(number)}: '{stray}' does not belong here", number)
    form = document.get("format")
    if form != FORMAT:
        found = f"its format is '{form}'" if isinstance(form, str) else "it has no line 'format'"
        raise RecordBroken(f"{where} is not a job record that this version reads: {found}, expected '{FORMAT}'", 0)
    _expect(document, _TOP, where, 0)
    _expect(document["plan"], _PLAN, f"{where}: plan", 0)
    entries = tuple(_entries(document["event"], where, progress))
    plan_json = document["plan"]["json"].encode()
    record = verified(document["job"], plan_json, entries, where)
    fault = unsound(record.plan)
    if fault:
        raise RecordBroken(f"{where}: its plan does not hold together: {fault}", 0)
    if document["plan"]["sha256"] != hashlib.sha256(plan_json).hexdigest():
        raise RecordBroken(f"{where}: the SHA-256 beside the plan is not that of the plan", 0)
    if document["events"] != len(entries):
        short = min(document["events"], len(entries)) + 1
        raise RecordBroken(f"{where}: it says {document['events']} events and has {len(entries)}", max(short, 1))
    _as_written(data, record, where)
    return record


def _as_written(data: bytes, record: Record, where: str) -> None:
    """Refuse a text that says the same in other bytes: blanks, comments, another order. Line ends may differ."""
    before = 0
    for found, written in zip_longest(data.splitlines(keepends=True), record_text(record).encode().splitlines()):
        if found is None or found.rstrip(b"\r\n") != written:
            number = _event_at(data[: before + len(found or b"")])
            raise RecordBroken(
                f"{where}: {_place(number)} is not written as headwright writes it",
                number,
                "What it says fits, but somebody has changed the text. Export the job again.",
            )
        before += len(found)


def import_job(
    store: JobStore, record: Record, until: int | None = None, progress: Callable[[int, int], None] | None = None
) -> int:
    """Bring a job into a store, whole or not at all; a job that is there already, just so, is left as it is.

    Args:
        store: where the job is to go.
        record: the job.
        until: take the first so many events only, from 1; None for all.
        progress: is told once, before anything is written; what it raises ends it with nothing brought in.

    Returns:
        How many events were brought in; 0 when they were all there.

    Raises:
        UsageError: the store has a job of that number with another content, or `until` is out of range.
        RecordBroken: the record does not verify.
    """
    count = len(record.entries)
    if until is not None and not 1 <= until <= count:
        raise UsageError(f"job '{record.job}' has events 1 to {count}; there is no event {until} to stop at")
    entries = record.entries[:until]
    checked = verified(record.job, record.plan_json, entries, f"job '{record.job}'")
    if store.last(record.job) is not None:
        _refuse_other(store, record.job, entries)
        return 0
    state = folded(begin(checked.plan), entries, f"job '{record.job}'")
    if progress:
        progress(len(entries), len(entries))
    store.create(record.plan_json, entries, summary(state), sizings(state), gauge_uses(state))
    return len(entries)


def _refuse_other(store: JobStore, job: str, entries: tuple[Entry, ...]) -> None:
    for number, (ours, theirs) in enumerate(zip_longest(store.entries(job), entries), start=1):
        if ours != theirs:
            raise UsageError(
                f"job '{job}' is in {store.where} already, and differs from event {number} on",
                "Nothing was brought in. Import it into another folder: set HEADWRIGHT_HOME.",
            )


def _toml(data: bytes, where: str) -> dict[str, Any]:
    try:
        text = data.decode()
    except UnicodeDecodeError as error:
        number = _event_at(data[: error.start])
        raise RecordBroken(f"{where}: {_place(number)} is not UTF-8 text", number) from error
    try:
        return tomllib.loads(text, parse_float=_exact_float)
    except (ValueError, RecursionError) as error:
        found = _LINE.search(str(error))
        line = int(found[1]) if found else None  # None: it breaks off at the end
        number = _event_at("\n".join(text.split("\n")[:line]).encode())
        raise RecordBroken(f"{where}: {_place(number)} is not TOML: {error}", number) from error


def _event_at(before: bytes) -> int:
    """Number the event in which a text breaks off, by the headers so far; 0 before the first and after the last."""
    headers = [header.rstrip() for header in _HEADER.findall(before)]
    double = [header for header in headers if header.startswith(b"[[") or header.endswith(b"]]")]
    after = any(header not in double and not header.startswith(b"[event") for header in headers)
    return 0 if after else len(double)


def _place(number: int) -> str:
    return f"event {number}" if number else "the part outside the events"


def _exact_float(text: str) -> float | str:
    # 17 digits can be changed in the last one and still mean the same number: only the one way of writing it passes.
    value = float(text)
    return value if repr(value) == text else text


def _expect(table: dict[str, Any], keys: Mapping[str, type], where: str, number: int) -> None:
    for key, kind in keys.items():
        if key not in table:
            raise RecordBroken(f"{where}: '{key}' is missing", number)
        if type(table[key]) is not kind:
            raise RecordBroken(f"{where}: '{key}' is not {_WORDS[kind]}", number)
    for key in table:
        if key not in keys:
            raise RecordBroken(f"{where}: '{key}' does not belong here", number)


def _entries(tables: list[Any], where: str, progress: Callable[[int, int], None] | None) -> Iterator[Entry]:
    for number, table in enumerate(tables, start=1):
        yield _entry(table, number, where)
        if progress:
            progress(number, len(tables))


def _entry(table: Any, number: int, where: str) -> Entry:
    place = f"{where}: event {number}"
    if not isinstance(table, dict):
        raise RecordBroken(f"{place} is not a table", number)
    happened = [key for key in table if key not in _OWN]
    if len(happened) != 1 or not isinstance(table[happened[0]], dict) or "what" in table[happened[0]]:
        raise RecordBroken(f"{place} should have one table that says what happened", number)
    what = happened[0]
    _expect(table, {**_OWN, what: dict}, place, number)
    if not is_time(table["time"]):
        raise RecordBroken(f"{place}: '{table['time']}' is not a UTC time such as 2025-03-04T08:12:09.120000Z", number)
    try:
        written = _encoder.encode({**table[what], "what": what})
        event, older = event_read(written)
    except (EventUnreadable, TypeError, OverflowError) as error:
        raise RecordBroken(f"{place}: {what}: {error}", number) from error
    if not older and event_bytes(event) != written:
        raise RecordBroken(f"{place}: {what}: a value is not written as headwright writes it", number)
    return Entry(table["number"], table["time"], table["operator"], table["terminal"], event, table["hash"], older)


def is_time(text: str) -> bool:
    """Tell whether a text is a time as records have it."""
    try:
        return bool(_TIME.fullmatch(text)) and datetime.fromisoformat(text) is not None
    except ValueError:
        return False
