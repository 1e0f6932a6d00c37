"""May this happen? A wanted event is answered with the events that follow, or with every reason against it.

A command is simply the event that somebody wants to happen. The answer starts with it and adds what follows from it:
a point read again strikes the old figure, a complete place closes its operation, a crack stops the head.
"""

from __future__ import annotations

import math
from functools import singledispatch
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.blocks import (
    Block,
    BlockKind,
    caution_blocks,
    closing_blocks,
    entry_blocks,
    job_blocks,
    person_blocks,
    release_blocks,
)
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Event,
    GaugeChecked,
    Noted,
    Opened,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepTicked,
    Stopped,
    ToolChosen,
    WentOff,
)
from headwright.job.evolve import provisional
from headwright.job.figures import Bench
from headwright.job.holds import hold_at, stops_at_once
from headwright.job.index import place_words
from headwright.job.show import unit_words
from headwright.job.slips import question
from headwright.job.state import State
from headwright.nearest import nearest
from headwright.procedure.plan import Role, Sort, Tick

if TYPE_CHECKING:
    from headwright.procedure.plan import Operation, Reading, Result


class Refused(Struct, frozen=True):
    """Nothing happened: every reason, and what would clear each."""

    blocks: tuple[Block, ...]

    def __str__(self) -> str:
        """Give the reasons, one a line."""
        return "\n".join(str(block) for block in self.blocks)


Answer = tuple[Event, ...] | Refused


def decide(state: State, wanted: Event, operator: str, terminal: str) -> Answer:
    """Answer a wanted event with the events to record, or with why it may not be.

    `operator` is who wants it, at `terminal`. Nothing is changed: the caller records the events and folds them.
    """
    if not state.job and not isinstance(wanted, Opened):
        return _refuse(BlockKind.ENTRY, "Job", "no job is open.", "Open one first.")
    answer = _decide(wanted, state, operator)
    if isinstance(answer, Refused):
        return answer
    return _with_closings(state, answer, operator, terminal)


def _refuse(kind: BlockKind, what: str, why: str, clears: str, who: Role = Role.TRAINEE) -> Refused:
    return Refused((Block(kind, what, why, clears, who),))


def _blocked(*groups: tuple[Block, ...]) -> Refused | None:
    blocks = tuple(block for group in groups for block in group)
    return Refused(blocks) if blocks else None


@singledispatch
def _decide(wanted: Event, state: State, operator: str) -> Answer:
    del state, operator
    return _refuse(BlockKind.ENTRY, type(wanted).__name__, "this follows from other entries.", "It is never asked for.")


@_decide.register
def _(wanted: Opened, state: State, operator: str) -> Answer:
    del operator
    if state.job:
        return _refuse(BlockKind.ENTRY, f"Job {state.job}", "it is open already.", "Take another number.")
    if not wanted.job.strip():
        return _refuse(BlockKind.ENTRY, "New job", "it has no number.", "Give it one.")
    return (wanted,)


@_decide.register
def _(wanted: CameOn, state: State, operator: str) -> Answer:
    del state, operator
    if not wanted.operator.strip() or not wanted.name.strip():
        return _refuse(BlockKind.ENTRY, "Coming on", "initials and name are wanted.", "Type both.")
    return (wanted,)


@_decide.register
def _(wanted: WentOff, state: State, operator: str) -> Answer:
    del operator
    return _blocked(person_blocks(state, wanted.operator, Role.TRAINEE, "Going off")) or (wanted,)


@_decide.register
def _(wanted: CautionAcknowledged, state: State, operator: str) -> Answer:
    caution = state.index.cautions.get(wanted.caution)
    if caution is None:
        return _unknown("caution", wanted.caution, state.index.cautions)
    return _blocked(person_blocks(state, operator, Role.TRAINEE, f"Caution '{caution.title}'")) or (wanted,)


def _unknown(sort: str, name: str, known: object) -> Refused:
    names = [str(k) for k in known]  # type: ignore[attr-defined]
    near = nearest(name, names)
    return _refuse(
        BlockKind.ENTRY,
        f"{sort} '{name}'",
        "this job's plan has none of that name.",
        f"Nearest: {near}." if near else "",
    )


