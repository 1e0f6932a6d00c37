"""Gauges over all jobs, in SQL: where each is in use, when it was checked, and the doubts that wait for a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import asdict
from sqlalchemy import delete, func, insert, literal, select

from headwright.job.events import GaugeChecked
from headwright.store.contract import Waiting
from headwright.store.tables import gauge_checks, gauge_uses, quarantine

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy import Connection

    from headwright.job.events import Entry
    from headwright.job.gauge_use import GaugeUse
    from headwright.store.contract import Drift


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


def replace_all(connection: Connection, job: str, entries: Iterable[Entry], uses: Iterable[GaugeUse]) -> None:
    """Keep anew everything about the gauges of a job."""
    for table, rows in ((gauge_uses, [use_row(job, use) for use in uses]), (gauge_checks, check_rows(job, entries))):
        connection.execute(delete(table).where(table.c.job == job))
        if rows:
            connection.execute(insert(table), rows)


def add_checks(connection: Connection, job: str, entries: Iterable[Entry]) -> None:
    """Keep the checks among new entries of a job."""
    rows = check_rows(job, entries)
    if rows:
        connection.execute(insert(gauge_checks), rows)


def put_in_doubt(connection: Connection, job: str, time: str, drift: Drift) -> None:
    """Let a doubt wait for every other job with a reading since the gauge's last good check in any of them.

    Args:
        connection: in the transaction that keeps the check.
        job: where the drift was found.
        time: of the check that found it.
        drift: what was found.
    """
    good = select(func.max(gauge_checks.c.time)).where(
        gauge_checks.c.gauge == drift.gauge,
        gauge_checks.c.time < time,
        func.abs(gauge_checks.c.found_off) <= drift.limit,
        func.abs(gauge_checks.c.left_off) <= drift.limit,
    )
    since: str = connection.execute(good).scalar_one() or ""
    resting = select(gauge_uses.c.job, literal(job), literal(drift.number), literal(since)).where(
        gauge_uses.c.gauge == drift.gauge, gauge_uses.c.job != job, gauge_uses.c.last_read > since
    )
    connection.execute(quarantine.insert().from_select([column.name for column in quarantine.c], resting))


def waiting(connection: Connection, job: str) -> tuple[Waiting, ...]:
    """Give the doubts that wait for a job (empty: for any)."""
    asked = select(quarantine).order_by(quarantine.c.job, quarantine.c.found_in, quarantine.c.number)
    if job:
        asked = asked.where(quarantine.c.job == job)
    return tuple(Waiting(*row) for row in connection.execute(asked))


def settle(connection: Connection, settled: Waiting) -> None:
    """Take a doubt off the list of those that wait."""
    here = (quarantine.c[name] == value for name, value in settled._asdict().items())
    connection.execute(delete(quarantine).where(*here))
