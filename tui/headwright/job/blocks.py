"""What is in the way, as values: what is blocked, why, how it clears, and who may clear it."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.figures import Bench
from headwright.job.gauges import in_doubt, in_hand, is_traced, mastering_of, why_not
from headwright.job.index import place_words
from headwright.job.known import figures_known
from headwright.job.progress import failing_items
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Role, Sort, Tick

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading, Spec, Step


class BlockKind(StrEnum):
    """The sorts of block."""

    NOBODY = "nobody at the bench"
    PERSON = "person"
    RELEASED = "released"
    SCRAPPED = "scrapped"
    STOP = "stop"
    PATH = "other path"
    DONE = "done"
    NEED = "need"
    CAUTION = "caution"
    READING = "reading missing"
    STEP = "step missing"
    VERDICT = "verdict"
    OPEN = "operation open"
    SPEC = "spec not confirmed"
    ENTRY = "entry"
    GAUGE = "gauge"
    TOOL = "tool not named"
    FIRST = "first piece"
    PIN = "PIN"
    QUESTION = "question"
    CLASH = "clash"


class Block(Struct, frozen=True):
    """One thing in the way.

    `what` is blocked, `why` in one sentence, `clears` how it goes away, `who` may clear it. `subject` is the id of
    what it is about (a condition, caution, spec, reading, step, head), `places` where.
    """

    kind: BlockKind
    what: str
    why: str
    clears: str
    who: Role = Role.TRAINEE
    operation: str = ""
    subject: str = ""
    places: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Give the block as one line of plain words."""
        end = "" if not self.clears or self.why[-1:] in {"", ".", "?", "!", ":", ";"} else "."
        return f"{self.what}: {self.why}{end} {self.clears}".strip()


_RANK = {role: rank for rank, role in enumerate((Role.TRAINEE, Role.MACHINIST, Role.LEAD))}


def may(role: Role, least: Role) -> bool:
    """Tell whether a role reaches the least one that may do something."""
    return _RANK[role] >= _RANK[least]


def person_blocks(state: State, operator: str, least: Role, what: str) -> tuple[Block, ...]:
    """Tell why this operator may not do something that wants at least the given role."""
    if not state.is_on(operator):
        return (
            Block(
                BlockKind.NOBODY,
                what,
                "nobody has come on at this bench." if not operator else f"{operator} is not on at the bench.",
                "Say who is at the bench first.",
            ),
        )
    person = state.people[operator]
    if may(person.role, least):
        return ()
    return (
        Block(
            BlockKind.PERSON,
            what,
            f"this is for a {least.value}; {person.name} ({operator}) is at the bench as {person.role.value}.",
            f"A {least.value} comes on at the bench.",
            least,
        ),
    )


def job_blocks(state: State, place: str, what: str) -> tuple[Block, ...]:
    """Tell why nothing at all may be written at a place: released, scrapped or stopped."""
    heads = {state.index.head_of(leaf) for leaf in state.index.inside(place)}
    return tuple(_job_blocks(state, sorted(heads), what))


def _job_blocks(state: State, heads: Iterable[str], what: str) -> Iterator[Block]:
    if state.released:
        yield Block(BlockKind.RELEASED, what, "the job is released.", "A lead reopens it.", Role.LEAD)
    for head in heads:
        name = place_words(state.index.places[head])
        if head in state.scrapped:
            yield Block(
                BlockKind.SCRAPPED, what, f"{name} was given up: {state.scrapped[head]}", "", Role.LEAD, subject=head
            )
        elif head in state.stopped:
            yield Block(
                BlockKind.STOP,
                what,
                f"{name} is stopped: {state.stopped[head]}",
                "A lead resumes it, with a reason.",
                Role.LEAD,
                subject=head,
                places=(head,),
            )


def entry_blocks(state: State, operation: Operation, place: str, operator: str) -> tuple[Block, ...]:
    """Tell everything that keeps this operator from working on the operation at the place."""
    where = place_words(state.index.places[place])
    what = f"{operation.title}, {where}"
    blocks = [*person_blocks(state, operator, operation.who, what), *job_blocks(state, place, what)]
    if not state.applies(operation, place):
        blocks.append(_path_block(state, operation, place, what))
        return tuple(blocks)
    if not state.is_due(operation, place) and state.attempt(operation.id, place).closed:
        blocks.append(
            Block(
                BlockKind.DONE,
                what,
                "it is done here.",
                "Strike a reading that is wrong, or let a hold send it back.",
                operation=operation.id,
                places=(place,),
            )
        )
    blocks.extend(need_blocks(state, operation, place))
    blocks.extend(tool_blocks(state, operation, place))
    blocks.extend(caution_blocks(state, operation, operator))
    return tuple(blocks)


