"""Small plans whose limits have to be proved, and a shop that reads every figure with a gauge."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from headwright.job.events import Event, GaugeTaken, ReadingTaken
from headwright.job.figures import Bench, Figure
from headwright.procedure.plan import Formula, Level, Limit, Operation, Plan, Reading, Result, Unit
from tests.job.small import INCH, MACHINIST, OPERATIONS, Shop, plan, reading_ref

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from headwright.job.refusal import Refused

BORE, MIC = 0.00012 * INCH, 0.00008 * INCH
"""Expanded uncertainties (k = 2) of the two gauges, mm."""
SORTS = {"stem": "micrometer", "bored_id": "bore gauge", "finished_id": "bore gauge"}


def proving_plan(**changes: Any) -> Plan:
    """Give the small plan with proof asked of the clearance, which `changes` alter."""
    found = []
    for operation in OPERATIONS:
        readings = tuple(replace(r, gauge=SORTS.get(r.name, "")) for r in operation.readings)
        results = tuple(replace(r, proof=True, **changes) for r in operation.results)
        found.append(replace(operation, readings=readings, results=results))
    return replace(plan(), operations=tuple(found))


class ProvingShop(Shop):
    """The small shop with a gauge for holes and one for stems in the machinist's hand."""

    def __init__(self, the_plan: Plan | None = None, *, bore: float = BORE) -> None:
        super().__init__(the_plan or proving_plan())
        self.do(GaugeTaken("BG-1", "bore gauge", 0.0001 * INCH, bore))
        self.do(GaugeTaken("MIC-1", "micrometer", 0.00005 * INCH, MIC))

    def ask(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...] | Refused:
        """Let every reading name the gauge in hand, as the screens do."""
        if isinstance(wanted, ReadingTaken):
            sort = self.state.index.readings[wanted.operation, wanted.reading].gauge
            wanted = replace(wanted, gauge=self.state.in_hand.get((operator, sort), ""))
        return super().ask(wanted, operator)

    def sized(self, *inches: float) -> Figure:
        """Size the first intake to these figures at its top and bottom, and give the clearance."""
        self.to_size()
        self.inch("size", "1I", "finished_id", *inches)
        return self.clearance()

    def clearance(self) -> Figure:
        return Bench(self.state, self.state.index.operations["size"], "1I").figure("clearance")


def sum_plan(readings: Sequence[Reading], result: Result) -> Plan:
    """Give a plan of one operation at the head, whose result is worked out from its readings."""
    operation = Operation(
        "sum", "Sum", "A sum.", Level.HEAD, ("received",), readings=tuple(readings), results=(result,)
    )
    return replace(plan(), operations=(operation,), units=(Unit("mm", "length", 1.0),))


def length(name: str, gauge: str = "", **more: Any) -> Reading:
    """Give a reading in mm, taken with a gauge of a sort of its own where none is given."""
    return Reading(name, name, unit="mm", dimension="length", resolution=0.001, gauge=gauge or f"{name} gauge", **more)


def formula_of(text: str, *readings: Reading) -> Formula:
    return Formula(text, refs={r.name: reading_ref("sum", r.name) for r in readings})


def judged_sum(
    readings: Sequence[Reading],
    text: str,
    values: Mapping[str, Sequence[float]],
    standard: Mapping[str, float],
    limit: tuple[float | None, float | None] = (-1e6, 1e6),
) -> Figure:
    """Read everything with gauges of these standard uncertainties (by sort of gauge, mm) and give the sum's figure."""
    low, high = (None if end is None else Formula(str(end), constant=end) for end in limit)
    held = Limit(low=low, high=high)
    result = Result(
        "answer", "Answer", "mm", "length", 0.001, value=formula_of(text, *readings), limit=held, proof=True
    )
    shop = Shop(sum_plan(readings, result))
    for sort, u in standard.items():
        shop.do(GaugeTaken(sort.upper(), sort, uncertainty=2 * u))
    for reading in readings:
        points = shop.state.index.points("sum", reading.name)
        gauge = reading.gauge.upper() if reading.gauge in standard else ""
        for point, value in zip(points, values[reading.name], strict=True):
            shop.do(
                ReadingTaken(
                    "sum",
                    "head:A",
                    reading.name,
                    f"{value}",
                    "mm",
                    value,
                    station=point[1],
                    angle=point[2],
                    gauge=gauge,
                )
            )
    return Bench(shop.state, shop.state.index.operations["sum"], "head:A").figure("answer")
