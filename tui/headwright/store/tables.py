"""The tables of a jobs store: the SQL that makes them, and their columns by name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

SCHEMA = 4
"""Version of these tables; a store with a higher one was written by a later headwright."""

READ_MODELS = 8
"""Version of what is in the read tables; a store with another one has it worked out again when it is opened."""

# Without rowid, rows lie in the order in which they are read, a third smaller than with a separate index.
# `sizings_alike` holds every column, so that the newest of a stratum are read off it alone, however many there are;
# `gauge_uses_since` tells in which other jobs a gauge was read with since a time, and `gauge_checks_last` when it was
# last found good in any job. In `quarantine` are doubts that a job has not taken in yet: entry `number` of `found_in`
# found a gauge off that was good at `since`.
MAKE = """
CREATE TABLE IF NOT EXISTS meta (
    key TEXT NOT NULL PRIMARY KEY,
    value BIGINT NOT NULL
)

CREATE TABLE IF NOT EXISTS plans (
    sha256 TEXT NOT NULL PRIMARY KEY,
    json BLOB NOT NULL
)

CREATE TABLE IF NOT EXISTS jobs (
    job TEXT NOT NULL PRIMARY KEY,
    plan TEXT NOT NULL REFERENCES plans (sha256)
)

CREATE TABLE IF NOT EXISTS events (
    job TEXT NOT NULL REFERENCES jobs (job),
    number BIGINT NOT NULL,
    time TEXT NOT NULL,
    operator TEXT NOT NULL,
    terminal TEXT NOT NULL,
    event BLOB NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (job, number)
) WITHOUT ROWID

CREATE TRIGGER IF NOT EXISTS events_stay BEFORE UPDATE ON events
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END

CREATE TRIGGER IF NOT EXISTS events_keep BEFORE DELETE ON events
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END

CREATE TABLE IF NOT EXISTS people (
    initials TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    role TEXT NOT NULL,
    pin TEXT NOT NULL,
    misses BIGINT NOT NULL,
    not_before TEXT NOT NULL,
    since TEXT NOT NULL
)

CREATE TABLE IF NOT EXISTS people_changes (
    number BIGINT NOT NULL PRIMARY KEY,
    time TEXT NOT NULL,
    initials TEXT NOT NULL,
    what TEXT NOT NULL,
    approver TEXT NOT NULL
)

CREATE TRIGGER IF NOT EXISTS people_changes_stay BEFORE UPDATE ON people_changes
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END

CREATE TRIGGER IF NOT EXISTS people_changes_keep BEFORE DELETE ON people_changes
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END

CREATE TABLE IF NOT EXISTS summaries (
    job TEXT NOT NULL PRIMARY KEY REFERENCES jobs (job),
    number BIGINT NOT NULL,
    time TEXT NOT NULL,
    json BLOB NOT NULL
)

CREATE TABLE IF NOT EXISTS sizings (
    job TEXT NOT NULL REFERENCES jobs (job),
    number BIGINT NOT NULL,
    position TEXT NOT NULL,
    time TEXT NOT NULL,
    head TEXT NOT NULL,
    liner TEXT NOT NULL,
    stem_class TEXT NOT NULL,
    lubricant TEXT NOT NULL,
    later BOOLEAN NOT NULL,
    pre_size DOUBLE NOT NULL,
    ball DOUBLE NOT NULL,
    finished DOUBLE NOT NULL,
    PRIMARY KEY (job, number)
) WITHOUT ROWID

CREATE INDEX IF NOT EXISTS sizings_alike ON sizings (
    head, liner, stem_class, lubricant, later, time, job, number, position, pre_size, ball, finished
)

CREATE TABLE IF NOT EXISTS gauge_uses (
    job TEXT NOT NULL REFERENCES jobs (job),
    gauge TEXT NOT NULL,
    zeroed TEXT NOT NULL,
    first_read TEXT NOT NULL,
    last_read TEXT NOT NULL,
    PRIMARY KEY (job, gauge)
) WITHOUT ROWID

CREATE INDEX IF NOT EXISTS gauge_uses_since ON gauge_uses (gauge, last_read)

CREATE TABLE IF NOT EXISTS gauge_checks (
    job TEXT NOT NULL REFERENCES jobs (job),
    number BIGINT NOT NULL,
    gauge TEXT NOT NULL,
    time TEXT NOT NULL,
    found_off DOUBLE NOT NULL,
    left_off DOUBLE NOT NULL,
    PRIMARY KEY (job, number)
) WITHOUT ROWID

CREATE INDEX IF NOT EXISTS gauge_checks_last ON gauge_checks (gauge, time, found_off, left_off)

CREATE TABLE IF NOT EXISTS quarantine (
    job TEXT NOT NULL REFERENCES jobs (job),
    found_in TEXT NOT NULL REFERENCES jobs (job),
    number BIGINT NOT NULL,
    since TEXT NOT NULL,
    PRIMARY KEY (job, found_in, number)
) WITHOUT ROWID
"""
"""Makes what is not there yet, one statement after another, with an empty line between them."""


class Table(NamedTuple):
    """A table by the names of its columns, in their order, and of those in its key."""

    name: str
    columns: tuple[str, ...]
    key: tuple[str, ...]

    @property
    def insert(self) -> str:
        """Give the statement that adds a row, a value for each column."""
        values = ", ".join("?" * len(self.columns))
        return f"INSERT INTO {self.name} ({', '.join(self.columns)}) VALUES ({values})"  # noqa: S608 - our own names

    @property
    def select(self) -> str:
        """Give the start of a statement that reads whole rows."""
        return f"SELECT {', '.join(self.columns)} FROM {self.name}"  # noqa: S608 - our own names

    def row(self, values: Mapping[str, Any]) -> tuple[Any, ...]:
        """Give values by name as a row."""
        return tuple(values[name] for name in self.columns)


def _table(name: str, columns: str, key: str) -> Table:
    return Table(name, tuple(columns.split()), tuple(key.split()))


PLANS = _table("plans", "sha256 json", "sha256")
JOBS = _table("jobs", "job plan", "job")
EVENTS = _table("events", "job number time operator terminal event hash", "job number")
PEOPLE = _table("people", "initials name role pin misses not_before since", "initials")
PEOPLE_CHANGES = _table("people_changes", "number time initials what approver", "number")
SUMMARIES = _table("summaries", "job number time json", "job")
SIZINGS = _table(
    "sizings",
    "job number position time head liner stem_class lubricant later pre_size ball finished",
    "job number",
)
GAUGE_USES = _table("gauge_uses", "job gauge zeroed first_read last_read", "job gauge")
GAUGE_CHECKS = _table("gauge_checks", "job number gauge time found_off left_off", "job number")
QUARANTINE = _table("quarantine", "job found_in number since", "job found_in number")

READ_TABLES = (SUMMARIES, SIZINGS, GAUGE_USES, GAUGE_CHECKS)
"""Tables that are worked out from the others, and may be dropped and made again."""
