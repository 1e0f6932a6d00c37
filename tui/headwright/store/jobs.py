"""The jobs store over any SQL database; what differs between databases is handed in as a `Database`."""

from __future__ import annotations

import hashlib
from contextlib import closing, contextmanager
from threading import RLock
from typing import TYPE_CHECKING, Protocol

import msgspec
from msgspec.structs import asdict
from sqlalchemy import bindparam, delete, literal, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from headwright.errors import Outdated, RecordBroken, StoreError, UsageError
from headwright.job.chain import entry_bytes, entry_hash, event_read
from headwright.job.events import Entry, Opened
from headwright.job.gauge_use import gauge_uses as used
from headwright.job.sizing import Sized, Stratum
from headwright.job.sizing import sizings as taught
from headwright.job.state import begin
from headwright.job.summary import Summary, broken
from headwright.job.summary import summary as summarise
from headwright.job.versions import EventUnreadable
from headwright.nearest import nearest
from headwright.procedure.plan import PlanUnreadable, plan_from
from headwright.store import gauge_rows
from headwright.store.contract import NO_GAUGES, Last
from headwright.store.people import People
from headwright.store.prepared import Prepared
from headwright.store.replay import folded
from headwright.store.tables import READ_MODELS, events, gauge_uses, jobs, meta, plans, sizings, summaries

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sqlalchemy import Connection
    from sqlalchemy.engine.interfaces import DBAPICursor

    from headwright.job.gauge_use import GaugeUse
    from headwright.job.state import State
    from headwright.store.contract import OfGauges, Waiting

_FIRST = Last(0, "")

_summary_encoder = msgspec.json.Encoder(order="deterministic")
_summary_decoder = msgspec.json.Decoder(Summary)

_LAST = (
    select(events.c.number, events.c.hash)
    .where(events.c.job == bindparam("of_job"))
    .order_by(events.c.number.desc())
    .limit(1)
)
_AFTER = (
    select(events.c.number, events.c.time, events.c.operator, events.c.terminal, events.c.event, events.c.hash)
    .where(events.c.job == bindparam("of_job"), events.c.number > bindparam("after"))
    .order_by(events.c.number)
)
_ALIKE = (
    select(*(sizings.c[name] for name in ("position", "number", "time", "pre_size", "ball", "finished")))
    .where(*(sizings.c[name] == bindparam(name) for name in Stratum.__struct_fields__))
    .where(sizings.c.time >= bindparam("since"))
    .order_by(sizings.c.time.desc(), sizings.c.job.desc(), sizings.c.number.desc())
    .limit(bindparam("most"))
)
_BEFORE = select(events.c.hash).where(events.c.job == bindparam("of_job"), events.c.number == bindparam("before"))
_SUM_UP = (
    update(summaries)
    .where(summaries.c.job == bindparam("of_job"))
    .values(number=bindparam("number"), time=bindparam("time"), json=bindparam("json"))
)
_USE = (
    update(gauge_uses)
    .where(gauge_uses.c.job == bindparam("of_job"), gauge_uses.c.gauge == bindparam("of_gauge"))
    .values({name: bindparam(name) for name in ("zeroed", "first_read", "last_read")})
)


class Database(Protocol):
    """One kind of database: a connection that is held while the store is open, and its own ways and words."""

    @property
    def where(self) -> str:
        """Name the place, for messages."""

    @property
    def connection(self) -> Connection:
        """Give the held connection."""

    def check(self) -> None:
        """Raise StoreError when what is written now would not be found again."""

    def kept(self) -> None:
        """Take it that something was written just now."""

    def explain(self, error: Exception) -> StoreError:
        """Put a failure of the database into words."""

    def close(self) -> None:
        """Close the connection."""


