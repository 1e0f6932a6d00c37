"""What the bench works out with its program made ready is what the formulas say, read name by name."""

from __future__ import annotations

from math import isclose
from random import Random
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from headwright.job.events import Entry, ReadingTaken
from headwright.job.evolve import fold
from headwright.job.figures import Bench
from headwright.job.state import begin
from headwright.job.verdict import Verdict, beyond, judge
from headwright.procedure.functions import FUNCTIONS
from headwright.procedure.plan import Level, Operation, Plan, Result, Sort
from tests.job.machine import shipped_plans, small_plans
from tests.job.plain_figures import Plain, PlainBench
from tests.job.small import OPERATIONS, formula, plan, reading_ref

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import State


def read_at_random(the_plan: Plan, chance: Random, share: float) -> State:
    """Give a job with so many of all readings taken, some of them repeated, on repairs drawn by chance."""
    state = begin(the_plan)
    for position in state.index.positions:
        state.repair[position.id] = chance.choice([repair.id for repair in the_plan.repairs] or [""])
    entries: list[Entry] = []
    for operation in the_plan.operations:
        for place in state.index.places_of(operation):
            for reading in operation.readings:
                if reading.sort is not Sort.NUMBER:
                    continue
                size = chance.choice([8.0, 0.0, -3.0, 20.0])
                for name, station, angle in state.index.points(operation.id, reading.name):
                    for repeat in range(chance.choice([1, 1, 2, 3])):
                        if chance.random() < share:
                            value = size + chance.randint(-5, 5) * (reading.resolution or 0.001)
                            event = ReadingTaken(
                                operation.id, place, name, "", reading.unit, value, station=station, angle=angle
                            )
                            event = replace(event, repeat=repeat > 0 and reading.agree is not None)
                            entries.append(Entry(len(entries) + 1, "2026-03-04T08:00:00Z", "07", "bench", event, ""))
    return fold(state, entries)


def wide_plan() -> Plan:
    """Give the small plan with sums at the head over what was read at its positions, and one at the job over both."""
    stem, hole = reading_ref("survey", "stem"), reading_ref("bore", "bored_id", "top")
    results = (
        Result("thinnest", "Thinnest", "in", "length", value=formula("least(stem)", stem=stem)),
        Result("between", "Between", "in", "length", value=formula("spread(stem)", stem=stem)),
        Result("bored", "Bored", "in", "length", value=formula("greatest(hole) - least(stem)", hole=hole, stem=stem)),
    )
    both = (
        Operation("look", "Look", "", Level.HEAD, (), results=results),
        Operation("look-all", "Look at all", "", Level.JOB, (), results=results),
    )
    return replace(plan(heads=("L", "R")), operations=(*OPERATIONS, *both))


def held_to_each_other(figure: Figure, plain: Plain) -> None:
    """The least and the greatest, the limits, whether it is complete, and the verdict that follows."""
    for found, wanted in ((figure.least, plain.least), (figure.most, plain.most)):
        assert (found is None) == (wanted is None), (figure, plain)
        assert found is None or wanted is None or isclose(found, wanted, rel_tol=1e-12, abs_tol=1e-12), (figure, plain)
    assert (figure.low, figure.high, figure.complete) == (plain.low, plain.high, plain.complete), (figure, plain)
    if plain.least is None or plain.most is None or not plain.known:
        assert figure.verdict is Verdict.OPEN, (figure, plain)
    elif not figure.proof:
        ends = (figure.least or 0.0, figure.most or 0.0)
        assert figure.verdict is judge(*ends, plain.low, plain.high, figure.resolution), (figure, plain)
        assert figure.out == (beyond(*ends, plain.low, plain.high) if figure.verdict.fails else 0.0)


def compare(state: State, operation: Operation, place: str, typed: dict[PointKey, float]) -> int:
    """Hold all figures at a place to the plain ones; give how many of them there are."""
    bench = Bench(state, operation, place, typed)
    plain = PlainBench(state, operation, place, typed)
    figures = {figure.item: figure for figure in bench.figures()}
    wanted = list(plain.figures())
    for each in wanted:
        held_to_each_other(figures[each.item], each)
        assert bench.figure(each.item) == figures[each.item]
    for reading in operation.readings:
        if reading.sort is Sort.NUMBER:
            held_to_each_other(bench.reading(reading), plain.reading(reading))
            assert bench.value(reading.expect) == pytest.approx(plain.value(reading.expect), nan_ok=True)
            assert bench.limits(reading.limit) == plain.limits(reading.limit)
    for result in operation.results:
        assert bench.is_complete(result) == plain.is_complete(result)
    return sum(each.least is not None for each in wanted)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), share=st.sampled_from([0.0, 0.5, 0.9, 1.0, 1.0]))
def test_figures_are_what_the_formulas_say_on_every_shipped_procedure(seed: int, share: float) -> None:
    chance = Random(seed)  # noqa: S311 - not a secret
    state = read_at_random(chance.choice((*shipped_plans(), *small_plans(), wide_plan())), chance, share)
    for operation in state.plan.operations:
        places = state.index.places_of(operation)
        for place in chance.sample(places, min(2, len(places))):
            points = [
                p for r in operation.readings if r.sort is Sort.NUMBER for p in state.index.points(operation.id, r.name)
            ]
            typed = {point: 8.0 + chance.randint(-9, 9) * 0.0025 for point in points if chance.random() < 0.2}
            compare(state, operation, place, {})
            compare(state, operation, place, typed)


def test_every_shipped_plan_has_figures_to_compare() -> None:
    """The comparison above is not about nothing: with all readings there, nearly every result has its figure."""
    for each in shipped_plans():
        state = read_at_random(each, Random(3), 1.0)  # noqa: S311 - not a secret
        many = sum(
            compare(state, operation, place, {})
            for operation in each.operations
            for place in state.index.places_of(operation)[:2]
        )
        assert many > 20, each.route


@settings(max_examples=200, deadline=None)
@given(
    st.integers(1, 5).flatmap(
        lambda across: st.lists(
            st.lists(st.floats(-1e3, 1e3), min_size=across, max_size=across), min_size=1, max_size=6
        )
    )
)
def test_a_function_over_whole_readings_gives_what_it_gives_over_any(grid: list[list[float]]) -> None:
    """Each of the functions over points has a quick way for readings that are all there; it may not differ."""
    for function in FUNCTIONS.values():
        quick = function.rows if function.line is None else function.line
        if quick is None:
            continue
        try:
            wanted = function.call(grid)
        except ValueError:
            continue  # too few points for it at best: the quick way is never taken there
        argument = grid if function.line is None else [reading for row in grid for reading in row]
        assert quick(argument) == wanted, function.name  # type: ignore[arg-type]


@pytest.mark.parametrize("name", [f.name for f in FUNCTIONS.values() if f.line is not None or f.rows is not None])
@pytest.mark.parametrize("grid", [(), ((),), ((), (), ())])
def test_no_function_over_points_answers_without_a_reading(name: str, grid: tuple[tuple[float, ...], ...]) -> None:
    """The bench asks none while nothing was read."""
    with pytest.raises(ValueError, match=r"."):
        FUNCTIONS[name].call(grid)
