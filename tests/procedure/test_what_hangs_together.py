"""What must come before what, what a rework undoes, and what work does to surface and temperature.

The three tables are facts of the trade (common practice, no source), written down apart from the procedures: leaving
out a `needs` or a `breaks` there shows here.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import pytest
from msgspec.structs import replace

from headwright.data import shipped
from headwright.procedure.library import Library, load
from headwright.procedure.order import OrderRules
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.order import Held
    from headwright.procedure.plan import Operation, Plan

ON_THE_SEAT = {"blue-check", "chamber-volume", "heights", "seals", "final-wash", "assemble", "vacuum-test"}
"""A seat cut again sinks the valve, and leaves grit."""
ON_THE_GUIDE = {"wash", "verify", "check-seats", "seats", *ON_THE_SEAT}
"""A guide made anew has a new axis, and the seat is cut to it."""
NEAR_THE_WATER = {"pressure-test-again"}
TRIED = {"assemble", "vacuum-test"}

UNDOES: dict[str, set[str]] = {
    "clean": {"visual", "crack-check", "penetrant-check", "pressure-test", "release"},
    "crack-check": {"pressure-test"},
    "penetrant-check": {"pressure-test"},
    "pressure-test": {"release"},
    "spring-test": TRIED,
    "valves": {"reface-valves", "verify", "seats", "blue-check", "heights", "seals", *TRIED},
    "reface-valves": {"blue-check", "heights", "seals", *TRIED},
    "remove-liner": {"bore", "clean-bore", "install", "lubricate", "size", "trim", *ON_THE_GUIDE},
    "bore": {"clean-bore", "install", "lubricate", "size", "trim", *NEAR_THE_WATER, *ON_THE_GUIDE},
    "install": {"lubricate", "size", "trim", *ON_THE_GUIDE},
    "size": {"trim", *ON_THE_GUIDE},
    "trim": {"wash", "verify", "seals", "final-wash", *TRIED},
    "guide-out": {"replace-guide", "ream-guide", *NEAR_THE_WATER, *ON_THE_GUIDE},
    "guide-insert": {"replace-guide", "ream-guide", *NEAR_THE_WATER, *ON_THE_GUIDE},
    "replace-guide": {"ream-guide", *NEAR_THE_WATER, *ON_THE_GUIDE},
    "ream-guide": ON_THE_GUIDE,
    "oversize-stem": ON_THE_GUIDE,
    "wash": {"verify", *TRIED},
    "verify": {*TRIED, "release"},
    "seat-inserts": {"check-seats", "seats", *NEAR_THE_WATER, *ON_THE_SEAT},
    "seats": ON_THE_SEAT,
    "blue-check": TRIED,
    "surface": {"chamber-volume", "final-wash", "release", *TRIED},
    "deck-first": {"check-seats", "seats", "release", *ON_THE_SEAT} - {"chamber-volume"},
    "heights": {"seals", *TRIED},
    "seals": {"final-wash", *TRIED},
    "pressure-test-again": {"release"},
    "final-wash": {"release"},
    "assemble": {"vacuum-test", "release"},
    "vacuum-test": {"release"},
}
"""What is due again when an operation is ordered again after everything was done. Not named: nothing but itself."""
DECIDED_AGAIN = {
    "remove-liner", "receive", "as-returned", "tear-down", "clean", "visual", "crack-check", "penetrant-check",
    "pressure-test", "soak", "survey-guides", "survey-stems", "comeback-survey", "spring-test", "valves",
    "reface-valves", "seat-inserts", "surface", "deck-first", "prove-vacuum", "release",
}  # fmt: skip
"""What stays when a position is decided again: evidence, valve and head; every cut made for the old decision goes."""

AFTER: dict[str, list[str]] = {
    "as-returned": ["receive"],
    "tear-down": ["receive", "as-returned"],
    "clean": ["tear-down"],
    "visual": ["clean"],
    "crack-check": ["clean", "visual"],
    "penetrant-check": ["clean", "visual"],
    "pressure-test": ["crack-check", "penetrant-check"],
    "soak": ["clean"],
    "survey-guides": ["clean", "soak"],
    "survey-stems": ["tear-down", "clean", "soak"],
    "comeback-survey": ["survey-guides", "survey-stems"],
    "spring-test": ["tear-down", "clean"],
    "decide": ["crack-check", "penetrant-check", "pressure-test", "survey-guides", "survey-stems"],
    "valves": ["decide", "soak"],
    "reface-valves": ["valves"],
    "remove-liner": ["decide"],
    "guide-out": ["decide", "soak"],
    "guide-insert": ["decide", "remove-liner", "soak"],
    "replace-guide": ["guide-out", "guide-insert"],
    "ream-guide": ["replace-guide", "valves"],
    "oversize-stem": ["decide", "valves"],
    "bore": ["decide", "remove-liner"],
    "clean-bore": ["bore"],
    "install": ["clean-bore"],
    "lubricate": ["install"],
    "size": ["install", "lubricate", "valves"],
    "trim": ["size"],
    "wash": ["decide"],
    "verify": ["wash", "valves"],
    "seat-inserts": ["verify"],
    "check-seats": ["verify", "seat-inserts"],
    "pressure-test-again": ["check-seats"],
    "seats": ["verify"],
    "blue-check": ["seats", "reface-valves"],
    "surface": ["seats"],
    "deck-first": ["verify"],
    "chamber-volume": ["surface"],
    "heights": ["seats", "valves"],
    "seals": ["seats", "valves", "heights"],
    "final-wash": ["seats", "surface", "deck-first", "blue-check", "reface-valves", "spring-test", "seals",
                   "chamber-volume", "pressure-test-again"],
    "assemble": ["verify", "heights", "final-wash"],
    "vacuum-test": ["assemble", "prove-vacuum"],
    "release": ["pressure-test", "verify", "surface", "deck-first", "heights", "final-wash", "vacuum-test",
                "pressure-test-again", "comeback-survey"],
}  # fmt: skip
"""Without any one of these an operation is locked, where the route has them."""

STATES = {"dry", "soaked", "oiled", "hole-open"}
WANTS = {
    "crack-check": {"dry"}, "penetrant-check": {"dry"}, "visual": {"dry"},
    "survey-guides": {"dry", "soaked"}, "survey-stems": {"soaked"},
    "valves": {"soaked"}, "guide-out": {"soaked"},
    "guide-insert": {"hole-open", "dry", "soaked"}, "bore": {"hole-open", "dry", "soaked"},
    "ream-guide": {"soaked"}, "oversize-stem": {"soaked"},
    "size": {"oiled", "soaked"}, "verify": {"dry", "soaked"},
}  # fmt: skip
"""Surface and temperature that an operation asks for."""
LEAVES = {
    "clean": ({"dry"}, {"soaked", "oiled"}), "penetrant-check": (set(), {"dry"}),
    "pressure-test": ({"dry"}, {"soaked"}), "pressure-test-again": ({"dry"}, {"soaked"}),
    "soak": ({"soaked"}, set()), "remove-liner": ({"hole-open", "dry"}, {"oiled"}),
    "install": (set(), {"hole-open", "dry"}), "lubricate": ({"oiled"}, {"dry"}), "size": (set(), {"oiled"}),
    "replace-guide": (set(), {"soaked"}), "ream-guide": (set(), {"dry"}), "oversize-stem": (set(), {"dry"}),
    "wash": ({"dry"}, {"oiled", "soaked"}), "final-wash": ({"dry"}, {"soaked", "oiled"}),
    "assemble": (set(), {"dry"}),
}  # fmt: skip
"""Surface and temperature that an operation leaves behind, and those that it takes away."""


class Path(NamedTuple):
    """A position's way along a route: the operations that it passes, and everything that holds at its end."""

    name: str
    plan: Plan
    rules: OrderRules
    repair: str
    passed: tuple[Operation, ...]
    end: Held


