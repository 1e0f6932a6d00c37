"""A jobs store as it lies on the disk: rows just as they are, read without a change to the file, damaged or not."""

from __future__ import annotations

import sqlite3
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, NamedTuple

from headwright.errors import StoreError
from headwright.store.sqlite import APPLICATION_ID, WAIT, explained
from headwright.store.tables import EVENTS, JOBS, PLANS, QUARANTINE, READ_MODELS, READ_TABLES, SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store.tables import Table

Row = tuple[Any, ...]


class KeptJob(NamedTuple):
    """The rows of one job, all read at the same moment, columns in the order of their tables.

    `listed` is its row among the jobs, `plan` that of the plan which it names. `read` are the rows of each read table
    by its name; None where another version wrote them. `doubts` are the doubts that wait for it, each with the event
    that it comes from (None: there is none) and whether its gauge was checked when it says so.
    """

    job: str
    listed: Row | None
    plan: Row | None
    events: list[Row]
    read: dict[str, list[Row]] | None
    doubts: list[tuple[Row, Any, bool]]


class KeptStore:
    """The file of a jobs store, open for reading alone.

    Raises:
        StoreError: the file is not there, cannot be read, is not a jobs store, or is of a newer version.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        if not path.is_file():
            raise StoreError(f"there is no jobs store at {path}", "'headwright new' makes one with its first job.")
        with self._explained():
            self._connection = sqlite3.connect(
                f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=WAIT, isolation_level=None
            )
        # A text that was damaged is to be told of, not to end everything.
        self._connection.text_factory = lambda data: data.decode(errors="surrogateescape")
        try:
            with self._explained():
                self._current = self._is_current()
        except BaseException:
            self.close()
            raise

    @property
    def where(self) -> str:
        """Name the file, for messages."""
        return str(self._path)

    @property
    def is_current(self) -> bool:
        """Tell whether what is worked out from the entries was written by this version, and can be compared."""
        return self._current

    def jobs(self) -> tuple[str, ...]:
        """Give the number of every job that any table speaks of, in order."""
        asked = " UNION ".join(f"SELECT job FROM {table.name}" for table in self._tables)  # noqa: S608 - our own names
        with self._explained():
            return tuple(sorted(_text(job) for (job,) in self._connection.execute(asked)))

    def job(self, job: str) -> KeptJob:
        """Give everything that is kept of a job."""
        with self._explained():
            self._connection.execute("BEGIN")
            try:
                listed = self._rows(JOBS, job)
                return KeptJob(
                    job,
                    listed[0] if listed else None,
                    self._plan(listed[0][1]) if listed else None,
                    self._rows(EVENTS, job),
                    {table.name: self._rows(table, job) for table in READ_TABLES} if self._current else None,
                    [(row, *self._source(*row[1:])) for row in self._rows(QUARANTINE, job)] if self._current else [],
                )
            finally:
                self._connection.execute("COMMIT")

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    @property
    def _tables(self) -> tuple[Table, ...]:
        return (JOBS, EVENTS, *READ_TABLES, QUARANTINE) if self._current else (JOBS, EVENTS)

    def _rows(self, table: Table, job: str) -> list[Row]:
        asked = f"{table.select} WHERE job = CAST(? AS TEXT) ORDER BY {', '.join(table.key)}"
        return self._connection.execute(asked, (_as_kept(job),)).fetchall()

    def _plan(self, sha256: str) -> Row | None:
        asked = f"{PLANS.select} WHERE sha256 = CAST(? AS TEXT)"
        found: Row | None = self._connection.execute(asked, (_as_kept(sha256),)).fetchone()
        return found

    def _source(self, found_in: str, number: int, since: str) -> tuple[Any, bool]:
        event = self._connection.execute(
            "SELECT event FROM events WHERE job = CAST(? AS TEXT) AND number = ?", (_as_kept(found_in), number)
        ).fetchone()
        checked = self._connection.execute(
            "SELECT 1 FROM gauge_checks WHERE time = CAST(? AS TEXT) AND gauge ="
            " (SELECT gauge FROM gauge_checks WHERE job = CAST(? AS TEXT) AND number = ?)",
            (_as_kept(since), _as_kept(found_in), number),
        ).fetchone()
        return event[0] if event else None, not since or checked is not None

    def _is_current(self) -> bool:
        owner = self._connection.execute("PRAGMA application_id").fetchone()[0]
        if owner != APPLICATION_ID:
            raise StoreError(f"{self._path} is not a jobs store", "Name another folder in HEADWRIGHT_HOME.")
        versions = dict(self._connection.execute("SELECT key, value FROM meta").fetchall())
        schema = versions.get("schema")
        if not isinstance(schema, int):
            raise StoreError(
                f"{self._path} is damaged (it does not say which version its tables are)",
                "Keep a copy of it as it is, and bring back the last backup.",
            )
        if schema > SCHEMA:
            raise StoreError(
                f"{self._path} was written by a newer headwright (its tables are version {schema}; "
                f"this one knows {SCHEMA})",
                "Bring headwright up to date on this machine.",
            )
        return schema == SCHEMA and versions.get("read-models") == READ_MODELS

    @contextmanager
    def _explained(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise explained(self._path, error) from error


def _as_kept(text: object) -> bytes:
    """Give a text as the file has it, which may be no UTF-8: to be compared as `CAST(? AS TEXT)`."""
    return str(text).encode(errors="surrogateescape")


def _text(value: object) -> str:
    return value.decode(errors="surrogateescape") if isinstance(value, bytes) else str(value)
