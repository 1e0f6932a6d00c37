"""The proof of a route: walked on paper, for every repair and after every rework, it always comes to its end.

One position is walked at a time, by the same rules as the bench. From a head just received, and from wherever a
remedy can send a position, the operation whose turn it is must find its needs, until all are done. Operations at a
wider place that other positions call for happen to this position too, wherever its conditions allow them.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING

from headwright.procedure.plan import Level, Sort
from headwright.procedure.problems import listed
from headwright.procedure.situations import Node, Situations

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Sequence

    from headwright.procedure.plan import Operation, Plan

MOST_NODES = 200_000
"""Situations looked at before giving up, after a few seconds; a whole head on a route of forty has some 25 000."""

_Step = tuple[Node, "Operation", str, str]
"""The situation that follows, the operation, `close` or `rework`, and in which operation it was ordered."""


@dataclass(frozen=True)
class Flaw:
    """Why a route cannot work: the operation at which it shows, and the reason in words."""

    operation: str
    message: str


@dataclass(frozen=True, slots=True)
class _Came:
    """How a situation came about: from which, by what was done (`close` or `rework`), and who ordered it."""

    before: Node
    operation: Operation
    how: str
    ordered_in: str = ""


def prove(plan: Plan) -> list[Flaw]:
    """Walk the route of a plan in every way that it can go.

    Returns:
        Every flaw, in route order; none where the route always comes to its end.
    """
    walk = _Walk(plan)
    walk.explore()
    walk.find_rings()
    walk.find_waiting()
    order = walk.rules.index
    return sorted(walk.flaws.values(), key=lambda flaw: (order[flaw.operation], flaw.message))


def walked_by(plan: Plan) -> Hashable:
    """Give all of a plan that its proof rests on: two plans that are alike in it have the same flaws."""
    return (
        frozenset(plan.received),
        frozenset((condition.id, condition.sort) for condition in plan.conditions),
        tuple(
            (op.id, op.per, op.needs, op.makes, op.breaks, op.repairs, _choices(op), tuple(_ordered(op)))
            for op in plan.operations
        ),
    )


def _choices(operation: Operation) -> tuple[str, ...]:
    """Give the repairs that an operation decides between; none where it decides nothing."""
    return next((reading.choices for reading in operation.readings if reading.sort is Sort.REPAIR), ())


def _ordered(operation: Operation) -> dict[tuple[str, str], None]:
    """Give what the remedies of an operation order again, each once: operation, and repair that it changes to."""
    remedies = [remedy for reading in operation.readings for remedy in reading.remedies]
    remedies += [remedy for result in operation.results for remedy in result.remedies]
    return {
        (remedy.redo or operation.id, remedy.repair): None
        for remedy in remedies
        if not remedy.remeasure and not (remedy.stop and not remedy.redo)
    }


class _Walk:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.bits = Situations(plan)
        self.rules = self.bits.rules
        self.came: dict[Node, _Came | None] = {(self.bits.of(dict.fromkeys(plan.received)), ""): None}
        self.turn: dict[Node, Operation | None] = {}
        self.closes: dict[Node, tuple[Node, ...]] = {}
        self.flaws: dict[tuple[str, str], Flaw] = {}
        self.wide = [op for op in plan.operations if op.per is not Level.POSITION]
        known = {op.id: op for op in plan.operations}
        self.reworks = {op.id: [(known[redo], repair) for redo, repair in _ordered(op)] for op in plan.operations}
        ordered = {target.id for ways in self.reworks.values() for target, _ in ways}
        self.sent = [op for op in self.wide if op.id in ordered]
        """Wider operations that a remedy can order: at this position too, when it is ordered at another."""
        self.again = [op for op in self.wide if op.id in ordered or self._comes_again(op)]
        """Wider operations that can be due, or called for, at another position when they are done at this one."""

    def explore(self) -> None:
        """Look at every situation that can come about."""
        waiting = deque(self.came)
        while waiting:
            if len(self.came) > MOST_NODES:
                last = self.plan.operations[-1]
                message = f"more than {MOST_NODES} situations can come about; the route is too tangled to prove"
                self.flaws[last.id, "tangled"] = Flaw(last.id, message)
                return
            node = waiting.popleft()
            for after, operation, how, ordered_in in self._steps(node):
                if after not in self.came:
                    self.came[after] = _Came(node, operation, how, ordered_in)
                    waiting.append(after)

    def _steps(self, node: Node) -> Iterator[_Step]:
        held, repair = node
        bits = self.bits
        self.turn[node] = turn = bits.turn(node)
        if turn is not None:
            if bits.lacking(turn, node):
                self._stuck(node, turn, self._missing(turn, node)[0])
            else:
                yield from self._at_turn(node, turn)
        for operation in self.again:
            if bits.is_done(operation, held) and not bits.lacking(operation, node):
                yield (bits.after_closing(operation, held), repair), operation, "close", ""
        for operation in self.sent:
            if bits.is_done(operation, held):
                yield (bits.after_rework(operation, held), repair), operation, "rework", ""

    def _at_turn(self, node: Node, turn: Operation) -> Iterator[_Step]:
        held, repair = node
        after = self.bits.after_closing(turn, held)
        ends = tuple((after, choice) for choice in _choices(turn)) or ((after, repair),)
        self.closes[node] = ends
        for end in ends:
            yield end, turn, "close", ""
        for target, changed in self.reworks[turn.id]:
            yield (self.bits.after_rework(target, held), changed or repair), target, "rework", turn.id

    def _comes_again(self, operation: Operation) -> bool:
        states = frozenset(operation.makes) - self.rules.works
        work = self.rules.work(operation)
        others = [op for op in self.plan.operations if op is not operation]
        return any(states & frozenset(op.needs) or work & frozenset(op.breaks) for op in others)

    def _missing(self, operation: Operation, node: Node) -> tuple[str, ...]:
        lacking = self.bits.lacking(operation, node)
        return tuple(need for need in operation.needs if self.bits.bit[need] & lacking)

    def _stuck(self, node: Node, operation: Operation, need: str) -> None:
        if (operation.id, need) not in self.flaws:
            message = (
                f"'{operation.id}' needs '{need}'{self._broken(node, need)}{self._restorers(operation, need, node[1])}"
            )
            self.flaws[operation.id, need] = Flaw(operation.id, message + self._context(node))

    def _way(self, node: Node) -> Iterator[tuple[Node, _Came]]:
        """Go back along the way to a situation."""
        came = self.came[node]
        while came is not None:
            yield node, came
            node = came.before
            came = self.came[node]

    def _broken(self, node: Node, need: str) -> str:
        for after, came in self._way(node):
            if self.bits.bit[need] & came.before[0] & ~after[0]:
                again = "ordering " if came.how == "rework" else ""
                return f", which {again}'{came.operation.id}'{' again' if again else ''} breaks"
        return ", which nothing has made by then"

    def _restorers(self, operation: Operation, need: str, repair: str) -> str:
        makers = self.rules.makers(need)
        if not makers:
            return "; no operation of the route makes it"
        here = self.rules.index[operation.id]
        fitting = [maker for maker in makers if self.rules.applies(maker, repair)]
        if not fitting:
            return f"; {_ids(makers)} {_make(makers)} it, but not for repair '{repair or 'not decided yet'}'"
        earlier = [maker for maker in fitting if self.rules.index[maker.id] < here]
        if earlier:
            return f"; {_ids(earlier)} could restore it"
        if fitting == [operation]:
            return "; only the operation itself makes it"
        return (
            f"; {_ids(fitting)} {_make(fitting)} it, but {'comes' if len(fitting) == 1 else 'come'} later in the route"
        )

    def _context(self, node: Node) -> str:
        parts = [f"repair '{node[1]}'"] if node[1] else []
        for _, came in self._way(node):
            if came.how == "rework" and came.ordered_in:
                parts.append(f"after '{came.ordered_in}' sends it back to '{came.operation.id}'")
                break
        return f" ({', '.join(parts)})" if parts else ""

    def find_rings(self) -> None:
        """Find ways on which the operations undo one another for ever."""
        ended: set[Node] = set()
        for start in self.closes:
            way: dict[Node, None] = {}
            branches = [iter((start,))]
            while branches:
                node = next(branches[-1], None)
                if node is None:
                    branches.pop()
                    if way:
                        ended.add(way.popitem()[0])
                elif node in way:
                    nodes = list(way)
                    self._ring(nodes[nodes.index(node) :])
                elif node not in ended:
                    way[node] = None
                    branches.append(iter(self.closes.get(node, ())))

    def _ring(self, nodes: list[Node]) -> None:
        turns = [turn for node in nodes if (turn := self.turn[node]) is not None]
        members = {operation.id: operation for operation in turns}
        order = self.rules.index
        ring = sorted(members.values(), key=lambda operation: order[operation.id])
        undone = [
            f"'{operation.id}' breaks '{condition}'"
            for operation in ring
            for condition in operation.breaks
            if any(condition in maker.makes for maker in ring if order[maker.id] < order[operation.id])
        ]
        message = f"{_ids(ring)} undo one another for ever: {listed(undone, 'and')}{self._context(nodes[0])}"
        if not any(known == "ring" and operation in members for operation, known in self.flaws):
            self.flaws[ring[0].id, "ring"] = Flaw(ring[0].id, message)

    def find_waiting(self) -> None:
        """Find wider operations that wait for a state at a position which has gone on and is not called back.

        Such an operation becomes due again when one position alone is sent back; the others have gone past it, and
        only what their own next operation needs is restored at them.
        """
        for operation in self.wide:
            for need in (each for each in operation.needs if each not in self.rules.works):
                sender = self._sent_alone(operation, need)
                lacking = self._gone_on(operation, need) if sender is not None else None
                if sender is None or lacking is None or (operation.id, need) in self.flaws:
                    continue
                self.flaws[operation.id, need] = Flaw(
                    operation.id,
                    f"'{operation.id}' needs '{need}' at every position; when '{sender.id}' sends one back, another "
                    f"that has gone on lacks it{self._broken(lacking, need)}, and nothing restores it there",
                )

    def _sent_alone(self, operation: Operation, need: str) -> Operation | None:
        """Find an operation from which one position can come back to a wider one with the state that it needs.

        Where a wider operation restores the state on the way, it does so at every position, and none is left waiting.
        """
        for node, turn in self.turn.items():
            if turn is None or turn.per is not Level.POSITION or not self.bits.is_done(operation, node[0]):
                continue
            if self.bits.lacking(turn, node):
                continue
            for after, *_ in self._at_turn(node, turn):
                if not self.bits.is_done(operation, after[0]) and self._returns(after, operation, need):
                    return turn
        return None

    def _returns(self, node: Node, operation: Operation, need: str) -> bool:
        seen: set[Node] = set()
        while node not in seen:
            seen.add(node)
            turn = self.turn.get(node)
            if turn is operation:
                return not self.bits.lacking(operation, node)
            if turn is None or node not in self.closes or (turn.per is not Level.POSITION and need in turn.makes):
                return False
            node = self.closes[node][0]
        return False

    def _gone_on(self, operation: Operation, need: str) -> Node | None:
        """Find a situation past the operation in which the state is lost."""
        for node, turn in self.turn.items():
            beyond = turn is None or self.rules.index[turn.id] > self.rules.index[operation.id]
            if beyond and self.bits.bit[need] & self.bits.lacking(operation, node):
                return node
        return None


def _ids(operations: Iterable[Operation]) -> str:
    return listed((f"'{operation.id}'" for operation in operations), "and")


def _make(operations: Sequence[Operation]) -> str:
    return "makes" if len(operations) == 1 else "make"
