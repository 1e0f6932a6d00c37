"""A route is walked on paper before anybody walks it at the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headwright.procedure.library import load
from headwright.procedure.order import OrderRules
from headwright.procedure.plan import (
    PLAN_FORMAT,
    Condition,
    ConditionSort,
    Level,
    Operation,
    Plan,
    Reading,
    Remedy,
    Repair,
    Sort,
)  # fmt: skip
from headwright.procedure.proof import prove
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .conftest import Procedures

LIBRARY = Path(__file__).parent / "library"
HERE = "procedures/routes/reline.toml"


def test_the_test_route_works() -> None:
    assert prove(build_plan(load(LIBRARY), "reline", "birch")) == []


FLAWS = {
    "order turned round": (
        "routes/reline.toml", '    "bore",\n    "oil",\n', '    "oil",\n    "bore",\n',
        (f"{HERE}:7  operations: 'oil' needs 'bored', which nothing has made by then; "
        "'bore' makes it, but comes later in the route (repair 'liner')"),
    ),
    "state lost and made later": (
        "routes/reline.toml", '    "oil",\n    "size",\n', '    "size",\n    "oil",\n',
        (f"{HERE}:8  operations: 'size' needs 'oiled', which nothing has made by then; "
        "'oil' makes it, but comes later in the route (repair 'liner')"),
    ),
    "nobody makes it": (
        "operations/pass.toml", 'needs = ["chosen"]', 'needs = ["chosen", "oiled"]',
        (f"{HERE}:10  operations: 'pass' needs 'oiled', which nothing has made by then; "
        "'oil' makes it, but not for repair 'reuse' (repair 'reuse')"),
    ),
    "for ever": (
        "operations/size.toml", 'breaks = ["oiled", "passed"]', 'breaks = ["oiled", "passed", "bored"]',
        (f"{HERE}:7  operations: 'bore', 'oil' and 'size' undo one another for ever: "
        "'size' breaks 'oiled' and 'size' breaks 'bored' (repair 'liner')"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FLAWS)
def test_a_route_that_cannot_work_is_told(procedures: Procedures, name: str) -> None:
    file, old, new, line = FLAWS[name]
    procedures.edit(file, old, new)
    assert procedures.problems() == [line]


def test_a_rework_that_nothing_prepares_is_told(procedures: Procedures) -> None:
    """The first walk goes well; only the way back from sizing finds the bore oily, and no operation dries it."""
    procedures.edit("operations/receive.toml", 'makes   = ["identified", "dry"]', 'makes   = ["identified"]')
    procedures.edit("operations/bore.toml", 'needs  = ["chosen"]', 'needs  = ["chosen", "dry"]')
    procedures.edit("families/birch.toml", 'routes   = ["reline"]', 'routes   = ["reline"]\nreceived = ["dry"]')
    assert procedures.problems() == [
        (
            f"{HERE}:7  operations: 'bore' needs 'dry', which 'oil' breaks; no operation of the route makes it "
            "(repair 'liner', after 'size' sends it back to 'bore')"
        )
    ]


def test_a_state_is_restored_by_an_operation_that_is_called_for(procedures: Procedures) -> None:
    """The same way back works where an earlier operation makes the state: it is done again, and the bench goes on."""
    procedures.edit("operations/bore.toml", 'needs  = ["chosen"]', 'needs  = ["chosen", "dry"]')
    assert procedures.problems() == []


def test_a_route_that_one_family_spoils_is_told_though_it_works_for_another(procedures: Procedures) -> None:
    procedures.add("families/rowan.toml", '[change.pass]\nneeds = ["chosen", "oiled"]\n')
    assert procedures.problems() == [
        (
            f"{HERE}:10  operations: 'pass' needs 'oiled', which nothing has made by then; "
            "'oil' makes it, but not for repair 'reuse' (repair 'reuse')"
        )
    ]


RINSE = """
title = "Rinse"
why   = "Chips of the first cut must not reach the second."
per   = "head"
needs = ["dry"]
makes = ["rinsed"]
[[step]]
do   = "Rinse the head."
tick = "once"
"""


def test_a_wider_operation_left_waiting_is_told(procedures: Procedures) -> None:
    """One position comes back to the rinse still dry; another is oiled already, and nothing calls it back."""
    procedures.add("operations/rinse.toml", RINSE)
    procedures.add("conditions.toml", '[rinsed]\nlabel = "rinsed"\nsort = "work"\nwhy = "Chips scratch."\n')
    procedures.edit("routes/reline.toml", '    "bore",\n', '    "rinse",\n    "bore",\n')
    assert procedures.problems() == []
    procedures.edit("operations/decide.toml", 'breaks  = ["bored"', 'breaks  = ["rinsed", "bored"')
    assert procedures.problems() == [
        (
            f"{HERE}:7  operations: 'rinse' needs 'dry' at every position; when 'pass' sends one back, another that "
            "has gone on lacks it, which 'oil' breaks, and nothing restores it there"
        )
    ]


CONDITIONS = [f"w{number}" for number in range(4)] + ["s0", "s1"]
names = st.lists(st.sampled_from(CONDITIONS), max_size=2, unique=True).map(tuple)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Make a route of four operations with any needs, breaks and ways back."""
    operations = []
    for number in range(4):
        back = draw(st.integers(0, number))
        remedy = Remedy("wrong", "Again.", redo=f"op{back}") if draw(st.booleans()) else None
        reading = Reading("ok", "Right", Sort.YES_NO, accept=("yes",), remedies=(remedy,) if remedy else ())
        makes = (f"w{number}", *draw(st.lists(st.sampled_from(["s0", "s1"]), max_size=1)))
        operations.append(
            Operation(f"op{number}", "", "", Level.POSITION, makes, draw(names), draw(names), readings=(reading,))
        )
    conditions = tuple(
        Condition(name, name, ConditionSort.WORK if name[0] == "w" else ConditionSort.STATE, "") for name in CONDITIONS
    )
    return Plan(
        PLAN_FORMAT, "r", "", "f", "", "a", "", (), conditions, (), (Repair("only", ""),), tuple(operations), (), ()
    )


def walked_wrong(plan: Plan, orders: Sequence[int]) -> bool:
    """Walk one way through the route, sent back whenever the next order says so; tell whether it gets stuck."""
    rules = OrderRules.of(plan)
    held: frozenset[str] = frozenset()
    waiting = list(orders)
    for _ in range(400):
        due = rules.due(held, "")
        if not due:
            return False
        turn = due[0]
        if rules.missing(turn, held):
            return True
        ways = [remedy.redo for reading in turn.readings for remedy in reading.remedies]
        if waiting and waiting.pop() and ways:
            held = rules.after_rework(plan.operations[rules.index[ways[0]]], held)
        else:
            held = rules.after_closing(turn, held)
    return True


@settings(max_examples=200, deadline=None)
@given(plans(), st.lists(st.integers(0, 1), max_size=12))
def test_no_walk_gets_stuck_on_a_route_that_is_proved(plan: Plan, orders: list[int]) -> None:
    if walked_wrong(plan, orders):
        assert prove(plan)


@settings(max_examples=200, deadline=None)
@given(plans())
def test_a_route_without_flaw_is_walked_to_its_end(plan: Plan) -> None:
    """And the other way round: what is called a flaw can be met by some walk."""
    ways = [[(number >> bit) & 1 for bit in range(8)] for number in range(256)]
    assert bool(prove(plan)) == any(walked_wrong(plan, orders) for orders in ways)
