"""The jobs store in SQL; the connection, its transactions and its words are handed in as a `Database`."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

import msgspec
from msgspec.structs import asdict

from headwright.errors import Outdated, RecordBroken, UsageError
from headwright.job.chain import entry_bytes, entry_hash, event_read
from headwright.job.events import Entry, Opened
from headwright.job.gauge_use import gauge_uses as used
from headwright.job.listed import broken
from headwright.job.sizing import Sized, Stratum
from headwright.job.sizing import sizings as taught
from headwright.job.state import begin
from headwright.job.summary import summary as summarise
from headwright.job.versions import EventUnreadable
from headwright.nearest import nearest
from headwright.procedure.plan import PlanUnreadable, plan_from
from headwright.store import gauge_rows
from headwright.store.contract import NO_GAUGES, Last, number_taken
from headwright.store.database import Conflict
from headwright.store.front import SqlFront
from headwright.store.people import People
from headwright.store.replay import folded
from headwright.store.tables import EVENTS, JOBS, PLANS, READ_MODELS, SIZINGS, SUMMARIES

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Sequence

    from headwright.job.gauge_use import GaugeUse
    from headwright.job.listed import Summary
    from headwright.job.state import State
    from headwright.store.contract import OfGauges, Waiting
    from headwright.store.database import Database

_FIRST = Last(0, "")

_summary_encoder = msgspec.json.Encoder(order="deterministic")

_LAST = "SELECT number, hash FROM events WHERE job = ? ORDER BY number DESC LIMIT 1"
_BEFORE = "SELECT hash FROM events WHERE job = ? AND number = ?"
_AFTER = "SELECT number, time, operator, terminal, event, hash FROM events WHERE job = ? AND number > ? ORDER BY number"
_PLAN = "SELECT plans.sha256, plans.json FROM plans JOIN jobs ON jobs.plan = plans.sha256 WHERE jobs.job = ?"
_ALIKE = (
    "SELECT position, number, time, pre_size, ball, finished FROM sizings"
    " WHERE head = ? AND liner = ? AND stem_class = ? AND lubricant = ? AND later = ? AND time >= ?"
    " ORDER BY time DESC, job DESC, number DESC LIMIT ?"
)
_SUM_UP = "UPDATE summaries SET number = ?, time = ?, json = ? WHERE job = ?"
# What is known of a later entry, that someone adds meanwhile, is not overwritten.
_SUM_UP_AGAIN = (
    f"{SUMMARIES.insert} ON CONFLICT (job) DO UPDATE"
    " SET number = excluded.number, time = excluded.time, json = excluded.json"
    " WHERE summaries.number <= excluded.number"
)


class SqlJobs(SqlFront):
    """A `JobStore` on a database whose tables are there; it may be used from any thread, by one at a time."""

    at_once = True

    def __init__(self, database: Database) -> None:
        super().__init__(database)
        self._writing = database.writing
        self._people = People(self._reading, self._writing)

    def whole(self) -> SqlJobs:
        """Give itself; see `Front.whole`."""
        return self

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
        sum_up = {"job": job, **summary_row(entries[-1], summary)}
        try:
            with self._writing() as connection:
                connection.execute(f"{PLANS.insert} ON CONFLICT DO NOTHING", (sha256, plan_json))
                connection.execute(JOBS.insert, (job, sha256))
                connection.executemany(EVENTS.insert, _rows(job, entries))
                connection.execute(SUMMARIES.insert, SUMMARIES.row(sum_up))
                _replace_sizings(connection, job, sizings)
                gauge_rows.replace_all(connection, job, entries, uses)
        except Conflict as error:
            raise number_taken(job) from error

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
        rows, sum_up = _rows(job, entries), (*summary_row(entries[-1], summary).values(), job)
        try:
            with self._writing() as connection:
                connection.executemany(EVENTS.insert, rows)
                kept = connection.execute(_BEFORE, (job, before)).fetchone()
                if kept is None:
                    raise outdated
                _check_chain(job, Last(before, kept[0]), entries)
                connection.execute(_SUM_UP, sum_up)
                if sizings is not None:
                    _replace_sizings(connection, job, sizings)
                gauge_rows.keep_uses(connection, job, gauges.uses)
                gauge_rows.add_checks(connection, job, entries)
                if gauges.drift is not None:
                    gauge_rows.put_in_doubt(connection, job, entries[-1].time, gauges.drift)
                if gauges.settles is not None:
                    gauge_rows.settle(connection, gauges.settles)
        except Conflict as error:
            if self.last(job) is None:
                raise self._no_such_job(job) from error
            raise outdated from error

    def entries(self, job: str, after: int = 0) -> tuple[Entry, ...]:
        """Give the entries of a job with numbers above `after`; see `JobStore.entries`."""
        with self._reading() as connection:
            rows = connection.execute(_AFTER, (job, after)).fetchall()
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
            row = connection.execute(_LAST, (job,)).fetchone()
        return Last(*row) if row else None

    def plan_json(self, job: str) -> bytes:
        """Give the text of the job's plan; see `JobStore.plan_json`."""
        with self._reading() as connection:
            row = connection.execute(_PLAN, (job,)).fetchone()
        if row is None:
            raise self._no_such_job(job)
        sha256, text = row
        if hashlib.sha256(text).hexdigest() != sha256:
            raise RecordBroken(f"job '{job}': its plan was changed after it was kept", 0)
        return bytes(text)

    def past_sizings(self, stratum: Stratum, *, limit: int = 200, since: str = "") -> tuple[Sized, ...]:
        """Give the pushes of a stratum, the newest first; see `JobStore.past_sizings`."""
        with self._reading() as connection:
            rows = connection.execute(_ALIKE, (*asdict(stratum).values(), since, limit)).fetchall()
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
        names = self._numbers()
        for done, job in enumerate(names, start=1):
            self._rebuild_one(job)
            if progress:
                progress(done, len(names))
        with self._writing() as connection:
            connection.execute("UPDATE meta SET value = ? WHERE key = 'read-models'", (READ_MODELS,))
        return len(names)

    def bring_up_to_date(self, progress: Callable[[int, int], None] | None = None) -> None:
        """Work out again what is worked out where another version of headwright wrote them; `progress` as in `rebuild`.

        What ends it half way leaves the version as it was: the next to open the store begins again.
        """
        if not self.is_current():
            self.rebuild(progress)

    def _rebuild_one(self, job: str) -> None:
        """Work out what is kept of one job; one that cannot be read is listed as broken and is in no other's way."""
        last = self.last(job)
        number = last.number if last else 0
        learned: Sequence[Sized] = ()
        entries: Sequence[Entry] = ()
        uses: Sequence[GaugeUse] = ()
        try:
            state, entries = self._folded(job)
            sum_up, learned, uses = summarise(state), taught(state), used(state)
            number = state.number
        except RecordBroken as error:
            sum_up = broken(job, error.message, number, "")
        row = (job, number, sum_up.time, _summary_encoder.encode(sum_up))
        with self._writing() as connection:
            if connection.execute(_SUM_UP_AGAIN, row).rowcount:
                _replace_sizings(connection, job, learned)
                gauge_rows.replace_all(connection, job, entries, uses)

    def _folded(self, job: str) -> tuple[State, tuple[Entry, ...]]:
        try:
            plan = plan_from(self.plan_json(job))
        except PlanUnreadable as error:
            raise RecordBroken(f"job '{job}': {error}", 0) from error
        entries = self.entries(job)
        return folded(begin(plan), entries, f"job '{job}'"), entries

    def _numbers(self) -> list[str]:
        with self._reading() as connection:
            return [job for (job,) in connection.execute("SELECT job FROM jobs ORDER BY job")]

    def _no_such_job(self, job: str) -> UsageError:
        near = nearest(job, self._numbers())
        hint = f"Nearest: '{near}'." if near else "'headwright jobs' lists those there are."
        return UsageError(f"there is no job '{job}' in {self.where}", hint)


