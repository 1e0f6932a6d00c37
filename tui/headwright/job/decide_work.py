"""May this be written down? Steps, readings, strikes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from headwright.job.blocks import (
    Block,
    BlockKind,
    caution_blocks,
    entry_blocks,
    gauge_blocks,
    job_blocks,
    person_blocks,
)
from headwright.job.events import ReadingStruck, ReadingTaken, StepBegun, StepTicked
from headwright.job.evolve import provisional
from headwright.job.figures import Bench
from headwright.job.gauges import in_hand, is_traced
from headwright.job.holds import hold_at, stop_for, stops_at_once
from headwright.job.index import place_words
from headwright.job.nearby import doubt_of
from headwright.job.refusal import Answer, Refused, blocked, locate, refuse, unknown
from headwright.job.shift import KEYED_AGAIN
from headwright.job.show import unit_sign, unit_words
from headwright.nearest import nearest
from headwright.procedure.plan import Role, Sort, Tick

if TYPE_CHECKING:
    from headwright.job.events import Event
    from headwright.job.state import State, Taken
    from headwright.procedure.plan import Operation, Reading


def tick(wanted: StepTicked | StepBegun, state: State, operator: str, now: str) -> Answer:
    """Begin or tick a step, at the place where it is ticked."""
    del now
    operation = locate(state, wanted.operation, wanted.place, once=True)
    if isinstance(operation, Refused):
        return operation
    step = next((s for s in operation.steps if s.name == wanted.step and s.tick is not Tick.NO), None)
    if step is None:
        return unknown("step", wanted.step, [s.name for s in operation.steps if s.tick is not Tick.NO])
    if wanted.place not in {state.index.tick_place(operation, p, step.tick) for p in state.index.places_of(operation)}:
        return unknown("place", wanted.place, state.index.places_of(operation))
    if wanted.place not in state.index.places_of(operation):
        what = f"{operation.title}, {place_words(state.index.places[wanted.place])}"
        return blocked(
            person_blocks(state, operator, operation.who, what),
            job_blocks(state, wanted.place, what),
            caution_blocks(state, operation, operator),
        ) or (wanted,)
    return blocked(entry_blocks(state, operation, wanted.place, operator)) or (wanted,)


def take(wanted: ReadingTaken, state: State, operator: str, now: str) -> Answer:
    """Take a reading at a point: one that is expected there, or that the operator insists on."""
    operation = locate(state, wanted.operation, wanted.place)
    if isinstance(operation, Refused):
        return operation
    reading = state.index.readings.get((wanted.operation, wanted.reading))
    if reading is None:
        return unknown("reading", wanted.reading, [r.name for r in operation.readings])
    key = (wanted.reading, wanted.station, wanted.angle)
    if key not in state.index.points(operation.id, reading.name):
        spot = " ".join(str(part) for part in key[1:] if part not in {"", None})
        return unknown(
            "point", spot or "(none)", [f"{p[1]} {p[2]}" for p in state.index.points(operation.id, reading.name)]
        )
    refused = (
        blocked(
            entry_blocks(state, operation, wanted.place, operator),
            gauge_blocks(state, operation, wanted.place, reading, operator, now=now),
        )
        or _bad_value(state, reading, wanted)
        or _bad_gauge(state, reading, wanted, operator)
    )
    if refused:
        return refused
    doubt = doubt_of(state, wanted)
    if doubt is not None:
        return Refused(
            (
                Block(
                    BlockKind.QUESTION,
                    f"{reading.label}, {place_words(state.index.places[wanted.place])}",
                    doubt.say,
                    "Correct it, or enter it again to keep it.",
                    operation=operation.id,
                    subject=doubt.slip,
                    places=(wanted.place,),
                ),
            )
        )
    return _taken(state, operation, reading, wanted)


def _bad_value(state: State, reading: Reading, wanted: ReadingTaken) -> Refused | None:
    if reading.sort is Sort.NUMBER:
        if wanted.value is None or not math.isfinite(wanted.value):
            return refuse(
                BlockKind.ENTRY, reading.label, "a figure is expected.", f"Type it in {unit_words(reading.unit)}."
            )
        return None
    if not wanted.word.strip():
        return refuse(BlockKind.ENTRY, reading.label, "an answer is expected.", "Type one.")
    if reading.sort is Sort.TEXT:
        return None
    choices = state.index.words(reading)
    if wanted.word not in choices:
        near = nearest(wanted.word, choices)
        return refuse(
            BlockKind.ENTRY,
            reading.label,
            f"'{wanted.word}' is not one of {', '.join(choices)}.",
            f"Nearest: {near}." if near else "",
        )
    return None


def _bad_gauge(state: State, reading: Reading, wanted: ReadingTaken, operator: str) -> Refused | None:
    """Refuse a reading that names another gauge than the one in hand."""
    gauge = in_hand(state, operator, reading.gauge)
    known = gauge.gauge if gauge is not None else ""
    if wanted.gauge == known or (not wanted.gauge and not is_traced(state, reading)):
        return None
    return refuse(
        BlockKind.GAUGE,
        reading.label,
        f"it says it was read with {wanted.gauge or 'no gauge'}, and {operator} has {known or 'none'} in hand.",
        "Take the gauge in hand first.",
    )


def _taken(state: State, operation: Operation, reading: Reading, wanted: ReadingTaken) -> Answer:
    """Add what follows from the reading itself: the old figure of the point struck, the head stopped by a crack."""
    events: list[Event] = []
    old = state.writing(operation.id, wanted.place).readings.get((wanted.reading, wanted.station, wanted.angle))
    if old is not None and old.number != wanted.over:
        return _clash(state, reading, wanted, old)
    if wanted.repeat and (old is None or old.is_settled(reading.agree)):
        return refuse(BlockKind.ENTRY, reading.label, "no further figure is wanted at this point.", "")
    if old is not None and not wanted.repeat:
        events.extend(ReadingStruck(each.number, KEYED_AGAIN) for each in (*old.others, old))
    events.append(wanted)
    after = provisional(state, wanted, "", "")
    at = (operation.id, wanted.place)
    resting = {reading.name, *(result.name for result in operation.results)}
    for figure in Bench(after, operation, wanted.place).figures():
        if figure.item not in resting or not figure.verdict.fails or hold_at(after, at, figure.item) is None:
            continue
        remedy = stops_at_once(after, at, figure)
        if remedy is not None:
            events.append(stop_for(state, figure, remedy.say))
            break
    return tuple(events)


def _clash(state: State, reading: Reading, wanted: ReadingTaken, old: Taken) -> Refused:
    """Refuse a figure for a point that was filled since its typing began."""
    kept = f"{old.event.typed} {unit_sign(old.event.unit)}".strip() if old.event.unit else old.event.word
    return Refused(
        (
            Block(
                BlockKind.CLASH,
                f"{reading.label}, {place_words(state.index.places[wanted.place])}",
                f"{old.operator} has read {kept} at this point.",
                "Enter it again to replace that; it stays on record as struck.",
                operation=wanted.operation,
                subject=str(old.number),
                places=(wanted.place,),
            ),
        )
    )


def strike(wanted: ReadingStruck, state: State, operator: str, now: str) -> Answer:
    """Take a reading back: with a reason, once."""
    del now
    what = f"Striking entry {wanted.number}"
    if wanted.number not in state.where:
        return refuse(BlockKind.ENTRY, what, "that entry is not a reading.", "Give the number of a reading.")
    at, _ = state.where[wanted.number]
    struck = any(
        taken.number == wanted.number
        for attempt in (state.attempt(*at), *state.past.get(at, ()))
        for taken, _ in attempt.struck
    )
    if struck:
        return refuse(BlockKind.ENTRY, what, "it is struck already.", "")
    if not wanted.reason.strip():
        return refuse(BlockKind.ENTRY, what, "a reason is expected.", "Say why the reading does not count.")
    return blocked(person_blocks(state, operator, Role.TRAINEE, what), job_blocks(state, at[1], what)) or (wanted,)
