"""The bench's own clearance formulas, run on parts published in manuals of the US Army (public domain).

Each row gives least and most stem diameter, least and most guide bore, and the clearance printed there, in inches.
Tolerance: half of the last digit printed, 0.00005 in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.job.index import PlanIndex
from headwright.procedure.formula import compiled
from headwright.procedure.library import load
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from headwright.procedure.plan import Formula

INCH = 25.4
ROWS = {
    "TM 9-6115-604-34, table 1-4, new": (0.4945, 0.4955, 0.4972, 0.4980, 0.0017, 0.0035),
    "TM 9-6115-604-34, table 1-4, worn": (0.4935, 0.4935, 0.4996, 0.4996, 0.0061, 0.0061),
    "TM 5-6115-400-35, intake": (0.3715, 0.3720, 0.3730, 0.3730, 0.0010, 0.0015),
    "TM 5-6115-400-35, exhaust": (0.3715, 0.3720, 0.3740, 0.3740, 0.0020, 0.0025),
}


@pytest.mark.parametrize("row", ROWS)
@pytest.mark.parametrize(("operation", "bore"), [("size", "finished_id"), ("verify", "verified_id")])
def test_a_published_clearance_comes_out_of_the_formulas_of_the_procedures(row: str, operation: str, bore: str) -> None:
    stem_least, stem_most, guide_least, guide_most, least, most = ROWS[row]
    index = PlanIndex(build_plan(load(shipped("procedures")), "liner", "alder-107"))
    result = index.results[operation, "clearance"]
    spans = {bore: (guide_least, guide_most), "stem": (stem_least, stem_most)}

    def worked_out(formula: Formula | None) -> float:
        assert formula is not None
        grids = {name: (tuple(value * INCH for value in spans[ref.name]),) for name, ref in formula.refs.items()}
        return compiled(formula)(grids) / INCH

    assert worked_out(result.least) == pytest.approx(least, abs=0.00005)
    assert worked_out(result.most) == pytest.approx(most, abs=0.00005)
