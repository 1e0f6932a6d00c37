"""Records and store files spoilt at random, and records forged with all their hashes: refused, or as sound as any."""

from __future__ import annotations

import json
import random
import sqlite3
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import msgspec
import pytest
from tests.hostile.forged import at, changed, forged, parts, small_record
from tests.hostile.spoiling import ROUNDS, cases, spoilt

from headwright.errors import HeadwrightError, RecordBroken, UsageError
from headwright.job.events import Noted
from headwright.sheet import replayed
from headwright.sheet.history import history
from headwright.sheet.sheet import job_sheet
from headwright.store.audit import audited
from headwright.store.desk import Desk
from headwright.store.kept import KeptStore
from headwright.store.record import import_job, parse_record, record_of, record_text
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore
    from headwright.store.record import Record


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Record:
    return small_record(tmp_path_factory.mktemp("made"))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[JobStore]:
    store = open_sqlite(tmp_path / "headwright.db")
    yield store
    store.close()


def test_a_spoilt_record_brings_nothing_in(record: Record, store: JobStore) -> None:
    """What differs in more than line ends never gets in, and the number of the event is one that it could be."""
    whole = record_text(record).encode()
    for number, data in cases(whole, 300, "record"):
        if data.splitlines() == whole.splitlines():
            continue
        with pytest.raises((RecordBroken, UsageError)) as caught:
            import_job(store, parse_record(data, "1001.toml"))
        assert caught.value.message.isprintable() or "\n" in caught.value.message, number
        if isinstance(caught.value, RecordBroken):
            assert 0 <= caught.value.number <= data.count(b"[[event]]") + 1, number
    assert store.jobs() == ()


def test_spoilt_bytes_of_an_event_are_named_by_the_audit(record: Record, tmp_path: Path) -> None:
    path = tmp_path / "headwright.db"
    store = open_sqlite(path)
    import_job(store, record)
    store.close()
    connection = sqlite3.connect(path, isolation_level=None)
    connection.executescript("DROP TRIGGER IF EXISTS events_stay; DROP TRIGGER IF EXISTS events_keep")
    for number in range(150 * ROUNDS):
        chance = random.Random(f"event {number}")  # noqa: S311 - to be the same every time
        event = chance.randint(1, len(record.entries))
        ((was,),) = connection.execute("SELECT event FROM events WHERE number = ?", (event,))
        data = spoilt(bytes(was), chance)
        if data == was:
            continue
        connection.execute("UPDATE events SET event = ? WHERE number = ?", (data, event))
        kept = KeptStore(path)
        first = audited(kept.job("1001")).findings[0]
        kept.close()
        assert first.event == event, number
        with suppress(HeadwrightError):
            reading = open_sqlite(path)
            try:
                with pytest.raises(RecordBroken):
                    record_of(reading, "1001")
            finally:
                reading.close()
        connection.execute("UPDATE events SET event = ? WHERE number = ?", (was, event))
    connection.close()


@dataclass
class Trees:
    """A record's plan and events as lists and tables, to be changed."""

    plan: Any
    events: list[Any]


@pytest.fixture(scope="module")
def trees(record: Record) -> Trees:
    return Trees(json.loads(record.plan_json), [json.loads(msgspec.json.encode(e.event)) for e in record.entries])


def go_through(data: bytes, folder: Path) -> bool:
    """Bring a record in and look at all of it; tell whether it was taken. Only refusals in words may come."""
    store = open_sqlite(folder / "headwright.db")
    try:
        record = parse_record(data, "forged.toml")
        import_job(store, record)
        assert len(store.jobs()) == 1
        desk = Desk.open(store, record.job, "bench")
        desk.submit(Noted("seen"), "07")
        told = history(record.plan, record.entries)
        assert job_sheet(told)
        assert list(replayed.lines(told))
        assert json.loads(replayed.as_json(told))
    except HeadwrightError:
        return False
    finally:
        store.close()
    return True


def test_a_forged_record_is_refused_or_shown(record: Record, trees: Trees, tmp_path: Path) -> None:
    """Whoever can write a record can work out its hashes too: what it says must still not bring the program down."""
    of_plan, of_events = list(parts(trees.plan)), list(parts(trees.events))
    outcomes: list[bool] = []
    for number in range(250 * ROUNDS):
        chance = random.Random(f"forged {number}")  # noqa: S311 - to be the same every time
        plan, events = trees.plan, trees.events
        if chance.random() < 0.7:
            plan = changed(plan, of_plan, chance)
        else:
            events = changed(events, of_events, chance)
        with suppress(ValueError):  # what cannot be written down as a record is no record
            outcomes.append(go_through(forged(record, plan, events), tmp_path / str(number)))
    assert True in outcomes
    assert False in outcomes


FORGERIES = {
    "a formula that is none": ("operations", "expect", {"text": "((((", "refs": {}}),
    "a formula of a name that is not there": ("operations", "expect", {"text": "nobody", "refs": {}}),
    "a formula of a function that is not there": ("operations", "expect", {"text": "eval(1)", "refs": {}}),
    "a unit that the plan does not have": ("specs", "unit", "cubit"),
    "a place inside one that is not there": ("places", "within", ["job", "head:Z"]),
    "an operation that needs what nobody knows": ("operations", "needs", ["nowhere"]),
    "a remedy that goes back to nowhere": ("operations", "redo", "nowhere"),
    "minutes without end": ("operations", "minutes", 1e308),
    "a value without end": ("specs", "low", 1e308),
}


@pytest.mark.parametrize("forgery", FORGERIES.values(), ids=FORGERIES)
def test_a_plan_that_does_not_hold_together_is_refused(
    record: Record, trees: Trees, store: JobStore, forgery: tuple[str, str, Any]
) -> None:
    """Some of these came in, and the sheet, the bench or the list of all jobs failed at them."""
    table, key, value = forgery
    ways = [path for path in parts(trees.plan) if path[0] == table and path[-1] == key]
    plan = json.loads(json.dumps(trees.plan))
    if ways:
        at(plan, ways[-1][:-1])[key] = value
    else:
        plan[table][0][key] = value
    with pytest.raises(RecordBroken, match="its plan does not hold together") as caught:
        import_job(store, parse_record(forged(record, plan, trees.events), "forged.toml"))
    assert caught.value.number == 0
    assert store.jobs() == ()


def test_a_plan_whose_step_leads_to_no_reading_is_refused(record: Record, trees: Trees, store: JobStore) -> None:
    plan = json.loads(json.dumps(trees.plan))
    step = next(step for operation in plan["operations"] for step in operation["steps"])
    step["readings"] = ["nobody"]
    with pytest.raises(RecordBroken, match="reading 'nobody' is not in it"):
        import_job(store, parse_record(forged(record, plan, trees.events), "forged.toml"))


@pytest.mark.parametrize("value", [1e308, -1e308, 1e15, 5e-324])
def test_a_forged_figure_is_shown_however_great_it_is(
    record: Record, trees: Trees, tmp_path: Path, value: float
) -> None:
    """The sheet failed at a figure of 1e308."""
    events = json.loads(json.dumps(trees.events))
    for event in events:
        if "value" in event:
            event["value"] = value
    assert go_through(forged(record, trees.plan, events), tmp_path)
