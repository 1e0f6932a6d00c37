"""Plays a job as people at a bench would: it asks what is next, does that, and decides holds as the story tells.

Nothing is written that the rules of the job would refuse. A story is data: answers, slips and decisions.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from headwright.job.agenda import Now, next_up
from headwright.job.blocks import BlockKind, unconfirmed
from headwright.job.chain import chained
from headwright.job.decide import Refused, decide
from headwright.job.entry import Entered, entered
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Opened,
    ReadingTaken,
    Released,
    SpecConfirmed,
    StepTicked,
    WentOff,
)
from headwright.job.evolve import fold
from headwright.job.figures import Bench
from headwright.job.holds import hold_at
from headwright.job.state import begin
from headwright.procedure.plan import Sort, plan_sha256

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.job.agenda import Next
    from headwright.job.events import Entry, Event
    from headwright.job.holds import Hold
    from headwright.job.index import PointKey
    from headwright.procedure.plan import Plan, Role

SECONDS = {
    ReadingTaken: 14,
    StepTicked: 50,
    CautionAcknowledged: 20,
    Disposed: 180,
    SpecConfirmed: 60,
}
"""How long an entry takes in a story (invented)."""
FOR_LEADS = {Disposition.CONCESSION, Disposition.SCRAP}


class Person:
    """Somebody of the invented shop."""

    def __init__(self, operator: str, name: str, role: Role) -> None:
        self.operator, self.name, self.role = operator, name, role


class Teller:
    """Tells a story into a record: events are decided, chained and folded one after another."""

    def __init__(self, plan: Plan, job: str, *, tag: str, customer: str, start: datetime, terminal: str) -> None:
        self.plan, self.job, self.terminal = plan, job, terminal
        self.state = begin(plan)
        self.entries: tuple[Entry, ...] = ()
        self.time = start.astimezone(UTC)
        self.wait(0)
        self.record(Opened(job, plan_sha256(plan), tag, customer), "")

    def wait(self, minutes: float) -> None:
        """Let time pass."""
        self.time += timedelta(minutes=minutes)

    def record(self, wanted: Event, operator: str) -> tuple[Event, ...]:
        """Have an event decided and recorded."""
        answer = decide(self.state, wanted, operator, self.terminal)
        assert not isinstance(answer, Refused), f"{wanted}: {answer}"
        self.time += timedelta(seconds=SECONDS.get(type(wanted), 30))
        stamp = self.time.isoformat(timespec="microseconds").replace("+00:00", "Z")
        last = self.entries[-1] if self.entries else None
        new = chained(self.job, last, answer, time=stamp, operator=operator, terminal=self.terminal)
        self.entries += new
        self.state = fold(self.state, new)
        return answer

    def comes_on(self, person: Person) -> None:
        """Have somebody come to the bench."""
        self.record(CameOn(person.operator, person.name, person.role), person.operator)

    def goes_off(self, person: Person) -> None:
        """Have somebody leave the bench."""
        self.record(WentOff(person.operator), person.operator)

    def reading(self, operation: str, place: str, point: PointKey, typed: str, questioned: str = "") -> ReadingTaken:
        """Understand a typed text as the bench does."""
        index = self.state.index
        reading = index.readings[operation, point[0]]
        window = Bench(self.state, index.operations[operation], place).window(reading)
        found = entered(typed, reading, self.plan, window=window, choices=index.words(reading))
        assert isinstance(found, Entered), found
        unit = found.unit if reading.sort is Sort.NUMBER else ""
        return ReadingTaken(
            operation, place, point[0], typed, unit, found.value, found.word, point[1], point[2], questioned
        )


class Play:
    """Follows what is next until the job is released.

    Args:
        teller: where the story is told.
        people: who does the work, and who decides what a lead decides.
        answer: gives the typed text for (operation, place, point, attempt).
        decision: gives the decision on a hold.
        before: called with each next thing before it is done, for what the story adds; it may record entries.
    """

    def __init__(
        self,
        teller: Teller,
        people: tuple[Person, Person],
        *,
        answer: Callable[[str, str, PointKey, int], str],
        decision: Callable[[Hold], Disposed],
        before: Callable[[Next], bool],
    ) -> None:
        self.teller = teller
        self.worker, self.lead = people
        self.answer, self.decision, self.before = answer, decision, before
        self.questioned: Callable[[str, str, str], str] = lambda _operation, _place, _typed: ""
        """Gives the slip that a figure looked like and that was overruled, for (operation, place, typed)."""
        self.holds: list[tuple[str, str, str]] = []

    def to_release(self) -> None:
        """Do everything that is next, to the end."""
        for _ in range(5000):
            following = next_up(self.teller.state, self.worker.operator)
            if following.now in {Now.RELEASED, Now.SCRAPPED}:
                return
            if self.before(following):
                continue
            self._do(following, self.worker)
        raise AssertionError("the story does not end")

    def work_at(self, operation: str, place: str) -> None:
        """Do an operation at a place out of its turn, as far as it goes there."""
        for _ in range(100):
            following = next_up(self.teller.state, self.worker.operator, (operation, place))
            if (following.operation, following.place) != (operation, place):
                return
            self._do(following, self.worker)
        raise AssertionError(f"no end of {operation} at {place}")

    def _do(self, following: Next, person: Person) -> None:
        teller = self.teller
        match following.now:
            case Now.CAUTION:
                teller.record(CautionAcknowledged(following.subject), person.operator)
            case Now.STEP:
                steps = teller.state.index.operations[following.operation].steps
                teller.wait(next(step.wait for step in steps if step.name == following.subject) / 60)
                teller.record(StepTicked(following.operation, following.place, following.subject), person.operator)
            case Now.READING:
                assert following.point is not None
                attempt = teller.state.writing(following.operation, following.place).number
                typed = self.answer(following.operation, following.place, following.point, attempt)
                slip = self.questioned(following.operation, following.place, typed)
                wanted = teller.reading(following.operation, following.place, following.point, typed, slip)
                teller.record(wanted, person.operator)
            case Now.HOLD:
                hold = hold_at(teller.state, (following.operation, following.place))
                assert hold is not None
                self.holds.append((hold.operation, hold.place, hold.figure.item))
                decided = self.decision(hold)
                by = self.lead if decided.disposition in FOR_LEADS else person
                teller.record(decided, by.operator)
            case Now.RELEASE:
                teller.record(Released(), self.lead.operator)
            case Now.LOCKED if any(b.kind is BlockKind.PERSON for b in following.blocks) and person is self.worker:
                again = next_up(teller.state, self.lead.operator, (following.operation, following.place))
                if self.before(again):
                    return
                self._do(again, self.lead)
            case _:
                raise AssertionError(f"nobody in the story knows what to do: {following}")

    def confirm_all(self) -> None:
        """Have the lead confirm every default of the family."""
        for spec in unconfirmed(self.teller.state):
            self.teller.record(
                SpecConfirmed(spec.name, "maker's sheet and supplier's leaflet for this head"), self.lead.operator
            )
