"""A crowd at the bench: machinists, trainees and leads who do the work at hand, well or badly, or something else."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.agenda import Now, next_up
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Event,
    FirstPieceReleased,
    GaugeChecked,
    GaugeDoubted,
    GaugeTaken,
    HandedOver,
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
from headwright.job.gauges import in_hand
from headwright.job.holds import holds
from headwright.procedure.plan import Role, Sort, Tick

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

    from headwright.job.agenda import Next
    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading

PEOPLE = {"02": Role.LEAD, "03": Role.LEAD, "07": Role.MACHINIST, "12": Role.MACHINIST, "31": Role.TRAINEE}
IN_DATE, OVERDUE = "2099-01-01", "2020-01-01"
UNCERTAINTY = 0.003
"""mm, expanded: that of the crowd's gauges."""
Wish = tuple[Event, str]


def gauge_of(sort: str) -> str:
    return f"{sort} 1"


class Crowd:
    """Wishes, drawn from a source of chance, for a job as it stands."""

    def __init__(self, state: State, chance: Random, now: str) -> None:
        self.state, self.chance, self.now = state, chance, now
        self.index = state.index

    def anybody(self) -> str:
        return self.chance.choice(sorted(PEOPLE))

    def there(self, least: Role = Role.TRAINEE) -> str:
        """Give somebody who is on and may do this; anybody where there is nobody."""
        ranks = [Role.TRAINEE, Role.MACHINIST, Role.LEAD]
        able = [
            p for p, known in self.state.people.items() if known.on and ranks.index(known.role) >= ranks.index(least)
        ]
        return self.chance.choice(sorted(able)) if able else self.anybody()

    def one_of(self, *wishes: Wish) -> Wish:
        return self.chance.choice(wishes)

    def as_lead(self, event: Event) -> Wish:
        return event, self.there(Role.LEAD)

    def come(self) -> Wish:
        operator = self.anybody()
        return CameOn(operator, f"Somebody {operator}", PEOPLE[operator], signed=self.chance.random() < 0.9), operator

    # --- the work at hand -------------------------------------------------------------------------------------------

    def next_step(self, worker: str = "") -> Wish:
        """Do what is next, as somebody would who does it well; left out, it is anybody who is on."""
        worker = worker if self.state.is_on(worker) else self.there()
        found = next_up(self.state, worker, now=self.now)
        if found.now is Now.LOCKED and any(block.who is Role.LEAD for block in found.blocks):
            worker = self.there(Role.LEAD)
            if not self.state.is_on(worker):
                return CameOn("02", "Somebody 02", Role.LEAD, signed=True), "02"
            found = next_up(self.state, worker, now=self.now)
        return self._does(found, worker)

    def _does(self, found: Next, worker: str) -> Wish:
        simple: dict[Now, Callable[[], Wish]] = {
            Now.COME_ON: self.come,
            Now.HOLD: self.decide_a_hold,
            Now.STOP: lambda: (Resumed(found.place, "looked at it", signed=True), self.there(Role.LEAD)),
            Now.CAUTION: lambda: (CautionAcknowledged(found.subject), worker),
            Now.STEP: lambda: (StepTicked(found.operation, found.place, found.subject), worker),
            Now.GAUGE: lambda: self.gauge_for(found.subject, found, worker),
            Now.TOOL: lambda: (ToolChosen(found.operation, found.place, found.subject, "K-1"), worker),
            Now.FIRST: lambda: (FirstPieceReleased(found.operation, found.place), self.there(Role.MACHINIST)),
            Now.CONFIRM: lambda: self.one_of(
                self.as_lead(SpecConfirmed(found.subject, "sheet 7", signed=True)),
                self.as_lead(SpecConfirmed(found.subject, "sheet 7", signed=True)),
                self.as_lead(Released(signed=True)),
            ),
            Now.RELEASE: lambda: self.one_of(self.as_lead(Released(signed=True)), self.strike(), self.strike()),
            Now.RELEASED: lambda: self.one_of(
                self.as_lead(Reopened("it smokes", signed=True)), self.out_of_turn(), self.strike()
            ),
        }
        if found.now is Now.READING and found.point is not None:
            good = self.chance.random() < 0.93
            return self.reading(found.operation, found.place, found.point, worker, good=good), worker
        if found.now is Now.STEP and self.index.operations[found.operation].readings and self.chance.random() < 0.4:
            return self._before_its_step(found.operation, worker), worker
        if found.now is Now.GAUGE and found.point is None and self.chance.random() < 0.4:
            return Released(signed=True), self.there(Role.LEAD)
        return simple[found.now]() if found.now in simple else self.anything()

    def gauge_for(self, sort: str, found: Next, worker: str) -> Wish:
        gauge = in_hand(self.state, worker, sort)
        if gauge is None or gauge.is_overdue(self.now):
            return GaugeTaken(gauge_of(sort), sort, 0.0001, UNCERTAINTY, IN_DATE), worker
        expected = None
        if found.point is not None:
            reading = self.index.readings[found.operation, found.point[0]]
            expected = Bench(self.state, self.index.operations[found.operation], found.place).value(reading.expect)
        size = expected if expected is not None and expected > 0 else 8.0
        return GaugeChecked(gauge.gauge, "R-1", size, 0.0, 0.0, 0.0008), worker

    def reading(self, operation: str, place: str, point: PointKey, worker: str, *, good: bool = True) -> ReadingTaken:
        """Give a reading at a point: one that passes if there is one near what is expected, or any at all."""
        op, reading = self.index.operations[operation], self.index.readings[operation, point[0]]
        attempt = self.state.writing(operation, place)
        there = attempt.readings.get(point)
        over = there.number if there is not None else 0
        repeat = there is not None and not attempt.has(reading, point)
        name, station, angle = point
        gauge = in_hand(self.state, worker, reading.gauge)
        common = {"station": station, "angle": angle, "over": over, "repeat": repeat}
        if reading.sort is not Sort.NUMBER:
            words = self.index.words(reading) or ("plain text",)
            if reading.sort is Sort.REPAIR and self.chance.random() < 0.7:
                words = tuple(word for word in words if word != "reuse") or words
            word = self.chance.choice(
                [w for w in words if not reading.accept or w in reading.accept] if good else words
            )
            return ReadingTaken(operation, place, name, word, word=word, **common)  # type: ignore[arg-type]
        value = self._passing(op, place, reading, point) if good else self._any(op, place, reading)
        if repeat and good and there is not None and there.event.value is not None:
            value = there.event.value
        slip = "far off" if self.chance.random() < 0.5 or good else ""
        return ReadingTaken(
            operation, place, name, f"{value:.5f}", reading.unit, value, "", station, angle, slip, over, repeat,
            gauge.gauge if gauge is not None else "",
        )  # fmt: skip

    def _middle(self, op: Operation, place: str, reading: Reading) -> float:
        bench = Bench(self.state, op, place)
        low, high, _ = bench.limits(reading.limit)
        if low is not None or high is not None:
            ends = [end for end in (low, high) if end is not None]
            return sum(ends) / len(ends)
        expected = bench.value(reading.expect)
        return expected if expected is not None else 5 * (reading.resolution or 1.0)

    def _passing(self, op: Operation, place: str, reading: Reading, point: PointKey) -> float:
        """Look for a figure near the middle with which nothing of the operation fails."""
        middle, step = self._middle(op, place, reading), reading.resolution or 0.001
        for away in (0, 5, -5, 10, -10, 15, 20, -20, 30, 40, 60):
            value = middle + away * step
            figures = Bench(self.state, op, place, {point: value}).figures()
            if not any(figure.verdict.fails and figure.verdict.value in {"low", "high"} for figure in figures):
                return value
        return middle

    def _any(self, op: Operation, place: str, reading: Reading) -> float:
        middle, step = self._middle(op, place, reading), reading.resolution or 0.001
        near = [middle + self.chance.randint(-40, 40) * step for _ in range(4)]
        return self.chance.choice([*near, middle * 10, -middle, middle * 25.4, 0.0, math.nan])

    # --- badly ------------------------------------------------------------------------------------------------------

    def bad_figure(self) -> Wish:
        """Do what is next with any figure or word, where it is a reading."""
        worker = self.there()
        found = next_up(self.state, worker, now=self.now)
        if found.now is Now.STEP and self.index.operations[found.operation].readings:
            return self._before_its_step(found.operation, worker), worker
        if found.now is not Now.READING or found.point is None:
            return self.out_of_turn()
        return self.reading(found.operation, found.place, found.point, worker, good=False), worker

    def _before_its_step(self, operation: str, worker: str) -> ReadingTaken:
        """Read what is to be read in an operation before the step that comes first there."""
        op = self.index.operations[operation]
        place = max(self.index.places_of(op), key=lambda at: len(self.state.writing(operation, at).readings))
        attempt = self.state.writing(operation, place)
        points = [p for r in op.readings for p in self.index.points(operation, r.name) if not attempt.has(r, p)]
        point = points[0] if points else self.index.points(operation, op.readings[0].name)[0]
        return self.reading(operation, place, point, worker)

    def by_another(self) -> Wish:
        """Do what is next as somebody who may not be there, or may not do it, or did not sign."""
        event, _ = self.next_step()
        if hasattr(event, "signed") and self.chance.random() < 0.5:
            event = replace(event, signed=False)
        return event, self.anybody()

    def out_of_turn(self) -> Wish:
        """Read or tick anything anywhere: what is due or not, on the path or not."""
        operation = self.chance.choice(self.index.plan.operations)
        place = self.chance.choice(self.index.places_of(operation))
        worker = self.there()
        if operation.readings and self.chance.random() < 0.7:
            reading = self.chance.choice(operation.readings)
            point = self.chance.choice(self.index.points(operation.id, reading.name))
            return self.reading(operation.id, place, point, worker, good=self.chance.random() < 0.7), worker
        steps = [step for step in operation.steps if step.tick is not Tick.NO]
        if not steps:
            return self.come()
        step = self.chance.choice(steps)
        spot = self.index.tick_place(operation, place, step.tick)
        if self.chance.random() < 0.3:
            return StepBegun(operation.id, spot, step.name), worker
        return StepTicked(operation.id, spot, step.name), worker

    def astray(self) -> Wish:
        """Read or tick where the position does not pass, or at a head that was given up or stopped."""
        worker = self.there()
        lost = {*self.state.scrapped, *self.state.stopped}
        spots = [
            (op, place)
            for op in self.index.plan.operations
            for place in self.index.places_of(op)
            if (self.index.head_of(place) in lost or not self.state.applies(op, place))
            and all(set(op.needs) <= self.state.held[leaf] for leaf in self.index.inside(place))
        ]
        if not spots:
            return self.out_of_turn()
        op, place = self.chance.choice(spots)
        for caution in op.cautions:
            knowing = [person for person, known in self.state.acknowledged if known == caution]
            if not knowing:
                return CautionAcknowledged(caution), worker
            worker = self.chance.choice(sorted(knowing))
        points = [point for reading in op.readings for point in self.index.points(op.id, reading.name)]
        if points:
            return self.reading(op.id, place, self.chance.choice(points), worker), worker
        steps = [step for step in op.steps if step.tick is not Tick.NO]
        step = self.chance.choice(steps)
        return StepTicked(op.id, self.index.tick_place(op, place, step.tick), step.name), worker

    def unseen(self) -> Wish:
        """Type a figure over one that has been read, without having seen it; or repeat one that is settled."""
        standing = [(at, key) for at, a in self.state.attempts.items() for key in a.readings if not a.closed]
        if not standing:
            return self.bad_figure()
        (operation, place), key = self.chance.choice(standing)
        worker = self.there()
        wanted = self.reading(operation, place, key, worker)
        return replace(
            wanted, over=self.chance.choice([0, wanted.over - 1, wanted.over]), repeat=self.chance.random() < 0.5
        ), worker

    # --- decisions and the rest -------------------------------------------------------------------------------------

    def decide_a_hold(self) -> Wish:
        waiting = holds(self.state)
        if not waiting:
            return self.anything()
        hold = self.chance.choice(waiting)
        ways = [way for way in hold.ways if way.disposition is not Disposition.SCRAP or self.chance.random() < 0.1]
        way = self.chance.choice(ways)
        if way.disposition is None:
            return Stopped(hold.place, "it says so"), self.there()
        signed = self.chance.random() < 0.9
        least = way.who if self.chance.random() < 0.8 else Role.TRAINEE
        return (
            Disposed(
                hold.operation, hold.place, hold.figure.item, way.disposition, "looked at it", way.redo, way.repair,
                signed=signed,
            ),
            self.there(least),
        )  # fmt: skip

    def concede_anything(self) -> Wish:
        """Concede some failing or passing figure, as a lead, whether there is such a way out or not."""
        waiting = holds(self.state)
        begun = [at for at, attempt in self.state.attempts.items() if attempt.readings]
        if waiting and self.chance.random() < 0.8:
            hold = self.chance.choice(waiting)
            operation, place, item = hold.operation, hold.place, hold.figure.item
        elif begun:
            operation, place = self.chance.choice(begun)
            op = self.index.operations[operation]
            item = self.chance.choice([*(r.name for r in op.readings), *(r.name for r in op.results)])
        else:
            return self.come()
        wanted = Disposed(operation, place, item, Disposition.CONCESSION, "good enough", signed=True)
        return wanted, self.there(Role.LEAD)

    def strike(self) -> Wish:
        return ReadingStruck(self.chance.choice([*self.state.where, 9999]), "misread"), self.there()

    def gauges(self) -> Wish:
        """Take, check or mistrust a gauge: in date or not, on any ring, in order or drifted."""
        sorts = sorted({r.gauge for r in self.index.readings.values() if r.gauge}) or ["bore gauge"]
        sort = self.chance.choice(sorts)
        worker = self.there()
        if self.chance.random() < 0.3:
            due = self.chance.choice([IN_DATE, OVERDUE, ""])
            return GaugeTaken(gauge_of(sort), sort, 0.0001, UNCERTAINTY, due), worker
        relied = [gauge.gauge for gauge in self.state.gauges.values() if gauge.after]
        known = sorted(relied or self.state.gauges) or [gauge_of(sort)]
        gauge = self.chance.choice(known)
        if self.chance.random() < 0.2:
            since = self.chance.choice(["", self.state.time])
            return GaugeDoubted(gauge, 0.006, since, "999"), worker
        old = self.state.gauges.get(gauge)
        size = old.check.size if old is not None and old.check is not None else 8.0
        size = self.chance.choice([size, size, size + 1.0])
        off, left = self.chance.choice([0.0, 0.002, 0.01, -0.01]), self.chance.choice([0.0, 0.0, 0.0, 0.02])
        return GaugeChecked(gauge, "R-1", size, off, left, 0.0008), worker

    def tools(self) -> Wish:
        """Change a tool somewhere, or release some first piece."""
        named = [op for op in self.index.plan.operations if op.tool]
        if not named:
            return self.out_of_turn()
        operation = self.chance.choice(named)
        place = self.chance.choice(self.index.places_of(operation))
        if self.chance.random() < 0.5:
            return FirstPieceReleased(operation.id, place), self.there()
        return ToolChosen(operation.id, place, operation.tool, "K-2"), self.there()

    def anything(self) -> Wish:
        """Do something that is no work: come, go, hand over, stop, resume, confirm, release, reopen."""
        operator, head = self.there(), self.chance.choice(self.index.heads).id
        signed = self.chance.random() < 0.8
        specs = [spec.name for spec in self.index.plan.specs] or ["none"]
        cautions = [caution.id for caution in self.index.plan.cautions] or ["none"]
        work = self.chance.choice(self.index.plan.operations)
        lost = Disposed(
            work.id, self.index.places_of(work)[0], "", Disposition.SCRAP, "cracked", signed=self.chance.random() < 0.7
        )
        return self.one_of(
            self.as_lead(lost),
            self.come(),
            self.come(),
            (WentOff(operator), operator),
            (TookBench(operator, PEOPLE[self.anybody()], signed=signed), operator),
            (TookBench(operator, PEOPLE[operator], signed=signed), operator),
            (HandedOver(operator, self.anybody()), self.anybody()),
            (Stopped(head, "dropped"), operator),
            (Resumed(head, "looked at it", signed=signed), operator),
            self.as_lead(Resumed(head, "looked at it", signed=signed)),
            (SpecConfirmed(self.chance.choice(specs), "sheet 7", signed=signed), operator),
            (Released(signed=signed), operator),
            self.as_lead(Released(signed=signed)),
            (Reopened("it smokes", signed=signed), operator),
            (CautionAcknowledged(self.chance.choice(cautions)), operator),
        )
