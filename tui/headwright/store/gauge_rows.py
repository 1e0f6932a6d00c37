"""Gauges over all jobs, in SQL: where each is in use, when it was checked, and the doubts that wait for a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import asdict

from headwright.job.events import GaugeChecked
from headwright.store.contract import Waiting
from headwright.store.tables import GAUGE_CHECKS, GAUGE_USES, QUARANTINE

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable

    from headwright.job.events import Entry
    from headwright.job.gauge_use import GaugeUse
    from headwright.store.contract import Drift

_KEEP_USE = (
    f"{GAUGE_USES.insert} ON CONFLICT (job, gauge) DO UPDATE"
    " SET zeroed = excluded.zeroed, first_read = excluded.first_read, last_read = excluded.last_read"
)
_LAST_GOOD = (
    "SELECT max(time) FROM gauge_checks"
    " WHERE gauge = ? AND time < ? AND abs(found_off) <= ? AND abs(left_off) <= ?"
)  # fmt: skip
_PUT_IN_DOUBT = (
    "INSERT INTO quarantine (job, found_in, number, since)"
    " SELECT job, ?, ?, ? FROM gauge_uses WHERE gauge = ? AND job <> ? AND last_read > ?"
)


def use_row(job: str, use: GaugeUse) -> dict[str, object]:
    """Give the row of a gauge's use in a job."""
    return {"job": job, **asdict(use)}


def check_rows(job: str, entries: Iterable[Entry]) -> list[dict[str, object]]:
    """Give the row of every check of a gauge among the entries of a job."""
    return [
        {
            "job": job,
            "number": entry.number,
            "gauge": entry.event.gauge,
            "time": entry.time,
            "found_off": entry.event.before,
            "left_off": entry.event.after,
        }
        for entry in entries
        if isinstance(entry.event, GaugeChecked)
    ]


def replace_all(connection: sqlite3.Connection, job: str, entries: Iterable[Entry], uses: Iterable[GaugeUse]) -> None:
    """Keep anew everything about the gauges of a job."""
    connection.execute("DELETE FROM gauge_uses WHERE job = ?", (job,))
    connection.execute("DELETE FROM gauge_checks WHERE job = ?", (job,))
    keep_uses(connection, job, uses)
    add_checks(connection, job, entries)


def keep_uses(connection: sqlite3.Connection, job: str, uses: Iterable[GaugeUse]) -> None:
    """Keep uses of gauges in a job, each in place of what was kept of the same gauge."""
    for use in uses:
        connection.execute(_KEEP_USE, GAUGE_USES.row(use_row(job, use)))


def add_checks(connection: sqlite3.Connection, job: str, entries: Iterable[Entry]) -> None:
    """Keep the checks among new entries of a job."""
    for row in check_rows(job, entries):
        connection.execute(GAUGE_CHECKS.insert, GAUGE_CHECKS.row(row))


def put_in_doubt(connection: sqlite3.Connection, job: str, time: str, drift: Drift) -> None:
    """Let a doubt wait for every other job with a reading since the gauge's last good check in any of them.

    Args:
        connection: in the transaction that keeps the check.
        job: where the drift was found.
        time: of the check that found it.
        drift: what was found.
    """
    (good,) = connection.execute(_LAST_GOOD, (drift.gauge, time, drift.limit, drift.limit)).fetchone()
    since = good or ""
    connection.execute(_PUT_IN_DOUBT, (job, drift.number, since, drift.gauge, job, since))


def waiting(connection: sqlite3.Connection, job: str) -> tuple[Waiting, ...]:
    """Give the doubts that wait for a job (empty: for any)."""
    which, values = ("WHERE job = ? ", (job,)) if job else ("", ())
    rows = connection.execute(f"{QUARANTINE.select} {which}ORDER BY job, found_in, number", values)
    return tuple(Waiting(*row) for row in rows)


def settle(connection: sqlite3.Connection, settled: Waiting) -> None:
    """Take a doubt off the list of those that wait."""
    connection.execute(
        "DELETE FROM quarantine WHERE job = ? AND found_in = ? AND number = ? AND since = ?", tuple(settled)
    )
