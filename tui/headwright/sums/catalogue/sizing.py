"""The sum of the sizing ball: which to push, learnt from the shop's own sizings."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING, Any

from headwright.calc.ball import ball
from headwright.calc.ball_words import explain
from headwright.calc.errors import Impossible
from headwright.calc.springback import Sizing
from headwright.sums.dimensions import LENGTH, RATIO
from headwright.sums.model import Column, Input, Outcome, Result, Sum

if TYPE_CHECKING:
    from collections.abc import Mapping

_TIMES = 5
"""How far records may be from the hole at hand; inches read as millimetres are 25 times off."""


def _ball(given: Mapping[str, Any]) -> Outcome:
    records = [Sizing(*row) for row in given.get("records", ())]
    if records and given["pre_size"] > 0:
        typical = median(each.pre_size for each in records) / given["pre_size"]
        if not 1 / _TIMES < typical < _TIMES:
            raise Impossible(
                "the records are of other sizes than pre_size; put their unit in the heading: pre_size [mm]"
            )
    advice = ball(
        pre_size=given["pre_size"], low=given["low"], high=given["high"], balls=given["balls"], records=records
    )
    keys = ("ball", "predicted", "interval_low", "interval_high", "p_in", "p_over")
    answers = {key: getattr(advice, key) for key in keys}
    return Outcome(answers, lambda show: (explain(advice, lambda size: show(size, LENGTH)),))


BALL = Sum(
    name="ball",
    purpose="which sizing ball to push, and how likely it lands in limits",
    inputs=(
        Input("pre_size", "hole before the push", LENGTH),
        Input("low", "least finished size", LENGTH),
        Input("high", "most finished size", LENGTH),
        Input("balls", "measured balls, between commas", LENGTH, many=True),
        Input(
            "records",
            "file of past sizings, same kind",
            LENGTH,
            required=False,
            columns=(Column("pre_size", LENGTH), Column("ball", LENGTH), Column("finished", LENGTH)),
            unit_of=("pre_size",),
        ),
    ),
    results=(
        Result("ball", "ball to push", LENGTH),
        Result("predicted", "finished size expected", LENGTH),
        Result("interval_low", "95 % interval from", LENGTH),
        Result("interval_high", "95 % interval to", LENGTH),
        Result("p_in", "probability of in limits", RATIO),
        Result("p_over", "probability of over", RATIO),
    ),
    formula="springback = a + b·(ball − pre_size), fitted to the records (under six of them: a stated assumption);"
    " of the balls with p_over ≤ 0.02 the one with the highest p_in; under 0.90 the first of two pushes",
    source="Least-squares line and its prediction interval, Student's t. For the springback of bronze no figure is"
    " published: the shop's own records count; the assumption is from memory of the trade and weak.",
    compute=_ball,
    note="Give the balls as measured, for they wear. Records must be of the same liner, head metal and lubricant, and"
    " all of a first pass or all of a later one.",
    example={
        "pre_size": "0.3411in",
        "low": "0.3428in",
        "high": "0.3434in",
        "balls": "0.3430in,0.3435in,0.3440in",
        "records": "sizings.csv",
    },
)
