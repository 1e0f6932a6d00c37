"""What every jobs store promises, whatever database is behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, Protocol

from headwright.errors import UsageError
from headwright.store.front import Front

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from headwright.job.events import Entry
    from headwright.job.gauge_use import GaugeUse
    from headwright.job.listed import Summary
    from headwright.job.sizing import Sized, Stratum
    from headwright.store.people import People


def number_taken(job: str) -> UsageError:
    """Give the refusal of a new job under a number that is taken."""
    return UsageError(f"job '{job}' exists already", "Give the new job another number.")


class Last(NamedTuple):
    """The number and hash of a job's last entry: when they are the same, nothing has happened since."""

    number: int
    hash: str


class Drift(NamedTuple):
    """A check that found a gauge off: the number of its entry, the gauge, and the most that a good one is off, mm."""

    number: int
    gauge: str
    limit: float


class Waiting(NamedTuple):
    """A doubt that a job has not taken in yet.

    Entry `number` of the job `found_in` found a gauge off; `since` is the time of its last good check in any job,
    empty where there is none.
    """

    job: str
    found_in: str
    number: int
    since: str


class OfGauges(NamedTuple):
    """What entries change about gauges: uses that are other than before, a drift found, a doubt that they take in."""

    uses: Sequence[GaugeUse] = ()
    drift: Drift | None = None
    settles: Waiting | None = None


NO_GAUGES = OfGauges()


class JobStore(Front, Protocol):
    """Jobs, each the text of its plan and the entries of what happened to it.

    Entries are only ever added. Whatever a call that writes has returned from is on disk; a call that raised wrote
    nothing. Every method raises StoreError when the store cannot be read or written.
    """

    @property
    def people(self) -> People:
        """Give the shop's list of people and their PINs."""

    def create(
        self,
        plan_json: bytes,
        entries: Sequence[Entry],
        summary: Summary,
        sizings: Sequence[Sized] = (),
        uses: Sequence[GaugeUse] = (),
    ) -> None:
        """Add a job with its first entries, the first of which opens it, the pushes that they teach and its gauges.

        Raises:
            UsageError: a job of that number is there already.
            RecordBroken: the entries do not chain, or do not belong to this plan.
        """

    def append(
        self,
        job: str,
        entries: Sequence[Entry],
        summary: Summary,
        sizings: Sequence[Sized] | None = None,
        gauges: OfGauges = NO_GAUGES,
    ) -> None:
        """Add entries to a job, all or none of them.

        A drift lets a doubt wait for every other job that read with the gauge since its last good check.

        Args:
            job: its number.
            entries: what happened, following on the last entry kept.
            summary: the job in one line, after them.
            sizings: every push that the job teaches after them; None when they changed nothing in that.
            gauges: what they change about gauges.

        Raises:
            Outdated: the last entry kept is not the one before these: someone else wrote first.
            RecordBroken: the entries do not chain to the last one.
            UsageError: there is no such job.
        """

    def entries(self, job: str, after: int = 0) -> tuple[Entry, ...]:
        """Give the entries of a job with numbers above `after`, in order.

        Raises:
            RecordBroken: an entry cannot be read.
            UsageError: there is no such job.
        """

    def last(self, job: str) -> Last | None:
        """Give the job's last entry in short, None where there is no such job; cheap enough to ask every second."""

    def plan_json(self, job: str) -> bytes:
        """Give the text of the plan that the job was opened under, exactly as it was kept.

        Raises:
            RecordBroken: the text does not match its SHA-256.
            UsageError: there is no such job.
        """

    def past_sizings(self, stratum: Stratum, *, limit: int = 200, since: str = "") -> tuple[Sized, ...]:
        """Give the pushes of a stratum in all jobs, the newest first.

        Args:
            stratum: what must be alike.
            limit: how many at most, from 1.
            since: the time of the oldest that counts, as records have it; empty for all.
        """

    def waiting(self, job: str = "") -> tuple[Waiting, ...]:
        """Give the doubts that a job has not taken in yet (empty: any job); cheap enough to ask every second."""

    def settle(self, waiting: Waiting) -> None:
        """Take a doubt off the list of those that wait, because nothing in its job rests on the gauge any more."""

    def rebuild(self, progress: Callable[[int, int], None] | None = None) -> int:
        """Work every summary, sizing and use of a gauge out again from the entries; give how many jobs there are.

        Args:
            progress: is told after each job how many are done, and of how many.
        """

    def close(self) -> None:
        """Let go of the store; it cannot be used afterwards."""
