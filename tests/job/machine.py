"""Random histories as a state machine of hypothesis: each wish is decided, recorded, folded and seen by the oracle."""

from __future__ import annotations

from dataclasses import fields
from dataclasses import replace as altered
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from random import Random
from typing import TYPE_CHECKING

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from msgspec.structs import replace

from headwright.data import shipped
from headwright.job.chain import chained, first_misfit
from headwright.job.decide import Refused, decide
from headwright.job.events import CameOn, Opened
from headwright.job.evolve import fold
from headwright.job.figures import figures_at
from headwright.job.holds import holds
from headwright.job.known import known_of, places_known
from headwright.job.progress import standings
from headwright.job.state import begin
from headwright.procedure.library import load
from headwright.procedure.plan import Mastering, Plan
from headwright.procedure.resolve import build_plan
from tests.job.crowd import PEOPLE, Crowd
from tests.job.oracle import Oracle, must, others_kept_their_conditions
from tests.job.small import plan
from tests.job.strict import RULES, TENTH, stamp, strict_plan

if TYPE_CHECKING:
    from headwright.job.events import Entry, Event

BADLY = ("bad_figure", "by_another", "out_of_turn", "astray", "astray", "unseen", "strike")
OTHERWISE = ("decide_a_hold", "concede_anything", "gauges", "tools", "anything")
seeds = st.integers(0, 2**32 - 1)


@lru_cache(maxsize=1)
def small_plans() -> tuple[Plan, ...]:
    """Give the small plan in its shapes: with rules and without, one head and two, plain limits and proof."""
    few = replace(RULES, mastering=Mastering(("bore gauge",), 1800.0, 3, TENTH, 50 * TENTH))
    return (
        plan(heads=("L", "R")),
        strict_plan(heads=("L", "R"), confirmed=False),
        replace(strict_plan(proof=True), rules=few),
        _firm(strict_plan(confirmed=False)),
    )


def _firm(loose: Plan) -> Plan:
    """Give the plan with the bored hole held by a limit of safety."""
    return replace(
        loose,
        operations=tuple(
            replace(op, readings=tuple(replace(r, firm=r.name == "bored_id") for r in op.readings))
            for op in loose.operations
        ),
    )


@lru_cache(maxsize=1)
def shipped_plans() -> tuple[Plan, ...]:
    """Give every shipped route for every family that goes it, under the strict rules."""
    library = load(shipped("procedures"))
    mastering = Mastering(("bore gauge",), 1800.0, 10, 0.00254, 0.127)
    rules = replace(RULES, mastering=mastering)
    return tuple(
        replace(build_plan(library, route, family), rules=rules)
        for family, entry in library.families.items()
        for route in entry.definition.routes
    )


class Bench(RuleBasedStateMachine):
    """One job and its crowd."""

    stretch = 10
    """Wishes that somebody works on at most."""

    def plans(self) -> tuple[Plan, ...]:
        """Give the plans that the job may be under."""
        return small_plans()

    @initialize(seed=seeds)
    def open(self, seed: int) -> None:
        self.chance = Random(seed)  # noqa: S311 - not a secret
        self.time = datetime(2026, 3, 4, 8, tzinfo=UTC)
        self.start = self.state = begin(self.chance.choice(self.plans()))
        self.oracle = Oracle(self.state)
        self.entries: tuple[Entry, ...] = ()
        self._wants(Opened("1", "sha"), "")
        for operator, role in PEOPLE.items():
            self._wants(CameOn(operator, f"Somebody {operator}", role, signed=True), operator)

    def _wants(self, wanted: Event, operator: str) -> None:
        answer = decide(self.state, wanted, operator, "bench", stamp(self.time))
        if isinstance(answer, Refused):
            must(answer.blocks and all(str(block).strip() for block in answer.blocks), "a refusal says why", wanted)
            return
        must(answer[0] == wanted or wanted in answer, "the answer holds what was wanted", wanted)
        self.time += timedelta(seconds=5)
        last = self.entries[-1] if self.entries else None
        new = chained("1", last, answer, time=stamp(self.time), operator=operator, terminal="bench")
        before = self.state
        self.entries += new
        for entry in new:
            earlier, self.state = self.state, fold(self.state, (entry,))
            self.oracle.see(earlier, self.state, entry)
        self.oracle.settled(answer, self.state)
        others_kept_their_conditions(before, self.state, answer)

    def _crowd(self, seed: int) -> Crowd:
        return Crowd(self.state, Random(seed), stamp(self.time))  # noqa: S311

    @rule(seed=seeds, share=st.floats(0.1, 1.0))
    def work(self, seed: int, share: float) -> None:
        """Somebody works on for a while."""
        worker = self._crowd(seed).there()
        for number in range(round(share * self.stretch)):
            self._wants(*self._crowd(seed + number).next_step(worker))

    @rule(seed=seeds, what=st.sampled_from(BADLY))
    def badly(self, seed: int, what: str) -> None:
        self._wants(*getattr(self._crowd(seed), what)())

    @rule(seed=seeds, what=st.sampled_from(OTHERWISE))
    def otherwise(self, seed: int, what: str) -> None:
        self._wants(*getattr(self._crowd(seed), what)())

    @rule(minutes=st.integers(1, 45))
    def wait(self, minutes: int) -> None:
        self.time += timedelta(minutes=minutes)

    @invariant()
    def known(self) -> None:
        """What was kept of earlier states is what comes out when everything is worked out afresh."""
        if not hasattr(self, "entries"):
            return
        known, afresh = known_of(self.state), altered(self.state, known=None)
        must(standings(self.state) == standings(afresh), "the counts known are so", self.state.number)
        must(holds(self.state) == holds(afresh), "the holds known are so", self.state.number)
        must(known.open == known_of(afresh).open, "what is known to be open is so", self.state.number)
        for place, kept in known.kept.items():
            for operation, found in kept.items():
                must(found == figures_at(afresh, str(operation), place), "figures known are so", (operation, place))
        for operation in self.state.plan.operations:
            same = places_known(self.state, operation) == places_known(afresh, operation)
            must(same, "the places known are so", operation.id)

    def teardown(self) -> None:
        if not hasattr(self, "entries"):
            return
        must(first_misfit("1", self.entries) is None, "the chain verifies", self.entries[-1])
        cut = self.chance.randint(0, len(self.entries))
        halves = fold(fold(self.start, self.entries[:cut]), self.entries[cut:])
        whole = fold(self.start, self.entries)
        if self.state.number < whole.number:
            return  # a promise was broken in the middle of an answer, and is told as such
        for name in (field.name for field in fields(self.state) if field.compare):
            same = getattr(halves, name) == getattr(whole, name) == getattr(self.state, name)
            must(same, f"folding in parts is folding all, {name}", cut)


class ShippedBench(Bench):
    """The same on the procedures that the program comes with."""

    stretch = 60

    def plans(self) -> tuple[Plan, ...]:
        """Give the plans that the job may be under."""
        return shipped_plans()