def _locate(state: State, operation: str, place: str, *, once: bool = False) -> Operation | Refused:
    """Find the operation and check that it is done at the place (or ticked there once)."""
    found = state.index.operations.get(operation)
    if found is None:
        return _unknown("operation", operation, state.index.operations)
    places = state.index.places_of(found)
    if place not in places and not (once and place in {h.id for h in state.index.heads}):
        return _unknown("place", place, places)
    return found


@_decide.register
def _(wanted: StepTicked, state: State, operator: str) -> Answer:
    operation = _locate(state, wanted.operation, wanted.place, once=True)
    if isinstance(operation, Refused):
        return operation
    step = next((s for s in operation.steps if s.name == wanted.step and s.tick is not Tick.NO), None)
    if step is None:
        return _unknown("step", wanted.step, [s.name for s in operation.steps if s.tick is not Tick.NO])
    if wanted.place not in {state.index.tick_place(operation, p, step.tick) for p in state.index.places_of(operation)}:
        return _unknown("place", wanted.place, state.index.places_of(operation))
    if wanted.place not in state.index.places_of(operation):
        what = f"{operation.title}, {place_words(state.index.places[wanted.place])}"
        return _blocked(
            person_blocks(state, operator, operation.who, what),
            job_blocks(state, wanted.place, what),
            caution_blocks(state, operation, operator),
        ) or (wanted,)
    return _blocked(entry_blocks(state, operation, wanted.place, operator)) or (wanted,)


@_decide.register
def _(wanted: ReadingTaken, state: State, operator: str) -> Answer:
    operation = _locate(state, wanted.operation, wanted.place)
    if isinstance(operation, Refused):
        return operation
    reading = state.index.readings.get((wanted.operation, wanted.reading))
    if reading is None:
        return _unknown("reading", wanted.reading, [r.name for r in operation.readings])
    key = (wanted.reading, wanted.station, wanted.angle)
    if key not in state.index.points(operation.id, reading.name):
        spot = " ".join(str(part) for part in key[1:] if part not in {"", None})
        return _unknown("point", spot or "(none)", [f"{p[1]} {p[2]}" for p in state.index.points(*at_reading(wanted))])
    refused = _blocked(entry_blocks(state, operation, wanted.place, operator)) or _bad_value(state, reading, wanted)
    if refused:
        return refused
    if reading.sort is Sort.NUMBER and not wanted.questioned and wanted.value is not None:
        window = Bench(state, operation, wanted.place).window(reading)
        doubt = question(wanted.value, window, reading, state.plan) if window else None
        if doubt:
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


def at_reading(wanted: ReadingTaken) -> tuple[str, str]:
    """Give the operation and the name of a reading."""
    return wanted.operation, wanted.reading


def _bad_value(state: State, reading: Reading, wanted: ReadingTaken) -> Refused | None:
    if reading.sort is Sort.NUMBER:
        if wanted.value is None or not math.isfinite(wanted.value):
            return _refuse(
                BlockKind.ENTRY, reading.label, "a figure is expected.", f"Type it in {unit_words(reading.unit)}."
            )
        return None
    if not wanted.word.strip():
        return _refuse(BlockKind.ENTRY, reading.label, "an answer is expected.", "Type one.")
    if reading.sort is Sort.TEXT:
        return None
    choices = state.index.words(reading)
    if wanted.word not in choices:
        near = nearest(wanted.word, choices)
        return _refuse(
            BlockKind.ENTRY,
            reading.label,
            f"'{wanted.word}' is not one of {', '.join(choices)}.",
            f"Nearest: {near}." if near else "",
        )
    return None


def _taken(state: State, operation: Operation, reading: Reading, wanted: ReadingTaken) -> Answer:
    """Add what follows from the reading itself: the old figure of the point struck, the head stopped by a crack."""
    events: list[Event] = []
    attempt = state.attempt(operation.id, wanted.place)
    old = attempt.readings.get((wanted.reading, wanted.station, wanted.angle))
    if old is not None and not attempt.closed:
        events.append(ReadingStruck(old.number, "keyed again"))
    events.append(wanted)
    after = provisional(state, wanted, "", "")
    at = (operation.id, wanted.place)
    items: tuple[Reading | Result, ...] = (reading, *operation.results)
    for item in items:
        figure = Bench(after, operation, wanted.place).figure(item.name)
        if not figure.verdict.fails or hold_at(after, at, item.name) is None:
            continue
        remedy = stops_at_once(after, at, figure)
        if remedy is not None:
            where = place_words(state.index.places[wanted.place])
            events.append(Stopped(state.index.head_of(wanted.place), f"{figure.label}, {where}: {remedy.say}"))
            break
    return tuple(events)


