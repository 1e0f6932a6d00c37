"""What must hold of a job at every step, worked out anew from its entries: no gate of the program is asked.

The oracle keeps its own books on people, cautions, stops, gauges and tools. It reads the folded state only for what was
written down (attempts, conditions, repairs), and judges figures by comparing numbers with limits itself.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Entry,
    FirstPieceReleased,
    GaugeChecked,
    GaugeDoubted,
    GaugeTaken,
    HandedOver,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepBegun,
    StepTicked,
    Stopped,
    TookBench,
    ToolChosen,
    WentOff,
)
from headwright.job.figures import Bench
from headwright.job.index import judged_by
from headwright.procedure.plan import Level, Role, Sort, Tick

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.job.events import Event
    from headwright.job.state import Attempt, State
    from headwright.procedure.plan import Operation, Reading, Result

RANK = {Role.TRAINEE: 0, Role.MACHINIST: 1, Role.LEAD: 2}
SLACK = 1e-6
"""mm, or whatever is canonical: wider than the program's own slack, far below any figure that is tried."""
GUARD = 1.6448536269514722
"""One-sided 95 %: ISO 14253-1:2017 by way of JCGM 106 (from memory)."""


class Zero(NamedTuple):
    """A gauge's zero: when and by whom it was set, on what size (mm)."""

    time: str
    operator: str
    size: float
    uncertainty: float


class Broken(AssertionError):
    """A promise was broken."""


def must(holds: object, promise: str, event: object) -> None:
    if not holds:
        raise Broken(f"{promise}: {event}")


