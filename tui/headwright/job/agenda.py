"""What next: the working order, and the one thing to do now."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from headwright.job.blocks import (
    Block,
    closing_blocks,
    entry_blocks,
    gauge_blocks,
    may,
    missing_steps,
    release_blocks,
)
from headwright.job.blocks import BlockKind as Kind
from headwright.job.holds import holds, is_held
from headwright.job.index import PointKey, place_words
from headwright.job.progress import standings, waiting
from headwright.procedure.plan import Role, Tick

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.state import At, State
    from headwright.procedure.plan import Operation, Step


class Now(StrEnum):
    """The sorts of next thing."""

    COME_ON = "come on"
    CAUTION = "caution"
    STEP = "step"
    READING = "reading"
    GAUGE = "gauge"
    """A gauge is to be taken in hand, or zeroed on its ring; the subject is its sort."""
    TOOL = "tool"
    """The tool is to be named; the subject is its sort."""
    FIRST = "first piece"
    """The first piece after a change of tool is to be released."""
    HOLD = "hold"
    STOP = "stop"
    LOCKED = "locked"
    CONFIRM = "confirm"
    RELEASE = "release"
    RELEASED = "released"
    SCRAPPED = "scrapped"


class _Who(NamedTuple):
    """Who asks, and when."""

    operator: str
    now: str


class Next(Struct, frozen=True):
    """The one thing to do now, with what it is about; `say` is one line for the bench."""

    now: Now
    say: str
    operation: str = ""
    place: str = ""
    subject: str = ""
    point: PointKey | None = None
    blocks: tuple[Block, ...] = ()


def next_up(state: State, operator: str, prefer: At | None = None, now: str = "") -> Next:
    """Give the one thing to do now, for this operator.

    Where that would be to read the first caution of an operation, a lead is asked first for what waits for a lead's
    decision: cautions bind whoever does the work, and that is often somebody else.

    Args:
        state: the job.
        operator: who is at the bench.
        prefer: an operation and place to stay at while there is something to do there.
        now: the time, UTC as records have it; empty for that of the last entry.
    """
    who = _Who(operator, now or state.time)
    finished = _finished(state)
    if finished is not None:
        return finished
    if not state.is_on(operator):
        return Next(Now.COME_ON, "Say who is at the bench.")
    found = _staying(state, prefer, who) or _along_route(state, who)
    if found.now is Now.CAUTION and _comes_to_decide(state, found.operation, operator):
        return _to_decide(state, prefer) or found
    return found


def _comes_to_decide(state: State, operation: str, operator: str) -> bool:
    """Tell whether somebody is a lead, and has begun to read no cautions of an operation."""
    read = ((operator, caution) in state.acknowledged for caution in state.index.operations[operation].cautions)
    return may(state.people[operator].role, Role.LEAD) and not any(read)


def _staying(state: State, prefer: At | None, who: _Who) -> Next | None:
    """Give what is to be done at the operation and place that are preferred; None where that is nothing."""
    if prefer is None or prefer[0] not in state.index.operations:
        return None
    operation, place = state.index.operations[prefer[0]], prefer[1]
    if not state.is_due(operation, place) or is_held(state, operation, place):
        return None
    here = _at(state, operation, place, who)
    return None if here is not None and here.now is Now.LOCKED else here


def _finished(state: State) -> Next | None:
    if state.released:
        return Next(Now.RELEASED, "Released. Nothing more is due.")
    if all(h.id in state.scrapped for h in state.index.heads):
        return Next(Now.SCRAPPED, "Given up. Nothing more is due.")
    return None


def _along_route(state: State, who: _Who) -> Next:
    """Go along the route: the first operation with something to do, all of its places before the next operation.

    An operation that is only called for again, to restore a state, is not done in its own turn but when the work
    that needs the state cannot go on without it: one wash of all positions, then one soak.
    """
    locked: Next | None = None
    for operation, standing in zip(state.plan.operations, standings(state), strict=True):
        found = _in_operation(state, operation, who) if standing.due else None
        if found is not None and (found.now is not Now.LOCKED or waits_for_person(found)):
            return found
        locked = locked or found
    return _stopped(state) or locked or _to_release(state)


def _stopped(state: State) -> Next | None:
    """Give the first head that is stopped, None where none is."""
    if not state.stopped:
        return None
    head, reason = next(iter(state.stopped.items()))
    return Next(Now.STOP, f"Stopped, {place_words(state.index.places[head])}: {reason}", place=head)


def _to_decide(state: State, prefer: At | None) -> Next | None:
    """Give what waits for a lead's decision: a hold, that at the place preferred first, else a head that is stopped."""
    held = [at for at in waiting(state) if state.index.head_of(at[1]) not in state.stopped]
    if not held:
        return _stopped(state)
    operation, place = prefer if prefer in held else held[0]
    return _held(state, state.index.operations[operation], place)


