"""Plays a job as people at a bench would: it asks what is next, does that, and decides holds as the story tells.

Nothing is written that the rules of the job would refuse. A story is data: answers, slips and decisions.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from msgspec.structs import replace

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
    FirstPieceReleased,
    GaugeChecked,
    GaugeTaken,
    Opened,
    ReadingTaken,
    Released,
    SpecConfirmed,
    StepTicked,
    ToolChosen,
    WentOff,
)
from headwright.job.evolve import fold
from headwright.job.figures import Bench
from headwright.job.gauges import in_hand, is_traced
from headwright.job.holds import hold_at
from headwright.job.signing import takes_pin
from headwright.job.state import begin
from headwright.procedure.plan import Sort, plan_sha256
from tests.stories import tray

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
    GaugeTaken: 20,
    GaugeChecked: 75,
    ToolChosen: 90,
    FirstPieceReleased: 60,
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

    def now(self, wanted: type[Event] = ReadingTaken) -> str:
        """Give the time at which an event of a sort will be on record, when it is the next."""
        time = self.time + timedelta(seconds=SECONDS.get(wanted, 30))
        return time.isoformat(timespec="microseconds").replace("+00:00", "Z")

    def record(self, wanted: Event, operator: str) -> tuple[Event, ...]:
        """Have an event decided and recorded; whoever it is for gives the PIN, and insists on a figure once asked."""
        if takes_pin(self.state, wanted):
            wanted = replace(wanted, signed=True)
        stamp = self.now(type(wanted))
        answer = decide(self.state, wanted, operator, self.terminal, stamp)
        if isinstance(answer, Refused) and answer.blocks[0].kind is BlockKind.QUESTION:
            wanted = replace(wanted, questioned=answer.blocks[0].subject)
            answer = decide(self.state, wanted, operator, self.terminal, stamp)
        assert not isinstance(answer, Refused), f"{wanted}: {answer}"
        self.time += timedelta(seconds=SECONDS.get(type(wanted), 30))
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

    def reading(self, operation: str, place: str, point: PointKey, typed: str, operator: str) -> ReadingTaken:
        """Understand a typed text as the bench does: with the gauge in hand, and beside figures that it repeats."""
        index = self.state.index
        reading = index.readings[operation, point[0]]
        window = Bench(self.state, index.operations[operation], place).window(reading)
        found = entered(typed, reading, self.plan, window=window, choices=index.words(reading))
        assert isinstance(found, Entered), found
        unit = found.unit if reading.sort is Sort.NUMBER else ""
        taken = ReadingTaken(operation, place, point[0], typed, unit, found.value, found.word, point[1], point[2])
        if is_traced(self.state, reading):
            gauge = in_hand(self.state, operator, reading.gauge)
            assert gauge is not None, f"nobody has a {reading.gauge} in hand"
            taken = replace(taken, gauge=gauge.gauge)
        old = self.state.writing(operation, place).readings.get(point)
        return taken if old is None else replace(taken, over=old.number, repeat=True)


class Play:
    """Follows what is next until the job is released.

    Args:
        teller: where the story is told.
        people: who does the work, and who decides what a lead decides.
        answer: gives the typed text for (operation, place, point, attempt).
        decision: gives the decision on a hold.
        before: called with each next thing before it is done, for what the story adds; it may record entries.
        tool: gives the tool that is put in for an operation at a place.
    """

    def __init__(
        self,
        teller: Teller,
        people: tuple[Person, Person],
        *,
        answer: Callable[[str, str, PointKey, int], str],
        decision: Callable[[Hold], Disposed],
        before: Callable[[Next], bool],
        tool: Callable[[str, str], tray.Tool],
    ) -> None:
        self.teller = teller
        self.worker, self.lead = people
        self.answer, self.decision, self.before, self.tool = answer, decision, before, tool
        self.again: Callable[[str, str, PointKey, int, str], str] = lambda *asked: asked[-1]
        """Gives the text of a further figure at a point, for (operation, place, point, number, text of the first)."""
        self.holds: list[tuple[str, str, str]] = []

    def to_release(self) -> None:
        """Do everything that is next, to the end."""
        for _ in range(5000):
            following = self._next(self.worker)
            if following.now in {Now.RELEASED, Now.SCRAPPED}:
                return
            time = self.teller.time
            if self.before(following):
                continue
            self._do(following if self.teller.time == time else self._next(self.worker), self.worker)
        raise AssertionError("the story does not end")

    def work_at(self, operation: str, place: str) -> None:
        """Do an operation at a place out of its turn, as far as it goes there."""
        for _ in range(100):
            following = self._next(self.worker, (operation, place))
            if (following.operation, following.place) != (operation, place):
                return
            self._do(following, self.worker)
        raise AssertionError(f"no end of {operation} at {place}")

    def _next(self, person: Person, prefer: tuple[str, str] | None = None) -> Next:
        return next_up(self.teller.state, person.operator, prefer, self.teller.now())

    def _do(self, following: Next, person: Person) -> None:
        wanted = self._wanted(following, person)
        if wanted is not None:
            self.teller.record(wanted, person.operator)
        elif following.now is Now.HOLD:
            self._decides(following, person)
        elif following.now is Now.RELEASE:
            self.teller.record(Released(), self.lead.operator)
        else:
            self._calls_the_lead(following, person)

    def _wanted(self, following: Next, person: Person) -> Event | None:
        """Give what this person writes down next; None where it is not for them to write something down."""
        wanted: Event | None = self._changed_tool(following)
        if wanted is not None:
            return wanted
        match following.now:
            case Now.CAUTION:
                wanted = CautionAcknowledged(following.subject)
            case Now.STEP:
                steps = self.teller.state.index.operations[following.operation].steps
                self.teller.wait(next(step.wait for step in steps if step.name == following.subject) / 60)
                wanted = StepTicked(following.operation, following.place, following.subject)
            case Now.READING:
                wanted = self._reads(following, person)
            case Now.GAUGE:
                wanted = tray.wanted(self.teller.state, following, person.operator, self.teller.now()[:10])
            case Now.FIRST:
                wanted = FirstPieceReleased(following.operation, following.place)
        return wanted

    def _reads(self, following: Next, person: Person) -> ReadingTaken:
        assert following.point is not None
        where = (following.operation, following.place, following.point)
        attempt = self.teller.state.writing(*where[:2])
        typed, old = self.answer(*where, attempt.number), attempt.readings.get(following.point)
        if old is not None:
            typed = self.again(*where, 1 + len(old.others), typed)
        return self.teller.reading(*where, typed, person.operator)

    def _decides(self, following: Next, person: Person) -> None:
        hold = hold_at(self.teller.state, (following.operation, following.place))
        assert hold is not None
        self.holds.append((hold.operation, hold.place, hold.figure.item))
        decided = self.decision(hold)
        by = self.lead if decided.disposition in FOR_LEADS else person
        self.teller.record(decided, by.operator)

    def _calls_the_lead(self, following: Next, person: Person) -> None:
        """Have the lead do what only a lead may."""
        for_lead = following.now is Now.LOCKED and any(b.kind is BlockKind.PERSON for b in following.blocks)
        assert for_lead, f"nobody in the story knows what to do: {following}"
        assert person is self.worker, f"not even the lead: {following}"
        time, at = self.teller.time, (following.operation, following.place)
        again = self._next(self.lead, at)
        if not self.before(again):
            self._do(again if self.teller.time == time else self._next(self.lead, at), self.lead)

    def _changed_tool(self, following: Next) -> ToolChosen | None:
        """Give the tool that a place wants, where it is not the one in use there."""
        state = self.teller.state
        operation = state.index.operations.get(following.operation)
        asked = following.now in {Now.TOOL, Now.STEP, Now.READING}
        if not asked or operation is None or not operation.tool:
            return None
        if following.place not in state.index.places_of(operation):
            return None
        tool = self.tool(operation.id, following.place)
        known = state.tools.get((operation.id, state.index.group(operation, following.place)))
        if following.now is not Now.TOOL and (known is None or known.item == tool.item):
            return None
        return ToolChosen(operation.id, following.place, operation.tool, tool.item, tool.size)

    def confirm_all(self) -> None:
        """Have the lead confirm every default of the family."""
        for spec in unconfirmed(self.teller.state):
            self.teller.record(
                SpecConfirmed(spec.name, "maker's sheet and supplier's leaflet for this head"), self.lead.operator
            )
