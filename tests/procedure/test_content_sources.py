"""Every figure that a head is held to says where it comes from, and what nobody looked up is not taken as confirmed."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.procedure.library import Library, load
from headwright.procedure.plan import Sort
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.plan import Plan, Reading, Result

PUBLISHED = re.compile(r"(TM \d|29 CFR \d|ASTM |maker's service page)")
INVENTED = re.compile(r".+ \(invented\)")
UNPROVED = ("common practice", "from memory")
"""How a source begins that is none."""

STILL_UNPROVED = {
    "clean.bath_temperature", "clean.handling_temperature", "crack-check.yoke_lift", "decide.wall_left",
    "guide-insert.boss_wall", "penetrant-check.dwell_time", "penetrant-check.developer_time",
    "penetrant-check.part_temperature", "pressure-test.handling_temperature", "pressure-test.leak",
    "pressure-test-again.handling_temperature", "pressure-test-again.leak", "soak.head_over_gauge",
    "size.springback", "spring-test.margin", "surface.out_of_parallel", "deck-first.out_of_parallel",
    "vacuum-test.vacuum",
}  # fmt: skip
"""Limits that stand in operations and come from practice or memory. A new one is to be written down here on purpose."""


@cache
def library() -> Library:
    return load(shipped("procedures"))


@cache
def plans() -> tuple[Plan, ...]:
    return tuple(
        build_plan(library(), route, family, application)
        for family, entry in library().families.items()
        for route in entry.definition.routes
        for application in entry.definition.application
    )


def limits(plan: Plan) -> Iterator[tuple[str, str, str]]:
    """Give each limit of a plan: operation.item, its own source, and the family value that it comes from instead."""
    for operation in plan.operations:
        items: tuple[Reading | Result, ...] = (*operation.readings, *operation.results)
        for item in items:
            if item.limit is not None:
                yield f"{operation.id}.{item.name}", item.limit.source, item.limit.spec


def unproved(source: str) -> bool:
    return source.startswith(UNPROVED)


def known(source: str) -> bool:
    return bool(unproved(source) or PUBLISHED.match(source) or INVENTED.fullmatch(source))


def test_every_limit_has_a_source_of_its_own_or_that_of_a_value() -> None:
    for plan in plans():
        specs = {spec.name: spec for spec in plan.specs}
        for name, source, spec in limits(plan):
            assert known(source or specs[spec].source), f"{plan.family}/{plan.route} {name}: {source!r}"


def test_every_value_and_every_caution_has_a_source() -> None:
    for plan in plans():
        assert [spec.name for spec in plan.specs if not known(spec.source)] == []
        assert [caution.id for caution in plan.cautions if not caution.source] == []


def test_nothing_from_practice_memory_or_another_engine_is_confirmed() -> None:
    for plan in plans():
        for spec in plan.specs:
            doubtful = unproved(spec.source) or PUBLISHED.match(spec.source) is not None
            assert spec.confirmed is not doubtful, f"{plan.family} {plan.application} {spec.name}: {spec.source}"


def test_the_limits_without_a_source_are_these_and_no_others() -> None:
    found = {name for plan in plans() for name, source, spec in limits(plan) if not spec and unproved(source)}
    assert found == STILL_UNPROVED


@pytest.mark.parametrize(
    ("operation", "items"),
    [
        ("clean", {"bath_temperature", "nozzle_pressure", "handling_temperature"}),
        ("pressure-test", {"water_temperature", "test_pressure", "held_for", "handling_temperature"}),
        ("pressure-test-again", {"water_temperature", "test_pressure", "held_for", "handling_temperature"}),
        ("penetrant-check", {"part_temperature", "dwell_time", "developer_time"}),
        ("replace-guide", {"head_heat"}),
    ],
)
def test_what_can_hurt_is_a_reading_with_a_limit(operation: str, items: set[str]) -> None:
    """Nozzle, bath, water and test pressure, casting temperature and dwell are asked for and judged, not only told."""
    definition = library().operations[operation].definition
    held = {reading.name for reading in definition.reading if reading.sort is Sort.NUMBER and reading.is_held}
    assert items <= held


def test_every_caution_tells_hazard_protection_and_whom_to_defer_to() -> None:
    for name, entry in library().cautions.items():
        caution = entry.definition
        assert min(len(caution.hazard), len(caution.protection), len(caution.defer)) > 20, name


def test_every_caution_is_used() -> None:
    used = {name for plan in plans() for operation in plan.operations for name in operation.cautions}
    assert used == set(library().cautions)
