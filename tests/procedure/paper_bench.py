"""A bench on paper: one position of a plan, all that may be done there, and what the bench shows of it."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from headwright.job.index import PlanIndex
from headwright.procedure.order import Held, OrderRules
from headwright.procedure.plan import Level, Sort

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.plan import Operation, Plan, Remedy

Shown = tuple[tuple[str, bool], ...]
"""What is due at the position, each with whether the bench lets somebody begin it."""


class Standing(NamedTuple):
    """How a position stands: what holds, and the repair decided for it (empty: none yet)."""

    held: Held
    repair: str


class PaperBench:
    """One position of a plan, by the rules of order that the real bench asks."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.rules = OrderRules.of(plan)
        self.received: Held = frozenset(plan.received)
        self.operations = {operation.id: operation for operation in plan.operations}
        self._known: dict[Standing, Shown] = {}

    @property
    def start(self) -> Standing:
        """Give the position as received."""
        return Standing(self.received, "")

    def without(self, operation: str, key: str, condition: str) -> PaperBench:
        """Give the bench of the same plan without one entry of `needs`, `makes` or `breaks`."""
        kept = tuple(name for name in getattr(self.operations[operation], key) if name != condition)
        cut = replace(self.operations[operation], **{key: kept})
        operations = tuple(cut if each.id == operation else each for each in self.plan.operations)
        return PaperBench(replace(self.plan, operations=operations))

    def missing(self, operation: Operation, at: Standing) -> tuple[str, ...]:
        """Give the needs that lock the operation; at a wider place only those that this position can have."""
        missing = self.rules.missing(operation, at.held)
        if operation.per is Level.POSITION:
            return missing
        return tuple(need for need in missing if self.rules.concerns(need, at.repair, self.received))

    def shows(self, at: Standing) -> Shown:
        """Give what is due, and what of it somebody is let into."""
        if at not in self._known:
            due = self.rules.due(at.held, at.repair)
            self._known[at] = tuple((operation.id, not self.missing(operation, at)) for operation in due)
        return self._known[at]

    def open(self, at: Standing) -> list[Operation]:
        """Give the operations that may be done next, in route order."""
        return [self.operations[name] for name, is_open in self.shows(at) if is_open]

    def done(self, at: Standing) -> list[Operation]:
        """Give the operations that are done here."""
        rules = self.rules
        return [op for op in self.plan.operations if rules.applies(op, at.repair) and rules.is_done(op, at.held)]

    def closed(self, at: Standing, operation: str, choice: str = "") -> Standing:
        """Close an operation; `choice` is the repair that it decides, where it decides one."""
        return Standing(self.rules.after_closing(self.operations[operation], at.held), choice or at.repair)

    def ordered(self, at: Standing, operation: str, repair: str = "") -> Standing:
        """Order an operation again, with another repair where one is named."""
        return Standing(self.rules.after_rework(self.operations[operation], at.held), repair or at.repair)

    def struck(self, at: Standing, operation: Operation) -> list[Standing]:
        """Strike one reading of a done operation: its work no longer holds, nor work whose verdict rests on it."""
        found: dict[Standing, None] = {}
        for resting in self._resting[operation.id]:
            lost = frozenset[str]().union(*(self.rules.work(each) for each in resting if self._is_done(each, at)))
            found[Standing(at.held - lost, at.repair)] = None
        return list(found)

    def _is_done(self, operation: Operation, at: Standing) -> bool:
        return self.rules.applies(operation, at.repair) and self.rules.is_done(operation, at.held)

    def held_at(self, at: Standing) -> Iterator[tuple[Standing, Operation]]:
        """Give every way to have a figure out: in an operation that is open, or after a strike in one that was done."""
        for operation in self.open(at):
            if operation.id in self._judging:
                yield at, operation
        for operation in self.done(at):
            if operation.id in self._judging:
                for after in self.struck(at, operation):
                    if not self.missing(operation, after):
                        yield after, operation

    def orders(self, operation: Operation, repair: str) -> list[tuple[str, str]]:
        """Give what may be ordered again from a hold: by a remedy, or by a lead, who may order anything earlier."""
        earlier = self.plan.operations[: self.rules.index[operation.id] + 1]
        ways = [*self._remedies[operation.id], *((each.id, "") for each in earlier)]
        return [way for way in dict.fromkeys(ways) if self.rules.applies(self.operations[way[0]], way[1] or repair)]

    def choices(self, operation: Operation) -> tuple[str, ...]:
        """Give the repairs that the operation decides between."""
        return next((reading.choices for reading in operation.readings if reading.sort is Sort.REPAIR), ())

    @cached_property
    def elsewhere(self) -> tuple[Operation, ...]:
        """Give the wider operations that another position can be sent back to: this one has them done again too."""
        named = {redo for ways in self._remedies.values() for redo, _ in ways}
        wide = [operation for operation in self.plan.operations if operation.per is not Level.POSITION]
        return tuple(each for each in wide if each.id in named or self._is_called(each))

    def _is_called(self, operation: Operation) -> bool:
        states, work = frozenset(operation.makes) - self.rules.works, self.rules.work(operation)
        others = [each for each in self.plan.operations if each is not operation]
        return any(states & {*each.needs} or work & {*each.breaks} for each in others)

    @cached_property
    def _judging(self) -> frozenset[str]:
        return frozenset(
            op.id
            for op in self.plan.operations
            if any(reading.limit or reading.accept for reading in op.readings) or any(each.limit for each in op.results)
        )

    @cached_property
    def _remedies(self) -> dict[str, list[tuple[str, str]]]:
        return {
            op.id: [
                (remedy.redo or op.id, remedy.repair)
                for remedy in remedies_of(op)
                if not remedy.remeasure and not (remedy.stop and not remedy.redo)
            ]
            for op in self.plan.operations
        }

    @cached_property
    def _resting(self) -> dict[str, list[tuple[Operation, ...]]]:
        rests = PlanIndex(self.plan).rests_on
        return {
            op.id: [
                (op, *(self.operations[name] for name in rests.get((op.id, each.name), ()))) for each in op.readings
            ]
            for op in self.plan.operations
        }


def remedies_of(operation: Operation) -> list[Remedy]:
    """Give every remedy of an operation."""
    ways = [remedy for reading in operation.readings for remedy in reading.remedies]
    return [*ways, *(remedy for result in operation.results for remedy in result.remedies)]
