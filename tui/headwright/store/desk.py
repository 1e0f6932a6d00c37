"""One job, open at one terminal: what is wanted is decided, kept on disk, and only then taken as true."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from time import monotonic
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import astuple, replace

from headwright.errors import Outdated, RecordBroken, UsageError
from headwright.job.chain import chained, first_misfit
from headwright.job.decide import Refused, decide
from headwright.job.events import CameOn, Entry, Event, GaugeChecked, Opened, ReadingTaken, Released
from headwright.job.gauges import BEHIND
from headwright.job.listed import Summary
from headwright.job.signing import is_for_leads
from headwright.job.sizing import Sized
from headwright.job.state import State, begin
from headwright.job.summary import summary
from headwright.procedure.plan import Plan, plan_bytes, plan_sha256
from headwright.store import attendance
from headwright.store.contract import OfGauges
from headwright.store.news import in_words
from headwright.store.quarantine import Elsewhere, Uses, bring_in, drift_in
from headwright.store.record import record_of
from headwright.store.replay import folded
from headwright.store.taught import Taught
from headwright.store.times import about, not_before, seconds_between, stamp

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.store.contract import JobStore

    Clock = Callable[[], str]


class Done(Struct, frozen=True):
    """It happened and is on disk: `entries` are what was recorded, `news` what others had recorded just before.

    `elsewhere` tells what a gauge that was found off means for other jobs.
    """

    entries: tuple[Entry, ...]
    news: tuple[Entry, ...] = ()
    elsewhere: tuple[Elsewhere, ...] = ()


AHEAD = 2.0
"""Seconds for which what was worked out ahead still answers: no limit that a clock keeps would be told apart by it."""


class _Outcome(Struct, frozen=True):
    """What comes of a wanted event and is not on disk yet: the entries, the job after them, what is kept beside it."""

    entries: tuple[Entry, ...]
    state: State
    summary: Summary
    sizings: tuple[Sized, ...] | None
    gauges: OfGauges


class _Ahead(Struct, frozen=True):
    """An outcome that was worked out before it is wanted: of which state, for what, wanted by whom, at what time."""

    before: State
    wanted: Event
    operator: str
    now: str
    outcome: _Outcome


class Overtaken(Refused, frozen=True):
    """Nothing happened, because of what others recorded meanwhile; `news` says in words what that was."""

    news: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Give what changed, then the reasons, one a line."""
        return "\n".join(("Meanwhile:", *self.news, *map(str, self.blocks)))


def utc_now() -> str:
    """Give the computer's time as records have it: UTC, ISO 8601 with microseconds and Z."""
    return stamp(datetime.now(UTC))


