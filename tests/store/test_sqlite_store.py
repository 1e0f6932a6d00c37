"""The SQLite store keeps the promises of every store, and fails in words where a file can fail."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.store.contract import WORKER, JobStoreContract, start_worker
from tests.store.pushes import BRONZE, driven, push, sizing_plan
from tests.store.small import Job, reading

from headwright.errors import RecordBroken, StoreError
from headwright.job.events import Noted
from headwright.store import open_store, store_file, tables
from headwright.store.jobs import SqlJobs
from headwright.store.sqlite import open_sqlite
from headwright.store.tables import READ_MODELS, SCHEMA, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.store import JobStore


class TestSqliteStore(JobStoreContract):
    """SQLite files under the contract."""

    def open_again(self, locator: str) -> JobStore:
        return open_store(Path(locator))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "headwright.db"


def raw(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None)


def connection_of(store: JobStore) -> sqlite3.Connection:
    """Give the store's own connection, with the settings that it works under."""
    connection = store._database._raw  # type: ignore[attr-defined]
    assert isinstance(connection, sqlite3.Connection)
    return connection


def refusal(path: Path) -> StoreError:
    """Open a store that should not open; give why."""
    with pytest.raises(StoreError) as caught:
        open_sqlite(path, wait=0.05)
    return caught.value


def ask_worker(what: str, path: Path) -> list[str]:
    """Run another process at the store to its end; give the lines it said."""
    root = WORKER.parents[2]
    done = subprocess.run(
        [sys.executable, str(WORKER), what, str(path)], capture_output=True, text=True, check=True, cwd=root, timeout=60
    )
    return done.stdout.splitlines()


def test_the_store_is_in_the_folder_that_the_variable_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEADWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert store_file() == tmp_path / "elsewhere" / "headwright.db"
    open_store().close()
    assert (tmp_path / "elsewhere" / "headwright.db").is_file()


def test_the_store_is_in_the_users_data_folder_when_none_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The XDG base directory specification: data files lie under $XDG_DATA_HOME."""
    monkeypatch.setenv("HEADWRIGHT_HOME", " ")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    expected = {"linux": tmp_path / "headwright" / "headwright.db"}.get(sys.platform)
    assert expected is None or store_file() == expected


def test_naming_the_store_loads_no_database() -> None:
    check = (
        "import sys, headwright.store; headwright.store.store_file();"
        "print(sorted({'sqlite3', 'textual', 'pint'} & set(sys.modules)))"
    )
    assert subprocess.check_output([sys.executable, "-c", check], text=True) == "[]\n"


def test_every_commit_is_synchronised_with_the_disk(store: JobStore) -> None:
    """SQLite's manual: synchronous 2 is FULL, which in a write-ahead log survives loss of power at every commit."""
    for pragma, value in (("synchronous", 2), ("journal_mode", "wal"), ("foreign_keys", 1)):
        assert connection_of(store).execute(f"PRAGMA {pragma}").fetchone() == (value,)


def test_the_columns_by_name_are_those_of_the_tables(store: JobStore) -> None:
    """SQLite's manual: table_info gives name, type, not null, default and place in the key (0: none) of each column."""
    named = [each for each in vars(tables).values() if isinstance(each, Table)]
    assert len(named) == 10
    for table in named:
        columns = connection_of(store).execute(f"PRAGMA table_info({table.name})").fetchall()
        assert tuple(column[1] for column in columns) == table.columns
        assert tuple(column[1] for column in sorted(columns, key=lambda column: column[5]) if column[5]) == table.key
        assert all(column[3] for column in columns), "every column has a value in every row"


@pytest.mark.parametrize("change", ["UPDATE events SET operator = '08'", "DELETE FROM events"])
def test_the_file_itself_refuses_to_change_or_drop_entries(store: JobStore, path: Path, change: str) -> None:
    job = Job().keep(store)
    connection = raw(path)
    with pytest.raises(sqlite3.IntegrityError, match="entries are only added"):
        connection.execute(change)
    connection.close()
    assert store.entries("1001") == job.entries


def test_an_entry_that_cannot_be_read_is_named(store: JobStore, path: Path) -> None:
    Job().keep(store)
    connection = raw(path)
    connection.execute("INSERT INTO events VALUES ('1001', 3, '', '', '', CAST('{\"what\":\"flown\"}' AS BLOB), '')")
    connection.close()
    with pytest.raises(RecordBroken, match="job '1001', event 3: cannot be read: ") as caught:
        store.entries("1001")
    assert caught.value.number == 3


def test_a_plan_changed_on_disk_is_found(store: JobStore, path: Path) -> None:
    Job().keep(store)
    connection = raw(path)
    connection.execute("UPDATE plans SET json = CAST(replace(CAST(json AS TEXT), '8.0', '9.0') AS BLOB)")
    connection.close()
    with pytest.raises(RecordBroken, match="job '1001': its plan was changed after it was kept"):
        store.plan_json("1001")