@_decide.register
def _(wanted: ReadingStruck, state: State, operator: str) -> Answer:
    what = f"Striking entry {wanted.number}"
    if wanted.number not in state.where:
        return _refuse(BlockKind.ENTRY, what, "that entry is not a reading.", "Give the number of a reading.")
    at, _ = state.where[wanted.number]
    struck = any(
        taken.number == wanted.number
        for attempt in (state.attempt(*at), *state.past.get(at, ()))
        for taken, _ in attempt.struck
    )
    if struck:
        return _refuse(BlockKind.ENTRY, what, "it is struck already.", "")
    if not wanted.reason.strip():
        return _refuse(BlockKind.ENTRY, what, "a reason is expected.", "Say why the reading does not count.")
    return _blocked(person_blocks(state, operator, Role.TRAINEE, what), job_blocks(state, at[1], what)) or (wanted,)


@_decide.register(GaugeChecked)
@_decide.register(ToolChosen)
def _(wanted: GaugeChecked | ToolChosen, state: State, operator: str) -> Answer:
    if isinstance(wanted, ToolChosen):
        operation = _locate(state, wanted.operation, wanted.place, once=True)
        if isinstance(operation, Refused):
            return operation
    figures = (wanted.size, wanted.before, wanted.after) if isinstance(wanted, GaugeChecked) else (wanted.size,)
    if not all(figure is None or math.isfinite(figure) for figure in figures):
        return _refuse(BlockKind.ENTRY, "Gauges and tools", "a figure is expected.", "Type the size as measured.")
    return _blocked(person_blocks(state, operator, Role.TRAINEE, "Gauges and tools")) or (wanted,)


@_decide.register
def _(wanted: Disposed, state: State, operator: str) -> Answer:
    operation = _locate(state, wanted.operation, wanted.place)
    if isinstance(operation, Refused):
        return operation
    what = f"{operation.title}, {place_words(state.index.places[wanted.place])}"
    if wanted.disposition is Disposition.SCRAP:
        return _scrap(state, wanted, operator, what)
    hold = hold_at(state, (wanted.operation, wanted.place), wanted.item)
    if hold is None:
        return _refuse(BlockKind.ENTRY, what, f"'{wanted.item}' is not held here.", "Only a hold can be decided.")
    way = next(
        (
            w
            for w in hold.ways
            if w.disposition is wanted.disposition
            and (wanted.disposition is not Disposition.REWORK or (w.redo, w.repair) == (wanted.redo, wanted.repair))
        ),
        None,
    )
    least = way.who if way else Role.LEAD
    blocks = [*person_blocks(state, operator, least, what), *job_blocks(state, wanted.place, what)]
    if not wanted.reason.strip():
        blocks.append(Block(BlockKind.ENTRY, what, "a decision wants its reason.", "Say why.", least))
    if wanted.disposition is Disposition.REWORK:
        blocks.extend(_rework_blocks(state, wanted, what))
    if blocks:
        return Refused(tuple(blocks))
    if way is not None and way.stop:
        return (wanted, Stopped(state.index.head_of(wanted.place), wanted.reason))
    return (wanted,)


def _rework_blocks(state: State, wanted: Disposed, what: str) -> tuple[Block, ...]:
    index = state.index
    again = index.operations.get(wanted.redo)
    if again is None:
        return _unknown("operation", wanted.redo, index.operations).blocks
    if wanted.repair and wanted.repair not in index.repairs:
        return _unknown("repair", wanted.repair, index.repairs).blocks
    if index.rules.index[again.id] > index.rules.index[wanted.operation]:
        return (
            Block(BlockKind.ENTRY, what, f"'{again.title}' comes later in the route.", "Choose an earlier operation."),
        )
    return ()


def _scrap(state: State, wanted: Disposed, operator: str, what: str) -> Answer:
    blocks = list(person_blocks(state, operator, Role.LEAD, what))
    blocks.extend(
        b for b in job_blocks(state, wanted.place, what) if b.kind in {BlockKind.RELEASED, BlockKind.SCRAPPED}
    )
    if not wanted.reason.strip():
        blocks.append(Block(BlockKind.ENTRY, what, "giving a head up wants its reason.", "Say why.", Role.LEAD))
    return Refused(tuple(blocks)) if blocks else (wanted,)


