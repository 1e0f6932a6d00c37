"""What the figures at a place may be off by, where their limits have to be proved: each reading's gauge, carried on."""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.uncertainty import Known, carried, of_gauge, of_taken

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from headwright.job.figures import Bench
    from headwright.job.gauges import GaugeNow
    from headwright.job.state import State
    from headwright.job.uncertainty import Moved, Spot
    from headwright.procedure.plan import Formula, Limit, Reading, Ref, Result


class Lacking(Exception):
    """The uncertainty of a reading is not known, and so that of nothing which rests on it; `label` names it."""

    def __init__(self, label: str) -> None:
        super().__init__(label)
        self.label = label


def of_reading(bench: Bench, reading: Reading) -> float | None:
    """Give the standard uncertainty of a reading's least certain figure against its limits, canonical.

    Args:
        bench: the place, with the figures being typed.
        reading: one that stands in the operation at the bench, with a figure at one of its points or more.

    Returns:
        The uncertainty; None where a limit cannot be worked out beside the readings that it rests on.

    Raises:
        Lacking: a figure was read with no gauge of known uncertainty.
    """
    points = bench.index.points(bench.operation.id, reading.name)
    spots = [(bench.operation.id, bench.place, point) for point in points]
    own = max(_known(bench, spot).standard for spot in spots if bench.taken(*spot) is not None)
    limits = [carried(_work(bench, f, None), _inputs(bench, (f,))) for f in _resting(reading.limit)]
    return None if None in limits else hypot(own, max((u for u in limits if u is not None), default=0.0))


def of_result(bench: Bench, result: Result) -> float | None:
    """Give the standard uncertainty of a result against its limits: of the less certain of its two margins, canonical.

    Args:
        bench: the place, with the figures being typed.
        result: one of the operation at the bench that can be worked out there.

    Returns:
        The uncertainty; None where it cannot be worked out beside the readings that it rests on.

    Raises:
        Lacking: a figure that it rests on was read with no gauge of known uncertainty.
    """
    resting = _resting(result.limit)
    low, high = (None, None) if result.limit is None else (result.limit.low, result.limit.high)
    sides = {
        (id(end), id(limit)): (end, limit)
        for end, limit in (
            (result.value or result.least, low if low in resting else None),
            (result.value or result.most, high if high in resting else None),
        )
        if end is not None
    }
    found = [
        carried(_work(bench, end, limit), _inputs(bench, (end,) if limit is None else (end, limit)))
        for end, limit in sides.values()
    ]
    return None if None in found else max((u for u in found if u is not None), default=0.0)


def _resting(limit: Limit | None) -> tuple[Formula, ...]:
    """Give the ends of a limit that are worked out from readings."""
    ends = () if limit is None else (limit.low, limit.high)
    return tuple(end for end in ends if end is not None and any(ref.sort != "spec" for ref in end.refs.values()))


def _work(bench: Bench, end: Formula, limit: Formula | None) -> Callable[[Moved], float | None]:
    """Give the sum whose uncertainty is wanted: an end of a figure, or how far it lies from a limit that moves too."""

    def work(moved: Moved) -> float | None:
        bench.moved = moved
        try:
            value = bench.value(end)
            held = 0.0 if limit is None else bench.value(limit)
        finally:
            bench.moved = {}
        return None if value is None or held is None else value - held

    return work


def _inputs(bench: Bench, formulas: Iterable[Formula]) -> list[Known]:
    spots = dict.fromkeys(spot for formula in formulas for spot in _spots(bench, formula))
    return [_known(bench, spot) for spot in spots]


def _spots(bench: Bench, formula: Formula) -> Iterator[Spot]:
    """Find every reading on record that a formula rests on, through other results and in other operations."""
    for ref in formula.refs.values():
        if ref.sort == "result":
            result = bench.index.results[bench.operation.id, ref.name]
            for inner in _part(result, ref):
                yield from _spots(bench, inner)
        elif ref.sort == "reading":
            points = [p for p in bench.index.points(ref.operation, ref.name) if ref.part in {"", p[1]}]
            for place in bench.places_of(bench.index.operations[ref.operation]):
                yield from (
                    (ref.operation, place, point)
                    for point in points
                    if bench.taken(ref.operation, place, point) is not None
                )


def _part(result: Result, ref: Ref) -> tuple[Formula, ...]:
    formula = {"": result.value, "least": result.least, "most": result.most}[ref.part]
    return () if formula is None else (formula,)


def _known(bench: Bench, spot: Spot) -> Known:
    operation, place, point = spot
    taken = bench.taken(operation, place, point)
    reading = bench.index.readings[operation, point[0]]
    if taken is not None and not taken.number:
        gauge = _in_use(bench.state, reading)
        event = replace(taken.event, gauge="" if gauge is None else gauge.gauge)
        taken = replace(taken, event=event, uncertainty=of_gauge(gauge))
    found = None if taken is None else of_taken(taken)
    if found is None:
        elsewhere = operation != bench.operation.id
        raise Lacking(f"{reading.label} in '{bench.index.operations[operation].title}'" if elsewhere else reading.label)
    return Known(spot, *found)


def _in_use(state: State, reading: Reading) -> GaugeNow | None:
    """Give the gauge that a figure being typed comes from: of those in hand, the least certain one."""
    held = [state.gauges[gauge] for (_, sort), gauge in state.in_hand.items() if sort == reading.gauge]
    return max(held, key=lambda gauge: of_gauge(gauge) or float("inf"), default=None)