class Oracle:
    """Books of its own on one job."""

    def __init__(self, state: State) -> None:
        self.plan, self.index = state.plan, state.index
        self.on: dict[str, Role] = {}
        self.at: dict[str, str] = {}
        self.acknowledged: set[tuple[str, str]] = set()
        self.stopped: set[str] = set()
        self.scrapped: set[str] = set()
        self.released = False
        self.confirmed: set[str] = set()
        self.sorts: dict[str, str] = {}
        self.due: dict[str, str] = {}
        self.uncertainty: dict[str, float] = {}
        self.zero: dict[str, Zero] = {}
        self.since: dict[str, list[int]] = {}
        self.tools: dict[tuple[str, str], tuple[str, bool]] = {}
        self.conceded: dict[tuple[str, str, str], int] = {}
        self.figures_only: set[tuple[str, str]] = set()
        """(operation, position): the work is done there, and what was struck of its figures is missing."""
        self.checks: dict[type, Callable[[Any, State, State, Entry], None]] = {
            ReadingTaken: self._taken,
            StepTicked: self._ticked,
            StepBegun: self._ticked,
            ReadingStruck: self._struck,
            OperationClosed: self._closed,
            Disposed: self._disposed,
            Stopped: self._stopped,
            Resumed: self._resumed,
            Released: self._released,
            Reopened: self._reopened,
            SpecConfirmed: self._confirmed,
            GaugeTaken: self._gauge_taken,
            GaugeChecked: self._gauge_checked,
            GaugeDoubted: self._gauge_doubted,
            ToolChosen: self._tool,
            FirstPieceReleased: self._first,
            CameOn: self._came,
            WentOff: self._went,
            HandedOver: self._handed,
            TookBench: self._took_bench,
            CautionAcknowledged: self._acknowledged,
        }

    def see(self, before: State, after: State, entry: Entry) -> None:
        """Check one entry, with the states before and after it, and write it into the books."""
        check = self.checks.get(type(entry.event))
        if check is not None:
            check(entry.event, before, after, entry)

    # --- people -----------------------------------------------------------------------------------------------------

    def _came(self, event: CameOn, before: State, after: State, entry: Entry) -> None:
        del before
        if self.plan.rules.pins and event.role is Role.LEAD:
            must(event.signed, "a lead comes on with a PIN", event)
        self.on[event.operator] = event.role
        self._at(event.operator, entry.terminal, after)
        self.acknowledged = {pair for pair in self.acknowledged if pair[0] != event.operator}

    def _took_bench(self, event: TookBench, before: State, after: State, entry: Entry) -> None:
        del before
        must(self.on.get(event.operator) is event.role and entry.operator == event.operator, "who is on says so", event)
        if self.plan.rules.pins and event.role is Role.LEAD:
            must(event.signed, "a lead takes the bench with a PIN", event)
        self._at(event.operator, entry.terminal, after)

    def _at(self, operator: str, terminal: str, after: State) -> None:
        """Write down who was chosen last at a terminal: that is who stands there, and nowhere else."""
        self.at = {where: who for where, who in self.at.items() if who != operator} | {terminal: operator}
        here = {p.terminal: p.operator for p in after.people.values() if p.here}
        must(here == self.at, "whoever was chosen last at a terminal is the one there", (operator, terminal))

    def _went(self, event: WentOff, before: State, after: State, entry: Entry) -> None:
        del before, after, entry
        must(event.operator in self.on, "only who is on goes off", event)
        self.on.pop(event.operator)
        self.at = {where: who for where, who in self.at.items() if who != event.operator}
        self.acknowledged = {pair for pair in self.acknowledged if pair[0] != event.operator}

    def _handed(self, event: HandedOver, before: State, after: State, entry: Entry) -> None:
        del before
        must({event.by, event.to} <= set(self.on) and event.by != event.to, "two are there", event)
        must(entry.operator == event.to, "who takes over says so", event)
        self._at(event.to, entry.terminal, after)

    def _acknowledged(self, event: CautionAcknowledged, before: State, after: State, entry: Entry) -> None:
        del before, after
        must(entry.operator in self.on, "who acknowledges is on", event)
        self.acknowledged.add((entry.operator, event.caution))

    def _is(self, entry: Entry, least: Role, event: Event) -> None:
        must(entry.operator in self.on, "who acts is on", event)
        must(RANK[self.on[entry.operator]] >= RANK[least], f"this is for a {least}", event)

    def _signed(self, event: Event, entry: Entry) -> None:
        self._is(entry, Role.LEAD, event)
        if self.plan.rules.pins:
            must(getattr(event, "signed", False), "a lead signs with a PIN", event)

    # --- what is written down ---------------------------------------------------------------------------------------

    def _open(self, place: str, event: Event) -> None:
        must(not self.released, "nothing is written into a released job", event)
        heads = {self.index.head_of(leaf) for leaf in self.index.inside(place)}
        must(not heads & self.stopped, "nothing goes on at a stopped head", event)
        must(not heads & self.scrapped, "nothing goes on at a head given up", event)

    def _may_work(self, operation: Operation, place: str, entry: Entry, event: Event) -> None:
        self._is(entry, operation.who, event)
        self._open(place, event)
        for caution in operation.cautions:
            must((entry.operator, caution) in self.acknowledged, f"caution {caution} is acknowledged", event)

    def _in_order(self, operation: Operation, place: str, before: State, event: Event) -> None:
        """The position's path passes here, it is due, and everything that it needs holds."""
        inside = self.index.inside(place)
        paths = [leaf for leaf in inside if self._passes(operation, before.repair.get(leaf, ""))]
        must(paths, "the operation lies on the path", event)
        closed = before.attempt(operation.id, place).closed
        work = frozenset(operation.makes) & self._works()
        missing_work = any(not work <= before.held[leaf] for leaf in paths)
        must(missing_work or not closed or before.is_due(operation, place), "what is done is not written again", event)
        for need in operation.needs:
            for leaf in inside:
                if need in before.held[leaf]:
                    continue
                if (operation.id, leaf) in self.figures_only and need in operation.breaks and need not in self._works():
                    continue
                wide = operation.per is not Level.POSITION
                repair = before.repair.get(leaf, "")
                concerned = not wide or self.index.rules.concerns(need, repair, self.index.received)
                must(not concerned, f"{need} holds at {leaf}", event)

    def _works(self) -> frozenset[str]:
        return frozenset(c.id for c in self.plan.conditions if c.id not in self.index.states)

    @staticmethod
    def _passes(operation: Operation, repair: str) -> bool:
        return not operation.repairs or repair in operation.repairs

    def _ticked(self, event: StepTicked | StepBegun, before: State, after: State, entry: Entry) -> None:
        del after
        operation = self.index.operations[event.operation]
        self._may_work(operation, event.place, entry, event)
        if event.place in self.index.places_of(operation):
            self._in_order(operation, event.place, before, event)
            self._tool_allows(operation, event.place, before, event)

    def _taken(self, event: ReadingTaken, before: State, after: State, entry: Entry) -> None:
        operation = self.index.operations[event.operation]
        reading = self.index.readings[event.operation, event.reading]
        self._may_work(operation, event.place, entry, event)
        self._in_order(operation, event.place, before, event)
        self._tool_allows(operation, event.place, before, event)
        point = (event.reading, event.station, event.angle)
        there = before.writing(operation.id, event.place).readings.get(point)
        if there is not None:
            figures = [there.event.value, *(t.event.value for t in there.others)]
            unsettled = reading.agree is not None and (
                len(figures) == 1 or (len(figures) == 2 and _spread(figures) > reading.agree - SLACK)
            )
            must(event.repeat and unsettled, "a figure that stands is struck before another takes its place", event)
        if reading.sort is Sort.NUMBER:
            must(event.value is not None and math.isfinite(event.value), "a figure is a number", event)
            window = Bench(before, operation, event.place).window(reading)
            if window is not None and event.value is not None:
                inside = window[0] - SLACK <= event.value <= window[1] + SLACK
                must(inside or event.questioned, "a figure far off is questioned", event)
            self._traced(reading, event, before, entry)
        if event.gauge:
            self.since.setdefault(event.gauge, []).append(entry.number)
        must(after.attempt(operation.id, event.place).readings[point].number == entry.number, "it stands", event)

    def _traced(self, reading: Reading, event: ReadingTaken, before: State, entry: Entry) -> None:
        rules = self.plan.rules
        mastered = rules.mastering is not None and reading.gauge in rules.mastering.gauges
        if reading.gauge not in rules.gauges and not mastered:
            return
        must(self.sorts.get(event.gauge) == reading.gauge, "the reading is traced to a gauge of its sort", event)
        due = self.due[event.gauge]
        must(not due or entry.time[:10] <= due, "the gauge is not overdue", event)
        if not mastered or rules.mastering is None:
            return
        zero = self.zero.get(event.gauge)
        must(zero is not None, "the gauge is zeroed", event)
        if zero is None:
            return
        must(zero.operator == entry.operator, "a zero counts for whoever set it", event)
        age = datetime.fromisoformat(entry.time) - datetime.fromisoformat(zero.time)
        must(age.total_seconds() <= rules.mastering.seconds + 1, "the zero is not stale", event)
        must(len(self.since.get(event.gauge, ())) < rules.mastering.readings, "the zero is not worn", event)
        expected = Bench(before, self.index.operations[event.operation], event.place).value(reading.expect)
        if expected is not None and reading.dimension == "length":
            must(abs(expected - zero.size) <= rules.mastering.within + SLACK, "the ring is near the size", event)

    def _tool_allows(self, operation: Operation, place: str, before: State, event: Event) -> None:
        if not operation.tool:
            return
        tool = self.tools.get((operation.id, self._batch(operation, place)))
        must(tool is not None, "the tool is named", event)
        if tool is None or tool[1] or tool[0] == place:
            return
        first = tool[0]
        still = any(self._passes(operation, before.repair.get(leaf, "")) for leaf in self.index.inside(first))
        must(not still or self.index.head_of(first) in self.scrapped, "the first piece is released", event)

    def _batch(self, operation: Operation, place: str) -> str:
        kind = self.index.places[place].kind
        return kind.value if operation.batch and kind is not None else ""

    def _struck(self, event: ReadingStruck, before: State, after: State, entry: Entry) -> None:
        del entry
        must(event.reason.strip(), "a strike has its reason", event)
        at, key = before.where[event.number]
        standing = before.attempt(*at).readings.get(key)
        if standing is None or event.number not in {standing.number, *(t.number for t in standing.others)}:
            return
        must(not after.attempt(*at).closed, "a strike takes the closing back", event)
        self._only_figures(self.index.operations[at[0]], at[1], before)
        for operation in self.plan.operations:
            rests = operation.id != at[0] and any(
                ref.sort == "reading" and (ref.operation, ref.name) == (at[0], key[0])
                for formula in judged_by(operation)
                for ref in formula.refs.values()
            )
            if rests:
                for place in self.index.around(at[1], operation.per):
                    self._only_figures(operation, place, before)
                    must(
                        not after.attempt(operation.id, place).closed, f"what rests on it in {operation.id} too", event
                    )

    def _only_figures(self, operation: Operation, place: str, before: State) -> None:
        """Write down where an operation was done and is not undone by what is struck."""
        work = frozenset(operation.makes) & self._works()
        if before.attempt(operation.id, place).closed:
            for leaf in self.index.inside(place):
                if self._passes(operation, before.repair.get(leaf, "")) and work <= before.held[leaf]:
                    self.figures_only.add((operation.id, leaf))

    def _undone(self, leaf: str, lost: frozenset[str]) -> None:
        """Write down that work is lost at a position: what was struck of it is not only read again."""
        self.figures_only = {
            (name, at)
            for name, at in self.figures_only
            if at != leaf or not frozenset(self.index.operations[name].makes) & lost & self._works()
        }

    # --- closing ----------------------------------------------------------------------------------------------------

    def _closed(self, event: OperationClosed, before: State, after: State, entry: Entry) -> None:
        del entry
        operation = self.index.operations[event.operation]
        self._open(event.place, event)
        self._in_order(operation, event.place, before, event)
        self._leaves(operation, event, before, after)
        attempt = before.attempt(operation.id, event.place)
        for step in operation.steps:
            if step.tick is not Tick.NO:
                spot = self.index.tick_place(operation, event.place, step.tick)
                must(step.name in before.attempt(operation.id, spot).ticks, f"step {step.name} is ticked", event)
        for reading in operation.readings:
            for point in self.index.points(operation.id, reading.name):
                taken = attempt.readings.get(point)
                must(taken is not None, f"{reading.name} is read", event)
                if taken is not None and reading.agree is not None and len(taken.others) < 2:
                    figures = [taken.event.value, *(t.event.value for t in taken.others)]
                    must(len(figures) > 1, f"{reading.name} is repeated", event)
                    must(_spread(figures) <= reading.agree + SLACK, f"the figures of {reading.name} agree", event)
        items: tuple[Reading | Result, ...] = (*operation.readings, *operation.results)
        for item in items:
            self._item_passes(operation, event.place, item, before, event)

    def _leaves(self, operation: Operation, event: OperationClosed, before: State, after: State) -> None:
        """What a closing leaves: reading again what was struck does nothing to the head, work done spoils and makes."""
        for leaf in self.index.inside(event.place):
            if not self._passes(operation, before.repair.get(leaf, "")):
                continue
            makes, breaks = frozenset(operation.makes), frozenset(operation.breaks)
            if (operation.id, leaf) in self.figures_only:
                self.figures_only.remove((operation.id, leaf))
                held = before.held[leaf] | (makes & self._works())
            else:
                self._undone(leaf, breaks)
                held = (before.held[leaf] - breaks) | makes
            must(after.held[leaf] == held, f"{leaf} holds what the closing leaves", event)

    def _item_passes(self, op: Operation, place: str, item: Reading | Result, before: State, event: Event) -> None:
        attempt = before.attempt(op.id, place)
        decided = attempt.decided.get(item.name)
        if decided is not None:
            must(decided.disposition is Disposition.CONCESSION, "only a concession lets a figure stand", event)
            return
        accept = getattr(item, "accept", ())
        if accept:
            words = [taken.event.word for key, taken in attempt.readings.items() if key[0] == item.name]
            must(all(word in accept for word in words), f"{item.name} passes", event)
        if item.limit is None:
            return
        figure = Bench(before, op, place).figure(item.name)
        must(figure.least is not None and figure.most is not None, f"{item.name} is worked out", event)
        if figure.least is None or figure.most is None:
            return
        guard = self._guard(op, item, attempt)
        if figure.low is not None:
            must(figure.least >= figure.low + guard - SLACK, f"{item.name} is not low", event)
        if figure.high is not None:
            must(figure.most <= figure.high - guard + SLACK, f"{item.name} is not high", event)

    def _guard(self, op: Operation, item: Reading | Result, attempt: Attempt) -> float:
        """Give the least guard that proof wants: that of the gauge which the item's own readings were taken with."""
        if not item.proof:
            return 0.0
        feeding = self.index.feeding(op.id, item.name)
        gauges = {t.event.gauge for key, t in attempt.readings.items() if key[0] in feeding and t.event.gauge}
        if not gauges:
            return math.inf  # nothing can be proved without a gauge
        return GUARD * min(self.uncertainty[gauge] for gauge in gauges) / 2

    # --- decisions --------------------------------------------------------------------------------------------------

    def _disposed(self, event: Disposed, before: State, after: State, entry: Entry) -> None:
        must(event.reason.strip(), "a decision has its reason", event)
        match event.disposition:
            case Disposition.CONCESSION:
                self._conceded(event, before, entry)
            case Disposition.SCRAP:
                self._signed(event, entry)
                self.scrapped |= {self.index.head_of(leaf) for leaf in self.index.inside(event.place)}
            case Disposition.REMEASURE:
                self._is(entry, Role.MACHINIST, event)
                self._open(event.place, event)
            case Disposition.REWORK:
                self._is(entry, Role.MACHINIST, event)
                self._open(event.place, event)
                self._reworked(event, before, after)

    def _conceded(self, event: Disposed, before: State, entry: Entry) -> None:
        self._signed(event, entry)
        self._open(event.place, event)
        item = self.index.readings.get((event.operation, event.item)) or self.index.results[event.operation, event.item]
        must(not item.firm, "nobody concedes a limit of safety or law", event)
        if not self.plan.rules.own_concession:
            feeding = self.index.feeding(event.operation, event.item)
            readings = before.attempt(event.operation, event.place).readings
            takers = {each.operator for key, t in readings.items() if key[0] in feeding for each in (t, *t.others)}
            must(entry.operator not in takers, "nobody concedes his own", event)

    def _reworked(self, event: Disposed, before: State, after: State) -> None:
        again = self.index.operations[event.redo or event.operation]
        leaves = {leaf for place in self.index.around(event.place, again.per) for leaf in self.index.inside(place)}
        works = self._works()
        lost = (frozenset(again.makes) | frozenset(again.breaks)) & works
        for leaf in leaves:
            self._undone(leaf, lost)
            must(not lost & after.held[leaf], f"the work that a rework spoils is gone at {leaf}", event)
        for leaf in self.index.inside(event.place):
            self._undone(leaf, frozenset(self.index.operations[event.operation].makes))
        for operation in self.plan.operations:
            if not frozenset(operation.makes) & lost:
                continue
            for place in self.index.places_of(operation):
                if leaves & set(self.index.inside(place)):
                    must(not after.attempt(operation.id, place).readings, "spoilt readings count for nothing", event)
        del before

    def _stopped(self, event: Stopped, before: State, after: State, entry: Entry) -> None:
        del before, after, entry
        must(event.reason.strip(), "a stop has its reason", event)
        self.stopped |= {self.index.head_of(leaf) for leaf in self.index.inside(event.place)}

    def _resumed(self, event: Resumed, before: State, after: State, entry: Entry) -> None:
        del before, after
        self._signed(event, entry)
        must(event.reason.strip(), "resuming has its reason", event)
        self.stopped -= {self.index.head_of(leaf) for leaf in self.index.inside(event.place)}

    def _confirmed(self, event: SpecConfirmed, before: State, after: State, entry: Entry) -> None:
        del before, after
        self._signed(event, entry)
        must(event.source.strip(), "confirming names its source", event)
        self.confirmed.add(event.spec)

    def _released(self, event: Released, before: State, after: State, entry: Entry) -> None:
        del after
        self._signed(event, entry)
        must(not self.stopped and not self.released, "nothing stops a release", event)
        left = [head.id for head in self.index.heads if head.id not in self.scrapped]
        must(left, "there is something to release", event)
        works = self._works()
        for operation in self.plan.operations:
            for leaf in (leaf for head in left for leaf in self.index.inside(head)):
                if self._passes(operation, before.repair.get(leaf, "")):
                    work = frozenset(operation.makes) & works
                    must(work <= before.held[leaf], f"{operation.id} is done at {leaf}", event)
        for spec in self.plan.specs:
            must(spec.confirmed or spec.name in self.confirmed, f"{spec.name} is confirmed", event)
        mastered = self.plan.rules.mastering.gauges if self.plan.rules.mastering is not None else ()
        for gauge in (gauge for gauge, sort in self.sorts.items() if sort in mastered):
            must(not self._standing(gauge, before), f"{gauge} came back to its ring", event)
        self.released = True

    def _reopened(self, event: Reopened, before: State, after: State, entry: Entry) -> None:
        del before, after
        self._signed(event, entry)
        self.released = False

    # --- gauges and tools -------------------------------------------------------------------------------------------

    def _gauge_taken(self, event: GaugeTaken, before: State, after: State, entry: Entry) -> None:
        del before, after
        self._is(entry, Role.TRAINEE, event)
        must(not event.due or entry.time[:10] <= event.due, "an overdue gauge stays in its case", event)
        must(self.sorts.setdefault(event.gauge, event.sort) == event.sort, "a gauge is of one sort", event)
        must(event.due or not self.due.get(event.gauge), "a gauge keeps the day on which it is due", event)
        self.due[event.gauge], self.uncertainty[event.gauge] = event.due, event.uncertainty

    def _gauge_checked(self, event: GaugeChecked, before: State, after: State, entry: Entry) -> None:
        del before, after
        self._is(entry, Role.TRAINEE, event)
        rule = self.plan.rules.mastering
        if rule is not None and self.sorts[event.gauge] in rule.gauges:
            must(abs(event.after) <= rule.drift + SLACK, "a zero is set on the ring", event)
        self.zero[event.gauge] = Zero(entry.time, entry.operator, event.size, event.uncertainty)

    def _gauge_doubted(self, event: GaugeDoubted, before: State, after: State, entry: Entry) -> None:
        del before, after, entry
        self.zero.pop(event.gauge, None)

    def settled(self, events: tuple[Event, ...], after: State) -> None:
        """Check what must be true once all that follows from a wish is on record."""
        for event in events:
            if isinstance(event, GaugeChecked):
                rule = self.plan.rules.mastering
                mastered = rule is not None and self.sorts[event.gauge] in rule.gauges
                if rule is not None and mastered and abs(event.before) > rule.drift + SLACK:
                    must(not self._standing(event.gauge, after), "a drift takes its readings with it", event)
                self.since[event.gauge] = []
            if isinstance(event, GaugeDoubted) and not self.released:
                left = [n for n in self._standing(event.gauge, after) if self._time(after, n) > event.since]
                must(not left, "a doubt takes its readings with it", event)

    def _standing(self, gauge: str, state: State) -> list[int]:
        """Give the readings since a gauge's zero that still count."""
        counting = {
            each.number
            for attempt in state.attempts.values()
            for taken in attempt.readings.values()
            for each in (taken, *taken.others)
        }
        return [number for number in self.since.get(gauge, ()) if number in counting]

    @staticmethod
    def _time(state: State, number: int) -> str:
        at, key = state.where[number]
        taken = state.attempt(*at).readings[key]
        return next(each.time for each in (taken, *taken.others) if each.number == number)

    def _tool(self, event: ToolChosen, before: State, after: State, entry: Entry) -> None:
        del before, after
        operation = self.index.operations[event.operation]
        self._is(entry, operation.who, event)
        self.tools[operation.id, self._batch(operation, event.place)] = (event.place, False)

    def _first(self, event: FirstPieceReleased, before: State, after: State, entry: Entry) -> None:
        del after
        self._is(entry, Role.MACHINIST, event)
        must(before.attempt(event.operation, event.place).closed, "a first piece is complete", event)
        operation = self.index.operations[event.operation]
        group = (operation.id, self._batch(operation, event.place))
        must(self.tools[group][0] == event.place, "the first piece is where the tool was named", event)
        self.tools[group] = (event.place, True)


def _spread(figures: list[float | None]) -> float:
    known = [figure for figure in figures if figure is not None]
    return max(known) - min(known)


def others_kept_their_conditions(before: State, after: State, events: tuple[Event, ...]) -> None:
    """No event changes another position's conditions unless it says so."""
    named: set[str] = set()
    index = after.index
    for event in events:
        if isinstance(event, OperationClosed):
            named.update(index.inside(event.place))
        elif isinstance(event, Disposed) and event.disposition is Disposition.REWORK:
            again = index.operations[event.redo or event.operation]
            named.update(leaf for place in index.around(event.place, again.per) for leaf in index.inside(place))
        elif isinstance(event, ReadingStruck):
            (operation, place), key = after.where[event.number]
            named.update(index.inside(place))
            for resting in index.rests_on.get((operation, key[0]), ()):
                for wide in index.around(place, index.operations[resting].per):
                    named.update(index.inside(wide))
    for position in index.positions:
        if position.id not in named:
            must(before.held[position.id] == after.held[position.id], f"{position.id} keeps its conditions", events)
