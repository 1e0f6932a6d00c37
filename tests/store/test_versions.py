"""Events that older versions recorded are read as today's, and stay in the record byte for byte."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import msgspec
import pytest

from headwright.errors import RecordBroken
from headwright.job.chain import chained, entry_bytes, entry_hash, event_bytes, event_read, first_misfit
from headwright.job.events import Entry, Event, GaugeChecked, Noted
from headwright.job.versions import STEPS, EventUnreadable, present_version
from headwright.store.audit import audited
from headwright.store.desk import Desk, Done
from headwright.store.kept import KeptStore
from headwright.store.record import import_job, parse_record, read_record, record_of, record_text

if TYPE_CHECKING:
    from headwright.store import JobStore

OLDER = Path(__file__).with_name("older_1.toml")
"""A record as version 1 wrote it, its hashes computed with the standard library alone."""
FIRST = b'{"before":0.006,"gauge":"BG-5","size":12.05,"what":"gauge-checked"}'


def unreadable(data: bytes) -> str:
    with pytest.raises(EventUnreadable) as caught:
        event_read(data)
    return str(caught.value)


def test_the_first_check_of_a_gauge_is_read_with_a_ring_that_is_not_recorded() -> None:
    event, older = event_read(FIRST)
    assert event == GaugeChecked("BG-5", "not recorded", 12.05, 0.006)
    assert older == FIRST


def test_todays_check_says_its_version_and_is_read_as_it_is() -> None:
    event = GaugeChecked("BG-5", "R-12", 12.05, 0.006)
    assert json.loads(event_bytes(event))["version"] == 2
    assert event_read(event_bytes(event)) == (event, b"")


def test_every_event_that_has_changed_carries_the_version_that_its_steps_lead_to() -> None:
    for kind in get_args(Event):
        said = [field for field in msgspec.structs.fields(kind) if field.name == "version"]
        present = present_version(kind.__struct_config__.tag)
        assert [get_args(field.type) for field in said] == ([(present,)] if present > 1 else [])
    steps = {tag: {version for of, version in STEPS if of == tag} for tag, _ in STEPS}
    assert all(versions == set(range(1, present_version(tag))) for tag, versions in steps.items())


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (FIRST.replace(b'"size"', b'"ring":"R-12","size"'), "Object contains unknown field `ring`"),
        (FIRST.replace(b"0.006", b'"much"'), "version 1: Expected `float`, got `str` - at `$.before`"),
        (FIRST.replace(b',"what"', b',"version":1,"what"'), "it says that it is of version 1, which cannot be"),
        (FIRST.replace(b',"what"', b',"version":true,"what"'), "it says that it is of version True, which cannot be"),
        (FIRST.replace(b'"size":12.05,', b""), "version 1: Object missing required field `size`"),
    ],
)
def test_what_is_not_what_its_version_was_is_not_read(data: bytes, says: str) -> None:
    assert unreadable(data).startswith(says)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b'{"gauge":"BG-5","hue":3,"version":3,"what":"gauge-checked"}', "'gauge-checked' is of version 3, and this"),
        (event_bytes(GaugeChecked("a", "b", 1.0, 0.0)).replace(b":2", b":9"), "'gauge-checked' is of version 9, and "),
        (b'{"text":"x","version":2,"what":"noted"}', "'noted' is of version 2, and this headwright reads it up to ver"),
    ],
)
def test_a_version_from_the_future_is_refused_in_one_sentence(data: bytes, says: str) -> None:
    told = unreadable(data)
    assert told.startswith(says)
    assert told.endswith(": a newer one has written it")


def test_an_older_event_is_chained_by_the_bytes_that_it_was_recorded_in() -> None:
    """Event 494 of the sample job 1005 as version 1 recorded it, with the hash that it was given then."""
    before = "61e7ae16b6558a1d1dfab75a9f2308c84e5f2bcf0e4f07ba01712dce9e4d813a"
    event, older = event_read(FIRST)
    entry = Entry(494, "2026-04-14T10:44:42.000000Z", "12", "bench 1", event, "", older)
    assert entry_hash(before, "1005", entry) == "ca7a4b7b0d17718e984d4a8a9dfd1af4e841a0628ba65918d49768065d1852a8"


def test_the_old_record_chains_by_the_standard_library_alone() -> None:
    previous = ""
    for entry in read_record(OLDER).entries:
        event = json.loads(entry_bytes(entry))
        line = [
            "1005",
            entry.number,
            entry.time,
            entry.operator,
            entry.terminal,
            event,
        ]
        body = json.dumps(line, separators=(",", ":"), sort_keys=True, ensure_ascii=False)
        previous = hashlib.sha256((previous + body).encode()).hexdigest()
        assert entry.hash == previous


def test_a_job_with_older_events_goes_in_and_out_byte_for_byte(store: JobStore) -> None:
    record = read_record(OLDER)
    assert [entry.number for entry in record.entries if entry.older] == [3, 5]
    import_job(store, record)
    assert store.entries("1005") == record.entries
    assert record_text(record_of(store, "1005")) == OLDER.read_text(encoding="utf-8")
    assert import_job(store, record) == 0


def test_work_goes_on_after_older_events_and_stays_so_in_the_record(store: JobStore) -> None:
    import_job(store, read_record(OLDER))
    desk = Desk.open(store, "1005", "bench 1")
    done = desk.submit(Noted("goes on"), "07")
    assert isinstance(done, Done)
    assert first_misfit("1005", store.entries("1005")) is None
    text = record_text(record_of(store, "1005"))
    assert parse_record(text.encode(), "it").entries == desk.entries
    events = text.index("[[event]]")
    end = OLDER.read_text(encoding="utf-8").index("\n[plan]")
    assert text[events:].startswith(OLDER.read_text(encoding="utf-8")[events:end])


def test_the_audit_goes_by_the_older_bytes_too(store: JobStore) -> None:
    import_job(store, read_record(OLDER))
    kept = KeptStore(Path(store.where))
    assert audited(kept.job("1005")).findings == ()
    kept.close()


@pytest.mark.parametrize(
    ("found", "put", "number", "message"),
    [
        ("before = 0.006", "before = 0.007", 5, "event 5 does not fit"),
        (
            "size = 12.05",
            'ring = "R-12"\nsize = 12.05',
            3,
            "event 3: gauge-checked: Object contains unknown field `ring`",
        ),
        (
            "size = 12.05",
            "size = 12.05\nversion = 3",
            3,
            "event 3: gauge-checked: 'gauge-checked' is of version 3, and",
        ),
        ("after = -0.001", "after = -0.0010", 5, "event 5: gauge-checked: version 1: Expected `float`, got `str`"),
    ],
)
def test_a_change_of_an_older_event_is_reported_with_its_number(
    found: str, put: str, number: int, message: str
) -> None:
    text = OLDER.read_text(encoding="utf-8")
    assert found in text
    with pytest.raises(RecordBroken) as caught:
        parse_record(text.replace(found, put, 1).encode(), "it")
    assert caught.value.number == number
    assert message in caught.value.message


def test_an_event_of_a_future_version_in_a_store_is_named(store: JobStore) -> None:
    record = read_record(OLDER)
    import_job(store, record)
    future = event_bytes(GaugeChecked("BG-5", "R-12", 12.05, 0.0)).replace(b'"version":2', b'"version":3')
    (last,) = chained("1005", record.entries[-1], (Noted("x"),), time=record.entries[-1].time, operator="", terminal="")
    connection = store._database._raw  # type: ignore[attr-defined]
    connection.execute("INSERT INTO events VALUES ('1005', 8, ?, '', '', ?, ?)", (last.time, future, last.hash))
    connection.commit()
    with pytest.raises(RecordBroken) as caught:
        store.entries("1005")
    assert caught.value.number == 8
    assert caught.value.message == (
        "job '1005', event 8: cannot be read: 'gauge-checked' is of version 3, and this headwright reads it up to "
        "version 2: a newer one has written it"
    )
