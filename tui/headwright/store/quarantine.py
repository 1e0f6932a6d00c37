"""A gauge found off puts in doubt what was read with it in other jobs: found, kept until it is brought in, brought in.

The check that finds a drift is kept together with a doubt for every other job concerned, in one transaction. Each job
then takes its doubt in through its own rules and into its own chain, which takes the doubt off the list, again in one
transaction. So whatever breaks off in between, a doubt waits until its job, or the list of jobs, is opened again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.errors import HeadwrightError, Outdated, RecordBroken
from headwright.job.chain import chained
from headwright.job.decide import Refused, decide
from headwright.job.events import GaugeChecked, GaugeDoubted
from headwright.job.gauge_use import GaugeUse, gauge_uses
from headwright.job.gauges import has_drifted, in_doubt, mastering_of
from headwright.job.sizing import sizings
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.job.verdict import SLACK
from headwright.store.contract import Drift, OfGauges
from headwright.store.news import in_words
from headwright.store.record import record_of
from headwright.store.replay import folded
from headwright.store.times import not_before

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from headwright.job.events import Entry
    from headwright.job.state import State
    from headwright.store.contract import JobStore, Waiting

_TRIES = 5
"""How often a job is looked at again when another terminal writes to it at the same moment (our choice)."""


class Elsewhere(Struct, frozen=True):
    """What a gauge that was found off means for another job.

    `readings` are the numbers of its readings that came into doubt, `words` says of each where it stands and who took
    it. They are struck, and asked for again, unless the job is `released`: then they are on record as doubtful.
    `waiting` is why the doubt could not be brought in yet; empty where it was.
    """

    job: str
    gauge: str
    drift: float
    found_in: str
    readings: tuple[int, ...] = ()
    words: tuple[str, ...] = ()
    released: bool = False
    waiting: str = ""


class Uses:
    """The uses of gauges that a store has of one job, as far as this terminal knows; nothing is known at first."""

    def __init__(self) -> None:
        self._kept: frozenset[GaugeUse] = frozenset()

    def changed(self, state: State) -> tuple[GaugeUse, ...]:
        """Give the uses of a job that the store does not have just so."""
        return tuple(use for use in gauge_uses(state) if use not in self._kept)

    def keep(self, state: State) -> None:
        """Take it that the store has the uses of the job as it is now."""
        self._kept = frozenset(gauge_uses(state))

    def forget(self) -> None:
        """Know nothing any more, because another terminal wrote."""
        self._kept = frozenset()


def drift_in(state: State, entries: Iterable[Entry]) -> Drift | None:
    """Give the drift that new entries tell of; `state` is the job before them."""
    for entry in entries:
        event = entry.event
        gauge = state.gauges.get(event.gauge) if isinstance(event, GaugeChecked) else None
        if isinstance(event, GaugeChecked) and gauge is not None and has_drifted(state, gauge, event.before):
            rule = mastering_of(state, gauge.sort)
            return Drift(entry.number, event.gauge, rule.drift + SLACK) if rule is not None else None
    return None


def bring_in(
    store: JobStore, clock: Callable[[], str], job: str = "", found: tuple[str, int] | None = None
) -> tuple[Elsewhere, ...]:
    """Bring the doubts that wait into the jobs that they wait for; cheap where there is none.

    Args:
        store: where the jobs are.
        clock: tells the time, UTC in ISO 8601 with microseconds and Z.
        job: only those that wait for this one; empty for all.
        found: only those from this check: the job that it was made in, and its number.

    Returns:
        What came of each, but for those that nothing rests on any more. A job that cannot be read or written now is
        among them, and its doubt goes on waiting.

    Raises:
        StoreError: the store cannot be read.
    """
    told = []
    for waiting in store.waiting(job):
        if found is None or found == (waiting.found_in, waiting.number):
            elsewhere = _told(store, clock, waiting)
            if elsewhere is not None:
                told.append(elsewhere)
    return tuple(told)


def _told(store: JobStore, clock: Callable[[], str], waiting: Waiting) -> Elsewhere | None:
    try:
        _, check = found = _found(store, waiting)
    except HeadwrightError as error:
        return Elsewhere(waiting.job, "", 0.0, waiting.found_in, waiting=error.message)
    try:
        return _brought(store, clock, waiting, found)
    except HeadwrightError as error:
        return Elsewhere(waiting.job, check.gauge, check.before, waiting.found_in, waiting=error.message)


def _found(store: JobStore, waiting: Waiting) -> tuple[Entry, GaugeChecked]:
    """Give the entry that found the drift, and the check in it."""
    for entry in store.entries(waiting.found_in, waiting.number - 1)[:1]:
        if isinstance(entry.event, GaugeChecked):
            return entry, entry.event
    raise RecordBroken(
        f"job '{waiting.found_in}': event {waiting.number} is not the check that a doubt comes from", waiting.number
    )


def _brought(
    store: JobStore, clock: Callable[[], str], waiting: Waiting, found: tuple[Entry, GaugeChecked]
) -> Elsewhere | None:
    """Bring a doubt into its job; another terminal may be writing there at the same moment."""
    for _ in range(_TRIES - 1):
        try:
            return _brought_once(store, clock, waiting, found)
        except Outdated:
            continue
    return _brought_once(store, clock, waiting, found)


def _brought_once(
    store: JobStore, clock: Callable[[], str], waiting: Waiting, found: tuple[Entry, GaugeChecked]
) -> Elsewhere | None:
    check, (gauge, drift) = found[0], (found[1].gauge, found[1].before)
    record = record_of(store, waiting.job)
    if waiting not in store.waiting(waiting.job):
        return None  # another terminal has just brought it in
    state = folded(begin(record.plan), record.entries, f"job '{waiting.job}'")
    numbers = in_doubt(state, gauge, waiting.since)
    wanted = GaugeDoubted(gauge, drift, waiting.since, waiting.found_in)
    last = record.entries[-1]
    time = not_before(clock(), max(check.time, last.time))
    # Whoever found the drift has found it for every job, wherever the doubt is brought in.
    answer = decide(state, wanted, check.operator, check.terminal, time)
    if isinstance(answer, Refused):
        store.settle(waiting)
        return None
    entries = chained(waiting.job, last, answer, time=time, operator=check.operator, terminal=check.terminal)
    after = folded(state, entries, f"job '{waiting.job}'")
    gauges = OfGauges(uses=gauge_uses(after), settles=waiting)
    store.append(waiting.job, entries, summary(after), sizings(after), gauges)
    words = tuple(in_words(record.entries[number - 1], state.index) for number in numbers)
    return Elsewhere(waiting.job, gauge, drift, waiting.found_in, numbers, words, state.released)
