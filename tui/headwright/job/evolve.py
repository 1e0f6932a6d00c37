"""Folding entries into a state. No rule is judged here: what is on record happened."""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Entry,
    Event,
    FirstPieceReleased,
    GaugeChecked,
    GaugeDoubted,
    GaugeTaken,
    HandedOver,
    Noted,
    Opened,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepBegun,
    StepTicked,
    Stopped,
    TookBench,
    ToolChosen,
    WentOff,
)
from headwright.job.gauges import Check, GaugeNow, has_drifted, in_doubt
from headwright.job.index import formulas_of
from headwright.job.state import DONE_AGAIN, EMPTY, At, Attempt, Doubt, Note, Person, State, Taken, Tool, copied
from headwright.job.timing import timed
from headwright.job.uncertainty import of_gauge
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.job.index import PlanIndex, PointKey
    from headwright.procedure.plan import Reading, Result


def evolve(state: State, entry: Entry) -> State:
    """Give the state after one more entry; the state given stays as it is."""
    return fold(state, (entry,))


def fold(state: State, entries: Iterable[Entry]) -> State:
    """Give the state after more entries, in order; the state given stays as it is."""
    draft = copied(state)
    draft.known = None  # nothing is known of a state that is still being written
    for entry in entries:
        timed(draft, entry)
        _apply(entry.event, draft, entry)
        draft.number, draft.time = entry.number, entry.time
    draft.known = state.known
    return draft


def provisional(state: State, event: Event, operator: str, terminal: str) -> State:
    """Give the state as it would be if the event happened now."""
    return evolve(state, Entry(state.number + 1, state.time, operator, terminal, event, ""))


@singledispatch
def _apply(event: Event, state: State, entry: Entry) -> None:
    del state, entry
    raise TypeError(f"no rule for {type(event).__name__}")  # a new event without its rule is a fault of the program


@_apply.register
def _(event: Opened, state: State, entry: Entry) -> None:
    del entry
    state.job, state.tag, state.customer = event.job, event.tag, event.customer


@_apply.register
def _(event: CameOn, state: State, entry: Entry) -> None:
    _end_shift(state, event.operator)
    state.people[event.operator] = Person(
        event.operator, event.name, event.role, entry.terminal, on=True, since=entry.time
    )
    _take_bench(state, event.operator, entry.terminal)


@_apply.register
def _(event: TookBench, state: State, entry: Entry) -> None:
    _take_bench(state, event.operator, entry.terminal)


def _take_bench(state: State, operator: str, terminal: str) -> None:
    """Let somebody be the one at a terminal, and nobody else; a forged record may name somebody who never came."""
    for other in state.people.values():
        if other.here and other.terminal == terminal:
            state.people[other.operator] = replace(other, here=False)
    if operator in state.people:
        state.people[operator] = replace(state.people[operator], terminal=terminal, here=True)


@_apply.register
def _(event: WentOff, state: State, entry: Entry) -> None:
    del entry
    _end_shift(state, event.operator)
    if event.operator in state.people:
        state.people[event.operator] = replace(state.people[event.operator], on=False, here=False)


def _end_shift(state: State, operator: str) -> None:
    state.acknowledged = {key: number for key, number in state.acknowledged.items() if key[0] != operator}


@_apply.register
def _(event: CautionAcknowledged, state: State, entry: Entry) -> None:
    state.acknowledged[entry.operator, event.caution] = entry.number


@_apply.register
def _(event: StepBegun, state: State, entry: Entry) -> None:
    state.begun[event.operation, event.place, event.step] = entry.time


@_apply.register
def _(event: StepTicked, state: State, entry: Entry) -> None:
    del entry
    at = (event.operation, event.place)
    attempt = _current(state, at)
    state.attempts[at] = replace(attempt, ticks=attempt.ticks | {event.step})
    state.begun.pop((event.operation, event.place, event.step), None)


@_apply.register
def _(event: ReadingTaken, state: State, entry: Entry) -> None:
    at = (event.operation, event.place)
    attempt = _current(state, at)
    key = (event.reading, event.station, event.angle)
    beside = attempt.readings.get(key) if event.repeat else None
    others = () if beside is None else (*beside.others, replace(beside, others=()))
    uncertainty = of_gauge(state.gauges.get(event.gauge))
    taken = Taken(entry.number, entry.time, entry.operator, event, others, uncertainty)
    state.attempts[at] = replace(attempt, readings={**attempt.readings, key: taken})
    state.where[entry.number] = (at, key)
    if event.gauge in state.gauges:
        gauge = state.gauges[event.gauge]
        state.gauges[event.gauge] = replace(gauge, after=(*gauge.after, entry.number))
    if state.index.readings[event.operation, event.reading].sort is Sort.REPAIR:
        for leaf in state.index.inside(event.place):
            state.repair[leaf] = event.word


