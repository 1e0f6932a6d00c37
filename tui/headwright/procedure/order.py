"""How conditions make the order of work, at one position.

The bench and the proof of a route use these same rules, so they cannot disagree. `held` is always the set of
conditions that hold at one position; an operation at a wider place is done there when it is done at every position
inside to which it applies.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.procedure.plan import ConditionSort, Operation

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.procedure.plan import Plan

Held = frozenset[str]
NONE: frozenset[str] = frozenset()


class OrderRules:
    """The rules of one route. `operations` in route order, `works` the conditions of sort work."""

    def __init__(self, operations: Sequence[Operation], works: Iterable[str]) -> None:
        self.operations = tuple(operations)
        self.works = frozenset(works)
        self.index = {operation.id: number for number, operation in enumerate(self.operations)}
        self._work = {op.id: frozenset(op.makes) & self.works for op in self.operations}
        self._spent = {op.id: frozenset(op.needs) & frozenset(op.breaks) - self.works for op in self.operations}
        self._makers: dict[str, tuple[Operation, ...]] = {}
        for operation in self.operations:
            for condition in operation.makes:
                self._makers[condition] = (*self._makers.get(condition, ()), operation)

    @classmethod
    def of(cls, plan: Plan) -> OrderRules:
        """Take the rules from a plan."""
        return cls(plan.operations, (c.id for c in plan.conditions if c.sort is ConditionSort.WORK))

    def applies(self, operation: Operation, repair: str) -> bool:
        """Tell whether a position on this repair (empty: not decided) passes through the operation."""
        return not operation.repairs or repair in operation.repairs

    def work(self, operation: Operation) -> Held:
        """Give the work that the operation makes."""
        return self._work[operation.id]

    def makers(self, condition: str) -> tuple[Operation, ...]:
        """Give the operations that make the condition, in route order."""
        return self._makers.get(condition, ())

    def is_done(self, operation: Operation, held: Held) -> bool:
        """Tell whether the operation is done: exactly while all the work that it makes holds."""
        return self._work[operation.id] <= held

    def missing(self, operation: Operation, held: Held, reread: frozenset[str] = NONE) -> tuple[str, ...]:
        """Give the needs that do not hold, in the operation's own order.

        Of an operation in `reread` only figures are missing, its work is done: the states that this work used up (it
        needs them and breaks them, as sizing does with the oil) are not wanted again to read what came of it.
        """
        spent = self._spent[operation.id] if operation.id in reread else NONE
        return tuple(need for need in operation.needs if need not in held and need not in spent)

    def concerns(self, condition: str, repair: str, received: Held) -> bool:
        """Tell whether a wider need for the condition counts a position on this repair.

        It does when some operation that applies there makes the condition, or when heads come in with it.
        """
        return condition in received or any(self.applies(op, repair) for op in self.makers(condition))

    def restorer(self, condition: str, before: Operation, repair: str) -> Operation | None:
        """Find the operation that can restore a state: the nearest one before, in the route, that makes it."""
        limit = self.index[before.id]
        best = None
        for operation in self.makers(condition):
            if self.index[operation.id] < limit and self.applies(operation, repair):
                best = operation
        return best

    def first_due(self, held: Held, repair: str) -> Operation | None:
        """Give the first operation of the route whose work is missing; None when all is done."""
        for operation in self.operations:
            if self.applies(operation, repair) and not self.is_done(operation, held):
                return operation
        return None

    def called_for(self, held: Held, repair: str, reread: frozenset[str] = NONE) -> tuple[Operation, ...]:
        """Give the done operations that must be opened again to restore states, in the order in which to do them.

        They restore what the first due operation needs and, in turn, what they need themselves. They come in route
        order, except that one which spoils what another restores comes before it: wash, then soak.
        """
        due = self.first_due(held, repair)
        if due is None:
            return ()
        called: dict[str, Operation] = {}
        waiting = [due]
        while waiting:
            operation = waiting.pop()
            for need in self.missing(operation, held, reread):
                if need in self.works:
                    continue
                restorer = self.restorer(need, operation, repair)
                if restorer is not None and restorer.id not in called and self.is_done(restorer, held):
                    called[restorer.id] = restorer
                    waiting.append(restorer)
        return _spoilers_first(sorted(called.values(), key=lambda op: self.index[op.id]))

    def due(self, held: Held, repair: str, reread: frozenset[str] = NONE) -> tuple[Operation, ...]:
        """Give every operation that is to be done, called for or not, in route order."""
        called = {op.id for op in self.called_for(held, repair, reread)}
        return tuple(
            op for op in self.operations if op.id in called or (self.applies(op, repair) and not self.is_done(op, held))
        )

    def after_closing(self, operation: Operation, held: Held) -> Held:
        """Give what holds once the operation is closed: its breaks are gone, then what it makes holds."""
        return (held - frozenset(operation.breaks)) | frozenset(operation.makes)

    def after_reading(self, operation: Operation, held: Held) -> Held:
        """Give what holds once struck figures of an operation are read again: its work does, and nothing was done."""
        return held | self.work(operation)

    def still_reread(self, reread: frozenset[str], lost: Iterable[str]) -> frozenset[str]:
        """Give those operations of which only figures are missing still, after some conditions were lost."""
        gone = frozenset(lost)
        return frozenset(name for name in reread if not self._work[name] & gone)

    def lost_by_rework(self, operation: Operation) -> Held:
        """Give the work that ordering the operation again takes away at once."""
        return (frozenset(operation.makes) | frozenset(operation.breaks)) & self.works

    def after_rework(self, operation: Operation, held: Held) -> Held:
        """Give what holds once the operation is ordered again, before it is redone."""
        return held - self.lost_by_rework(operation)

    def undone_by(self, operation: Operation, held: Held, repair: str) -> tuple[Operation, ...]:
        """Give the done operations that a rework makes due again, in route order."""
        after = self.after_rework(operation, held)
        return tuple(
            op
            for op in self.operations
            if self.applies(op, repair) and self.is_done(op, held) and not self.is_done(op, after)
        )


def _spoilers_first(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """Order operations so that none spoils what one before it has made, as far as that can be."""
    left, ordered = list(operations), []
    while left:
        free = next((op for op in left if not any(_spoils(other, op) for other in left if other is not op)), left[0])
        ordered.append(free)
        left.remove(free)
    return tuple(ordered)


def _spoils(operation: Operation, other: Operation) -> bool:
    return bool(set(operation.breaks) & set(other.makes))