@cache
def library() -> Library:
    return load(shipped("procedures"))


def _paths() -> Iterator[Path]:
    for family, entry in library().families.items():
        for route in entry.definition.routes:
            plan = build_plan(library(), route, family)
            rules = OrderRules.of(plan)
            for repair in (each.id for each in plan.repairs):
                passed = tuple(op for op in plan.operations if rules.applies(op, repair))
                end: Held = frozenset(plan.received).union(*(op.makes for op in passed))
                yield Path(f"{family} {route} {repair}", plan, rules, repair, passed, end)


PATHS = list(_paths())
paths = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.name)


def right_rework(path: Path) -> None:
    here = {operation.id for operation in path.passed}
    for operation in path.passed:
        undone = {op.id for op in path.rules.undone_by(operation, path.end, path.repair)} - {operation.id}
        expected = here - DECIDED_AGAIN if operation.id == "decide" else UNDOES.get(operation.id, set()) & here
        assert undone == expected - {operation.id}, operation.id


def right_locks(path: Path) -> None:
    passed = {operation.id: operation for operation in path.passed}
    for operation in path.passed:
        for earlier in (passed[name] for name in AFTER.get(operation.id, ()) if name in passed):
            received = frozenset(path.plan.received) - frozenset(earlier.makes)
            others = received.union(*(op.makes for op in path.passed if op is not earlier))
            assert path.rules.missing(operation, others), f"{operation.id} goes on without {earlier.id}"