def test_summaries_of_another_version_are_worked_out_again_on_opening(path: Path) -> None:
    store = open_sqlite(path)
    job = Job().keep(store)
    store.close()
    connection = raw(path)
    connection.execute('UPDATE summaries SET json = CAST(\'{"from":"another version"}\' AS BLOB)')
    connection.execute("UPDATE meta SET value = 0 WHERE key = 'read-models'")
    connection.close()
    again = open_sqlite(path)
    assert again.jobs() == (job.summary,)
    again.close()


def test_a_locked_store_says_so_and_keeps_working_afterwards(store: JobStore, path: Path) -> None:
    job = Job().keep(store)
    other = raw(path)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError) as caught:
        store.append("1001", job.next(reading()), job.summary)
    assert caught.value.message == f"{path} is locked by another program; nothing was written"
    assert caught.value.hint == "Close what else has it open, a backup perhaps, and try again."
    assert store.entries("1001") == job.entries
    other.rollback()
    other.close()
    job.keep_more(store, reading())
    assert store.entries("1001") == job.entries


def test_a_store_that_another_program_locks_whole_cannot_be_opened(path: Path) -> None:
    open_sqlite(path).close()
    other = raw(path)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("BEGIN EXCLUSIVE")
    assert refusal(path).message == f"{path} is locked by another program"
    other.close()


def test_a_full_disk_says_so_and_what_was_kept_stays(store: JobStore, path: Path) -> None:
    job = Job().keep(store)
    connection = connection_of(store)
    (pages,) = connection.execute("PRAGMA page_count").fetchone()
    connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreError) as caught:
        store.append("1001", job.next(Noted("x" * 10_000)), job.summary)
    assert caught.value.message == f"the disk with {path} is full; nothing was written"
    assert store.entries("1001") == job.entries
    connection.execute("PRAGMA max_page_count = 100000")
    job.keep_more(store, Noted("x" * 10_000))
    assert store.entries("1001") == job.entries


def test_a_file_that_may_not_grow_says_so_and_what_was_kept_stays(store: JobStore, path: Path) -> None:
    Job().keep(store)
    refused, kept = ask_worker("small-disk", path)
    word, number, *message = refused.split()
    assert word == "refused"
    assert " ".join(message) == f"the disk with {path} refused (disk I/O error); nothing was written"
    assert int(number) > 3
    assert kept == f"kept {int(number) + 1}"
    assert store.last("1001") == (int(number) + 1, store.entries("1001")[-1].hash)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """Make a folder that everybody can reach; pytest's own are closed to the user that the worker becomes."""
    folder = Path(tempfile.mkdtemp())
    (folder / "jobs").mkdir()
    (folder / "jobs").chmod(0o777)
    folder.chmod(0o777)
    yield folder
    shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="folder permissions are those of POSIX")
@pytest.mark.parametrize("there_before", [False, True])
def test_a_folder_that_may_not_be_written_says_so(open_folder: Path, *, there_before: bool) -> None:
    path = open_folder / "jobs" / "headwright.db"
    if there_before:
        open_sqlite(path).close()
        path.chmod(0o444)
    (open_folder / "jobs" / "warm").touch(0o666)
    open_sqlite(open_folder / "jobs" / "warm").close()
    (open_folder / "jobs").chmod(0o555)
    message, hint = ask_worker("unprivileged", path)
    assert message == f"{path} cannot be opened for writing"
    assert hint == f"Allow writing in the folder {path.parent}, or name another in HEADWRIGHT_HOME."


def test_a_folder_that_cannot_be_made_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    path = tmp_path / "file" / "headwright.db"
    assert refusal(path).message in {
        f"{path} cannot be opened: File exists",
        f"{path} cannot be opened: Not a directory",
    }


def test_a_folder_in_the_place_of_the_file_says_so(tmp_path: Path) -> None:
    path = tmp_path / "headwright.db"
    path.mkdir()
    assert refusal(path).message == f"{path} cannot be opened for writing"


def test_a_file_that_is_not_a_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "headwright.db"
    path.write_text("a shopping list\n" * 10)
    assert refusal(path).message == f"{path} is not a headwright database"
    assert path.read_text() == "a shopping list\n" * 10


def test_the_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "headwright.db"
    connection = raw(path)
    connection.execute("CREATE TABLE birds (name TEXT)")
    connection.close()
    before = path.read_bytes()
    error = refusal(path)
    assert error.message == f"{path} is the database of another program"
    assert error.hint == "Name another folder in HEADWRIGHT_HOME."
    assert path.read_bytes() == before


def test_an_empty_file_becomes_a_store(tmp_path: Path) -> None:
    path = tmp_path / "headwright.db"
    path.touch()
    store = open_sqlite(path)
    Job().keep(store)
    store.close()