class SqlJobs:
    """A `JobStore` on a database whose tables are there; it may be used from any thread, by one at a time."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = RLock()
        self._people = People(self._reading, self._writing)
        dialect = database.connection.dialect
        self._driver = dialect.loaded_dbapi
        # What runs at every reading goes straight to the driver: all of SQLAlchemy takes as long again as the disk.
        self._add, self._before, self._sum_up, self._use = (
            Prepared(statement, dialect) for statement in (events.insert(), _BEFORE, _SUM_UP, _USE)
        )

    @property
    def where(self) -> str:
        """Name the place of the store, as messages give it."""
        return self._database.where

    @property
    def people(self) -> People:
        """Give the shop's list of people and their PINs."""
        return self._people

    def create(
        self,
        plan_json: bytes,
        entries: Sequence[Entry],
        summary: Summary,
        sizings: Sequence[Sized] = (),
        uses: Sequence[GaugeUse] = (),
    ) -> None:
        """Add a job with its first entries; see `JobStore.create`."""
        sha256 = hashlib.sha256(plan_json).hexdigest()
        opened = entries[0].event
        if not isinstance(opened, Opened) or opened.plan != sha256:
            raise RecordBroken("event 1 does not open a job under this plan", 1)
        job = opened.job
        _check_chain(job, _FIRST, entries)
        new_plan = select(literal(sha256), literal(plan_json)).where(~select(plans).filter_by(sha256=sha256).exists())
        try:
            with self._writing() as connection:
                connection.execute(plans.insert().from_select(["sha256", "json"], new_plan))
                connection.execute(jobs.insert(), {"job": job, "plan": sha256})
                connection.execute(events.insert(), _rows(job, entries))
                connection.execute(summaries.insert(), {"job": job, **summary_row(entries[-1], summary)})
                _replace_sizings(connection, job, sizings)
                gauge_rows.replace_all(connection, job, entries, uses)
        except IntegrityError as error:
            raise UsageError(f"job '{job}' exists already", "Give the new job another number.") from error

    def append(
        self,
        job: str,
        entries: Sequence[Entry],
        summary: Summary,
        sizings: Sequence[Sized] | None = None,
        gauges: OfGauges = NO_GAUGES,
    ) -> None:
        """Add entries to a job; see `JobStore.append`."""
        before = entries[0].number - 1
        outdated = Outdated(f"someone else wrote to job '{job}' first; nothing was written", "Look again and decide.")
        rows, sum_up = _rows(job, entries), {"of_job": job, **summary_row(entries[-1], summary)}
        try:
            with self._writing() as connection, closing(connection.connection.cursor()) as cursor:
                # Inserting first takes the write lock, so that nobody can come between the look and the write.
                self._add.run(cursor, rows)
                kept = self._before.one(cursor, {"of_job": job, "before": before})
                if kept is None:
                    raise outdated
                _check_chain(job, Last(before, kept[0]), entries)
                self._sum_up.run(cursor, [sum_up])
                if sizings is not None:
                    _replace_sizings(connection, job, sizings)
                self._keep_uses(connection, cursor, job, gauges.uses)
                gauge_rows.add_checks(connection, job, entries)
                if gauges.drift is not None:
                    gauge_rows.put_in_doubt(connection, job, entries[-1].time, gauges.drift)
                if gauges.settles is not None:
                    gauge_rows.settle(connection, gauges.settles)
        except (IntegrityError, self._driver.IntegrityError) as error:
            if self.last(job) is None:
                raise self._no_such_job(job) from error
            raise outdated from error

    def entries(self, job: str, after: int = 0) -> tuple[Entry, ...]:
        """Give the entries of a job with numbers above `after`; see `JobStore.entries`."""
        with self._reading() as connection:
            rows = connection.execute(_AFTER, {"of_job": job, "after": after}).all()
        if not rows and self.last(job) is None:
            raise self._no_such_job(job)
        found = []
        for number, time, operator, terminal, event, digest in rows:
            try:
                happened, older = event_read(event)
            except EventUnreadable as error:
                raise RecordBroken(f"job '{job}', event {number}: cannot be read: {error}", number) from error
            found.append(Entry(number, time, operator, terminal, happened, digest, older))
        return tuple(found)

    def last(self, job: str) -> Last | None:
        """Give the job's last entry in short; see `JobStore.last`."""
        with self._reading() as connection:
            row = connection.execute(_LAST, {"of_job": job}).one_or_none()
        return Last(*row) if row else None

    def plan_json(self, job: str) -> bytes:
        """Give the text of the job's plan; see `JobStore.plan_json`."""
        kept = select(plans.c.sha256, plans.c.json).join(jobs, jobs.c.plan == plans.c.sha256).where(jobs.c.job == job)
        with self._reading() as connection:
            row = connection.execute(kept).one_or_none()
        if row is None:
            raise self._no_such_job(job)
        sha256, text = row
        if hashlib.sha256(text).hexdigest() != sha256:
            raise RecordBroken(f"job '{job}': its plan was changed after it was kept", 0)
        return bytes(text)

    def jobs(self) -> tuple[Summary, ...]:
        """Give the summary of every job; see `JobStore.jobs`."""
        with self._reading() as connection:
            rows = connection.execute(
                select(summaries.c.json).order_by(summaries.c.time.desc(), summaries.c.job)
            ).scalars()
            return tuple(_summary_decoder.decode(text) for text in rows)

    def past_sizings(self, stratum: Stratum, *, limit: int = 200, since: str = "") -> tuple[Sized, ...]:
        """Give the pushes of a stratum, the newest first; see `JobStore.past_sizings`."""
        with self._reading() as connection:
            rows = connection.execute(_ALIKE, {**asdict(stratum), "since": since, "most": limit}).all()
        return tuple(Sized(row[0], row[1], row[2], stratum, *row[3:]) for row in rows)

    def waiting(self, job: str = "") -> tuple[Waiting, ...]:
        """Give the doubts that a job has not taken in yet; see `JobStore.waiting`."""
        with self._reading() as connection:
            return gauge_rows.waiting(connection, job)

    def settle(self, waiting: Waiting) -> None:
        """Take a doubt off the list of those that wait; see `JobStore.settle`."""
        with self._writing() as connection:
            gauge_rows.settle(connection, waiting)

    def rebuild(self, progress: Callable[[int, int], None] | None = None) -> int:
        """Work every summary, sizing and use of a gauge out again; see `JobStore.rebuild`."""
        with self._reading() as connection:
            names = connection.execute(select(jobs.c.job).order_by(jobs.c.job)).scalars().all()
        for done, job in enumerate(names, start=1):
            self._rebuild_one(job)
            if progress:
                progress(done, len(names))
        with self._writing() as connection:
            connection.execute(update(meta).where(meta.c.key == "read-models").values(value=READ_MODELS))
        return len(names)

    def bring_up_to_date(self) -> None:
        """Work out again what is worked out where another version of headwright wrote them."""
        with self._reading() as connection:
            version = connection.execute(select(meta.c.value).where(meta.c.key == "read-models")).scalar_one()
        if version != READ_MODELS:
            self.rebuild()

    def close(self) -> None:
        """Let go of the store; see `JobStore.close`."""
        with self._lock:
            self._database.close()

    def _rebuild_one(self, job: str) -> None:
        """Work out what is kept of one job; one that cannot be read is listed as broken and is in no other's way."""
        last = self.last(job)
        number = last.number if last else 0
        learned: Sequence[Sized] | None = ()
        entries: Sequence[Entry] = ()
        uses: Sequence[GaugeUse] = ()
        try:
            state, entries = self._folded(job)
            sum_up, learned, uses = summarise(state), taught(state), used(state)
            number = state.number
        except RecordBroken as error:
            sum_up = broken(job, error.message, number, "")
        row = {"number": number, "time": sum_up.time, "json": _summary_encoder.encode(sum_up)}
        here = summaries.c.job == job
        missing = select(literal(job), *(literal(value) for value in row.values())).where(
            ~select(summaries).where(here).exists()
        )
        with self._writing() as connection:
            # What is known of a later entry, that someone adds meanwhile, is not overwritten.
            behind = update(summaries).where(here, summaries.c.number <= number).values(row)
            added = summaries.insert().from_select(["job", *row], missing)
            if connection.execute(behind).rowcount or connection.execute(added).rowcount:
                _replace_sizings(connection, job, learned or ())
                gauge_rows.replace_all(connection, job, entries, uses)

    def _folded(self, job: str) -> tuple[State, tuple[Entry, ...]]:
        try:
            plan = plan_from(self.plan_json(job))
        except PlanUnreadable as error:
            raise RecordBroken(f"job '{job}': {error}", 0) from error
        entries = self.entries(job)
        return folded(begin(plan), entries, f"job '{job}'"), entries

    def _keep_uses(self, connection: Connection, cursor: DBAPICursor, job: str, uses: Sequence[GaugeUse]) -> None:
        for use in uses:
            row = gauge_rows.use_row(job, use)
            self._use.run(cursor, [{**row, "of_job": job, "of_gauge": use.gauge}])
            if not cursor.rowcount:
                connection.execute(gauge_uses.insert(), row)

    def _no_such_job(self, job: str) -> UsageError:
        with self._reading() as connection:
            names = connection.execute(select(jobs.c.job)).scalars().all()
        near = nearest(job, names)
        hint = f"Nearest: '{near}'." if near else "'headwright jobs' lists those there are."
        return UsageError(f"there is no job '{job}' in {self.where}", hint)

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._lock:
            try:
                with self._database.connection.begin():
                    yield self._database.connection
            except DBAPIError as error:
                raise self._database.explain(error) from error

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with self._lock:
            try:
                self._database.check()
                with self._database.connection.begin():
                    yield self._database.connection
                self._database.kept()
            except (IntegrityError, self._driver.IntegrityError):
                raise
            except (DBAPIError, self._driver.Error) as error:
                reason = self._database.explain(error)
                raise StoreError(f"{reason.message}; nothing was written", reason.hint) from error