def right_states(path: Path) -> None:
    for operation in path.passed:
        assert STATES & set(operation.needs) == WANTS.get(operation.id, set()), operation.id
        left, gone = LEAVES.get(operation.id, (set(), set()))
        assert STATES & set(operation.makes) == left, operation.id
        assert STATES & set(operation.breaks) == gone, operation.id


@paths
def test_a_rework_undoes_what_rests_on_it_and_nothing_else(path: Path) -> None:
    right_rework(path)


@paths
def test_an_operation_is_locked_until_what_it_rests_on_is_done(path: Path) -> None:
    right_locks(path)


@paths
def test_surface_and_temperature_are_asked_for_and_told(path: Path) -> None:
    right_states(path)


SURVIVE = {
    ("bore", "needs", "old-liner-out"): "taking the liner out also opens the hole, which boring needs as well",
    ("guide-insert", "needs", "old-liner-out"): "as for boring",
}
"""What may be left out unnoticed, and why."""


def without(path: Path, operation: str, key: str, condition: str) -> Path:
    """Give a path on whose route one entry of an operation is left out."""

    def cut(each: Operation) -> Operation:
        if each.id != operation:
            return each
        return replace(each, **{key: tuple(name for name in getattr(each, key) if name != condition)})

    plan = replace(path.plan, operations=tuple(map(cut, path.plan.operations)))
    rules = OrderRules.of(plan)
    passed = tuple(op for op in plan.operations if rules.applies(op, path.repair))
    end: Held = frozenset(plan.received).union(*(op.makes for op in passed))
    return Path(path.name, plan, rules, path.repair, passed, end)


def noticed(path: Path, operation: str) -> bool:
    """Tell whether the tables, or the loader's rule that an operation makes work, notice what is left out."""
    if not path.rules.work(next(op for op in path.plan.operations if op.id == operation)):
        return True
    try:
        right_rework(path)
        right_locks(path)
        right_states(path)
    except AssertionError:
        return True
    return False


@pytest.mark.parametrize("key", ["needs", "makes", "breaks"])
def test_no_entry_can_be_left_out_unnoticed(key: str) -> None:
    entries = {(op.id, name): None for path in PATHS for op in path.passed for name in getattr(op, key)}
    assert len(entries) > 40
    left = {
        (operation, key, condition)
        for operation, condition in entries
        if not any(
            noticed(without(path, operation, key, condition), operation)
            for path in PATHS
            if any(op.id == operation for op in path.passed)
        )
    }
    assert left == {entry for entry in SURVIVE if entry[1] == key}


def test_the_tables_speak_of_every_operation_there_is() -> None:
    spoken = {*UNDOES, *AFTER, *DECIDED_AGAIN, "decide", "clean-bore", "lubricate"}
    assert {op.id for path in PATHS for op in path.passed} <= spoken | {"check-seats", "vacuum-test", "chamber-volume"}
    every = {*AFTER, *UNDOES, *WANTS, *LEAVES}.union(*AFTER.values(), *UNDOES.values())
    assert every <= set(library().operations)
