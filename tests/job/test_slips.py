"""A far-off figure is matched against the slips that people make. The sorts are common practice, no source."""

from __future__ import annotations

import pytest

from headwright.job.blocks import BlockKind
from headwright.job.slips import question
from headwright.procedure.plan import Reading
from tests.job.small import INCH, Shop, plan, taken

PLAN = plan()
BORE = Reading("bore", "Bore", unit="in", dimension="length", resolution=0.0001 * INCH)
WINDOW = (0.3130 * INCH - 0.010 * INCH, 0.3130 * INCH + 0.010 * INCH)


@pytest.mark.parametrize(
    ("inches", "slip", "meant"),
    [
        (0.3391, "one thimble turn", 0.3141),
        (0.2641, "2 thimble turns", 0.3141),
        (3.141, "a decimal place", 0.3141),
        (0.03141, "a decimal place", 0.3141),
        (7.978, "mm instead of in", 7.978 / 25.4),
        (0.1341, "two digits swapped", 0.3141),
        (-0.3141, "a lost sign", 0.3141),
    ],
)
def test_a_slip_is_recognised_and_what_was_meant_is_offered(inches: float, slip: str, meant: float) -> None:
    doubt = question(inches * INCH, WINDOW, BORE, PLAN)
    assert doubt is not None
    assert doubt.slip == slip
    assert doubt.offer == pytest.approx(meant * INCH)


def test_a_figure_that_no_slip_explains_is_questioned_all_the_same() -> None:
    doubt = question(0.7007 * INCH, WINDOW, BORE, PLAN)
    assert doubt is not None
    assert (doubt.slip, doubt.offer) == ("far off", None)
    assert doubt.say == "0.7007 in is far from the 0.3130 expected here."


def test_a_figure_in_the_window_is_not_questioned() -> None:
    assert question(WINDOW[0], WINDOW, BORE, PLAN) is None


def test_the_job_asks_before_it_takes_a_far_off_figure_and_takes_it_when_told_so() -> None:
    shop = Shop()
    shop.to_bore()
    wanted = taken("bore", "1I", "bored_id", 0.3174, "top")
    (block,) = shop.refused(wanted).blocks
    assert block.kind is BlockKind.QUESTION
    assert block.why == "0.3174 in is far from the 0.3415 expected here: one thimble turn, 0.3424 in?"
    shop.do(type(wanted)(**{**{f: getattr(wanted, f) for f in wanted.__struct_fields__}, "questioned": block.subject}))
    assert shop.state.attempt("bore", "1I").readings["bored_id", "top", None].event.questioned == "one thimble turn"