@_apply.register
def _(event: ReadingStruck, state: State, entry: Entry) -> None:
    del entry
    at, key = state.where[event.number]
    attempt = state.attempts.get(at, EMPTY)
    if not _is_among(event.number, attempt.readings.get(key)):
        _strike_past(state, at, event)
        return
    state.attempts[at] = _struck(attempt, key, event)
    _take_back(state, at, key[0])
    for operation in state.index.rests_on.get((at[0], key[0]), ()):
        for place in state.index.around(at[1], state.index.operations[operation].per):
            _take_back(state, (operation, place), "")
    if state.index.readings[at[0], key[0]].sort is Sort.REPAIR:
        for leaf in state.index.inside(at[1]):
            state.repair.pop(leaf, None)


def _is_among(number: int, taken: Taken | None) -> bool:
    return taken is not None and any(each.number == number for each in (*taken.others, taken))


def _struck(attempt: Attempt, key: PointKey, event: ReadingStruck) -> Attempt:
    """Give the attempt with one figure of a point struck; the others at the point stay."""
    taken = attempt.readings[key]
    group = [replace(each, others=()) for each in (*taken.others, taken)]
    gone = next(each for each in group if each.number == event.number)
    left = [each for each in group if each is not gone]
    readings = {k: v for k, v in attempt.readings.items() if k != key}
    if left:
        readings[key] = replace(left[-1], others=tuple(left[:-1]))
    return replace(attempt, readings=readings, struck=(*attempt.struck, (gone, event.reason)))


def _strike_past(state: State, at: At, event: ReadingStruck) -> None:
    """Mark a reading of an attempt that no longer counts; nothing else follows from it."""
    _, key = state.where[event.number]
    state.past[at] = tuple(
        _struck(attempt, key, event) if _is_among(event.number, attempt.readings.get(key)) else attempt
        for attempt in state.past.get(at, ())
    )


def _take_back(state: State, at: At, reading: str) -> None:
    """Take back the closing of an attempt, and the decisions that rested on a reading (empty: all of them)."""
    attempt = state.attempts.get(at)
    if attempt is None:
        return
    operation = state.index.operations[at[0]]
    stale = _resting_items(state.index, at[0], reading) if reading else set(attempt.decided)
    state.attempts[at] = replace(
        attempt,
        closed=False,
        reopened=attempt.closed or attempt.reopened,
        decided={item: d for item, d in attempt.decided.items() if item not in stale},
    )
    if attempt.closed:
        work = state.index.rules.work(operation)
        for leaf in state.leaves(operation, at[1]):
            if work <= state.held[leaf]:
                state.reread[leaf] = state.reread_at(leaf) | {operation.id}
            state.held[leaf] = state.held[leaf] - work


def _resting_items(index: PlanIndex, operation: str, reading: str) -> set[str]:
    """Give the readings and results of an operation whose verdict rests on one of its readings."""
    found = {reading}
    items: list[Reading | Result] = [*index.operations[operation].readings, *index.operations[operation].results]
    grew = True
    while grew:
        grew = False
        for item in items:
            names = {r.name for f in formulas_of(item) for r in f.refs.values() if r.operation == operation}
            if item.name not in found and names & found:
                found.add(item.name)
                grew = True
    return found


@_apply.register
def _(event: GaugeTaken, state: State, entry: Entry) -> None:
    known = state.gauges.get(event.gauge, GaugeNow(event.gauge, event.sort))
    state.gauges[event.gauge] = replace(
        known, sort=event.sort, resolution=event.resolution, uncertainty=event.uncertainty, due=event.due
    )
    state.in_hand[entry.operator, event.sort] = event.gauge


@_apply.register
def _(event: GaugeChecked, state: State, entry: Entry) -> None:
    check = Check(
        entry.number, entry.time, entry.operator, event.ring, event.size, event.uncertainty, event.before, event.after
    )
    known = state.gauges.get(event.gauge, GaugeNow(event.gauge, ""))
    if has_drifted(state, known, event.before) and known.after:
        state.doubts = (*state.doubts, Doubt(entry.number, event.gauge, event.before, in_doubt(state, event.gauge)))
    state.gauges[event.gauge] = replace(known, check=check, after=())


@_apply.register
def _(event: GaugeDoubted, state: State, entry: Entry) -> None:
    readings = in_doubt(state, event.gauge, event.since)
    state.doubts = (*state.doubts, Doubt(entry.number, event.gauge, event.drift, readings))
    known = state.gauges.get(event.gauge)
    if known is not None:
        state.gauges[event.gauge] = replace(known, check=None, after=tuple(n for n in known.after if n not in readings))


@_apply.register
def _(event: ToolChosen, state: State, entry: Entry) -> None:
    group = state.index.group(state.index.operations[event.operation], event.place)
    state.tools[event.operation, group] = Tool(event.tool, event.item, event.size, entry.number, event.place)


@_apply.register
def _(event: FirstPieceReleased, state: State, entry: Entry) -> None:
    del entry
    group = state.index.group(state.index.operations[event.operation], event.place)
    state.tools[event.operation, group] = replace(state.tools[event.operation, group], released=True)


@_apply.register
def _(event: HandedOver, state: State, entry: Entry) -> None:
    _take_bench(state, event.to, entry.terminal)
    # Whoever takes over has to set every zero anew.
    state.in_hand = {key: gauge for key, gauge in state.in_hand.items() if key[0] != event.by}