def _in_operation(state: State, operation: Operation, who: _Who) -> Next | None:
    """Give the next thing in one operation: work first, then holds, then what locks it; None when nothing is due."""
    locked: Next | None = None
    held = ""
    for place in state.index.places_of(operation):
        if not _in_turn(state, operation, place):
            continue
        if is_held(state, operation, place):
            held = held or place
            continue
        found = _at(state, operation, place, who)
        if found is not None and found.now is Now.LOCKED:
            found = _restoring(state, place, who) or found
        if found is not None and found.now is not Now.LOCKED:
            return found
        locked = locked or found
    return _held(state, operation, held) if held else locked


def waits_for_person(found: Next) -> bool:
    """Tell whether what is next is locked for nothing but who is at the bench."""
    return found.now is Now.LOCKED and bool(found.blocks) and all(block.kind is Kind.PERSON for block in found.blocks)


def waits_for_lead(state: State, found: Next) -> bool:
    """Tell whether what is next is for a lead alone: an operation that only leads do, a default, the release."""
    if found.now in {Now.CONFIRM, Now.RELEASE}:
        return True
    return bool(found.operation) and state.index.operations[found.operation].who is Role.LEAD


def _in_turn(state: State, operation: Operation, place: str) -> bool:
    """Tell whether the operation's own work is missing at the place and the head is not stopped."""
    return (
        state.is_due(operation, place)
        and not state.is_done(operation, place)
        and state.index.head_of(place) not in state.stopped
    )


def _restoring(state: State, place: str, who: _Who) -> Next | None:
    """Give the next thing in an operation that is called for again at a place, to restore a state there."""
    for leaf in state.index.inside(place):
        for operation in state.index.rules.called_for(state.held[leaf], state.repair_at(leaf), state.reread_at(leaf)):
            for where in state.index.around(leaf, operation.per):
                if is_held(state, operation, where):
                    return _held(state, operation, where)
                found = _at(state, operation, where, who)
                if found is not None and found.now is not Now.LOCKED:
                    return found
    return None


def _held(state: State, operation: Operation, place: str) -> Next:
    figure = next(h.figure for h in holds(state) if h.operation == operation.id and h.place == place)
    say = f"{place_words(state.index.places[place])} is held in '{operation.title}': {figure.label} {figure.verdict}."
    return Next(Now.HOLD, say, operation.id, place, figure.item)


def _to_release(state: State) -> Next:
    blocks = release_blocks(state)
    confirm = [b for b in blocks if b.kind is Kind.SPEC]
    if confirm:
        return Next(Now.CONFIRM, str(confirm[0]), subject=confirm[0].subject, blocks=blocks)
    gauges = [b for b in blocks if b.kind is Kind.GAUGE]
    if gauges:
        return Next(Now.GAUGE, str(gauges[0]), subject=gauges[0].subject, blocks=blocks)
    if blocks:
        return Next(Now.LOCKED, str(blocks[0]), blocks=blocks)
    return Next(Now.RELEASE, "Everything is done: a lead signs and releases.")