@_decide.register
def _(wanted: Stopped, state: State, operator: str) -> Answer:
    if wanted.place not in state.index.places:
        return _unknown("place", wanted.place, state.index.places)
    if not wanted.reason.strip():
        return _refuse(BlockKind.ENTRY, "Stop", "a reason is expected.", "Say why the head must stop.")
    if state.released:
        return Refused(job_blocks(state, wanted.place, "Stop"))
    return _blocked(person_blocks(state, operator, Role.TRAINEE, "Stop")) or (wanted,)


@_decide.register
def _(wanted: Resumed, state: State, operator: str) -> Answer:
    if wanted.place not in state.index.places:
        return _unknown("place", wanted.place, state.index.places)
    heads = {state.index.head_of(leaf) for leaf in state.index.inside(wanted.place)}
    if not heads & set(state.stopped):
        return _refuse(BlockKind.ENTRY, "Resume", "it is not stopped.", "")
    if not wanted.reason.strip():
        return _refuse(BlockKind.ENTRY, "Resume", "a reason is expected.", "Say what was found and done.", Role.LEAD)
    return _blocked(person_blocks(state, operator, Role.LEAD, "Resume")) or (wanted,)


@_decide.register
def _(wanted: SpecConfirmed, state: State, operator: str) -> Answer:
    if wanted.spec not in state.index.specs:
        return _unknown("spec", wanted.spec, state.index.specs)
    if not wanted.source.strip():
        return _refuse(BlockKind.ENTRY, "Confirming", "the source is expected.", "Name what you looked it up in.")
    what = f"Confirming '{state.index.specs[wanted.spec].label}'"
    return _blocked(person_blocks(state, operator, Role.LEAD, what)) or (wanted,)


@_decide.register
def _(wanted: Noted, state: State, operator: str) -> Answer:
    if wanted.place and wanted.place not in state.index.places:
        return _unknown("place", wanted.place, state.index.places)
    if not wanted.text.strip():
        return _refuse(BlockKind.ENTRY, "Note", "there is nothing in it.", "Type the note.")
    return _blocked(person_blocks(state, operator, Role.TRAINEE, "Note")) or (wanted,)


@_decide.register
def _(wanted: Released, state: State, operator: str) -> Answer:
    if state.released:
        return _refuse(BlockKind.RELEASED, "Release", "the job is released already.", "")
    return _blocked(person_blocks(state, operator, Role.LEAD, "Release"), release_blocks(state)) or (wanted,)


@_decide.register
def _(wanted: Reopened, state: State, operator: str) -> Answer:
    if not state.released:
        return _refuse(BlockKind.ENTRY, "Reopen", "the job is not released.", "")
    if not wanted.reason.strip():
        return _refuse(BlockKind.ENTRY, "Reopen", "a reason is expected.", "Say why it comes back.", Role.LEAD)
    return _blocked(person_blocks(state, operator, Role.LEAD, "Reopen")) or (wanted,)


def _with_closings(state: State, events: tuple[Event, ...], operator: str, terminal: str) -> Answer:
    """Add the closings that the events bring about, in route order, until no more follow."""
    found = list(events)
    for event in events:
        state = provisional(state, event, operator, terminal)
    while True:
        closing = _next_closing(state)
        if closing is None:
            return tuple(found)
        found.append(closing)
        state = provisional(state, closing, operator, terminal)


def _next_closing(state: State) -> OperationClosed | None:
    if state.released:
        return None
    for operation in state.plan.operations:
        for place in state.index.places_of(operation):
            attempt = state.attempts.get((operation.id, place))
            begun = attempt is not None and attempt.begun and not attempt.closed
            if begun and _may_close(state, operation, place):
                return OperationClosed(operation.id, place)
    return None


def _may_close(state: State, operation: Operation, place: str) -> bool:
    what = operation.title
    return (
        state.applies(operation, place)
        and state.is_due(operation, place)
        and not job_blocks(state, place, what)
        and not state.missing_needs(operation, place)
        and not closing_blocks(state, operation, place)
    )
