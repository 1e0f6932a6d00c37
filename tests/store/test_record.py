"""A job's record carries all of it, exactly, and shows where a single changed byte is."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.store.small import Job, at, notes, reading, small_plan

from headwright.errors import HeadwrightError, RecordBroken, UsageError
from headwright.job.chain import chained
from headwright.job.events import Entry, Event, Noted, Opened, ReadingStruck, ReadingTaken, Released, StepTicked
from headwright.procedure.plan import Plan, plan_bytes, plan_from, plan_sha256
from headwright.store import record as record_module
from headwright.store.desk import Desk
from headwright.store.record import Record, import_job, parse_record, read_record, record_of, record_text, write_record
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from contextlib import ExitStack
    from pathlib import Path

    from headwright.store import JobStore

PLAN = small_plan()


@pytest.fixture
def elsewhere(tmp_path: Path, opened: ExitStack) -> JobStore:
    """The store of another shop."""
    store = open_sqlite(tmp_path / "elsewhere" / "headwright.db")
    opened.callback(store.close)
    return store


def sample() -> Record:
    """Make a record of eight events, with a whole number of millimetres among the figures."""
    job = Job(plan=PLAN)
    job.add(reading("1I", "top"))
    job.add(ReadingTaken("size", "1I", "bore", "8.73 mm", "mm", 8.73, station="bottom"))
    job.add(StepTicked("size", "1I", "oil"), Noted('a "quoted" note'), Noted("°"))
    job.add(ReadingTaken("size", "2E", "bore", "8 mm", "mm", 8.0, station="top"))
    return Record("1001", job.plan_json, job.plan, job.entries)


TEXT = record_text(sample())


def broken(text: str | bytes) -> tuple[int, str]:
    """Parse a record that does not verify; give the number and the message."""
    with pytest.raises(RecordBroken) as caught:
        parse_record(text if isinstance(text, bytes) else text.encode(), "1001.toml")
    return caught.value.number, caught.value.message


# ---- there and back


def any_event() -> st.SearchStrategy[Event]:
    """Make any event with any text and any finite figure."""
    text = st.text(max_size=20)
    figure = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**60), 2**60).map(float)
    strategies = {str: text, float: figure}
    with_types = [st.builds(kind, **_fields(kind, strategies)) for kind in get_args(Event)]
    return st.one_of(with_types)


def _fields(kind: type, strategies: dict[type, st.SearchStrategy[object]]) -> dict[str, st.SearchStrategy[object]]:
    hints = {"str": strategies[str], "float": strategies[float], "float | None": st.none() | strategies[float]}
    return {name: hints[hint] for name, hint in kind.__annotations__.items() if hint in hints}


@given(st.lists(any_event(), max_size=6), st.text(max_size=10), st.text(max_size=10))
def test_whatever_happened_comes_back_exactly(happened: list[Event], operator: str, terminal: str) -> None:
    first = Opened("1001", plan_sha256(PLAN))
    entries = chained("1001", None, (first, *happened), time=at(0), operator=operator, terminal=terminal)
    record = Record("1001", plan_bytes(PLAN), PLAN, entries)
    text = record_text(record)
    assert parse_record(text.encode(), "it") == record
    assert record_text(parse_record(text.encode(), "it")) == text
    assert parse_record(text.replace("\n", "\r\n").encode(), "it") == record


@given(st.text(max_size=30))
def test_any_text_in_the_plan_comes_back_exactly(title: str) -> None:
    job = Job(plan=small_plan(title))
    record = Record("1001", job.plan_json, job.plan, job.entries)
    assert parse_record(record_text(record).encode(), "it").plan.route_title == title


@pytest.mark.parametrize("value", [8.0, -0.0, 1e22, 1e16, 5e-324, 1.7976931348623157e308, 0.1 + 0.2, 8.7376, 1e-7])
def test_a_figure_comes_back_to_the_last_bit(value: float) -> None:
    job = Job(plan=PLAN)
    job.add(ReadingTaken("size", "1I", "bore", "typed", value=value, station="top"))
    back = parse_record(record_text(Record("1001", job.plan_json, PLAN, job.entries)).encode(), "it")
    event = back.entries[-1].event
    assert isinstance(event, ReadingTaken)
    assert event.value is not None
    assert (event.value.hex(), type(event.value)) == (value.hex(), float)


def test_a_record_is_plain_toml_with_a_table_for_every_event() -> None:
    assert TEXT.startswith('format = "headwright-job 1"\njob = "1001"\nevents = 8\n\n[[event]]\nnumber = 1\n')
    document = tomllib.loads(TEXT)
    assert len(document["event"]) == 8
    third = document["event"][2]
    assert {key: third[key] for key in ("number", "time", "operator", "terminal")} == {
        "number": 3,
        "time": "2025-03-04T08:13:09.120000Z",
        "operator": "07",
        "terminal": "bench-1",
    }
    assert third["reading-taken"] == {
        "operation": "size",
        "place": "1I",
        "reading": "bore",
        "typed": ".3440",
        "unit": "in",
        "value": 0.344 * 25.4,
        "station": "top",
    }
    assert plan_from(document["plan"]["json"]) == PLAN


@pytest.mark.parametrize(
    ("written", "instead", "number"),
    [
        ('format = "', '# our training job\nformat = "', 0),
        ("[[event]]\nnumber = 3", "[[event]]\n\nnumber = 3", 3),
        ("number = 5\n", "number = 5 \n", 5),
        ('[plan]\nsha256 = "', '[plan]\nsha256  = "', 0),
    ],
)
def test_a_byte_that_changes_no_meaning_is_reported_too(written: str, instead: str, number: int) -> None:
    assert written in TEXT
    with pytest.raises(RecordBroken, match="is not written as headwright writes it") as caught:
        parse_record(TEXT.replace(written, instead, 1).encode(), "it")
    assert caught.value.number == number


def test_line_ends_may_be_those_of_another_system() -> None:
    assert parse_record(TEXT.replace("\n", "\r\n").encode(), "it") == sample()


# ---- what was changed shows, with its number


def event_spans(text: str) -> list[tuple[int, int]]:
    """Give where each event begins and ends in a record."""
    starts = [found.start() for found in re.finditer(r"^\[\[event\]\]", text, re.MULTILINE)]
    return list(zip(starts, [*starts[1:], text.index("\n[plan]")], strict=True))


def number_or_record(data: bytes) -> int | Record:
    """Parse a record; give it, or the number under which it is reported broken."""
    try:
        return parse_record(data, "it")
    except RecordBroken as error:
        return error.number


def test_any_one_changed_byte_is_reported_in_its_event() -> None:
    """Every byte of events 2 to 6, flipped in its lowest bit: reported there, or nothing but the layout is changed."""
    whole, data = sample(), TEXT.encode()
    reported = 0
    for number, (start, end) in list(enumerate(event_spans(TEXT), start=1))[1:6]:
        for place in range(start, end):
            changed = data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :]
            found = number_or_record(changed)
            if isinstance(found, Record):
                assert found == whole
                assert data[place : place + 1].isspace(), changed[start:end]
                continue
            reported += 1
            header = place < start + len("[[event]]\n")
            # Where the header itself is gone, what follows runs on from the event before.
            assert found == number or (header and found == number - 1), changed[start:end]
    assert reported > 1000


@given(st.data())
def test_no_changed_byte_anywhere_goes_unseen(data: st.DataObject) -> None:
    """Any byte of the file, plan included, made any other: reported, or the job read is the very same."""
    text = TEXT.encode()
    place = data.draw(st.integers(0, len(text) - 1))
    changed = text[:place] + bytes([data.draw(st.integers(0, 255))]) + text[place + 1 :]
    found = number_or_record(changed)
    assert isinstance(found, int) or found == sample()


@pytest.mark.parametrize(
    ("found", "put", "number", "message"),
    [
        ('time = "2025-03-04T08:13', 'time = "2025-03-04T08:12', 3, "event 3 does not fit"),
        ('typed = ".3440"', 'typed = ".3441"', 3, "event 3 does not fit"),
        ("value = 8.73\n", "value = 8.74\n", 4, "event 4 does not fit"),
        ("value = 8.73\n", "value = 8.730\n", 4, "event 4: reading-taken: Expected `float | null`, got `str`"),
        ("value = 8.0\n", "value = 8\n", 8, "event 8: reading-taken: a value is not written as headwright writes it"),
        ("value = 8.0\n", "value = nan\n", 8, "event 8: reading-taken: a value is not written as headwright writes it"),
        ("value = 8.0\n", "value = 8.0\nhue = 3\n", 8, "event 8: reading-taken: Object contains unknown field `hue`"),
        ("value = 8.0\n", f"value = {10**30}\n", 8, "event 8: reading-taken: "),
        ('role = "lead"', 'role = "boss"', 2, "event 2: came-on: Invalid enum value 'boss'"),
        ("[event.step-ticked]", "[event.step-taken]", 5, "event 5: step-taken: Invalid value 'step-taken'"),
        ("[event.step-ticked]", '[event.step-ticked]\nwhat = "x"', 5, "event 5 should have one table"),
        ("[event.step-ticked]", "[event.noted]\n[event.step-ticked]", 5, "event 5 should have one table"),
        ("[event.step-ticked]", '[event.step-ticked]\ncolour = "x"', 5, "event 5: step-ticked: Object contains unkn"),
        ("number = 4\n", "number = 9\n", 4, "event 4 does not fit"),
        ("number = 4\n", 'number = "4"\n', 4, "event 4: 'number' is not a whole number"),
        ("number = 4\n", "number = true\n", 4, "event 4: 'number' is not a whole number"),
        ("number = 4\n", "", 4, "event 4: 'number' is missing"),
        ("number = 4\n", "number = = 4\n", 4, "event 4 is not TOML: Invalid value (at line"),
        ('time = "2025-03-04T08:13:09.120000Z"', 'time = "yesterday"', 3, "event 3: 'yesterday' is not a UTC time"),
        ('time = "2025-03-04T08:13:09.120000Z"', 'time = "2025-13-04T08:13:09.120000Z"', 3, "event 3: '2025-13-04T08:"),
        ("events = 8", "events = 9", 9, "it says 9 events and has 8"),
        ("events = 8", "events = 7", 8, "it says 7 events and has 8"),
        ("events = 8", "events = -7", 1, "it says -7 events and has 8"),
        ('\njob = "1001"\nevents', '\njob = "1002"\nevents', 1, "event 1 does not fit"),
        ('sha256 = "', 'sha256 = "0', 0, "the SHA-256 beside the plan is not that of the plan"),
        ("Tern 40", "Tern 41", 0, "the plan was changed: it is not the one that the job was opened under"),
        ("headwright-job 1", "headwright-job 2", 0, "its format is 'headwright-job 2', expected 'headwright-job 1'"),
        ("[plan]", "[plans]", 0, "'plans' does not belong here"),
        ("[plan]\n", "[plan]\nnote = 3\n", 0, "plan: 'note' does not belong here"),
        ("[plan]\nsha256", "[plan]\nsha255", 0, "plan: 'sha256' is missing"),
    ],
)
def test_a_change_is_reported_with_its_number(found: str, put: str, number: int, message: str) -> None:
    assert found in TEXT
    told = broken(TEXT.replace(found, put, 1))
    assert told[0] == number
    assert told[1].startswith("1001.toml")
    assert message in told[1]


def test_a_changed_hash_is_reported_with_its_number() -> None:
    digest = sample().entries[4].hash
    other = digest[:-1] + ("0" if digest[-1] != "0" else "1")
    assert broken(TEXT.replace(digest, other)) == (
        5,
        "1001.toml: event 5 does not fit; it was changed, or something before it is missing",
    )
    assert broken(TEXT.replace(digest, digest.upper()))[0] == 5


def test_a_digit_that_does_not_change_the_figure_is_reported_too() -> None:
    """17 digits name a double, and neighbours in the last digit may name the same one: 0.30000000000000004."""
    job = Job(plan=PLAN)
    job.add(ReadingTaken("size", "1I", "bore", "typed", value=0.1 + 0.2, station="top"))
    text = record_text(Record("1001", job.plan_json, PLAN, job.entries))
    assert float("0.30000000000000005") == 0.1 + 0.2
    assert broken(text.replace("0.30000000000000004", "0.30000000000000005"))[0] == 3


def test_an_event_left_out_is_reported() -> None:
    start, end = event_spans(TEXT)[3]
    assert broken(TEXT[:start] + TEXT[end:])[0] == 4


def test_the_last_event_left_out_is_reported() -> None:
    start, end = event_spans(TEXT)[-1]
    assert broken(TEXT[:start] + TEXT[end:]) == (8, "1001.toml: it says 8 events and has 7")


def test_two_events_swapped_are_reported() -> None:
    (a, b), (_, c) = event_spans(TEXT)[3:5]
    assert broken(TEXT[:a] + TEXT[b:c] + TEXT[a:b] + TEXT[c:])[0] == 4


@pytest.mark.parametrize("cut", [0.3, 0.5])
def test_a_record_cut_short_is_reported(cut: float) -> None:
    end = int(TEXT.index("[plan]") * cut) + 1
    number, _ = broken(TEXT[:end])
    assert 0 <= number <= TEXT[:end].count("[[event]]")


def test_a_record_that_is_not_utf_8_is_reported_at_its_event() -> None:
    data = TEXT.encode().replace(b'typed = "8.73', b'typed = "8\xff73')
    assert broken(data) == (4, "1001.toml: event 4 is not UTF-8 text")


@pytest.mark.parametrize("text", ["", 'format = "something else"', 'title = "Clean"\nwhy = "It is dirty."\n', "\x00"])
def test_another_file_is_no_record_at_all(text: str) -> None:
    with pytest.raises(UsageError) as caught:
        parse_record(text.encode(), "1001.toml")
    assert caught.value.message == "1001.toml is no job record"


@pytest.mark.parametrize("form", ['format = "headwright-job 2"', 'form = "headwright-job 1"'])
def test_a_record_of_another_format_is_told_from_a_file_that_is_none(form: str) -> None:
    number, message = broken(TEXT.replace('format = "headwright-job 1"', form))
    assert number == 0
    assert message.startswith(("1001.toml: ", "1001.toml is not a job record that this version "))


def test_a_record_without_events_is_not_a_job() -> None:
    start, end = event_spans(TEXT)[0][0], event_spans(TEXT)[-1][1]
    text = TEXT[:start] + TEXT[end:]
    assert broken(text)[1] == "1001.toml: 'event' is missing"
    assert broken(text.replace("events = 8", "events = 0\nevent = []"))[1] == "1001.toml: there is no event in it"
    assert broken(text.replace("events = 8", "events = 0\nevent = [3]"))[1] == "1001.toml: event 1 is not a table"


def test_brackets_without_end_are_reported_and_do_not_crash() -> None:
    assert broken('format = "headwright-job 1"\na = ' + "[" * 100_000)[0] == 0


def test_a_chain_that_does_not_begin_with_its_job_is_refused() -> None:
    """Whoever can compute hashes can chain anything; the first event still has to open this job under this plan."""
    for first, number in ((Noted("a"), 1), (Opened("1002", plan_sha256(PLAN)), 1), (Opened("1001", "0" * 64), 0)):
        entries = chained("1001", None, (first,), time=at(0), operator="", terminal="")
        assert broken(record_text(Record("1001", plan_bytes(PLAN), PLAN, entries)))[0] == number


def test_a_plan_of_another_format_is_refused() -> None:
    plan: Plan = replace(PLAN, format=9)
    job = Job(plan=plan)
    text = record_text(Record("1001", job.plan_json, plan, job.entries))
    assert broken(text) == (0, "1001.toml: the plan has format 9; this version reads format 1")


# ---- files


def test_a_record_is_read_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "1001.toml"
    path.write_text(TEXT, encoding="utf-8")
    assert read_record(path) == sample()


def test_a_record_is_written_to_a_file_in_one_piece(tmp_path: Path) -> None:
    path = tmp_path / "1001.toml"
    path.write_text("an older one", encoding="utf-8")
    write_record(sample(), path)
    assert path.read_text(encoding="utf-8") == TEXT
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("missing/1001.toml", "No such file or directory"),
        ("file/1001.toml", "Not a directory"),
        ("folder", "Is a directory"),
    ],
)
def test_a_record_that_cannot_be_written_is_named_and_leaves_nothing_behind(
    tmp_path: Path, name: str, reason: str
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").touch()
    with pytest.raises(UsageError) as caught:
        write_record(sample(), tmp_path / name)
    assert caught.value.message == f"{tmp_path / name} cannot be written: {reason}"
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["file", "folder"]


@pytest.mark.parametrize(("name", "reason"), [("missing.toml", "No such file or directory"), (".", "Is a directory")])
def test_a_record_that_cannot_be_opened_is_named(tmp_path: Path, name: str, reason: str) -> None:
    with pytest.raises(UsageError) as caught:
        read_record(tmp_path / name)
    assert caught.value.message == f"{tmp_path / name} cannot be read: {reason}"


def test_a_file_far_too_big_for_a_record_is_not_loaded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(record_module, "MOST_BYTES", 1024 * 1024)
    path = tmp_path / "big.toml"
    path.write_bytes(b"#" * (1024 * 1024 + 1))
    with pytest.raises(UsageError) as caught:
        read_record(path)
    assert caught.value.message == f"{path} is over 1 MB: too big for a job record"


# ---- into a store and out of it


def test_a_job_goes_from_one_store_to_another_and_stays_the_same(store: JobStore, elsewhere: JobStore) -> None:
    job = Job(plan=PLAN).keep(store)
    job.keep_more(store, reading())
    record = parse_record(record_text(record_of(store, "1001")).encode(), "it")
    assert import_job(elsewhere, record) == 3
    assert record_of(elsewhere, "1001") == record_of(store, "1001")
    assert elsewhere.jobs() == store.jobs()
    assert Desk.open(elsewhere, "1001", "bench-9").state.attempts == job.state.attempts


def test_only_the_first_events_can_be_brought_in(store: JobStore) -> None:
    assert import_job(store, sample(), until=3) == 3
    assert store.entries("1001") == sample().entries[:3]
    assert store.jobs()[0].number == 3


@pytest.mark.parametrize("until", [0, -1, 9])
def test_there_is_no_stopping_at_an_event_that_is_not_there(store: JobStore, until: int) -> None:
    with pytest.raises(UsageError) as caught:
        import_job(store, sample(), until=until)
    assert caught.value.message == f"job '1001' has events 1 to 8; there is no event {until} to stop at"
    assert store.jobs() == ()


def test_a_job_that_is_there_already_just_so_is_left_as_it_is(store: JobStore) -> None:
    assert import_job(store, sample()) == 8
    assert import_job(store, sample()) == 0
    assert store.entries("1001") == sample().entries


def test_a_job_that_is_there_with_another_content_is_refused(store: JobStore) -> None:
    job = Job(plan=PLAN).keep(store)
    job.keep_more(store, *notes("ab"))
    with pytest.raises(UsageError) as caught:
        import_job(store, sample())
    assert caught.value.message == f"job '1001' is in {store.where} already, and differs from event 3 on"
    assert store.entries("1001") == job.entries


def test_a_job_that_went_on_since_it_was_brought_in_is_refused(store: JobStore) -> None:
    import_job(store, sample(), until=5)
    with pytest.raises(UsageError, match="differs from event 6 on"):
        import_job(store, sample())
    assert len(store.entries("1001")) == 5


def forged(*happened: Event) -> Record:
    """Chain events that never could have happened after an opening."""
    first = Opened("1001", plan_sha256(PLAN))
    entries = chained("1001", None, (first, *happened), time=at(0), operator="", terminal="")
    return Record("1001", plan_bytes(PLAN), PLAN, entries)


def misfitting() -> Record:
    """A record changed in memory: its fourth event is another's."""
    record = sample()
    other: Entry = replace(record.entries[3], operator="08")
    return replace(record, entries=(*record.entries[:3], other, *record.entries[4:]))


@pytest.mark.parametrize(
    ("record", "number"),
    [
        (misfitting(), 4),
        (forged(ReadingStruck(17, "there is none")), 2),
        (forged(Noted("a"), ReadingTaken("flying", "1I", "bore", "1")), 3),
        (replace(sample(), plan_json=sample().plan_json + b" "), 0),
    ],
    ids=["changed", "strikes nothing", "unknown operation", "another plan"],
)
def test_of_a_job_that_does_not_verify_nothing_is_brought_in(store: JobStore, record: Record, number: int) -> None:
    with pytest.raises(RecordBroken) as caught:
        import_job(store, record)
    assert caught.value.number == number
    assert store.jobs() == ()
    assert store.last("1001") is None


def test_a_job_that_is_not_there_has_no_record(store: JobStore) -> None:
    with pytest.raises(HeadwrightError, match="there is no job '1001'"):
        record_of(store, "1001")


def test_an_event_without_fields_has_an_empty_table() -> None:
    text = record_text(forged(Released()))
    assert text.count("[event.released]\n") == 1
    assert parse_record(text.encode(), "it") == forged(Released())
