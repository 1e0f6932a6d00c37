"""What a job is, at a moment: everything that its entries so far have made true."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.events import Disposed, ReadingTaken
from headwright.job.index import PlanIndex, PointKey, Stand
from headwright.job.verdict import SLACK
from headwright.procedure.order import NONE
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from headwright.job.gauges import GaugeNow
    from headwright.job.known import Known
    from headwright.job.pace import Took
    from headwright.procedure.order import Held
    from headwright.procedure.plan import Operation, Plan, Reading

MOST_REPEATS = 3
"""Figures at a point that are asked to agree: of three that do not, the median counts (common practice, no source)."""

At = tuple[str, str]
"""An operation at a place: (operation id, place id)."""


class Taken(Struct, frozen=True):
    """A reading on record: who took it, when, and its number; `others` are the figures before it that it repeats.

    `uncertainty` is the standard one of its gauge when it was read (canonical), None where that is not known.
    """

    number: int
    time: str
    operator: str
    event: ReadingTaken
    others: tuple[Taken, ...] = ()
    uncertainty: float | None = None

    @property
    def value(self) -> float | None:
        """The figure that counts (canonical): of two the mean, of three the median; None for a word."""
        if not self.others:
            return self.event.value
        figures = sorted(t.event.value for t in (*self.others, self) if t.event.value is not None)
        middle = len(figures) // 2
        return figures[middle] if len(figures) % 2 else (figures[middle - 1] + figures[middle]) / 2

    def is_settled(self, agree: float | None) -> bool:
        """Tell whether no further figure is wanted at the point: none is asked for, two agree, or there are three."""
        if agree is None or len(self.others) >= MOST_REPEATS - 1:
            return True
        figures = [t.event.value for t in (*self.others, self) if t.event.value is not None]
        return len(figures) > 1 and max(figures) - min(figures) <= agree + SLACK


class Attempt(Struct, frozen=True):
    """One go at an operation at a place.

    `readings` and `ticks` are what counts now; `struck` are the readings taken back, with the reason. `decided` maps
    a failed reading or result to the decision that lets it stand. `reopened` marks an attempt whose closing was
    taken back because a reading was struck.
    """

    number: int = 1
    readings: dict[PointKey, Taken] = {}
    ticks: frozenset[str] = frozenset()
    struck: tuple[tuple[Taken, str], ...] = ()
    decided: dict[str, Disposed] = {}
    closed: bool = False
    reopened: bool = False
    ended: str = ""
    """Why the attempt no longer counts; empty while it does."""
    doubted: bool = False
    """Whether its readings were set aside because they were doubted, not because the work was done again."""

    def has(self, reading: Reading, point: PointKey) -> bool:
        """Tell whether a point of a reading wants nothing more."""
        taken = self.readings.get(point)
        return taken is not None and taken.is_settled(reading.agree)

    @property
    def begun(self) -> bool:
        """Tell whether anything has been written down in this attempt."""
        return bool(self.readings or self.ticks or self.decided or self.closed)


EMPTY = Attempt()
DONE_AGAIN = "done again"
"""Why an attempt ended that nobody sent back: its operation was called for once more."""


class Tool(Struct, frozen=True):
    """A tool in use: its sort, which one it is, its size (mm) where measured, and its entry's number.

    `first` is the place at which the first piece is made with it, `released` tells that the others may follow.
    """

    tool: str
    item: str
    size: float | None
    number: int
    first: str
    released: bool = False


class Doubt(Struct, frozen=True):
    """Readings that came into doubt: the entry that says so, the gauge, by what it was off (mm), and their numbers."""

    number: int
    gauge: str
    drift: float
    readings: tuple[int, ...]


class Person(Struct, frozen=True):
    """Somebody who came to the bench; `here` tells that nobody else was chosen at their terminal since."""

    operator: str
    name: str
    role: Role
    terminal: str
    on: bool
    since: str
    here: bool = False


class Note(Struct, frozen=True):
    """A note on record."""

    number: int
    time: str
    operator: str
    place: str
    text: str


@dataclass(slots=True)
class State:
    """A job after a number of entries. Treat it as a value: `evolve` and `fold` give a new one."""

    index: PlanIndex
    number: int = 0
    time: str = ""
    job: str = ""
    tag: str = ""
    customer: str = ""
    held: dict[str, Held] = field(default_factory=dict)
    reread: dict[str, frozenset[str]] = field(default_factory=dict)
    """By position, the operations of which only struck figures are missing: nothing undid their work since."""
    repair: dict[str, str] = field(default_factory=dict)
    attempts: dict[At, Attempt] = field(default_factory=dict)
    past: dict[At, tuple[Attempt, ...]] = field(default_factory=dict)
    where: dict[int, tuple[At, PointKey]] = field(default_factory=dict)
    people: dict[str, Person] = field(default_factory=dict)
    acknowledged: dict[tuple[str, str], int] = field(default_factory=dict)
    stopped: dict[str, str] = field(default_factory=dict)
    scrapped: dict[str, str] = field(default_factory=dict)
    confirmed: dict[str, str] = field(default_factory=dict)
    gauges: dict[str, GaugeNow] = field(default_factory=dict)
    in_hand: dict[tuple[str, str], str] = field(default_factory=dict)
    tools: dict[tuple[str, str], Tool] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    disposed: tuple[tuple[int, str, Disposed], ...] = ()
    begun: dict[tuple[str, str, str], str] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()
    clocks: dict[str, tuple[str, float]] = field(default_factory=dict)
    """By terminal: the time of its last entry, and the minutes of work since its last closing."""
    took: dict[str, Took] = field(default_factory=dict)
    released: bool = False
    known: Known | None = field(default=None, compare=False, repr=False)
    """What was worked out from this state, or from the one that it came of; see `job.known`."""

    @property
    def plan(self) -> Plan:
        """The plan that the job is held to."""
        return self.index.plan

    def attempt(self, operation: str, place: str) -> Attempt:
        """Give the attempt that counts now; an empty one where nothing was written down yet."""
        return self.attempts.get((operation, place), EMPTY)

    def writing(self, operation: str, place: str) -> Attempt:
        """Give the attempt that the next entry goes into: a fresh one where a done operation is called for again."""
        attempt = self.attempt(operation, place)
        if attempt.closed and self.is_due(self.index.operations[operation], place):
            return Attempt(number=attempt.number + 1)
        return attempt

    def written(self, operation: str, place: str) -> State:
        """Give the state as the next entry finds it: a done operation that is called for again begins afresh there."""
        attempt = self.writing(operation, place)
        if attempt is self.attempt(operation, place):
            return self
        return replace(self, attempts={**self.attempts, (operation, place): attempt}, known=None)

    def repair_at(self, place: str) -> str:
        """Give the repair decided for a position, empty while there is none."""
        return self.repair.get(place, "")

    def reread_at(self, position: str) -> frozenset[str]:
        """Give the operations of which only struck figures are missing at a position."""
        return self.reread.get(position, NONE)

    def stand(self, position: str) -> Stand:
        """Give where a position stands on its path."""
        return self.index.stand(self.held[position], self.repair.get(position, ""), self.reread_at(position))

    def applies(self, operation: Operation, place: str) -> bool:
        """Tell whether the operation is done at the place: at some position inside it."""
        return any(operation.id in self.stand(leaf).path for leaf in self.index.inside(place))

    def leaves(self, operation: Operation, place: str) -> tuple[str, ...]:
        """Give the positions inside the place to which the operation applies."""
        return tuple(leaf for leaf in self.index.inside(place) if operation.id in self.stand(leaf).path)

    def is_done(self, operation: Operation, place: str) -> bool:
        """Tell whether the operation is done at the place: its work holds at every position it applies to."""
        stands = [stand for leaf in self.index.inside(place) if operation.id in (stand := self.stand(leaf)).path]
        return bool(stands) and all(operation.id in stand.done for stand in stands)

    def is_due(self, operation: Operation, place: str) -> bool:
        """Tell whether the operation is to be done at the place, its work missing or its state called for."""
        if self.index.head_of(place) in self.scrapped:
            return False
        return any(operation.id in self.stand(leaf).due for leaf in self.index.inside(place))

    def is_given_up(self, operation: Operation, place: str) -> bool:
        """Tell whether the operation is no longer done at the place: its work is missing, and the head was given up."""
        given_up = self.index.head_of(place) in self.scrapped
        return given_up and self.applies(operation, place) and not self.is_done(operation, place)

    def missing_needs(self, operation: Operation, place: str) -> dict[str, tuple[str, ...]]:
        """Give each need that does not hold, with the positions where it does not.

        At a position every need must hold there; at a wider place a need counts where something makes it.
        """
        rules = self.index.rules
        inside = self.index.inside(place)
        wide = inside != (place,)
        missing: dict[str, tuple[str, ...]] = {}
        for leaf in inside:
            for need in rules.missing(operation, self.held[leaf], self.reread_at(leaf)):
                if not wide or rules.concerns(need, self.repair_at(leaf), self.index.received):
                    missing[need] = (*missing.get(need, ()), leaf)
        return {need: missing[need] for need in operation.needs if need in missing}

    def is_on(self, operator: str) -> bool:
        """Tell whether somebody is at the bench now."""
        person = self.people.get(operator)
        return person is not None and person.on


def begin(plan: Plan) -> State:
    """Give the state before the first entry: the head as received, nothing decided, nobody there."""
    index = PlanIndex(plan)
    return State(index=index, held={p.id: index.received for p in index.positions})


def copied(state: State) -> State:
    """Give a state that may be changed without touching the one given: every table is its own."""
    return replace(
        state,
        held=dict(state.held),
        reread=dict(state.reread),
        repair=dict(state.repair),
        attempts=dict(state.attempts),
        past=dict(state.past),
        where=dict(state.where),
        people=dict(state.people),
        acknowledged=dict(state.acknowledged),
        stopped=dict(state.stopped),
        scrapped=dict(state.scrapped),
        confirmed=dict(state.confirmed),
        gauges=dict(state.gauges),
        in_hand=dict(state.in_hand),
        tools=dict(state.tools),
        begun=dict(state.begun),
        clocks=dict(state.clocks),
        took=dict(state.took),
    )
