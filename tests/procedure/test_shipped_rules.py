"""The rules that come with the program can be kept with the kit that comes with it, whatever head is on the bench."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.procedure import formula
from headwright.procedure.kit import Kit, load_kit
from headwright.procedure.library import Library, load
from headwright.procedure.plan import Kind, Operation, Plan, Reading, Sort
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.plan import Formula, Ref

DAY = "2026-03-09"
INCH = 25.4


@cache
def library() -> Library:
    return load(shipped("procedures"))


@cache
def kit() -> Kit:
    return load_kit(shipped("sample_jobs") / "kit.toml")


WAYS = [(family, route) for family, entry in library().families.items() for route in entry.definition.routes]
ways = pytest.mark.parametrize(("family", "route"), WAYS)


@cache
def plan_of(family: str, route: str) -> Plan:
    return build_plan(library(), route, family)


def traced(plan: Plan) -> Iterator[tuple[Operation, Reading]]:
    """Give the readings that have to name their gauge."""
    sorts = {*plan.rules.gauges, *(plan.rules.mastering.gauges if plan.rules.mastering else ())}
    for operation in plan.operations:
        for reading in operation.readings:
            if reading.sort is Sort.NUMBER and reading.gauge in sorts:
                yield operation, reading


@ways
def test_every_route_asks_for_zeroes_and_every_lead_for_his_pin(family: str, route: str) -> None:
    """Common practice, no source: half an hour, ten readings, a tenth of a thou, a ring within five thou."""
    rules = plan_of(family, route).rules
    mastering = rules.mastering
    assert mastering is not None
    assert (mastering.gauges, mastering.seconds, mastering.readings) == (("bore gauge",), 1800.0, 10)
    assert mastering.drift == pytest.approx(0.0001 * INCH, rel=0.25)
    assert mastering.within == pytest.approx(0.005 * INCH, rel=0.03)
    assert (rules.pins, rules.own_concession) == (True, False)


@ways
def test_the_kit_has_a_gauge_for_every_reading_that_has_to_name_one(family: str, route: str) -> None:
    found = list(traced(plan_of(family, route)))
    assert len(found) > 5
    for operation, reading in found:
        fit = [
            gauge
            for gauge in kit().gauges
            if gauge.sort == reading.gauge and gauge.dimension == reading.dimension and not gauge.is_overdue(DAY)
        ]
        assert fit, f"{operation.id}.{reading.name}: no {reading.gauge}"
        assert all(gauge.uncertainty > 0 for gauge in fit)


@ways
def test_the_kit_has_a_ring_near_every_size_that_is_zeroed_for(family: str, route: str) -> None:
    plan = plan_of(family, route)
    mastering = plan.rules.mastering
    assert mastering is not None
    rings = [ring.size for ring in kit().rings if not ring.is_overdue(DAY)]
    sizes = {*expected(plan, mastering.gauges)}
    assert len(sizes) > 1
    assert [size for size in sizes if min(abs(ring - size) for ring in rings) > mastering.within] == []


def expected(plan: Plan, sorts: tuple[str, ...]) -> Iterator[float]:
    for operation, reading in traced(plan):
        if reading.gauge in sorts:
            assert reading.expect is not None, f"{operation.id}.{reading.name}: nobody could say which ring"
            for kind in Kind:
                for repair in operation.repairs or ("",):
                    yield size_at(plan, reading.expect, kind, repair)


def size_at(plan: Plan, wanted: Formula, kind: Kind, repair: str) -> float:
    """Work out what is expected where holes and stems are what the family says."""
    specs = {spec.name: spec for spec in plan.specs}
    nominal = {"bored_id": "bored_hole", "stem": "stem_new"}

    def look(ref: Ref) -> float:
        name = ref.name if ref.sort == "spec" else nominal[ref.name]
        entry = specs[name].at(kind, repair)
        assert entry is not None
        value = {"": entry.value, "low": entry.low, "high": entry.high}[ref.part]
        return value if value is not None else (entry.high or 0.0)

    def grid(ref: Ref) -> float | tuple[tuple[float, ...], ...]:
        return ((look(ref),),) if ref.sort == "reading" else look(ref)

    return formula.compiled(wanted)({name: grid(ref) for name, ref in wanted.refs.items()})


def test_the_shop_traces_what_its_kit_has_and_nothing_twice() -> None:
    plan = plan_of("alder-107", "chamber-in-head")
    sorts = {gauge.sort for gauge in kit().gauges}
    assert set(plan.rules.gauges) <= sorts
    assert len(set(plan.rules.gauges)) == len(plan.rules.gauges)
    assert not {"calliper", "thermometer", "surface probe"} & set(plan.rules.gauges)


@ways
def test_what_is_repeated_what_has_a_tool_and_what_is_proved(family: str, route: str) -> None:
    plan = plan_of(family, route)
    here = {operation.id for operation in plan.operations}
    repeated = {f"{op.id}.{r.name}": r.agree for op in plan.operations for r in op.readings if r.agree is not None}
    assert {*repeated} == ({"install.pre_size_id"} if "install" in here else set())
    assert all(agree == pytest.approx(0.0001 * INCH) for agree in repeated.values())
    tools = {operation.id for operation in plan.operations if operation.tool}
    assert tools == {"bore", "seats"} & here
    proved = {f"{op.id}.{r.name}" for op in plan.operations for r in op.readings if r.proof}
    assert proved == ({"bore.bored_id"} if family == "brant-v8" else set())
    assert not any(result.proof for operation in plan.operations for result in operation.results)


@ways
def test_the_soak_tells_its_temperatures_apart_and_advises_on_the_wait(family: str, route: str) -> None:
    soak = next(operation for operation in plan_of(family, route).operations if operation.id == "soak")
    assert [reading.role for reading in soak.readings] == ["room-temperature", "part-temperature", "gauge-temperature"]
    assert [remedy.advise for result in soak.results for remedy in result.remedies] == ["soak"]
