"""The rules of order in bits, for the proof of a route, which looks at tens of thousands of situations."""

from __future__ import annotations

from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING

from headwright.procedure.order import Held, OrderRules
from headwright.procedure.plan import Level

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.procedure.plan import Operation, Plan

Node = tuple[int, str]
"""What holds at a position, one bit a condition, and its repair."""


class Situations:
    """What may be done in a situation, and what comes of it; every table here is asked of the rules of order."""

    def __init__(self, plan: Plan) -> None:
        self.rules = rules = OrderRules.of(plan)
        self.received: Held = frozenset(plan.received)
        parts = (part for op in plan.operations for part in (op.needs, op.makes, op.breaks))
        self.names = tuple(dict.fromkeys((*plan.received, *chain.from_iterable(parts))))
        self.bit = {name: 1 << number for number, name in enumerate(self.names)}
        self.states = self.of(name for name in self.names if name not in rules.works)
        every = frozenset(self.names)
        self.work = {op.id: self.of(rules.work(op)) for op in plan.operations}
        self.made = {op.id: self.of(rules.after_closing(op, frozenset())) for op in plan.operations}
        self.kept = {op.id: self.of(rules.after_closing(op, every)) for op in plan.operations}
        self.left = {op.id: self.of(rules.after_rework(op, every)) for op in plan.operations}
        self.held = lru_cache(maxsize=None)(self._held)
        self.needs = lru_cache(maxsize=None)(self._needs)
        self.path = lru_cache(maxsize=None)(self._path)

    def of(self, names: Iterable[str]) -> int:
        """Give conditions as bits."""
        return sum(self.bit[name] for name in names)

    def _held(self, bits: int) -> Held:
        return frozenset(name for name, bit in self.bit.items() if bits & bit)

    def _needs(self, operation: str, repair: str) -> int:
        """Give the needs that count at one position: at a wider place those that the position can have."""
        found = self.rules.operations[self.rules.index[operation]]
        return self.of(
            need
            for need in dict.fromkeys(found.needs)
            if found.per is Level.POSITION or self.rules.concerns(need, repair, self.received)
        )

    def _path(self, repair: str) -> tuple[tuple[Operation, int], ...]:
        return tuple((op, self.work[op.id]) for op in self.rules.operations if self.rules.applies(op, repair))

    def turn(self, node: Node) -> Operation | None:
        """Give the operation whose turn it is: the first one due, or the first that is called for before it."""
        bits, repair = node
        due = next((operation for operation, work in self.path(repair) if bits & work != work), None)
        if due is None or not self.of(dict.fromkeys(due.needs)) & self.states & ~bits:
            return due
        return min((due, *self.rules.called_for(self.held(bits), repair)), key=lambda op: self.rules.index[op.id])

    def is_done(self, operation: Operation, bits: int) -> bool:
        """Tell whether the operation is done."""
        return not self.work[operation.id] & ~bits

    def lacking(self, operation: Operation, node: Node) -> int:
        """Give the needs that lock the operation."""
        return self.needs(operation.id, node[1]) & ~node[0]

    def after_closing(self, operation: Operation, bits: int) -> int:
        """Give what holds once the operation is closed."""
        return bits & self.kept[operation.id] | self.made[operation.id]

    def after_rework(self, operation: Operation, bits: int) -> int:
        """Give what holds once the operation is ordered again."""
        return bits & self.left[operation.id]