def _check_chain(job: str, last: Last, entries: Sequence[Entry]) -> None:
    number, previous = last
    for entry in entries:
        number += 1
        if entry.number != number or entry.hash != entry_hash(previous, job, entry):
            raise RecordBroken(f"job '{job}': event {number} does not fit the one before it", number)
        previous = entry.hash


def _rows(job: str, entries: Sequence[Entry]) -> list[dict[str, object]]:
    return [
        {
            "job": job,
            "number": entry.number,
            "time": entry.time,
            "operator": entry.operator,
            "terminal": entry.terminal,
            "event": entry_bytes(entry),
            "hash": entry.hash,
        }
        for entry in entries
    ]


def _replace_sizings(connection: Connection, job: str, found: Sequence[Sized]) -> None:
    connection.execute(delete(sizings).where(sizings.c.job == job))
    if found:
        connection.execute(sizings.insert(), [sizing_row(job, sized) for sized in found])


def sizing_row(job: str, sized: Sized) -> dict[str, object]:
    """Give the row of a push."""
    fields = asdict(sized)
    return {"job": job, **asdict(fields.pop("stratum")), **fields}


def summary_row(last: Entry, summary: Summary) -> dict[str, object]:
    """Give the row of a job in the list, but for its number."""
    return {"number": last.number, "time": last.time, "json": _summary_encoder.encode(summary)}