def test_a_store_of_a_newer_version_is_refused(path: Path) -> None:
    open_sqlite(path).close()
    connection = raw(path)
    connection.execute("UPDATE meta SET value = 70 WHERE key = 'schema'")
    connection.close()
    error = refusal(path)
    assert error.message == (
        f"{path} was written by a newer headwright (its tables are version 70; this one knows {SCHEMA})"
    )
    assert error.hint == "Bring headwright up to date on this machine."


VERSION_1 = (
    "DROP TABLE sizings",
    "CREATE INDEX summaries_by_time ON summaries (time)",
    "UPDATE meta SET value = 1",
)
"""Takes from a file what the first version of its tables did not have, and gives back what only that one had."""


def test_a_store_of_the_first_version_is_brought_up_to_this_one(path: Path) -> None:
    store = open_sqlite(path)
    job = Job(plan=sizing_plan()).keep(store)
    job.keep_more(store, *driven("1I"), *push("1I"))
    store.close()
    connection = raw(path)
    for statement in VERSION_1:
        connection.execute(statement)
    connection.close()
    again = open_sqlite(path)
    assert again.entries("1001") == job.entries
    assert again.jobs() == (job.summary,)
    assert again.past_sizings(BRONZE) == job.sizings != ()
    job.keep_more(again, *driven("2I"), *push("2I"))
    assert again.past_sizings(BRONZE) == job.sizings[::-1]
    again.close()
    connection = raw(path)
    assert connection.execute("SELECT key, value FROM meta ORDER BY key").fetchall() == [
        ("read-models", READ_MODELS),
        ("schema", SCHEMA),
    ]
    assert not connection.execute("SELECT * FROM sqlite_master WHERE name = 'summaries_by_time'").fetchall()
    connection.close()


def test_bringing_up_to_date_goes_on_where_it_was_broken_off(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store = open_sqlite(path)
    jobs = [Job(str(1001 + n), sizing_plan()).keep(store) for n in range(2)]
    for job in jobs:
        job.keep_more(store, *driven("1I"), *push("1I"))
    store.close()
    connection = raw(path)
    for statement in VERSION_1:
        connection.execute(statement)
    connection.close()

    def pulled(self: SqlJobs, job: str) -> None:
        if job == "1002":
            raise KeyboardInterrupt
        whole(self, job)

    with monkeypatch.context() as patch:
        whole = SqlJobs._rebuild_one
        patch.setattr(SqlJobs, "_rebuild_one", pulled)
        with pytest.raises(KeyboardInterrupt):
            open_sqlite(path)
    again = open_sqlite(path)
    assert len(again.jobs()) == 2
    assert again.past_sizings(BRONZE) == (*jobs[1].sizings, *jobs[0].sizings)
    again.close()


def test_past_pushes_are_read_off_their_index_alone(store: JobStore, path: Path) -> None:
    """SQLite's manual: a covering index holds every column that is asked for; no b-tree is built for the order."""
    seen: list[str] = []
    connection_of(store).set_trace_callback(seen.append)
    store.past_sizings(BRONZE, since="2025")
    asked = next(text for text in seen if "sizings" in text)
    connection = raw(path)
    plan = [row[3] for row in connection.execute(f"EXPLAIN QUERY PLAN {asked}")]
    connection.close()
    assert len(plan) == 1
    assert plan[0].startswith("SEARCH sizings USING COVERING INDEX sizings_alike (head=? AND liner=? ")
    assert plan[0].endswith("AND later=? AND time>?)")


def test_a_damaged_file_says_so(path: Path) -> None:
    store = open_sqlite(path)
    job = Job().keep(store)
    for _ in range(50):
        job.keep_more(store, Noted("x" * 500))
    store.close()
    data = bytearray(path.read_bytes())
    data[4096:] = b"\xff" * (len(data) - 4096)
    path.write_bytes(data)
    error = refusal(path)
    assert error.message == f"{path} is damaged (database disk image is malformed)"
    assert error.hint == "Keep a copy of it as it is, and bring back the last backup."


@pytest.mark.parametrize("how", ["deleted", "replaced"])
def test_nothing_is_written_into_a_file_that_is_no_longer_there(store: JobStore, path: Path, how: str) -> None:
    job = Job().keep(store)
    path.rename(path.with_suffix(".old"))
    if how == "replaced":
        shutil.copy(path.with_suffix(".old"), path)
    with pytest.raises(StoreError) as caught:
        store.append("1001", job.next(reading()), job.summary)
    assert caught.value.message == f"{path} was moved or deleted while it was in use; nothing was written"


def test_terminals_that_start_at_once_on_a_new_machine_make_one_store(path: Path) -> None:
    path.parent.mkdir()
    workers = [start_worker("open", str(path)) for _ in range(4)]
    assert [worker.communicate(timeout=60)[0] for worker in workers] == ["0\n"] * 4
