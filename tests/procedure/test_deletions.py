"""Every `needs`, `makes` and `breaks` entry of the shipped procedures is left out in turn, and its loss is noticed.

It is noticed when the check of procedures refuses what is left, or when somebody at a bench would: the same things
are done at a position with the entry and without it, and other work is due, or another gate stands open. Operations
are done in any order that the gates allow, and sent back from holds, also after a reading was struck late.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from functools import cache
from random import Random
from typing import TYPE_CHECKING, NamedTuple

import pytest
from tests.procedure.paper_bench import PaperBench, Standing, remedies_of
from tests.stories.looking import shipped_record

from headwright.data import shipped
from headwright.job.events import Disposed, Disposition, OperationClosed, ReadingStruck
from headwright.job.evolve import evolve
from headwright.job.state import begin
from headwright.procedure import references
from headwright.procedure.library import Library, load
from headwright.procedure.plan import Level
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.job.state import State
    from headwright.procedure.order import Held
    from headwright.procedure.plan import Operation

KEYS = ("needs", "makes", "breaks")
WALKS = 40
"""Walks through each route for each repair before an entry counts as not noticed; most take one."""
PLAIN = 2
"""Walks before a loss that does not show at once is followed."""
STEPS = 120
PAIRS = 3
FAR = 60
"""Steps for which a loss that does not show at once is followed."""


class Loss(NamedTuple):
    """An entry that is left out."""

    operation: str
    key: str
    condition: str


@cache
def library() -> Library:
    return load(shipped("procedures"))


@cache
def benches() -> tuple[PaperBench, ...]:
    """Give a bench for every order of work there is: families that differ in figures alone share one."""
    found = {}
    for family, entry in library().families.items():
        for route in entry.definition.routes:
            plan = build_plan(library(), route, family)
            ways = [
                (
                    op.id,
                    op.per,
                    op.needs,
                    op.makes,
                    op.breaks,
                    op.repairs,
                    [(r.redo, r.repair) for r in remedies_of(op)],
                )
                for op in plan.operations
            ]
            found[repr((frozenset(plan.received), ways))] = PaperBench(plan)
    return tuple(found.values())


def losses(bench: PaperBench) -> Iterator[Loss]:
    for operation in bench.plan.operations:
        for key in KEYS:
            yield from (Loss(operation.id, key, condition) for condition in getattr(operation, key))


class Search:
    """Walks through one route, looking out for losses that are not noticed yet."""

    def __init__(self, bench: PaperBench, left: set[Loss]) -> None:
        self.bench, self.left = bench, left
        self.own = set(losses(bench))
        self.cut: dict[Loss, PaperBench] = {}
        self.seen: set[Standing] = set()
        self.later: dict[Loss, list[tuple[Standing, Standing]]] = defaultdict(list)
        self.wanted: dict[str, list[Loss]] = {}

    def go(self, number: int) -> None:
        """Take one walk for each repair, looking out for what is still left."""
        for repair in (each.id for each in self.bench.plan.repairs):
            self.wanted = defaultdict(list)
            for loss in sorted(self.left & self.own):
                self.wanted[loss.operation].append(loss)
            if self.wanted:
                self.walk(repair, Random(f"{self.bench.plan.route} {repair} {number}"))  # noqa: S311  the same walks each time
                if number >= PLAIN:
                    self.follow_later()

    def walk(self, repair: str, dice: Random) -> None:
        """Walk from the head received: mostly in the order of the route, at times not, at times sent back."""
        at, bench = self.bench.start, self.bench
        for _ in range(STEPS):
            holds = list(bench.held_at(at))
            ready = bench.open(at)
            again = [op for op in bench.elsewhere if bench.rules.is_done(op, at.held) and not bench.missing(op, at)]
            if at not in self.seen:
                self.seen.add(at)
                self.look(at, holds, [*ready, *again])
            assert ready or not bench.shows(at), f"nothing can be begun: {bench.shows(at)} {at}"
            fate = dice.random()
            if holds and (fate < 0.15 or (not ready and fate < 0.7)):
                after, operation = dice.choice(holds)
                at = bench.ordered(after, *dice.choice(bench.orders(operation, at.repair)))
            elif again and fate < 0.2:
                at = bench.closed(at, dice.choice(again).id)
            elif ready:
                operation = ready[0] if fate < 0.6 else dice.choice(ready)
                choices = bench.choices(operation)
                first = repair if repair in choices and not at.repair else ""
                at = bench.closed(at, operation.id, first or (dice.choice(choices) if choices else ""))
            else:
                return

    def look(self, at: Standing, holds: list[tuple[Standing, Operation]], closing: Iterable[Operation]) -> None:
        """Look for losses that show at a standing, or after the next thing that is done there."""
        bench = self.bench
        needs = [loss for each in self.wanted.values() for loss in each if loss.key == "needs" and loss in self.left]
        self.gates(at, needs)
        for operation in bench.done(at) if needs else ():
            hurt = [loss for loss in needs if loss.condition in operation.makes]
            for after in bench.struck(at, operation) if hurt else ():
                self.gates(after, hurt)
        for operation in closing:
            for loss in self.wanted.get(operation.id, ()):
                if loss.key != "needs":
                    self.compare(loss, bench.closed(at, operation.id), self.other(loss).closed(at, operation.id))
        for after, operation in holds:
            for target, repair in bench.orders(operation, at.repair):
                for loss in self.wanted.get(target, ()):
                    if loss.key == "breaks":
                        one, other = (
                            bench.ordered(after, target, repair),
                            self.other(loss).ordered(after, target, repair),
                        )
                        self.compare(loss, one, other)

    def gates(self, at: Standing, needs: Iterable[Loss]) -> None:
        """Look for needs that alone keep somebody out, or alone have a state restored."""
        for loss in needs:
            locked = loss.condition not in at.held and (loss.operation, False) in self.bench.shows(at)
            if locked and self.other(loss).shows(at) != self.bench.shows(at):
                self.left.discard(loss)

    def compare(self, loss: Loss, one: Standing, other: Standing) -> None:
        if one == other or loss not in self.left:
            return
        if self.bench.shows(one) != self.other(loss).shows(other):
            self.left.discard(loss)
        elif len(self.later[loss]) < PAIRS:
            self.later[loss].append((one, other))

    def follow_later(self) -> None:
        for loss, pairs in self.later.items():
            if loss in self.left and any(self.shows_later(loss, *pair) for pair in pairs):
                self.left.discard(loss)
            pairs.clear()

    def shows_later(self, loss: Loss, one: Standing, other: Standing) -> bool:
        """Go on with and without the entry, in the order of the route, and from each step be sent back as well."""
        bench, lacking = self.bench, self.other(loss)
        for _ in range(FAR):
            ready = bench.open(one)
            if bench.shows(one) != lacking.shows(other):
                return True
            if not ready or one == other:
                return False
            for target, repair in bench.orders(ready[0], one.repair):
                if bench.shows(bench.ordered(one, target, repair)) != lacking.shows(
                    lacking.ordered(other, target, repair)
                ):
                    return True
            choice = next(iter(bench.choices(ready[0])), "")
            one, other = bench.closed(one, ready[0].id, choice), lacking.closed(other, ready[0].id, choice)
        return False

    def other(self, loss: Loss) -> PaperBench:
        if loss not in self.cut:
            self.cut[loss] = self.bench.without(*loss)
        return self.cut[loss]


def refused(loss: Loss) -> bool:
    """Tell whether the check of procedures refuses the operation as it is left."""
    entry = library().operations[loss.operation]
    kept = tuple(name for name in getattr(entry.definition, loss.key) if name != loss.condition)
    cut = replace(entry, definition=entry.definition.model_copy(update={loss.key: kept}))
    alone = replace(library(), operations={loss.operation: cut}, changes={}, routes={}, families={})
    return any(references.problems(alone))


def every_loss() -> set[Loss]:
    return {loss for bench in benches() for loss in losses(bench)}


def test_no_entry_can_be_left_out_without_being_noticed() -> None:
    assert min(sum(loss.key == key for loss in every_loss()) for key in KEYS) > 50
    left = {loss for loss in every_loss() if not refused(loss)}
    searches = [Search(bench, left) for bench in benches()]
    for number in range(WALKS):
        for search in searches:
            search.go(number)
    assert sorted(left) == []


BEFORE_THE_LINER = {"clean-bore", "survey-stems"}
"""What a remedy orders again only before anything is built on it."""


def test_no_signature_outlives_the_work_that_it_stands_for() -> None:
    """Whatever a remedy orders again after the release was signed, it is signed anew."""
    for bench in benches():
        named = {remedy.redo for operation in bench.plan.operations for remedy in remedies_of(operation)} - {""}
        for repair in (each.id for each in bench.plan.repairs):
            end, _ = finished(bench, Standing(bench.received, ""), repair)
            assert not bench.shows(end)
            for operation in bench.done(end):
                if operation.id in named - BEFORE_THE_LINER:
                    _, done = finished(bench, bench.ordered(end, operation.id), repair)
                    assert done[-1] == "release", (bench.plan.route, operation.id, done)


def finished(bench: PaperBench, at: Standing, repair: str) -> tuple[Standing, list[str]]:
    """Do everything that is due in the order of the route; give the end, and what was done."""
    done = []
    while ready := bench.open(at):
        at = bench.closed(at, ready[0].id, repair if bench.choices(ready[0]) else "")
        done.append(ready[0].id)
        assert len(done) < STEPS
    return at, done


@pytest.mark.parametrize("job", ["1001", "1002", "1003", "1004", "1005"])
def test_the_bench_on_paper_moves_and_shows_as_the_real_one(job: str) -> None:
    record = shipped_record(job)
    bench, after = PaperBench(record.plan), begin(record.plan)
    moved = 0
    for entry in record.entries:
        before, after = after, evolve(after, entry)
        for place in (each for each in after.held if after.held[each] != before.held[each]):
            assert after.held[place] in moves(bench, before, place, entry.event)
            shown = dict(bench.shows(Standing(after.held[place], after.repair_at(place))))
            for operation in record.plan.operations:
                if operation.per is Level.POSITION:
                    due = after.is_due(operation, place)
                    assert due == (operation.id in shown)
                    assert not due or shown[operation.id] == (not after.missing_needs(operation, place))
            moved += 1
    assert moved > 10


def moves(bench: PaperBench, before: State, place: str, event: object) -> list[Held]:
    """Give what may hold at a position after an entry in the record of a job."""
    at = Standing(before.held[place], before.repair_at(place))
    match event:
        case OperationClosed(operation=name, place=where):
            again = at.held | frozenset(bench.operations[name].makes)
            return [again if before.attempt(name, where).reopened else bench.closed(at, name).held]
        case Disposed(disposition=Disposition.REWORK, redo=redo, operation=name):
            return [bench.ordered(at, redo or name).held]
        case ReadingStruck(number=number):
            name = before.where[number][0][0]
            return [standing.held for standing in bench.struck(at, bench.operations[name])]
    return []
