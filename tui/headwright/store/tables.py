"""The tables of a jobs store, in SQL that SQLite and PostgreSQL share."""

from __future__ import annotations

from sqlalchemy import BigInteger, Boolean, Column, Double, ForeignKey, Index, LargeBinary, MetaData, Table, Text

SCHEMA = 4
"""Version of these tables; a store with a higher one was written by a later headwright."""

READ_MODELS = 4
"""Version of what is in the read tables; a store with another one has it worked out again when it is opened."""

metadata = MetaData()

meta = Table(
    "meta",
    metadata,
    Column("key", Text, primary_key=True),
    Column("value", BigInteger, nullable=False),
)

plans = Table(
    "plans",
    metadata,
    Column("sha256", Text, primary_key=True),
    Column("json", LargeBinary, nullable=False),
)

jobs = Table(
    "jobs",
    metadata,
    Column("job", Text, primary_key=True),
    Column("plan", Text, ForeignKey(plans.c.sha256), nullable=False),
)

events = Table(
    "events",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("number", BigInteger, primary_key=True, autoincrement=False),
    Column("time", Text, nullable=False),
    Column("operator", Text, nullable=False),
    Column("terminal", Text, nullable=False),
    Column("event", LargeBinary, nullable=False),
    Column("hash", Text, nullable=False),
    # Rows lie in the order in which they are read, a third smaller than with a separate index.
    sqlite_with_rowid=False,
)

people = Table(
    "people",
    metadata,
    Column("initials", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("pin", Text, nullable=False),
    Column("misses", BigInteger, nullable=False),
    Column("not_before", Text, nullable=False),
    Column("since", Text, nullable=False),
)

people_changes = Table(
    "people_changes",
    metadata,
    Column("number", BigInteger, primary_key=True, autoincrement=False),
    Column("time", Text, nullable=False),
    Column("initials", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("approver", Text, nullable=False),
)

summaries = Table(
    "summaries",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("number", BigInteger, nullable=False),
    Column("time", Text, nullable=False),
    Column("json", LargeBinary, nullable=False),
)

sizings = Table(
    "sizings",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("number", BigInteger, primary_key=True, autoincrement=False),
    Column("position", Text, nullable=False),
    Column("time", Text, nullable=False),
    Column("head", Text, nullable=False),
    Column("liner", Text, nullable=False),
    Column("stem_class", Text, nullable=False),
    Column("lubricant", Text, nullable=False),
    Column("later", Boolean, nullable=False),
    Column("pre_size", Double, nullable=False),
    Column("ball", Double, nullable=False),
    Column("finished", Double, nullable=False),
    sqlite_with_rowid=False,
)
# Holds every column, so that the newest of a stratum are read off it alone, however many there are.
Index(
    "sizings_alike",
    *(sizings.c[name] for name in ("head", "liner", "stem_class", "lubricant", "later", "time", "job", "number")),
    *(sizings.c[name] for name in ("position", "pre_size", "ball", "finished")),
)

gauge_uses = Table(
    "gauge_uses",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("gauge", Text, primary_key=True),
    Column("zeroed", Text, nullable=False),
    Column("first_read", Text, nullable=False),
    Column("last_read", Text, nullable=False),
    sqlite_with_rowid=False,
)
# In which other jobs has a gauge been read with since a time?
Index("gauge_uses_since", gauge_uses.c.gauge, gauge_uses.c.last_read)

gauge_checks = Table(
    "gauge_checks",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("number", BigInteger, primary_key=True, autoincrement=False),
    Column("gauge", Text, nullable=False),
    Column("time", Text, nullable=False),
    Column("found_off", Double, nullable=False),
    Column("left_off", Double, nullable=False),
    sqlite_with_rowid=False,
)
# When was a gauge last found good, in any job?
Index("gauge_checks_last", *(gauge_checks.c[name] for name in ("gauge", "time", "found_off", "left_off")))

quarantine = Table(
    "quarantine",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("found_in", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("number", BigInteger, primary_key=True, autoincrement=False),
    Column("since", Text, nullable=False),
    sqlite_with_rowid=False,
)
"""Doubts that a job has not taken in yet: entry `number` of `found_in` found a gauge off that was good at `since`."""

READ_TABLES = (summaries, sizings, gauge_uses, gauge_checks)
"""Tables that are worked out from the others, and may be dropped and made again."""
