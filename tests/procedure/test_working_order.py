"""Tools are changed no more often than the head asks for: all of one kind, then all of the other (common practice)."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest
from tests.stories.looking import shipped_record

from headwright.data import shipped
from headwright.job.events import ReadingTaken
from headwright.job.index import PlanIndex
from headwright.procedure.library import Library, load
from headwright.procedure.plan import Level, Plan
from headwright.procedure.resolve import build_plan

BY_KIND = {
    "remove-liner", "guide-out", "guide-insert", "replace-guide", "ream-guide", "oversize-stem", "bore", "clean-bore",
    "install", "lubricate", "size", "trim", "wash", "verify", "valves", "reface-valves", "seat-inserts",
    "check-seats", "seats", "blue-check", "survey-guides", "survey-stems", "spring-test", "seals",
}  # fmt: skip
"""Operations whose cone, pilot, cutter, ball, reamer or setting differs between intakes and exhausts."""


@cache
def library() -> Library:
    return load(shipped("procedures"))


PLANS = [(family, route) for family, e in library().families.items() for route in e.definition.routes]


def plan_of(family: str, route: str) -> Plan:
    return build_plan(library(), route, family)


def changes(kinds: list[str]) -> int:
    return sum(one != other for one, other in pairwise(kinds))


@pytest.mark.parametrize(("family", "route"), PLANS)
def test_one_change_of_tool_and_front_to_rear_within_a_kind(family: str, route: str) -> None:
    plan = plan_of(family, route)
    index = PlanIndex(plan)
    stand = [place.id for place in plan.places if place.level is Level.POSITION]
    for operation in plan.operations:
        order = index.places_of(operation)
        if operation.per is not Level.POSITION:
            continue
        assert sorted(order) == sorted(stand), operation.id
        kinds = [str(index.places[place].kind) for place in order]
        if operation.id in BY_KIND:
            assert changes(kinds) == 1, operation.id
        for kind in set(kinds):
            group = [place for place in order if str(index.places[place].kind) == kind]
            assert group == sorted(group, key=stand.index), operation.id


@pytest.mark.parametrize(("family", "route"), PLANS)
def test_the_seat_comes_after_the_guide_and_the_deck_where_the_route_wants_it(family: str, route: str) -> None:
    """Common practice: guides before seats; chambers in the head: deck last; flat face: deck before the seats."""
    order = [operation.id for operation in plan_of(family, route).operations]
    place = {name: number for number, name in enumerate(order)}
    cutting = {"bore", "size", "ream-guide", "trim", "oversize-stem"} & set(order)
    assert all(place[name] < place["verify"] for name in cutting)
    if "seats" in place:
        assert place["verify"] < place["seats"]
    if "surface" in place:
        assert place["seats"] < place["surface"]
    if "deck-first" in place:
        assert place["verify"] < place["deck-first"] < place["seats"]
    if "seat-inserts" in place:
        assert place["verify"] < place["seat-inserts"] < place["seats"]


@pytest.mark.parametrize("job", ["1001", "1002", "1004", "1005"])
def test_a_told_job_changes_tools_once_in_an_operation_but_for_what_came_back(job: str) -> None:
    record = shipped_record(job)
    kinds = {place.id: str(place.kind) for place in record.plan.places}
    seen: dict[str, list[str]] = {}
    first: set[tuple[str, str]] = set()
    for entry in record.entries:
        event = entry.event
        if isinstance(event, ReadingTaken) and event.operation in BY_KIND:
            at = (event.operation, event.place)
            if at not in first:
                first.add(at)
                seen.setdefault(event.operation, []).append(kinds[event.place])
    assert len(seen) >= 8
    for operation, row in seen.items():
        assert changes(row) <= 1, operation
