"""An audit finds whatever was changed in a store, and names the first event that does not fit."""

from __future__ import annotations

import sqlite3
from pathlib import Path  # noqa: TC003
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace
from tests.store.gauged import GAUGE, OFF, POINTS, RING, Gauged
from tests.store.pushes import driven, push, sizing_plan
from tests.store.small import HandClock, Job, notes

from headwright.errors import StoreError
from headwright.job.chain import chained, event_bytes
from headwright.job.events import GaugeChecked, Noted, ReadingStruck
from headwright.store.audit import CHANGED, Finding, audited
from headwright.store.contract import Drift, OfGauges
from headwright.store.kept import KeptStore
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.store import JobStore

LISTED = "does not say what follows from the events"


@pytest.fixture
def store(path: Path) -> Iterator[JobStore]:
    """Give a store with a job that has pushes, one with gauges, and a doubt that waits for the second."""
    store = open_sqlite(path)
    pushes = Job("1001", sizing_plan())
    pushes.keep(store)
    pushes.keep_more(store, *driven("1I"), *push("1I"))
    pushes.keep_more(store, *notes("abc"))
    clock = HandClock()
    gauged, finds = Gauged(store, clock, "1002"), Gauged(store, clock, "1003")
    gauged.zero()
    gauged.read(*POINTS[:3])
    check = GaugeChecked(GAUGE, "R-344", RING, OFF)
    entries = chained(
        "1003", finds.desk.entries[-1], (check,), time="2025-03-04T09:00:00.000000Z", operator="07", terminal="x"
    )
    store.append("1003", entries, finds_summary(finds, entries), gauges=drift(finds, entries))
    yield store
    store.close()


def finds_summary(finds: Gauged, entries: Any) -> Any:
    from headwright.job.evolve import fold  # noqa: PLC0415 - beside its one use
    from headwright.job.summary import summary  # noqa: PLC0415

    return summary(fold(finds.desk.state, entries))


def drift(finds: Gauged, entries: Any) -> OfGauges:
    from headwright.job.evolve import fold  # noqa: PLC0415 - beside its one use
    from headwright.job.gauge_use import gauge_uses  # noqa: PLC0415

    return OfGauges(gauge_uses(fold(finds.desk.state, entries)), Drift(entries[-1].number, GAUGE, 0.003))


