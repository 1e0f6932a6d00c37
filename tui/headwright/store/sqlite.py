"""The jobs store in one SQLite file: opening it safely, keeping it durable, and its failures in words."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, contextmanager
from threading import RLock
from typing import TYPE_CHECKING

from headwright.errors import StoreError
from headwright.store.database import Conflict
from headwright.store.front import SqlFront
from headwright.store.tables import MAKE, READ_MODELS, READ_TABLES, SCHEMA

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from headwright.store.jobs import SqlJobs

WAIT = 2.0
"""Seconds to wait for another writer before giving up; one write takes about a millisecond."""

APPLICATION_ID = 0x48445752
"""Marks the file as ours in its header: the letters HDWR."""

_MAGIC = b"SQLite format 3\x00"


def open_sqlite(path: Path, *, wait: float = WAIT, progress: Callable[[int, int], None] | None = None) -> SqlJobs:
    """Open the jobs store in a file, and make it where there is none.

    Args:
        path: the file.
        wait: seconds to wait while another program holds it, 0 or more.
        progress: is told how many jobs are worked out again, and of how many, where that is wanted.

    Raises:
        StoreError: the file cannot be made, read or written, is not a jobs store, or is of a newer version.
    """
    front = open_front(path, wait=wait, progress=progress)
    try:
        return front.whole()
    except BaseException:
        front.close()
        raise


def open_front(path: Path, *, wait: float = WAIT, progress: Callable[[int, int], None] | None = None) -> SqlFront:
    """Open the jobs store as `open_sqlite` does, and load what works on jobs only where that is needed already."""
    database = SqliteDatabase(path, wait)
    try:
        database.prepare()
        front = SqlFront(database)
        if not front.is_current():
            store = front.whole()
            store.bring_up_to_date(progress)
            return store
    except BaseException:
        database.close()
        raise
    return front


class SqliteDatabase:
    """A SQLite file with one held connection: write-ahead log, every commit synchronised with the disk."""

    def __init__(self, path: Path, wait: float) -> None:
        self._path = path
        self._lock = RLock()
        _check_outside(path)
        try:
            self._raw = sqlite3.connect(path, timeout=wait, check_same_thread=False, isolation_level=None)
        except sqlite3.Error as error:
            raise explained(path, error) from error
        try:
            # Before anything is changed: switching another program's file to a write-ahead log would alter it.
            self._check_owner()
            for pragma in ("journal_mode = WAL", "synchronous = FULL", "fullfsync = ON", "foreign_keys = ON"):
                self._raw.execute(f"PRAGMA {pragma}")
            self._identity = _looked_at(path)[0]
            self._beside: dict[str, tuple[tuple[int, int], int]] = {}
        except (sqlite3.Error, OSError) as error:
            self._raw.close()
            raise explained(path, error) from error
        except BaseException:
            self._raw.close()
            raise

    @property
    def where(self) -> str:
        """Name the file, for messages."""
        return str(self._path)

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Give the connection, to read with one statement; see `Database.reading`."""
        with self._lock, self._explained():
            yield self._raw

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Give the connection in a transaction; see `Database.writing`."""
        with self._lock:
            self._check_there()
            try:
                with self._transaction():
                    yield self._raw
                self._remember()
            except sqlite3.IntegrityError as error:
                raise Conflict(str(error)) from error
            except sqlite3.Error as error:
                reason = explained(self._path, error)
                raise StoreError(f"{reason.message}; nothing was written", reason.hint) from error

    def prepare(self) -> None:
        """Make the tables where there are none, renew those of an older version, and refuse those of a newer one."""
        # Two terminals may start at once on a new machine: the second waits here and then finds the tables.
        with self._explained(), self._transaction():
            if not self._pragma("application_id"):
                self._make_tables()
                versions = (("schema", SCHEMA), ("read-models", READ_MODELS))
                self._raw.executemany("INSERT INTO meta (key, value) VALUES (?, ?)", versions)
                self._raw.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            kept = self._raw.execute("SELECT value FROM meta WHERE key = 'schema'").fetchone()
            schema = kept[0] if kept else None
            if not isinstance(schema, int):
                raise StoreError(
                    f"{self._path} is damaged (it does not say which version its tables are)",
                    "Keep a copy of it as it is, and bring back the last backup.",
                )
            if schema < SCHEMA:
                self._renew()
        if schema > SCHEMA:
            raise StoreError(
                f"{self._path} was written by a newer headwright (its tables are version {schema}; "
                f"this one knows {SCHEMA})",
                "Bring headwright up to date on this machine.",
            )

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self._raw.close()

    @contextmanager
    def _explained(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise explained(self._path, error) from error

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """Lock before anything is read, so that nobody can come between the look and the write."""
        self._raw.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._raw.execute("COMMIT")
        except BaseException:
            # SQLite takes a transaction back itself when the disk refuses.
            if self._raw.in_transaction:
                self._raw.execute("ROLLBACK")
            raise

    def _make_tables(self) -> None:
        """Make what is not there yet."""
        for statement in MAKE.split("\n\n"):
            self._raw.execute(statement)

    def _renew(self) -> None:
        """Bring tables of an older version up to this one; the read tables are left empty, to be worked out again."""
        for table in READ_TABLES:
            self._raw.execute(f"DROP TABLE IF EXISTS {table.name}")
        self._make_tables()
        versions = ((SCHEMA, "schema"), (0, "read-models"))
        self._raw.executemany("UPDATE meta SET value = ? WHERE key = ?", versions)

    def _check_there(self) -> None:
        """Raise StoreError when the file was moved or deleted since it was opened: a write would be lost."""
        try:
            same = _looked_at(self._path)[0] == self._identity
        except OSError:
            same = False
        if not same:
            raise StoreError(
                f"{self._path} was moved or deleted while it was in use; nothing was written",
                "Put it back and start headwright again.",
            )
        for beside, (identity, size) in self._beside.items():
            try:
                found, length = _looked_at(beside)
                lost = found != identity or (length < size and not self._is_whole())
            except OSError:
                lost = True
            if lost:
                raise StoreError(
                    f"{beside} was moved, deleted or cut short while it was in use; nothing was written",
                    "Put it back and start headwright again.",
                )

    def _remember(self) -> None:
        """Remember the log and its index as they are after a write: what is only in there is lost with them."""
        for end in ("-wal", "-shm"):
            beside = f"{self._path}{end}"
            self._beside[beside] = _looked_at(beside)

    def _is_whole(self) -> bool:
        """Tell whether all can be read although the log is shorter: another program may have emptied it properly."""
        try:
            with closing(sqlite3.connect(self._path)) as probe:
                return bool(probe.execute("PRAGMA quick_check(1)").fetchone() == ("ok",))
        except sqlite3.Error:
            return False

    def _check_owner(self) -> None:
        # In this order: tables that another terminal makes just now come with their mark.
        tables = self._raw.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        owner = self._pragma("application_id")
        if owner != APPLICATION_ID and (owner or tables):
            raise StoreError(
                f"{self._path} is the database of another program", "Name another folder in HEADWRIGHT_HOME."
            )

    def _pragma(self, name: str) -> int:
        return int(self._raw.execute(f"PRAGMA {name}").fetchone()[0])


def explained(path: Path, error: BaseException) -> StoreError:
    """Put a failure of SQLite or of the file system into words: what, where, and what to do."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    match code:
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return StoreError(
                f"{path} is locked by another program", "Close what else has it open, a backup perhaps, and try again."
            )
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_PERM:
            return StoreError(
                f"{path} cannot be opened for writing",
                f"Allow writing in the folder {path.parent}, or name another in HEADWRIGHT_HOME.",
            )
        case sqlite3.SQLITE_FULL:
            return StoreError(f"the disk with {path} is full", "Make room, then try again.")
        case sqlite3.SQLITE_IOERR:
            return StoreError(f"the disk with {path} refused ({error})", "It may be full or failing; look at it first.")
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_NOTADB:
            return StoreError(
                f"{path} is damaged ({error})", "Keep a copy of it as it is, and bring back the last backup."
            )
        case _:
            return StoreError(f"{path}: {error}", "")


def _check_outside(path: Path) -> None:
    """Look at the file from outside: its folder is there or can be made, and what is in it is a database."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_file():
            with path.open("rb") as file:
                start = file.read(len(_MAGIC))
            if start and start != _MAGIC:
                raise StoreError(f"{path} is not a headwright database", "Name another folder in HEADWRIGHT_HOME.")
    except OSError as error:
        reason = error.strerror or error
        raise StoreError(
            f"{path} cannot be opened: {reason}",
            f"Allow writing in the folder {path.parent}, or name another in HEADWRIGHT_HOME.",
        ) from error


def _looked_at(path: Path | str) -> tuple[tuple[int, int], int]:
    """Give which file is at a path, and its length in bytes."""
    status = os.stat(path)  # noqa: PTH116 - at every write, and twice as quick as by a Path
    return (status.st_dev, status.st_ino), status.st_size
