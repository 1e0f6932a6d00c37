"""The tables of a jobs store, in SQL that SQLite and PostgreSQL share."""

from __future__ import annotations

from sqlalchemy import BigInteger, Boolean, Column, Double, ForeignKey, Index, LargeBinary, MetaData, Table, Text

SCHEMA = 3
"""Version of these tables; a store with a higher one was written by a later headwright."""

READ_MODELS = 2
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

READ_TABLES = (summaries, sizings)
"""Tables that are worked out from the others, and may be dropped and made again."""