def _path_block(state: State, operation: Operation, place: str, what: str) -> Block:
    repair = state.repair_at(place)
    if not repair:
        why = "the repair of this position is not decided yet."
        clears = "It is decided in the operation that chooses the repair."
    else:
        label = state.index.repairs[repair].label if repair in state.index.repairs else repair
        why, clears = f"its repair is '{label}', which does not pass here.", ""
    return Block(BlockKind.PATH, what, why, clears, operation=operation.id, places=(place,))


def need_blocks(state: State, operation: Operation, place: str) -> tuple[Block, ...]:
    """Tell which needs of the operation do not hold at the place, and what would make them hold."""
    index, blocks = state.index, []
    what = f"{operation.title}, {place_words(index.places[place])}"
    for need, at in state.missing_needs(operation, place).items():
        condition = index.conditions[need]
        maker = index.rules.restorer(need, operation, state.repair_at(at[0]))
        clears = f"'{maker.title}' makes it so." if maker else "Nothing earlier on this path makes it so."
        names = "" if at == (place,) else f" at {', '.join(at)}"
        blocks.append(
            Block(
                BlockKind.NEED,
                what,
                f"it needs '{condition.label}'{names}. {condition.why}",
                clears,
                operation=operation.id,
                subject=need,
                places=at,
            )
        )
    return tuple(blocks)


def tool_blocks(state: State, operation: Operation, place: str) -> tuple[Block, ...]:
    """Tell what a change of tool keeps from being done at the place: a tool not named, a first piece not released."""
    if not operation.tool:
        return ()
    what = f"{operation.title}, {place_words(state.index.places[place])}"
    tool = state.tools.get((operation.id, state.index.group(operation, place)))
    if tool is None:
        return (
            Block(
                BlockKind.TOOL,
                what,
                f"nobody has said which {operation.tool} is in use.",
                "Say which one it is, and its size as measured.",
                operation=operation.id,
                subject=operation.tool,
                places=(place,),
            ),
        )
    if tool.released or tool.first == place or not _is_to_come(state, operation, tool.first):
        return ()
    first = place_words(state.index.places[tool.first])
    done = state.attempt(operation.id, tool.first).closed
    return (
        Block(
            BlockKind.FIRST,
            what,
            f"{first} is the first piece with {tool.tool} {tool.item}, and is not released.",
            f"{'' if done else 'Finish it there; then a'}{'A' if done else ''} machinist or lead looks at its figures "
            "and lets the others follow.",
            Role.MACHINIST,
            operation.id,
            tool.first,
            (place,),
        ),
    )


def _is_to_come(state: State, operation: Operation, first: str) -> bool:
    """Tell whether a first piece is still made there: not where the position went another way, or its head was lost."""
    return state.applies(operation, first) and state.index.head_of(first) not in state.scrapped


def gauge_blocks(
    state: State, operation: Operation, place: str, reading: Reading, operator: str, *, now: str = ""
) -> tuple[Block, ...]:
    """Tell what keeps a reading from being taken with the gauge that the operator has in hand."""
    if not is_traced(state, reading):
        return ()
    what = f"{reading.label}, {place_words(state.index.places[place])}"
    gauge = in_hand(state, operator, reading.gauge)
    if gauge is None:
        why, clears = f"{operator} has no {reading.gauge} in hand.", "Take one from the kit."
    else:
        expected = Bench(state, operation, place).value(reading.expect)
        found = why_not(state, gauge, operator, now, expected if reading.dimension == "length" else None)
        if found is None:
            return ()
        why, clears = found
    return (Block(BlockKind.GAUGE, what, why, clears, operation=operation.id, subject=reading.gauge, places=(place,)),)


def caution_blocks(state: State, operation: Operation, operator: str) -> tuple[Block, ...]:
    """Tell which cautions of the operation this operator has not acknowledged this shift."""
    return tuple(
        Block(
            BlockKind.CAUTION,
            operation.title,
            f"the caution '{state.index.cautions[caution].title}' is not acknowledged this shift.",
            "Read it and acknowledge it.",
            operation=operation.id,
            subject=caution,
        )
        for caution in operation.cautions
        if (operator, caution) not in state.acknowledged
    )


