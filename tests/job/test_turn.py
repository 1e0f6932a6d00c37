"""Where work goes on inside a head: in the working order, not in the order in which the valves stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.turn import place_in_turn, position_in_turn
from tests.job.small import Shop, plan

if TYPE_CHECKING:
    from headwright.procedure.plan import Operation


def operation(shop: Shop, name: str) -> Operation:
    return shop.state.index.operations[name]


def at_sizing(*sized: str) -> Shop:
    """Bring the small head, whose exhaust stands before its intake, to sizing; these positions are sized already."""
    shop = Shop()
    shop.to_size()
    for place in sized:
        shop.inch("size", place, "finished_id", 0.3133, 0.3134)
    return shop


@pytest.mark.parametrize("place", ["job", "head:A", "chamber:A-1"])
def test_intakes_come_first_where_the_operation_goes_by_kind(place: str) -> None:
    shop = at_sizing()
    assert [p.id for p in shop.state.index.positions] == ["1E", "1I"], "as they stand"
    assert position_in_turn(shop.state, operation(shop, "size"), place) == "1I"
    assert place_in_turn(shop.state, operation(shop, "size"), place) == "1I"


def test_what_is_done_is_passed_over() -> None:
    shop = at_sizing("1I")
    assert shop.state.is_done(operation(shop, "size"), "1I")
    assert position_in_turn(shop.state, operation(shop, "size"), "head:A") == "1E"


def test_what_is_held_waits_for_the_others() -> None:
    shop = at_sizing()
    shop.inch("size", "1I", "finished_id", 0.3120, 0.3121)
    assert position_in_turn(shop.state, operation(shop, "size"), "head:A") == "1E"


def test_a_place_of_the_operation_is_itself_and_a_narrower_one_stays() -> None:
    shop = at_sizing()
    assert place_in_turn(shop.state, operation(shop, "size"), "1E") == "1E"
    assert position_in_turn(shop.state, operation(shop, "size"), "1E") == "1E"
    assert place_in_turn(shop.state, operation(shop, "soak"), "head:A") == "head:A"
    assert position_in_turn(shop.state, operation(shop, "soak"), "head:A") == "1E", "nothing goes by kind there"
    assert position_in_turn(shop.state, operation(shop, "soak"), "1I") == "1I"


def test_another_head_is_left_alone() -> None:
    shop = Shop(plan(heads=("L", "R")))
    assert position_in_turn(shop.state, operation(shop, "survey"), "head:R") == "R1I"
    assert position_in_turn(shop.state, operation(shop, "survey"), "job") == "L1I"


def test_what_is_not_there_has_no_position() -> None:
    shop = Shop()
    assert place_in_turn(shop.state, operation(shop, "size"), "") == ""
    assert position_in_turn(shop.state, operation(shop, "size"), "nowhere") == ""
