"""Figures, limits, places and moments as the sheet words them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from headwright.job.events import Disposed, Disposition, ReadingStruck
from headwright.job.index import place_words
from headwright.job.show import BEYOND, decimals, show, telling_decimals, unit_of, unit_sign
from headwright.job.uncertainty import proof_words
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.job.events import Entry
    from headwright.job.figures import Figure
    from headwright.job.index import PlanIndex, PointKey
    from headwright.job.state import Taken
    from headwright.procedure.plan import Reading, Unit
    from headwright.sheet.history import Held

_MOST_DECIMALS = 6
_USUAL_DECIMALS = 4


def moment(time: str) -> str:
    """Give a time of a record to the minute: `2025-03-04 08:12`."""
    return time[:16].replace("T", " ")


def with_unit(digits: str, unit: str) -> str:
    """Put the unit behind the digits; a degree sign stands close."""
    sign = unit_sign(unit)
    return f"{digits}{sign}" if sign == "°" else f"{digits} {sign}".rstrip()


def spot(point: PointKey) -> str:
    """Give where on a reading a point is: `top, 90°`, empty for a reading with one point."""
    return ", ".join((*([point[1]] if point[1] else []), *([f"{point[2]}°"] if point[2] is not None else [])))


def point_value(reading: Reading, taken: Taken, index: PlanIndex, figure: Figure | None = None) -> str:
    """Give what was read at a point: the word, or the digits without their unit.

    With the reading's `figure`, a value that is out has the decimals that tell it from its limit.
    """
    value = taken.event.value
    if reading.sort is Sort.REPAIR:
        repair = index.repairs.get(taken.event.word)
        return repair.label if repair else taken.event.word
    if reading.sort is not Sort.NUMBER or value is None:
        return taken.event.word
    unit = unit_of(index.plan, reading.unit, reading.dimension)
    places = telling_decimals(index.plan, reading, figure) if figure else decimals(reading.resolution, unit)
    return show(value, unit, places)


def verdict_mark(figure: Figure) -> str:
    """Give the verdict in brackets; empty for a figure held to nothing."""
    if figure.verdict is Verdict.FREE:
        return ""
    word = figure.verdict.value
    final = figure.complete or figure.verdict in {Verdict.WRONG, Verdict.OPEN}
    return f"[{word}]" if final else f"[{word} so far]"


def figure_words(figure: Figure, index: PlanIndex) -> str:
    """Give a figure with its unit and limits: `0.0014 to 0.0016 in, limits 0.0010 to 0.0020 in`.

    Where the limits have to be proved, its uncertainty and what proves them follow.
    """
    return ", ".join(filter(None, (value_words(figure, index), held_to_words(figure, index))))


def held_to_words(figure: Figure, index: PlanIndex) -> str:
    """Give what a figure is held to and, where that has to be proved, its uncertainty and what proves it."""
    at = (figure.operation, figure.item)
    proof = proof_words(index.plan, index.readings.get(at) or index.results[at], figure).rstrip(".")
    return "; ".join(filter(None, (figure_limits(figure, index), proof)))


def value_words(figure: Figure, index: PlanIndex) -> str:
    """Give a figure with its unit: a word, a value or `0.0014 to 0.0016 in`."""
    unit = _unit(figure, index)
    if unit is None:
        return figure.word
    if figure.least is None or figure.most is None:
        return "not worked out"
    at = (figure.operation, figure.item)
    places = telling_decimals(index.plan, index.readings.get(at) or index.results[at], figure)
    least, most = show(figure.least, unit, places), show(figure.most, unit, places)
    return with_unit(least if least == most else f"{least} to {most}", figure.unit)


def figure_limits(figure: Figure, index: PlanIndex) -> str:
    """Give what a figure is held to, empty where there is nothing."""
    unit = _unit(figure, index)
    return span_words(figure.low, figure.high, unit, decimals(figure.resolution, unit)) if unit else ""


def _unit(figure: Figure, index: PlanIndex) -> Unit | None:
    at = (figure.operation, figure.item)
    dimension = index.readings[at].dimension if at in index.readings else index.results[at].dimension
    return unit_of(index.plan, figure.unit, dimension) if figure.unit else None


def span_words(low: float | None, high: float | None, unit: Unit, least: int | None = None) -> str:
    """Give limits in a unit: `limits 0.0010 to 0.0020 in`, `at most 0.5 psi`.

    Both ends have the decimals that the longer needs, and no fewer than `least`; what does not come out even in this
    unit is rounded inward to `least` (None: four).
    """
    places = places_for(unit, least, *(end for end in (low, high) if end is not None))
    ends = []
    if low is not None:
        ends.append(_rounded(low, unit, places, math.ceil))
    if high is not None:
        ends.append(_rounded(high, unit, places, math.floor))
    word = "limits" if len(ends) > 1 else "at least" if low is not None else "at most"
    return f"{word} {with_unit(' to '.join(ends), unit.name)}" if ends else ""


def places_for(unit: Unit, least: int | None, *values: float) -> int:
    """Give the decimals that canonical values need to stand in a unit, from `least` to six.

    Where they do not come out even it is `least`, or four where that is None.
    """
    typed = [(value - unit.offset) / unit.factor for value in values]
    for places in range(least or 0, _MOST_DECIMALS + 1):
        if all(math.isclose(round(v, places), v, rel_tol=1e-12, abs_tol=1e-12) for v in typed):
            return places
    return _USUAL_DECIMALS if least is None else least


def _rounded(value: float, unit: Unit, places: int, inward: Callable[[float], int]) -> str:
    typed = (value - unit.offset) / unit.factor
    if abs(typed) > BEYOND:
        return f"{typed:.6g}"
    steps = inward(round(typed * 10**places, 6))  # 0.001 × 10,000 is a little over 10 in floats
    return f"{steps / 10**places + 0.0:.{places}f}"


def where(index: PlanIndex, operation: str, place: str) -> str:
    """Give an operation at a place: `Size the liner, 2I`."""
    return f"{index.operations[operation].title}, {place_words(index.places[place])}"


def held_words(held: Held, index: PlanIndex) -> str:
    """Give what is held and by how much: `Clearance [low] 0.0004 to 0.0007 in, limits …`."""
    figure = held.hold.figure
    return f"{figure.label} {verdict_mark(figure)} {figure_words(figure, index)}"


def cleared_words(held: Held, index: PlanIndex) -> str:
    """Give how a hold was closed, by whom and when; or that it stands."""
    entry = held.cleared
    if entry is None:
        return "not closed"
    how = how_cleared(entry, index, held.hold.figure)
    return f"closed at event {entry.number}, {entry.operator}, {moment(entry.time)}, {how}"


def how_cleared(entry: Entry, index: PlanIndex, figure: Figure | None = None) -> str:
    """Give how the entry that closed a hold did so; with its figure, the rule by which that was let stand."""
    match entry.event:
        case Disposed() as decision:
            return _decision_words(decision, index, accepted_words(decision, figure))
        case ReadingStruck(number=number, reason=reason):
            return f"by striking the reading of event {number}: {reason}"
        case _:
            return "by what was read or decided elsewhere"


def accepted_words(decision: Disposed, figure: Figure | None) -> str:
    """Say by which rule a figure was let stand that was in its limits and not proved to be; empty for others."""
    if figure is None or figure.verdict is not Verdict.UNPROVEN or figure.item != decision.item:
        return ""
    return ", accepted by plain limits" if decision.disposition is Disposition.CONCESSION else ""


def _decision_words(decision: Disposed, index: PlanIndex, accepted: str) -> str:
    how = f"by {decision.disposition.value}{accepted}"
    if decision.disposition is Disposition.REWORK and decision.redo:
        how += f" from '{index.operations[decision.redo].title}'"
    if decision.repair:
        how += f", repair now '{index.repairs[decision.repair].label}'"
    if decision.agreed:
        how += f", agreed by {decision.agreed}"
    return f"{how}: {decision.reason}"
