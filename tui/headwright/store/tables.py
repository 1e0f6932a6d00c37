"""The tables of a jobs store, in SQL that SQLite and PostgreSQL share."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, Index, LargeBinary, MetaData, Table, Text

SCHEMA = 1
"""Version of these tables; a store with a higher one was written by a later headwright."""

READ_MODELS = 1
"""Version of the summaries; a store with another one has them worked out again when it is opened."""

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

summaries = Table(
    "summaries",
    metadata,
    Column("job", Text, ForeignKey(jobs.c.job), primary_key=True),
    Column("number", BigInteger, nullable=False),
    Column("time", Text, nullable=False),
    Column("json", LargeBinary, nullable=False),
    Index("summaries_by_time", "time"),
)
