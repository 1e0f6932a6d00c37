"""What the why-card says about what is at hand: what it is, how to measure it, why here, and what is in the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.agenda import point_words
from headwright.job.blocks import BlockKind, entry_blocks, missing_steps
from headwright.job.figures import Bench
from headwright.job.sizing import BALL
from headwright.job.temperature import PART, correction
from headwright.job.uncertainty import proof_words
from headwright.procedure.plan import Tick
from headwright.terminal.bench.digits import limits_text, where, with_unit
from headwright.terminal.bench.gauging import with_words
from headwright.terminal.bench.spots import step_of
from headwright.terminal.bench.verdicts import DONE, DUE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.plan import Reading, Result, Step
    from headwright.terminal.bench.hand import Hand


QUESTIONED = "A figure outside is questioned, not refused."

GUIDANCE = "–"
"""Before a step that is not ticked."""

Paragraph = tuple[str, str]
"""A heading, and what stands under it."""


def why(hand: Hand) -> tuple[str, list[Paragraph]]:
    """Give the title and the paragraphs of the why-card for what is at hand."""
    spot, reading, operation = hand.spot, hand.reading, hand.operation
    title = operation.title
    if spot is not None and reading is not None and spot.point is not None:
        title = f"{where(hand.state, spot.place)}: {point_words(reading.label, spot.point)}"
    elif spot is not None:
        title = f"{where(hand.state, spot.place)}: {operation.title}"
    return title, [(heading, text) for heading, text in _paragraphs(hand) if text]


def _paragraphs(hand: Hand) -> Iterator[Paragraph]:
    spot, reading, operation = hand.spot, hand.reading, hand.operation
    yield from _in_the_way(hand)
    if hand.say and not hand.blocks:
        yield "Said", hand.say
    if not hand.is_next and hand.is_away:
        yield "What next", hand.next.say
    if reading is not None:
        yield from _of_reading(hand, reading)
    leading = [each for each in operation.steps if reading is not None and each.leads_to(reading.name)]
    yield "First", "\n".join(f"{each.do} {each.why}".rstrip() for each in leading)
    step = step_of(operation, spot) if spot is not None else None
    if step is not None:
        yield "This step", f"{step.do} {step.why}".strip()
    yield operation.title, operation.why
    for result in operation.results:
        yield result.label, _of_result(hand, result)
    others = (other for other in operation.steps if other is not step and other not in leading)
    yield "Steps", "\n".join(f"{_sign(hand, other)} {other.do} {other.why}".rstrip() for other in others)


def _sign(hand: Hand, step: Step) -> str:
    """Give the sign of a step: for reading only, still to be ticked here, or ticked."""
    if step.tick is Tick.NO:
        return GUIDANCE
    place = hand.place_at_hand()
    if place not in hand.state.index.places_of(hand.operation):
        return DUE
    return DUE if step in missing_steps(hand.state, hand.operation, place) else DONE


def _in_the_way(hand: Hand) -> Iterator[Paragraph]:
    blocks = list(hand.blocks)
    if hand.spot is not None and hand.spot.place in hand.state.index.places_of(hand.operation):
        blocks += entry_blocks(hand.state, hand.operation, hand.spot.place, hand.operator)
    blocks += hand.next.blocks
    said = dict.fromkeys(str(block) for block in blocks if block.kind is not BlockKind.QUESTION)
    yield "In the way", "\n".join(said)


def _of_reading(hand: Hand, reading: Reading) -> Iterator[Paragraph]:
    yield "How", " ".join((reading.how, f"With: {reading.gauge}." if reading.gauge else "")).strip()
    yield "In hand", with_words(hand.state, hand.operator, reading, hand.clock()).removeprefix("with ")
    yield "Why", reading.why
    if reading.role == BALL and hand.spot is not None:
        yield "Which ball", hand.counsel.words(hand.state, (hand.operation_id, hand.spot.place))
    if reading.role == PART and hand.spot is not None:
        yield "How long yet", hand.counsel.words(hand.state, (hand.operation_id, hand.spot.place))
    window = hand.window()
    if window is not None:
        plan = hand.state.plan
        yield (
            "Expected",
            f"Between {with_unit(plan, reading, window[0])} and {with_unit(plan, reading, window[1])}. {QUESTIONED}",
        )
    if hand.spot is not None and reading.limit is not None:
        held = limits_text(hand.state, Bench(hand.state, hand.operation, hand.spot.place).reading(reading))
        if held:
            figure = Bench(hand.state, hand.operation, hand.spot.place).reading(reading)
            yield "Held to", held + _source(hand, reading)
            yield "Proof", proof_words(hand.state.plan, reading, figure)
    yield "At 20 °C", _at_20(hand, reading)
    yield "Passes", ", ".join(reading.accept)


def _at_20(hand: Hand, reading: Reading) -> str:
    """Say what the figure at hand would be at 20 °C, where that is worth telling."""
    if hand.spot is None or hand.spot.point is None:
        return ""
    taken = hand.state.attempt(hand.operation_id, hand.spot.place).readings.get(hand.spot.point)
    if taken is None or taken.value is None:
        return ""
    found = correction(hand.state, reading, hand.spot.place, taken.value, taken.number)
    return found.say if found is not None else ""


def _source(hand: Hand, item: Reading | Result) -> str:
    if item.limit is None:
        return ""
    spec = hand.state.index.specs.get(item.limit.spec)
    source = item.limit.source or (spec.source if spec else "")
    return f" ({source})" if source else ""


def _of_result(hand: Hand, result: Result) -> str:
    held = proof = ""
    if hand.spot is not None and hand.spot.place in hand.state.index.places_of(hand.operation):
        figure = Bench(hand.state, hand.operation, hand.spot.place).result(result)
        held, proof = limits_text(hand.state, figure), proof_words(hand.state.plan, result, figure)
    limit = f"Held to {held}{_source(hand, result)}." if held else ""
    return " ".join(filter(None, (limit, proof, result.why)))
