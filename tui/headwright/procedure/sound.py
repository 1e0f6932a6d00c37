"""Whether a plan holds together: every name that it uses is in it, every formula runs, every size can be shown.

A plan that this program made does. One that came in with a job's record may have been written by anybody: it is looked
over once, when it comes in, so that nothing at the bench has to ask again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import to_builtins

from headwright.procedure.formula import Call, FormulaFault, Name, Node, compiled, names, parse
from headwright.procedure.functions import FUNCTIONS, Shape
from headwright.procedure.plan import Level, Sort

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.procedure.plan import Formula, Operation, Plan, Reading, Ref, Remedy, Result

_LEAST, _MOST = 1e-12, 1e12
"""Numbers outside of these are no sizes, times or factors of this trade, and would make figures without end."""


def unsound(plan: Plan) -> str:
    """Tell the first thing that keeps a plan from being worked with, in words; empty where it holds together."""
    return next(_faults(plan), "")


def _faults(plan: Plan) -> Iterator[str]:
    yield from (f"{number:.6g} is too great a number" for number in _numbers(to_builtins(plan)) if abs(number) > _MOST)
    yield from _places(plan)
    operations = {operation.id for operation in plan.operations}
    conditions, repairs = {c.id for c in plan.conditions}, {r.id for r in plan.repairs}
    if len(operations) < len(plan.operations):
        yield "an operation stands twice"
    yield from _missing("condition", plan.received, conditions)
    for unit in plan.units:
        if unit.factor < _LEAST:
            yield f"unit '{unit.name}' has no factor that can be worked with"
    for spec in plan.specs:
        yield from _unit(plan, spec.unit, spec.dimension)
    for operation in plan.operations:
        yield from _missing("condition", (*operation.makes, *operation.needs, *operation.breaks), conditions)
        yield from _missing("repair", operation.repairs, repairs)
        yield from _missing("caution", operation.cautions, {c.id for c in plan.cautions})
        if len({s.name for s in operation.steps}) < len(operation.steps):
            yield f"operation '{operation.id}' has a step twice"
        for step in operation.steps:
            yield from _missing("reading", step.readings or (), {r.name for r in operation.readings})
        yield from _figures(plan, operation, operations, repairs)


def _numbers(part: object) -> Iterator[float]:
    if isinstance(part, dict):
        part = tuple(part.values())
    if isinstance(part, list | tuple):
        for each in part:
            yield from _numbers(each)
    elif isinstance(part, int | float):
        yield part


def _missing(sort: str, used: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    yield from (f"{sort} '{name[:60]}' is not in it" for name in used if name not in known)


def _places(plan: Plan) -> Iterator[str]:
    levels, before = list(Level), dict[str, Level]()
    for place in plan.places:
        yield from _missing("place", place.within, before)
        if place.id in before:
            yield f"place '{place.id}' stands twice"
        if any(levels.index(before[wide]) >= levels.index(place.level) for wide in place.within if wide in before):
            yield f"place '{place.id}' is within one that is no wider"
        if place.level in {Level.CHAMBER, Level.POSITION} and not any(
            before.get(wide) is Level.HEAD for wide in place.within
        ):
            yield f"place '{place.id}' is in no head"
        before[place.id] = place.level
    if not {Level.JOB, Level.HEAD, Level.POSITION} <= set(before.values()):
        yield "it has no job, no head or no position"


def _unit(plan: Plan, unit: str, dimension: str) -> Iterator[str]:
    if not any((each.name, each.dimension) == (unit, dimension) for each in plan.units):
        yield f"unit '{unit[:60]}' of {dimension[:60]} is not in it"


def _figures(plan: Plan, operation: Operation, operations: set[str], repairs: set[str]) -> Iterator[str]:
    items: tuple[Reading | Result, ...] = (*operation.readings, *operation.results)
    if len({item.name for item in items}) < len(items):
        yield f"operation '{operation.id}' has a figure twice"
    for reading in operation.readings:
        if reading.sort is Sort.NUMBER:
            yield from _unit(plan, reading.unit, reading.dimension)
        yield from (
            problem for formula in (reading.expect,) if formula for problem in _formula(plan, operation, formula)
        )
    worked: set[str] = set()
    for result in operation.results:
        yield from _unit(plan, result.unit, result.dimension)
        for formula in filter(None, (result.value, result.least, result.most)):
            yield from _formula(plan, operation, formula)
            later = (r.name for r in formula.refs.values() if r.sort == "result" and r.name not in worked)
            yield from (
                f"result '{result.name}' rests on '{name}', which is not worked out before it" for name in later
            )
        worked.add(result.name)
    for item in items:
        if item.resolution < 0:
            yield f"'{item.name}' has no resolution that can be worked with"
        limit = item.limit
        if limit is not None:
            yield from _missing("spec", filter(None, (limit.spec,)), {s.name for s in plan.specs})
            for formula in filter(None, (limit.low, limit.high)):
                yield from _formula(plan, operation, formula)
        yield from _remedies(item.remedies, operations, repairs)


def _remedies(remedies: Iterable[Remedy], operations: set[str], repairs: set[str]) -> Iterator[str]:
    for remedy in remedies:
        yield from _missing("operation", filter(None, (remedy.redo,)), operations)
        yield from _missing("repair", filter(None, (remedy.repair,)), repairs)


def _formula(plan: Plan, operation: Operation, formula: Formula) -> Iterator[str]:
    for ref in formula.refs.values():
        yield from _ref(plan, operation, ref)
    if formula.constant is not None:
        return
    try:
        node = parse(formula.text)
    except FormulaFault as error:
        yield f"'{formula.text[:60]}' is no formula: {error}"
        return
    yield from _missing("name", (name.text for name in names(node)), formula.refs)
    problem = _calls(node)
    if problem:
        yield f"'{formula.text[:60]}': {problem}"
        return
    if all(name.text in formula.refs for name in names(node)):
        compiled(formula)


def _calls(node: Node) -> str:
    """Tell what is wrong with the calls of functions in a formula; empty for nothing."""
    inside: tuple[Node, ...] = tuple(
        getattr(node, part) for part in ("operand", "base", "left", "right") if hasattr(node, part)
    )
    if isinstance(node, Call):
        function = FUNCTIONS.get(node.name)
        if function is None:
            return f"there is no function '{node.name[:60]}'"
        many = len(node.arguments)
        if many < len(function.takes) or (many > len(function.takes) and not function.open_ended):
            return f"{node.name} does not take {many} arguments"
        if function.shape in {Shape.GRID, Shape.GRID_DIFFERENCE} and not isinstance(node.arguments[0], Name):
            return f"{node.name} takes the name of a reading"
        inside = node.arguments
    return next(filter(None, map(_calls, inside)), "")


def _ref(plan: Plan, operation: Operation, ref: Ref) -> Iterator[str]:
    if ref.sort == "spec":
        yield from _missing("spec", (ref.name,), {spec.name for spec in plan.specs})
        yield from _missing("part", (ref.part,), ("", "low", "high"))
    elif ref.sort == "result":
        yield from _missing("result", (ref.name,), {result.name for result in operation.results})
        yield from _missing("part", (ref.part,), ("", "least", "most"))
    else:
        readings = {(op.id, r.name): r for op in plan.operations for r in op.readings}
        reading = readings.get((ref.operation, ref.name))
        if ref.sort != "reading" or reading is None or reading.sort is not Sort.NUMBER:
            yield f"{ref.sort[:60]} '{ref.name[:60]}' is no figure of it"
        elif ref.part and ref.part not in reading.stations:
            yield f"reading '{ref.name}' has no station '{ref.part[:60]}'"
