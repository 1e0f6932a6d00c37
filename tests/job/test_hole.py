"""What a hole is held to: its own limits, and those of the clearance over the stem that goes into it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.calc import student
from headwright.job.figures import Bench
from headwright.job.hole import hole_at, rulings
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Limit
from tests.job.proving import BORE, MIC, ProvingShop
from tests.job.small import INCH, OPERATIONS, Shop, plan

if TYPE_CHECKING:
    from headwright.job.hole import Hole
    from headwright.procedure.plan import Plan

STEM = 0.3118
"""Inches of the stem that the small shop surveys, and what is added for the limits of the clearance."""


def hole(shop: Shop, operation: str = "size", reading: str = "finished_id", *typed: float) -> Hole:
    index = shop.state.index
    points = index.points(operation, reading)
    known = {point: inches * INCH for point, inches in zip(points, typed, strict=False)}
    return hole_at(shop.state, index.operations[operation], "1I", index.readings[operation, reading], known)


def sized(*inches: float) -> Shop:
    """Size the first intake of a shop with plain limits."""
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", *inches)
    return shop


def test_a_hole_is_held_by_the_clearance_over_the_stem_that_goes_in() -> None:
    """Worked out by hand: clearance .0010 to .0020 over a stem of .3118 leaves .3128 to .3138."""
    found = hole(sized(0.3133, 0.3134))
    assert [figure.item for figure in found.figures] == ["clearance"]
    assert (found.low, found.high) == pytest.approx((0.3128 * INCH, 0.3138 * INCH))
    assert found.guard == 0
    assert found.bands == ()


def test_before_anything_is_read_the_limits_are_known_already() -> None:
    shop = Shop()
    shop.to_size()
    found = hole(shop)
    assert (found.low, found.high) == pytest.approx((0.3128 * INCH, 0.3138 * INCH))
    assert [figure.verdict for figure in found.figures] == [Verdict.OPEN]


def test_a_hole_with_limits_of_its_own_is_held_by_these() -> None:
    """The small sheet's bored hole for a liner: .3415 to .3430."""
    found = hole(sized(0.3133, 0.3134), "bore", "bored_id")
    assert [figure.item for figure in found.figures] == ["bored_id"]
    assert (found.low, found.high) == pytest.approx((0.3415 * INCH, 0.3430 * INCH))


def own_and_clearance() -> Plan:
    """Give the small plan with the bored hole's limits put on the finished one as well."""
    held = Limit(source="sheet", spec="hole")
    found = []
    for operation in OPERATIONS:
        readings = tuple(replace(r, limit=held) if r.name == "finished_id" else r for r in operation.readings)
        found.append(replace(operation, readings=readings))
    return replace(plan(), operations=tuple(found))


def test_what_is_held_twice_is_held_by_the_tighter_of_both() -> None:
    """Limits of its own from .3415 on, and .3138 at most by the clearance: no size keeps both."""
    shop = Shop(own_and_clearance())
    shop.to_size()
    found = hole(shop)
    assert [figure.item for figure in found.figures] == ["clearance", "finished_id"]
    assert (found.low, found.high) == pytest.approx((0.3415 * INCH, 0.3138 * INCH))


@pytest.mark.parametrize(
    ("inches", "verdict"),
    [
        (0.3127, Verdict.LOW),
        (0.3128, Verdict.NEAR),
        (0.3133, Verdict.IN),
        (0.3138, Verdict.NEAR),
        (0.3139, Verdict.HIGH),
    ],
)
def test_one_size_stands_as_the_figure_would_if_all_of_the_hole_were_of_it(inches: float, verdict: Verdict) -> None:
    shop = sized(0.3133, 0.3134)
    (figure,) = hole(shop).of_size(inches * INCH)
    size = shop.state.index.operations["size"]
    points = shop.state.index.points("size", "finished_id")
    wanted = Bench(shop.state, size, "1I", dict.fromkeys(points, inches * INCH)).figure("clearance")
    assert figure.verdict is wanted.verdict is verdict
    assert (figure.least, figure.most) == pytest.approx((wanted.least, wanted.most))


def test_the_guard_band_lies_inside_both_limits_and_nothing_in_it_is_proven() -> None:
    """By hand: the two gauges' standard uncertainties in quadrature, times the 95 % quantile (JCGM 106:2012, 8.3)."""
    shop = ProvingShop()
    shop.sized(0.3133, 0.3134)
    guard = student.quantile(0.95) * ((BORE / 2) ** 2 + (MIC / 2) ** 2) ** 0.5
    found = hole(shop)
    low, high = 0.3128 * INCH, 0.3138 * INCH
    assert found.guard == pytest.approx(guard)
    below, above = found.bands
    assert below == pytest.approx((low, low + guard))
    assert above == pytest.approx((high - guard, high))
    for size, verdict in (
        (low - 0.001, Verdict.LOW),
        (low + guard / 2, Verdict.UNPROVEN),
        ((low + high) / 2, Verdict.IN),
        (high - guard / 2, Verdict.UNPROVEN),
        (high + 0.001, Verdict.HIGH),
    ):
        assert [figure.verdict for figure in found.of_size(size)] == [verdict]


def test_limits_too_close_for_any_proof_are_one_band() -> None:
    shop = ProvingShop(bore=0.002 * INCH)
    shop.sized(0.3133, 0.3134)
    found = hole(shop)
    (band,) = found.bands
    assert band == pytest.approx((0.3128 * INCH, 0.3138 * INCH))
    assert [figure.verdict for figure in found.of_size(0.3133 * INCH)] == [Verdict.UNPROVEN]


def test_the_figure_being_typed_counts_and_what_holds_the_hole_does_not_move() -> None:
    shop = sized(0.3133, 0.3134)
    found = hole(shop, "size", "finished_id", 0.3141)
    assert [figure.verdict for figure in found.figures] == [Verdict.HIGH]
    assert found.high == pytest.approx(0.3138 * INCH)
    operation, reading = shop.state.index.operations["size"], shop.state.index.readings["size", "finished_id"]
    (rule,) = rulings(shop.state, operation, "1I", reading)
    assert (rule.least, rule.most) == pytest.approx((STEM * INCH, STEM * INCH))
