"""What a screen shows first of a store: the jobs by name and who may be at their benches, with nothing loaded for it.

Reading a job takes all of its rules and its plan. Until that is done, what stands in the list of jobs will do.
"""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from headwright.store.tables import READ_MODELS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from msgspec.json import Decoder

    from headwright.job.listed import Summary
    from headwright.store.contract import JobStore
    from headwright.store.database import Database
    from headwright.store.jobs import SqlJobs


LEAD = "lead"
"""The role that signs with a PIN."""


class Somebody(NamedTuple):
    """Somebody who may be at a bench: of the job, or on the shop's list; `since` is empty for who was never on.

    `here` tells that nobody else was chosen at their terminal since they were.
    """

    operator: str
    name: str
    role: str
    terminal: str = ""
    on: bool = False
    since: str = ""
    here: bool = False


class _Person(Protocol):
    @property
    def operator(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def role(self) -> str: ...
    @property
    def terminal(self) -> str: ...
    @property
    def on(self) -> bool: ...
    @property
    def since(self) -> str: ...
    @property
    def here(self) -> bool: ...


class Glance(NamedTuple):
    """A job as the list has it: enough to name it, and to ask who is there.

    `people` are those of the job, who came on first standing first.
    """

    job: str
    tag: str
    family: str
    status: str
    people: tuple[Somebody, ...]


class Front(Protocol):
    """A store that can be looked at before all that works on jobs is loaded.

    Attributes:
        at_once: whether it is loaded already.
    """

    at_once: bool

    @property
    def where(self) -> str:
        """Name the place of the store, as messages give it."""

    def glance(self, job: str) -> Glance | None:
        """Give a job as the list has it; None where the list does not have it, or cannot be understood."""

    def newest(self) -> str:
        """Give the number of the job that was last worked on, empty where there is none."""

    def listed(self) -> tuple[Somebody, ...]:
        """Give the people on the shop's list, by initials."""

    def jobs(self) -> tuple[Summary, ...]:
        """Give the summary of every job, the one that was last worked on first."""

    def whole(self) -> JobStore:
        """Give the store with all that works on jobs, which takes a while the first time."""


class SqlFront:
    """A `Front` on a database whose tables are there; it may be used from any thread, by one at a time."""

    at_once = False

    def __init__(self, database: Database) -> None:
        self._database = database
        self._reading = database.reading

    @property
    def where(self) -> str:
        """Name the place of the store, as messages give it."""
        return self._database.where

    def is_current(self) -> bool:
        """Tell whether this version wrote what is worked out from the entries."""
        with self._reading() as connection:
            (version,) = connection.execute("SELECT value FROM meta WHERE key = 'read-models'").fetchone()
        return bool(version == READ_MODELS)

    def glance(self, job: str) -> Glance | None:
        """Give a job as the list has it; see `Front.glance`."""
        with self._reading() as connection:
            row = connection.execute("SELECT json FROM summaries WHERE job = ?", (job,)).fetchone()
        try:
            return None if row is None else _glance(json.loads(row[0]))
        except (ValueError, TypeError, KeyError):
            return None

    def newest(self) -> str:
        """Give the number of the job that was last worked on; see `Front.newest`."""
        with self._reading() as connection:
            row = connection.execute("SELECT job FROM summaries ORDER BY time DESC, job LIMIT 1").fetchone()
        return str(row[0]) if row else ""

    def listed(self) -> tuple[Somebody, ...]:
        """Give the people on the shop's list; see `Front.listed`."""
        with self._reading() as connection:
            rows = connection.execute("SELECT initials, name, role FROM people ORDER BY initials").fetchall()
        return tuple(Somebody(*row) for row in rows)

    def jobs(self) -> tuple[Summary, ...]:
        """Give the summary of every job; see `Front.jobs`."""
        decoder = _decoder()
        with self._reading() as connection:
            rows = connection.execute("SELECT json FROM summaries ORDER BY time DESC, job")
            return tuple(decoder.decode(text) for (text,) in rows)

    def whole(self) -> SqlJobs:
        """Give the store with all that works on jobs; see `Front.whole`."""
        from headwright.store.jobs import SqlJobs  # noqa: PLC0415 - loads the rules of the job

        return SqlJobs(self._database)

    def close(self) -> None:
        """Let go of the store; it cannot be used afterwards."""
        self._database.close()


@cache
def _decoder() -> Decoder[Summary]:
    from msgspec.json import Decoder  # noqa: PLC0415 - where a job is opened, its first paint needs none of it

    from headwright.job.listed import Summary  # noqa: PLC0415

    return Decoder(Summary)


def who_may(people: Iterable[_Person], shop: Iterable[Somebody]) -> tuple[Somebody, ...]:
    """Give who may be at a bench, those who are on first, as the shop's list has them now; then the others on it.

    Args:
        people: those of the job.
        shop: the people on the shop's list.
    """
    listed = {each.operator: each for each in shop}
    found = []
    for person in sorted(people, key=lambda p: not p.on):
        known = listed.pop(person.operator, None)
        kept = person if known is None or person.on else known
        found.append(
            Somebody(person.operator, kept.name, kept.role, person.terminal, person.on, person.since, person.here)
        )
    return (*found, *listed.values())


def last_here(people: Iterable[_Person], terminal: str, *, pins: bool, was: _Person | None = None) -> str:
    """Give the initials of whoever was chosen last at a terminal and is still on; empty where somebody has to say.

    Where leads have PINs, none is taken up again without his.

    Args:
        people: those of a job.
        terminal: its name.
        pins: whether leads have PINs.
        was: who is known to have been last at the terminal, at whatever job; None where nobody is.
    """
    found = next((person for person in people if person.on and person.here and person.terminal == terminal), None)
    if found is None or (pins and found.role == LEAD):
        return ""
    if was is not None and (was.operator, was.name) != (found.operator, found.name):
        return ""
    return found.operator


def _glance(summary: dict[str, Any]) -> Glance:
    people = tuple(Somebody(*(person[name] for name in Somebody._fields)) for person in summary["people"])
    return Glance(summary["job"], summary["tag"], summary["family"], summary["status"], people)