def change(path: Path, *statements: str, values: tuple[object, ...] = ()) -> None:
    """Change the file behind the store's back."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER IF EXISTS events_stay")
    connection.execute("DROP TRIGGER IF EXISTS events_keep")
    for statement in statements:
        assert connection.execute(statement, values).rowcount, statement
    connection.close()


def found(path: Path) -> dict[str, tuple[Finding, ...]]:
    """Audit every job; give what does not fit."""
    kept = KeptStore(path)
    try:
        every = [audited(kept.job(job)) for job in kept.jobs()]
    finally:
        kept.close()
    return {job.job: job.findings for job in every if job.findings}


def firsts(path: Path) -> dict[str, int]:
    """Give the number of the first event that does not fit, by job."""
    return {job: next((f.event for f in findings if f.event), 0) for job, findings in found(path).items()}


def test_a_store_that_nobody_touched_fits_and_is_left_as_it_was(store: JobStore, path: Path) -> None:
    before = path.read_bytes()
    assert [each.job for each in store.waiting()] == ["1002"]
    assert found(path) == {}
    assert path.read_bytes() == before


COLUMNS = {
    "plans": ("sha256", "json"),
    "jobs": ("job", "plan"),
    "events": ("job", "number", "time", "operator", "terminal", "event", "hash"),
    "summaries": ("job", "number", "time", "json"),
    "sizings": (
        *("job", "number", "position", "time", "head", "liner", "stem_class", "lubricant", "later"),
        *("pre_size", "ball", "finished"),
    ),
    "gauge_uses": ("job", "gauge", "zeroed", "first_read", "last_read"),
    "gauge_checks": ("job", "number", "gauge", "time", "found_off", "left_off"),
    "quarantine": ("job", "found_in", "number", "since"),
}
ONE_ROW = {"events": "job = '1002' AND number = 5"}


def flipped(value: Any, bit: int) -> tuple[str, object]:
    """Give SQL for a value with one bit of its first byte turned, and what to bind to it."""
    if isinstance(value, str):
        data = value.encode() or b"\0"
        return "CAST(? AS TEXT)", bytes([data[0] ^ bit]) + data[1:]
    if isinstance(value, bytes):
        return "?", bytes([value[0] ^ bit]) + value[1:]
    if isinstance(value, int):
        return "?", value ^ bit << 10
    return "?", value + bit


@pytest.mark.parametrize("bit", [1, 2, 0x80])
@pytest.mark.parametrize(("table", "column"), [(table, name) for table, names in COLUMNS.items() for name in names])
def test_a_byte_turned_in_any_column_is_found(store: JobStore, path: Path, table: str, column: str, bit: int) -> None:
    raw = sqlite3.connect(path)
    where = ONE_ROW.get(table, "1 = 1")
    row = raw.execute(f"SELECT * FROM {table} WHERE {where} LIMIT 1")  # noqa: S608
    names = [each[0] for each in row.description]
    values = row.fetchone()
    raw.close()
    assert names == [*COLUMNS[table]]
    sql, value = flipped(values[names.index(column)], bit)
    this = " AND ".join(f"{name} IS ?" for name in names)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER events_stay")
    assert connection.execute(f"UPDATE {table} SET {column} = {sql} WHERE {this}", (value, *values)).rowcount == 1  # noqa: S608
    connection.close()
    misfits = found(path)
    assert misfits
    if table == "events" and column != "job":
        assert firsts(path) == {"1002": 5}
    assert store.where == str(path)


def test_a_changed_event_is_named_with_its_time(store: JobStore, path: Path) -> None:
    time = store.entries("1002")[4].time
    change(path, "UPDATE events SET operator = '08' WHERE job = '1002' AND number = 5")
    assert found(path) == {"1002": (Finding(5, time, CHANGED),)}


def test_an_event_with_a_figure_changed_is_named(store: JobStore, path: Path) -> None:
    data = event_bytes(store.entries("1002")[4].event).replace(b'".3440"', b'".3441"')
    change(path, "UPDATE events SET event = ? WHERE job = '1002' AND number = 5", values=(data,))
    assert found(path)["1002"][0].what == CHANGED


def test_events_that_were_swapped_are_named(store: JobStore, path: Path) -> None:
    swap = "UPDATE events SET number = {} WHERE job = '1001' AND number = {}"
    change(path, swap.format(99, 3), swap.format(3, 4), swap.format(4, 99))
    assert firsts(path) == {"1001": 3}
    assert store.last("1001") is not None


def test_an_event_that_was_taken_out_is_named(store: JobStore, path: Path) -> None:
    change(path, "DELETE FROM events WHERE job = '1001' AND number = 4")
    assert found(path)["1001"][0].what == "it is missing, event 5 stands in its place"
    assert firsts(path) == {"1001": 4}
    assert store.jobs()


@pytest.mark.parametrize("left", [1, 3, 6])
def test_a_record_cut_short_is_told_by_its_lists(store: JobStore, path: Path, left: int) -> None:
    count = len(store.entries("1002"))
    change(path, f"DELETE FROM events WHERE job = '1002' AND number > {left}")  # noqa: S608
    assert found(path)["1002"][0] == Finding(
        left + 1, "", f"it is missing: there was an event {count} when the lists were written"
    )


def test_a_job_whose_events_are_all_gone_is_named(store: JobStore, path: Path) -> None:
    change(path, "DELETE FROM events WHERE job = '1002'")
    assert found(path)["1002"][0] == Finding(1, "", "there is no event")
    assert store.jobs()


def test_a_plan_changed_together_with_its_sum_is_found(store: JobStore, path: Path) -> None:
    import hashlib  # noqa: PLC0415 - beside its one use

    text = store.plan_json("1001").replace(b"Tern 40", b"Tern 41")
    sha256 = hashlib.sha256(text).hexdigest()
    old = hashlib.sha256(store.plan_json("1001")).hexdigest()
    change(path, "UPDATE plans SET json = ?1, sha256 = ?2 WHERE sha256 = ?3", values=(text, sha256, old))
    change(path, "UPDATE jobs SET plan = ? WHERE plan = ?", values=(sha256, old))
    assert found(path)["1001"][0].what == ("its plan was changed: it is not the one that the job was opened under")


def test_an_event_of_a_future_version_is_named(store: JobStore, path: Path) -> None:
    data = event_bytes(GaugeChecked("a", "b", 1.0, 0.0)).replace(b'"version":2', b'"version":3')
    change(path, "UPDATE events SET event = ? WHERE job = '1002' AND number = 5", values=(data,))
    (finding, *_) = found(path)["1002"]
    assert finding.event == 5
    assert finding.what.startswith("it cannot be read: 'gauge-checked' is of version 3, and this headwright reads it")
    assert store.jobs()


def test_bytes_that_say_the_same_in_another_way_are_found(store: JobStore, path: Path) -> None:
    data = event_bytes(store.entries("1001")[-1].event).replace(b":", b": ")
    last = len(store.entries("1001"))
    change(path, f"UPDATE events SET event = ? WHERE job = '1001' AND number = {last}", values=(data,))  # noqa: S608
    assert [(f.event, f.what) for f in found(path)["1001"]] == [(last, "it is not written as headwright writes it")]


def test_a_chain_that_somebody_recomputed_is_judged_by_what_it_says(store: JobStore, path: Path) -> None:
    """Whoever can compute hashes can chain anything; what the plan does not have is found all the same."""
    job = Job("1004")
    job.add(Noted("a"))
    job.keep(store)
    store.append("1004", job.next(ReadingStruck(77, "there is none")), job.summary)
    (finding,) = found(path)["1004"]
    assert finding.event == 4
    assert finding.what == "it speaks of 77, which the plan of the job does not have"


def test_a_list_that_says_something_else_is_named(store: JobStore, path: Path) -> None:
    job = Job("1004").keep(store)
    store.append("1004", job.add(Noted("a")), replace(job.summary, status="released"))
    assert [f.what for f in found(path)["1004"]] == [f"the list of jobs {LISTED}"]


def test_lists_of_another_version_are_not_compared(store: JobStore, path: Path) -> None:
    change(path, "UPDATE summaries SET number = 1", "UPDATE meta SET value = 1 WHERE key = 'read-models'")
    kept = KeptStore(path)
    assert not kept.is_current
    kept.close()
    assert found(path) == {}
    assert store.jobs()


@pytest.mark.parametrize(
    ("change_it", "says"),
    [
        ("UPDATE meta SET value = 70 WHERE key = 'schema'", "was written by a newer headwright"),
        ("UPDATE meta SET key = 'schemb' WHERE key = 'schema'", "is damaged (it does not say which version its tables"),
    ],
)
def test_tables_that_cannot_be_told_are_not_audited_and_not_opened(path: Path, change_it: str, says: str) -> None:
    open_sqlite(path).close()
    change(path, change_it)
    for opening in (KeptStore, open_sqlite):
        with pytest.raises(StoreError) as caught:
            opening(path)
        assert says in caught.value.message


def test_a_file_that_is_not_there_or_not_ours_is_told(tmp_path: Path) -> None:
    missing = tmp_path / "nowhere" / "headwright.db"
    with pytest.raises(StoreError, match="there is no jobs store at "):
        KeptStore(missing)
    assert not missing.parent.exists()
    other = tmp_path / "other.db"
    sqlite3.connect(other).execute("CREATE TABLE birds (name TEXT)").connection.close()
    with pytest.raises(StoreError, match="is not a jobs store"):
        KeptStore(other)
    other.write_text("a shopping list\n" * 300)
    with pytest.raises(StoreError, match="is damaged"):
        KeptStore(other)