def missing_steps(state: State, operation: Operation, place: str) -> tuple[Step, ...]:
    """Give the steps that still want a tick for this place, in order."""
    return tuple(
        step
        for step in operation.steps
        if step.tick is not Tick.NO
        and step.name not in state.writing(operation.id, state.index.tick_place(operation, place, step.tick)).ticks
    )


def closing_blocks(state: State, operation: Operation, place: str) -> tuple[Block, ...]:
    """Tell what keeps the operation from being complete at the place."""
    index = state.index
    what = f"{operation.title}, {place_words(index.places[place])}"
    attempt = state.attempt(operation.id, place)
    blocks = [
        Block(BlockKind.STEP, what, f"not ticked: {step.do}", "Do it and tick it.", operation=operation.id,
              subject=step.name, places=(place,))
        for step in missing_steps(state, operation, place)
    ]  # fmt: skip
    for reading in operation.readings:
        gaps = [p for p in index.points(operation.id, reading.name) if not attempt.has(reading, p)]
        if gaps:
            blocks.append(
                Block(
                    BlockKind.READING,
                    what,
                    f"{reading.label}: {len(gaps)} of {len(index.points(operation.id, reading.name))} still to take.",
                    "Take the reading." if reading.sort is Sort.NUMBER else "Answer it.",
                    operation=operation.id,
                    subject=reading.name,
                    places=(place,),
                )
            )
    if not blocks:
        blocks.extend(_verdict_blocks(state, operation, place, what))
    return tuple(blocks)


def _verdict_blocks(state: State, operation: Operation, place: str, what: str) -> Iterator[Block]:
    for figure in failing_items(state, operation, place):
        yield Block(
            BlockKind.VERDICT,
            what,
            f"{figure.label} is {figure.verdict.value}.",
            "Choose a way out of the hold.",
            Role.MACHINIST,
            operation.id,
            figure.item,
            (place,),
        )
    attempt = state.attempt(operation.id, place)
    for figure in figures_known(state, operation, place):
        unfinished = figure.verdict is Verdict.OPEN or not (figure.complete or figure.verdict is Verdict.WRONG)
        if figure.judged and unfinished and figure.item not in attempt.decided:
            yield Block(
                BlockKind.VERDICT,
                what,
                f"{figure.label} cannot be worked out: something that it rests on is missing.",
                "Take the readings of the earlier operations again.",
                operation=operation.id,
                subject=figure.item,
                places=(place,),
            )


def release_blocks(state: State) -> tuple[Block, ...]:
    """Tell everything that keeps the job from being released."""
    index = state.index
    blocks: list[Block] = []
    left = [h.id for h in index.heads if h.id not in state.scrapped]
    blocks.extend(_job_blocks(state, left, "Release"))
    if not left:
        blocks.append(Block(BlockKind.SCRAPPED, "Release", "every head of the job was given up.", "", Role.LEAD))
    for operation in index.plan.operations:
        due = tuple(p for p in index.places_of(operation) if state.is_due(operation, p))
        if due:
            names = ", ".join(place_words(index.places[p]) for p in due)
            blocks.append(
                Block(
                    BlockKind.OPEN,
                    "Release",
                    f"'{operation.title}' is not done at {names}.",
                    "Finish it there.",
                    operation=operation.id,
                    places=due,
                )
            )
    blocks.extend(_unchecked_gauges(state))
    blocks.extend(
        Block(
            BlockKind.SPEC,
            "Release",
            f"'{spec.label}' rests on {spec.source}, and nobody has confirmed it for this head.",
            "A lead confirms it, with the source used.",
            Role.LEAD,
            subject=spec.name,
        )
        for spec in unconfirmed(state)
    )
    return tuple(blocks)


def _unchecked_gauges(state: State) -> Iterator[Block]:
    """Tell which gauges have not come back to their ring since the last readings that count."""
    for gauge in state.gauges.values():
        if mastering_of(state, gauge.sort) is None:
            continue
        last = in_doubt(state, gauge.gauge)
        if last:
            yield Block(
                BlockKind.GAUGE,
                "Release",
                f"{gauge.gauge} was not checked after its last {len(last)} reading{'s' if len(last) > 1 else ''}.",
                "Check it on its ring.",
                subject=gauge.sort,
            )


def unconfirmed(state: State) -> tuple[Spec, ...]:
    """Give the defaults that nobody has confirmed for this head."""
    return tuple(s for s in state.plan.specs if not s.confirmed and s.name not in state.confirmed)
