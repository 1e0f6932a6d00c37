"""What has to be proved, as the bench draws it: the guard band, the word at its full length, and why."""

from __future__ import annotations

from headwright.job.figures import Bench
from headwright.job.verdict import Verdict
from headwright.terminal.bench.scale import UNPROVED, Held, axis, drawn
from headwright.terminal.bench.verdicts import word_of, worst
from tests.job.proving import ProvingShop


def text(limits: Held, value: float, width: int = 31) -> str:
    ends = axis(limits, (value,), 0.1, width)
    assert ends is not None
    return "".join(part for part, _ in drawn(ends, limits, (value, value), (), width, style="now"))


def test_the_guard_band_is_drawn_inside_both_limits() -> None:
    """Limits 0 and 10 in a drawing from -2.5 to 12.5, two cells a unit: the band of 2 takes three cells at each end."""
    assert text(Held(0.0, 10.0), 5.0) == "     ├─────────●─────────┤     "
    assert text(Held(0.0, 10.0, 2.0), 5.0) == f"     ├{UNPROVED * 3}──────●──────{UNPROVED * 3}┤     "


def test_limits_with_no_room_to_prove_anything_have_the_band_all_along() -> None:
    assert set(text(Held(0.0, 10.0, 6.0), 5.0)) == {" ", "├", UNPROVED, "●", "┤"}


def test_an_open_end_has_no_band() -> None:
    drawing = text(Held(None, 10.0, 2.0), 5.0)
    assert drawing.count(UNPROVED) > 0
    assert drawing.rstrip().endswith(f"{UNPROVED}┤")
    assert drawing.strip().startswith("─"), "nought ends it, and no bracket stands there"


def test_not_proven_is_worse_than_near_and_better_than_out() -> None:
    shop = ProvingShop()
    figure = shop.sized(0.3138, 0.3133)
    assert word_of(shop.state, figure) == ("■ not proven", "bad")
    size = shop.state.index.operations["size"]
    assert worst(Bench(shop.state, size, "1I").figures()) is Verdict.UNPROVEN