def _check_chain(job: str, last: Last, entries: Sequence[Entry]) -> None:
    number, previous = last
    for entry in entries:
        number += 1
        if entry.number != number or entry.hash != entry_hash(previous, job, entry):
            raise RecordBroken(f"job '{job}': event {number} does not fit the one before it", number)
        previous = entry.hash


def _rows(job: str, entries: Sequence[Entry]) -> list[tuple[object, ...]]:
    return [
        (job, entry.number, entry.time, entry.operator, entry.terminal, entry_bytes(entry), entry.hash)
        for entry in entries
    ]


def _replace_sizings(connection: sqlite3.Connection, job: str, found: Sequence[Sized]) -> None:
    connection.execute("DELETE FROM sizings WHERE job = ?", (job,))
    connection.executemany(SIZINGS.insert, [SIZINGS.row(sizing_row(job, sized)) for sized in found])


def sizing_row(job: str, sized: Sized) -> dict[str, object]:
    """Give the row of a push."""
    fields = asdict(sized)
    return {"job": job, **asdict(fields.pop("stratum")), **fields}


def summary_row(last: Entry, summary: Summary) -> dict[str, object]:
    """Give the row of a job in the list, but for its number."""
    return {"number": last.number, "time": last.time, "json": _summary_encoder.encode(summary)}
