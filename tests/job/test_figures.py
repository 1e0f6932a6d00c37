"""What readings come to, and how they stand to their limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.figures import Bench
from headwright.job.verdict import Verdict, beyond, judge
from tests.job.small import INCH, Shop, plan

if TYPE_CHECKING:
    from headwright.job.index import PointKey


@pytest.mark.parametrize(
    ("least", "most", "verdict"),
    [
        (1.0, 2.0, Verdict.NEAR),
        (1.2, 1.8, Verdict.IN),
        (1.05, 1.5, Verdict.NEAR),
        (0.9, 1.5, Verdict.LOW),
        (1.5, 2.1, Verdict.HIGH),
        (0.9, 2.2, Verdict.HIGH),
        (0.7, 2.2, Verdict.LOW),
        (1.0 - 1e-9, 2.0 + 1e-9, Verdict.NEAR),
    ],
)
def test_a_span_is_held_to_both_limits_and_on_the_limit_is_in(least: float, most: float, verdict: Verdict) -> None:
    assert judge(least, most, 1.0, 2.0, graduation=0.1) is verdict


def test_a_pit_of_no_depth_is_not_near_to_a_limit_but_the_deepest_that_may_be_is() -> None:
    assert judge(0.0, 0.0, 0.0, 0.254, graduation=0.0254) is Verdict.IN
    assert judge(-1e-5, -1e-5, 0.0, 0.254, graduation=0.0254) is Verdict.LOW
    assert judge(0.24, 0.24, 0.0, 0.254, graduation=0.0254) is Verdict.NEAR


def test_an_open_end_holds_nothing() -> None:
    assert judge(-5, 5, None, None) is Verdict.FREE
    assert judge(-5, 5, None, 5) is Verdict.IN
    assert judge(-5, 5, -4, None) is Verdict.LOW
    assert beyond(-5, 5, -4, 4) == 1


def test_a_figure_being_typed_counts_before_it_is_saved() -> None:
    shop = Shop()
    shop.to_size()
    size = shop.state.index.operations["size"]
    assert Bench(shop.state, size, "1I").figure("clearance").verdict is Verdict.OPEN
    typed: dict[PointKey, float] = {("finished_id", "top", None): 0.3133 * INCH}
    figure = Bench(shop.state, size, "1I", typed).figure("clearance")
    assert figure.least == pytest.approx(0.0015 * INCH)
    assert (figure.verdict, figure.complete) == (Verdict.IN, False)
    assert Bench(shop.state, size, "1I").figure("clearance").least is None


def test_limits_follow_the_kind_of_the_position() -> None:
    shop = Shop(plan(heads=("A",)))
    shop.to_size()
    size = shop.state.index.operations["size"]
    intake = Bench(shop.state, size, "1I").figure("clearance")
    exhaust = Bench(shop.state, size, "1E").figure("clearance")
    assert (intake.low, intake.high) == (0.0010 * INCH, 0.0020 * INCH)
    assert (exhaust.low, exhaust.high) == (0.0015 * INCH, 0.0025 * INCH)


def test_a_limit_that_is_not_given_for_a_path_leaves_the_verdict_open() -> None:
    """The hole has no limits on the 'reuse' path: nothing passes for want of a limit."""
    shop = Shop()
    shop.to_bore("reuse", "liner")
    bench = Bench(shop.state, shop.state.index.operations["bore"], "1I", {("bored_id", "top", None): 8.7})
    figure = bench.figure("bored_id")
    assert (figure.low, figure.high, figure.verdict) == (None, None, Verdict.OPEN)