@_apply.register
def _(event: Disposed, state: State, entry: Entry) -> None:
    at = (event.operation, event.place)
    state.disposed = (*state.disposed, (entry.number, entry.time, event))
    match event.disposition:
        case Disposition.CONCESSION:
            attempt = _current(state, at)
            state.attempts[at] = replace(attempt, decided={**attempt.decided, event.item: event})
        case Disposition.REMEASURE:
            _remeasure(state, at, event)
        case Disposition.REWORK:
            _rework(state, at, event)
        case Disposition.SCRAP:
            for head in _heads(state, event.place):
                state.scrapped[head] = event.reason


def _heads(state: State, place: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(state.index.head_of(leaf) for leaf in state.index.inside(place)))


def _remeasure(state: State, at: At, event: Disposed) -> None:
    """Set aside the readings that the failed item rests on; what was done and the other readings stay."""
    attempt = state.attempts.get(at, EMPTY)
    aside = state.index.feeding(at[0], event.item)
    kept = {key: taken for key, taken in attempt.readings.items() if key[0] not in aside}
    _set_aside(state, at, event.reason, doubted=True)
    state.attempts[at] = Attempt(
        number=attempt.number + 1,
        readings=kept,
        ticks=attempt.ticks,
        decided={item: d for item, d in attempt.decided.items() if item != event.item},
        reopened=attempt.reopened,
    )


def _rework(state: State, at: At, event: Disposed) -> None:
    """Send the positions concerned back: the work that the rework spoils is gone there, and only there."""
    index = state.index
    again = index.operations[event.redo] if event.redo else index.operations[event.operation]
    leaves = {leaf for place in index.around(event.place, again.per) for leaf in index.inside(place)}
    if event.repair:
        for leaf in index.inside(event.place):
            state.repair[leaf] = event.repair
    lost = index.rules.lost_by_rework(again)
    for leaf in leaves:
        state.held[leaf] = state.held[leaf] - lost
        _lost(state, leaf, lost)
    for leaf in index.inside(event.place):
        _lost(state, leaf, index.rules.work(index.operations[event.operation]))
    for operation in index.plan.operations:
        spoiled = bool(index.rules.work(operation) & lost)
        for place in index.places_of(operation):
            if (spoiled and leaves.intersection(index.inside(place))) or (operation.id, place) == at:
                _set_aside(state, (operation.id, place), event.reason)


def _lost(state: State, leaf: str, lost: Iterable[str]) -> None:
    """What was struck of work that is lost is not read again: the work is done again, with all that it needs."""
    reread = state.reread_at(leaf)
    if reread:
        state.reread[leaf] = state.index.rules.still_reread(reread, lost)


def _set_aside(state: State, at: At, reason: str, *, doubted: bool = False) -> None:
    """End an attempt that has anything in it; it stays on record and counts for nothing."""
    attempt = state.attempts.get(at)
    if attempt is None or not (attempt.begun or attempt.struck):
        return
    state.past[at] = (*state.past.get(at, ()), replace(attempt, ended=reason, doubted=doubted))
    state.attempts[at] = Attempt(number=attempt.number + 1)


def _current(state: State, at: At) -> Attempt:
    """Give the attempt to write into: a closed one is set aside and the next begins."""
    attempt = state.attempts.get(at, EMPTY)
    if attempt.closed:
        _set_aside(state, at, DONE_AGAIN)
        attempt = state.attempts[at]
    return attempt


@_apply.register
def _(event: Stopped, state: State, entry: Entry) -> None:
    del entry
    for head in _heads(state, event.place):
        state.stopped[head] = event.reason


@_apply.register
def _(event: Resumed, state: State, entry: Entry) -> None:
    del entry
    for head in _heads(state, event.place):
        state.stopped.pop(head, None)


@_apply.register
def _(event: SpecConfirmed, state: State, entry: Entry) -> None:
    del entry
    state.confirmed[event.spec] = event.source


@_apply.register
def _(event: Noted, state: State, entry: Entry) -> None:
    state.notes = (*state.notes, Note(entry.number, entry.time, entry.operator, event.place, event.text))


@_apply.register
def _(event: OperationClosed, state: State, entry: Entry) -> None:
    del entry
    at = (event.operation, event.place)
    attempt = state.attempts.get(at, EMPTY)
    operation = state.index.operations[event.operation]
    state.attempts[at] = replace(attempt, closed=True, reopened=False)
    rules = state.index.rules
    for leaf in state.leaves(operation, event.place):
        reread = state.reread_at(leaf)
        if operation.id in reread:
            state.held[leaf] = rules.after_reading(operation, state.held[leaf])
            state.reread[leaf] = reread - {operation.id}
        else:
            state.held[leaf] = rules.after_closing(operation, state.held[leaf])
            _lost(state, leaf, operation.breaks)


@_apply.register
def _(event: Released, state: State, entry: Entry) -> None:
    del event, entry
    state.released = True


@_apply.register
def _(event: Reopened, state: State, entry: Entry) -> None:
    del event, entry
    state.released = False
