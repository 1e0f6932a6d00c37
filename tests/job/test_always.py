"""What always holds, on generated histories: random people, random figures, random decisions."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from headwright.job.blocks import closing_blocks, release_blocks
from headwright.job.chain import chained, first_misfit
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Entry,
    Event,
    Opened,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    StepBegun,
    StepTicked,
    Stopped,
    WentOff,
)
from headwright.job.evolve import fold
from headwright.job.holds import holds
from headwright.job.state import State, begin
from headwright.procedure.plan import Role, Sort
from tests.job.small import INCH, LEAD, MACHINIST, OPERATIONS, TRAINEE, Shop, plan, taken

PLAN = plan(heads=("L", "R"))
START = begin(PLAN)
PEOPLE = {MACHINIST: Role.MACHINIST, LEAD: Role.LEAD, TRAINEE: Role.TRAINEE}
SIZES = (0.3118, 0.3424, 0.3445, 0.3472, 0.3125, 0.3133, 0.3150)


@st.composite
def wanted_now(draw: Any, state: State) -> tuple[Event, str]:
    """Draw something that somebody might want: mostly the work at hand, sometimes anything at all."""
    operator = draw(st.sampled_from(sorted(PEOPLE)))
    waiting = holds(state)
    if waiting and draw(st.booleans()):
        hold = draw(st.sampled_from(waiting))
        way = draw(st.sampled_from(hold.ways[:-1] * 6 + hold.ways[-1:]))
        if way.disposition is None:
            return Stopped(hold.place, "why"), operator
        return Disposed(
            hold.operation, hold.place, hold.figure.item, way.disposition, "why", way.redo, way.repair, operator
        ), operator
    due = [(op, p) for op in OPERATIONS for p in state.index.places_of(op) if state.is_due(op, p)]
    if due and draw(st.integers(0, 9)):
        operation, place = draw(st.sampled_from(due[:6]))
        return draw(_work(state, operation.id, place)), operator
    taken_numbers = [*state.where, 999]
    other: list[Event] = [
        WentOff(operator),
        CameOn(operator, "Somebody", PEOPLE[operator]),
        CautionAcknowledged("carbide"),
        ReadingStruck(draw(st.sampled_from(taken_numbers)), "misread"),
        Stopped(draw(st.sampled_from(["head:L", "R1I"])), "dropped"),
        Resumed(draw(st.sampled_from(["head:L", "head:R"])), "looked at"),
        Released(),
        Reopened("smokes"),
        OperationClosed("bore", "L1I"),
    ]
    return draw(st.sampled_from(other)), operator


@st.composite
def _work(draw: Any, state: State, operation: str, place: str) -> Event:
    op = state.index.operations[operation]
    if op.cautions and draw(st.integers(0, 2)) == 0:
        return CautionAcknowledged(draw(st.sampled_from(op.cautions)))
    if op.steps and (not op.readings or draw(st.booleans())):
        step = draw(st.sampled_from(op.steps))
        wanted: type[StepTicked | StepBegun] = draw(st.sampled_from([StepTicked, StepTicked, StepBegun]))
        return wanted(operation, state.index.tick_place(op, place, step.tick), step.name)
    reading = draw(st.sampled_from(op.readings))
    point = draw(st.sampled_from(state.index.points(operation, reading.name)))
    _, station, angle = point
    old = state.writing(operation, place).readings.get(point)
    over = draw(st.sampled_from([old.number, 0])) if old else 0
    if reading.sort is Sort.NUMBER:
        size = draw(st.sampled_from(SIZES)) * INCH
        slip = draw(st.sampled_from(["", "far off"]))
        return ReadingTaken(operation, place, reading.name, "", "in", size, "", station, angle, slip, over)
    word = draw(st.sampled_from(state.index.words(reading)))
    return ReadingTaken(operation, place, reading.name, word, word=word, station=station, angle=angle, over=over)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_no_history_breaks_the_promises(data: st.DataObject) -> None:
    state, entries = _record(START, (), (Opened("1", "sha"),), LEAD)
    for operator, role in PEOPLE.items():
        state, entries = _record(state, entries, (CameOn(operator, "Somebody", role),), operator)
    for _ in range(data.draw(st.integers(5, 60))):
        event, operator = data.draw(wanted_now(state))
        answer = decide(state, event, operator, "bench")
        if isinstance(answer, Refused):
            assert answer.blocks
            continue
        before = state
        state, entries = _record(state, entries, answer, operator)
        _nothing_passed_that_should_not(before, state, answer, operator)
        _others_kept_their_conditions(before, state, answer)
    assert first_misfit("1", entries) is None
    cut = data.draw(st.integers(0, len(entries)))
    assert fold(fold(START, entries[:cut]), entries[cut:]) == fold(START, entries) == state
    released = not isinstance(decide(state, Released(), LEAD, "bench"), Refused)
    assert released == (not state.released and state.is_on(LEAD) and not release_blocks(state))


def _record(
    state: State, entries: tuple[Entry, ...], events: tuple[Event, ...], operator: str
) -> tuple[State, tuple[Entry, ...]]:
    new = chained("1", entries[-1] if entries else None, events, time="t", operator=operator, terminal="b")
    return fold(state, new), entries + new


def _nothing_passed_that_should_not(before: State, after: State, events: tuple[Event, ...], operator: str) -> None:
    state = before
    for number, event in enumerate(events):
        if isinstance(event, OperationClosed):
            operation = state.index.operations[event.operation]
            assert closing_blocks(state, operation, event.place) == ()
            assert state.missing_needs(operation, event.place) == {}
            assert not {state.index.head_of(p) for p in state.index.inside(event.place)} & set(state.stopped)
        if isinstance(event, ReadingTaken | StepTicked):
            cautions = state.index.operations[event.operation].cautions
            assert all((operator, caution) in state.acknowledged for caution in cautions)
            assert state.is_on(operator)
        state = fold(state, chained("1", None, (event,), time="t", operator=operator, terminal="b"))
        assert number < 40
    assert state.held == after.held


def _others_kept_their_conditions(before: State, after: State, events: tuple[Event, ...]) -> None:
    named: set[str] = set()
    for event in events:
        if isinstance(event, OperationClosed):
            named.update(after.index.inside(event.place))
        elif isinstance(event, Disposed) and event.disposition is Disposition.REWORK:
            again = after.index.operations[event.redo]
            for place in after.index.around(event.place, again.per):
                named.update(after.index.inside(place))
        elif isinstance(event, ReadingStruck):
            (operation, place), _ = after.where[event.number]
            del operation
            named.update(after.index.inside(place))
    for position in after.index.positions:
        if position.id not in named:
            assert before.held[position.id] == after.held[position.id]


def test_a_struck_reading_is_as_if_it_had_never_been_taken_downstream() -> None:
    """The verdict that rests on a struck stem is open again, not left as it was."""
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    held = shop.state.held["1I"]
    number = shop.state.attempt("survey", "1I").readings["stem", "", None].number
    shop.do(ReadingStruck(number, "misread"))
    assert "sized" in held
    assert "sized" not in shop.state.held["1I"]
    shop.do(taken("survey", "1I", "stem", 0.3118))
    assert shop.state.held["1I"] == held