class Desk:
    """A job at a terminal. The state shown is always that of entries that are on disk."""

    def __init__(self, store: JobStore, state: State, entries: tuple[Entry, ...], terminal: str, clock: Clock) -> None:
        self._store = store
        self._state = state
        self._entries = entries
        self._terminal = terminal
        self._clock = clock
        self._taught = Taught(state)
        self._uses = Uses()
        self._mark: tuple[datetime, float] | None = None
        self._ahead: _Ahead | None = None

    @classmethod
    def open(cls, store: JobStore, job: str, terminal: str, clock: Clock = utc_now) -> Desk:
        """Open a job that the store has, check the whole of its record, and bring in the doubts that wait for it.

        Args:
            store: where the job is.
            job: its number.
            terminal: the name of this terminal, for the record.
            clock: tells the time, UTC in ISO 8601 with microseconds and Z.

        Raises:
            UsageError: there is no such job.
            RecordBroken: what the store has does not verify.
        """
        bring_in(store, clock, job)
        record = record_of(store, job)
        state = folded(begin(record.plan), record.entries, f"job '{job}'")
        return cls(store, state, record.entries, terminal, clock)

    @classmethod
    def create(
        cls,
        store: JobStore,
        plan: Plan,
        job: str,
        *,
        terminal: str,
        tag: str = "",
        customer: str = "",
        operator: str = "",
        clock: Clock = utc_now,
    ) -> Desk:
        """Open a new job under a plan, keep it, and give its desk; the other arguments are those of `open`.

        Raises:
            UsageError: the number is taken, or there is none.
        """
        before = begin(plan)
        answer = decide(before, Opened(job, plan_sha256(plan), tag, customer), operator, terminal)
        if isinstance(answer, Refused):
            raise UsageError(str(answer))
        entries = _chained(job, None, answer, time=clock(), operator=operator, terminal=terminal)
        state = folded(before, entries, f"job '{job}'")
        store.create(plan_bytes(plan), entries, summary(state))
        return cls(store, state, entries, terminal, clock)

    @property
    def job(self) -> str:
        """The job's number."""
        return self._state.job

    @property
    def state(self) -> State:
        """The job as it stands on disk, as far as this terminal has looked."""
        return self._state

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Everything on record so far."""
        return self._entries

    def now(self) -> str:
        """Give the time by which things are decided: the computer's, while its clock is not set back.

        Where it was, since the last entry that was kept here, time goes on from that entry at its own pace. A zero that
        is set by a clock behind the record counts from its own entry, so that work can go on.
        """
        time = self._clock()
        if self._mark is not None:
            due = self._mark[0] + timedelta(seconds=monotonic() - self._mark[1])
            if (due - datetime.fromisoformat(time)).total_seconds() > BEHIND:
                return stamp(due)
        return time

    def clock_words(self) -> str:
        """Say that the computer's clock is behind the record, empty where it is not by more than a minute."""
        behind = seconds_between(self._clock(), self._entries[-1].time)
        if behind <= BEHIND:
            return ""
        return (
            f"This computer's clock is {about(behind)} behind the record; times go on from the last entry. "
            "Set the clock right."
        )

    def submit(self, wanted: Event, operator: str, pin: str = "") -> Done | Refused:
        """Record what somebody wants to happen, if it may; the state changes only once it is on disk.

        Where another terminal wrote first, its entries are taken in and the matter is decided again, once. It is then
        refused with the news in words (`Overtaken`) if it may no longer be, as when somebody has filled the point.

        Args:
            wanted: what is to happen; what it says of being signed does not count.
            operator: who wants it.
            pin: as it was typed, where only a lead decides. It is looked at only if nothing else is in the way; wrong,
                it is one block of kind PIN, and the miss is on file with the shop's people.

        Raises:
            StoreError: it could not be kept; nothing has changed, and it may be submitted again.
        """
        # Nothing leaves the shop on a reading that a gauge elsewhere has put in doubt.
        news = self.refresh() if isinstance(wanted, Released) else ()
        now = self.now()
        ahead = self._worked_out_ahead(wanted, operator, now)
        if ahead is not None:
            try:
                return self._keep(ahead.outcome, ahead.now)
            except Outdated:
                news = self.refresh()
        signed = self._signed(wanted, operator, pin, now)
        if isinstance(signed, Refused):
            return self._refused(signed, news)
        answer = decide(self._state, signed, operator, self._terminal, now)
        if isinstance(answer, Refused):
            return self._refused(answer, news)
        if isinstance(signed, CameOn):
            attendance.learn(self._store.people, signed, now)
        try:
            return self._keep(self._outcome(answer, operator, now), now, news)
        except Outdated:
            news += self.refresh()
        answer = decide(self._state, signed, operator, self._terminal, now)
        if isinstance(answer, Refused):
            return self._refused(answer, news)
        return self._keep(self._outcome(answer, operator, now), now, news)

    def work_ahead(self, wanted: ReadingTaken, operator: str) -> State | None:
        """Work out what comes of a reading that somebody is about to want, so that `submit` only has to keep it.

        Nothing happens, on disk or here. It holds for two seconds and while nothing else does happen; the time on
        record is then that of this call, when the figure stood there in full.

        Returns:
            The job as it would be then; None where the reading would be refused.
        """
        now = self.now()
        answer = decide(self._state, wanted, operator, self._terminal, now)
        self._ahead = None
        if isinstance(answer, Refused):
            return None
        outcome = self._outcome(answer, operator, now)
        self._ahead = _Ahead(self._state, wanted, operator, now, outcome)
        return outcome.state

    def _worked_out_ahead(self, wanted: Event, operator: str, now: str) -> _Ahead | None:
        """Give what was worked out ahead, if it is of just this."""
        ahead, self._ahead = self._ahead, None
        if ahead is None or ahead.before is not self._state or (ahead.wanted, ahead.operator) != (wanted, operator):
            return None
        return ahead if 0 <= seconds_between(ahead.now, now) <= AHEAD else None

    def _refused(self, answer: Refused, news: tuple[Entry, ...]) -> Refused:
        """Give a refusal, with what others recorded just before where that may be why."""
        return Overtaken(answer.blocks, tuple(in_words(e, self._state.index) for e in news)) if news else answer

    def refresh(self) -> tuple[Entry, ...]:
        """Take in what others recorded since, and doubts that wait, and give it; cheap enough to do every second.

        Raises:
            RecordBroken: what came in does not fit what is known.
        """
        bring_in(self._store, self._clock, self.job)
        found = self._store.entries(self.job, self._entries[-1].number)
        if found:
            self._check(found)
            self._state = folded(self._state, found, f"job '{self.job}'")
            self._entries += found
            self._taught.forget()
            self._uses.forget()
        return found

    def _signed(self, wanted: Event, operator: str, pin: str, now: str) -> Event | Refused:
        """Give what is wanted with the truth about who comes on and whether it is signed, or what is against it."""
        people, pins = self._store.people, self._state.plan.rules.pins
        if isinstance(wanted, CameOn):
            fitting = attendance.fitting(people, wanted, pins=pins)
            if isinstance(fitting, Refused):
                return fitting
            wanted = fitting
        if not isinstance(wanted, attendance.Signable):
            return wanted
        signed = replace(wanted, signed=bool(pin) and is_for_leads(wanted))
        if not signed.signed:
            return signed
        # What may not be anyway costs nobody a miss.
        answer = decide(self._state, signed, operator, self._terminal, now)
        if isinstance(answer, Refused):
            return answer
        return attendance.sign(people, signed, operator, pin, now) or signed

    def _outcome(self, answer: tuple[Event, ...], operator: str, now: str) -> _Outcome:
        last = self._entries[-1]
        time = not_before(now, last.time)
        entries = _chained(self.job, last, answer, time=time, operator=operator, terminal=self._terminal)
        state = folded(self._state, entries, f"job '{self.job}'")
        sizings = self._taught.changed(state, entries)
        gauges = OfGauges(self._uses.changed(state), drift_in(self._state, entries))
        return _Outcome(entries, state, summary(state), sizings, gauges)

    def _keep(self, outcome: _Outcome, now: str, news: tuple[Entry, ...] = ()) -> Done:
        entries, state, sum_up, sizings, gauges = astuple(outcome)
        self._store.append(self.job, entries, sum_up, sizings, gauges)
        time = entries[-1].time
        if time == now or any(isinstance(entry.event, GaugeChecked) for entry in entries):
            self._mark = (datetime.fromisoformat(time), monotonic())
        self._taught.keep(sizings)
        self._uses.keep(state)
        self._state = state
        self._entries += entries
        drift = gauges.drift
        elsewhere = bring_in(self._store, self._clock, found=(self.job, drift.number)) if drift is not None else ()
        return Done(entries, news, elsewhere)

    def _check(self, found: tuple[Entry, ...]) -> None:
        misfit = first_misfit(self.job, found, after=self._entries[-1])
        if misfit is not None:
            raise RecordBroken(
                f"job '{self.job}': event {misfit} in {self._store.where} does not fit what this terminal knows", misfit
            )


def _chained(
    job: str, after: Entry | None, events: tuple[Event, ...], *, time: str, operator: str, terminal: str
) -> tuple[Entry, ...]:
    try:
        return chained(job, after, events, time=time, operator=operator, terminal=terminal)
    except UnicodeEncodeError as error:
        raise UsageError(f"{error.object!r} has a character that cannot be kept", "Type it again.") from error