def _at(state: State, operation: Operation, place: str, who: _Who) -> Next | None:
    """Give the next thing at one place, None when nothing is left to write down there."""
    blocks = entry_blocks(state, operation, place, who.operator)
    others = tuple(b for b in blocks if b.kind not in {Kind.CAUTION, Kind.TOOL, Kind.FIRST})
    if others:
        return Next(Now.LOCKED, str(others[0]), operation.id, place, others[0].subject, blocks=others)
    cautions = tuple(b for b in blocks if b.kind is Kind.CAUTION)
    tool = tuple(b for b in blocks if b.kind is not Kind.CAUTION)
    found = next(_to_do(state, operation, place, tool, who), None)
    # Whoever looks at a first piece need not go on from it.
    if cautions and (found is None or found.now is not Now.FIRST):
        title = state.index.cautions[cautions[0].subject].title
        return Next(Now.CAUTION, f"Caution: {title}", operation.id, place, cautions[0].subject, blocks=cautions)
    return found


def _tool(state: State, operation: Operation, place: str, block: Block) -> Next:
    """Give what a change of tool asks for: its name, or the first piece released; locked until that is complete."""
    if block.kind is Kind.TOOL:
        return Next(Now.TOOL, str(block), operation.id, place, block.subject, blocks=(block,))
    done = state.attempt(operation.id, block.subject).closed
    first = place_words(state.index.places[block.subject])
    if not done:
        return Next(Now.LOCKED, str(block), operation.id, place, block.subject, blocks=(block,))
    say = f"First piece, {first}: look at its figures and let the others follow."
    return Next(Now.FIRST, say, operation.id, block.subject, block.subject, blocks=(block,))


def _to_do(state: State, operation: Operation, place: str, tool: tuple[Block, ...], who: _Who) -> Iterator[Next]:
    steps = missing_steps(state, operation, place)
    for step in steps:
        if step.tick is Tick.ONCE and not step.last:
            yield _step(state, operation, place, step)
    if tool:
        yield _tool(state, operation, place, tool[0])
    yield from _to_read(state, operation, place, who)
    for step in steps:
        if step.tick is Tick.EACH or step.last:
            yield _step(state, operation, place, step)
    blocks = closing_blocks(state, operation, place)
    if blocks:
        yield Next(Now.LOCKED, str(blocks[0]), operation.id, place, blocks[0].subject, blocks=blocks)


def _to_read(state: State, operation: Operation, place: str, who: _Who) -> Iterator[Next]:
    """Give the points that want a figure, each after the gauge that it wants."""
    where, attempt = place_words(state.index.places[place]), state.writing(operation.id, place)
    for reading in operation.readings:
        for point in state.index.points(operation.id, reading.name):
            if attempt.has(reading, point):
                continue
            gauge = gauge_blocks(state, operation, place, reading, who.operator, now=who.now)
            if gauge:
                yield Next(Now.GAUGE, str(gauge[0]), operation.id, place, reading.gauge, point, blocks=gauge)
            say = f"{where}: {point_words(reading.label, point)}{', again' if point in attempt.readings else ''}"
            yield Next(Now.READING, say, operation.id, place, reading.name, point)


def _step(state: State, operation: Operation, place: str, step: Step) -> Next:
    spot = state.index.tick_place(operation, place, step.tick)
    say = f"{place_words(state.index.places[place])}: {step.do}" if spot == place else step.do
    return Next(Now.STEP, say, operation.id, spot, step.name)


def point_words(label: str, point: PointKey) -> str:
    """Give a point in words: `Finished bore, top, 90°`."""
    parts = [label, *([point[1]] if point[1] else []), *([f"{point[2]}°"] if point[2] is not None else [])]
    return ", ".join(parts)
