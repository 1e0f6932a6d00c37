"""May this be measured and worked with? Gauges taken, checked and doubted; tools and their first pieces."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from headwright.job.blocks import Block, BlockKind, job_blocks, person_blocks
from headwright.job.events import ReadingStruck
from headwright.job.gauges import GaugeNow, drift_words, has_drifted, in_doubt, mastering_of
from headwright.job.index import place_words
from headwright.job.refusal import Answer, Refused, blocked, locate, refuse, unknown
from headwright.job.verdict import SLACK
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.events import (
        Event,
        FirstPieceReleased,
        GaugeChecked,
        GaugeDoubted,
        GaugeTaken,
        ToolChosen,
    )
    from headwright.job.state import State


def take_gauge(wanted: GaugeTaken, state: State, operator: str, now: str) -> Answer:
    """Take a gauge in hand: one that is not overdue, with the day on which it is due where that is on record."""
    what = f"Gauge {wanted.gauge}"
    if not wanted.gauge.strip() or not wanted.sort.strip():
        return refuse(BlockKind.ENTRY, "Gauge", "its name and its sort are wanted.", "Take one from the kit.")
    if not all(math.isfinite(figure) and figure >= 0 for figure in (wanted.resolution, wanted.uncertainty)):
        return refuse(BlockKind.ENTRY, what, "resolution and uncertainty are sizes.", "Correct them in the kit.")
    known = state.gauges.get(wanted.gauge)
    if known is not None and known.sort != wanted.sort:
        return refuse(
            BlockKind.ENTRY, what, f"it is on record as a {known.sort}.", f"Name the {wanted.sort} something else."
        )
    if known is not None and known.due and not wanted.due:
        return refuse(BlockKind.ENTRY, what, f"it is on record as due by {known.due}.", "Take it from the kit.")
    blocks = [*person_blocks(state, operator, Role.TRAINEE, what)]
    if GaugeNow(wanted.gauge, wanted.sort, due=wanted.due).is_overdue(max(now, state.time)):
        blocks.append(
            Block(
                BlockKind.GAUGE,
                what,
                f"it was due to be checked by {wanted.due}.",
                "Take another gauge, or have this one calibrated.",
                subject=wanted.sort,
            )
        )
    return Refused(tuple(blocks)) if blocks else (wanted,)


def check_gauge(wanted: GaugeChecked, state: State, operator: str, now: str) -> Answer:
    """Note a gauge's check on a ring; readings that rest on a zero which did not hold are struck."""
    del now
    what = f"Checking {wanted.gauge}"
    gauge = state.gauges.get(wanted.gauge)
    if gauge is None:
        return unknown("gauge", wanted.gauge, state.gauges)
    if not wanted.ring.strip():
        return refuse(BlockKind.ENTRY, what, "the ring is wanted.", "Say which ring or master it was checked on.")
    figures = (wanted.size, wanted.before, wanted.after, wanted.uncertainty)
    if not all(math.isfinite(figure) for figure in figures) or wanted.size <= 0 or wanted.uncertainty < 0:
        return refuse(BlockKind.ENTRY, what, "a figure is expected.", "Type what the gauge shows in the ring.")
    rule = mastering_of(state, gauge.sort)
    blocks = [*person_blocks(state, operator, Role.TRAINEE, what)]
    if state.released:
        blocks.extend(job_blocks(state, state.index.heads[0].id, what))
    if rule is not None and abs(wanted.after) > rule.drift + SLACK:
        blocks.append(
            Block(
                BlockKind.GAUGE,
                what,
                f"it is left off by {drift_words(state.index, wanted.after, gauge.sort)}.",
                "Set its zero on the ring, clean both, and check it again.",
                subject=gauge.sort,
            )
        )
    if blocks:
        return Refused(tuple(blocks))
    if not has_drifted(state, gauge, wanted.before):
        return (wanted,)
    reason = f"{gauge.gauge} came back to its ring off by {drift_words(state.index, wanted.before, gauge.sort)}"
    return (wanted, *strikes(in_doubt(state, gauge.gauge), reason))


def doubt_gauge(wanted: GaugeDoubted, state: State, operator: str, now: str) -> Answer:
    """Take in that a gauge was found off in another job; a released job only keeps it on record."""
    del operator, now
    gauge = state.gauges.get(wanted.gauge)
    numbers = in_doubt(state, wanted.gauge, wanted.since)
    if gauge is None or not numbers or not math.isfinite(wanted.drift):
        return refuse(BlockKind.ENTRY, f"Gauge {wanted.gauge}", "nothing in this job rests on it.", "")
    if state.released:
        return (wanted,)
    found = drift_words(state.index, wanted.drift, gauge.sort)
    return (wanted, *strikes(numbers, f"{gauge.gauge} was found off by {found} in job {wanted.job}"))


def strikes(numbers: tuple[int, ...], reason: str) -> Iterator[Event]:
    """Give the strikes of readings that no longer count, the last first."""
    for number in sorted(numbers, reverse=True):
        yield ReadingStruck(number, reason)


def choose_tool(wanted: ToolChosen, state: State, operator: str, now: str) -> Answer:
    """Name the tool that is in use: at a place where the operation is to be done."""
    del now
    operation = locate(state, wanted.operation, wanted.place)
    if isinstance(operation, Refused):
        return operation
    what = f"{operation.title}, {place_words(state.index.places[wanted.place])}"
    if wanted.tool != operation.tool:
        clears = f"It names its {operation.tool}." if operation.tool else ""
        return refuse(BlockKind.ENTRY, what, f"this operation names no {wanted.tool or 'tool'}.", clears)
    if not wanted.item.strip():
        return refuse(BlockKind.ENTRY, what, f"which {operation.tool} it is, is wanted.", "Type its name or number.")
    if wanted.size is not None and not (math.isfinite(wanted.size) and wanted.size > 0):
        return refuse(BlockKind.ENTRY, what, "a size is expected.", "Type it as measured, or leave it out.")
    blocks = [
        *person_blocks(state, operator, operation.who, what),
        *job_blocks(state, wanted.place, what),
    ]
    if not state.applies(operation, wanted.place) or not state.is_due(operation, wanted.place):
        why = "nothing is to be done here."
        blocks.append(
            Block(BlockKind.DONE, what, why, "Name the tool at the place that comes next.", places=(wanted.place,))
        )
    return Refused(tuple(blocks)) if blocks else (wanted,)


def release_first(wanted: FirstPieceReleased, state: State, operator: str, now: str) -> Answer:
    """Let the others follow the first piece: once it is complete there, and by no trainee."""
    del now
    operation = locate(state, wanted.operation, wanted.place)
    if isinstance(operation, Refused):
        return operation
    what = f"First piece, {place_words(state.index.places[wanted.place])}"
    tool = state.tools.get((operation.id, state.index.group(operation, wanted.place)))
    if tool is None or tool.first != wanted.place or tool.released:
        return refuse(BlockKind.ENTRY, what, "it does not wait for this.", "")
    blocks = [*person_blocks(state, operator, Role.MACHINIST, what), *job_blocks(state, wanted.place, what)]
    if not state.attempt(operation.id, wanted.place).closed:
        blocks.append(
            Block(
                BlockKind.READING,
                what,
                f"'{operation.title}' is not complete there.",
                "Finish it first.",
                operation=operation.id,
                places=(wanted.place,),
            )
        )
    return blocked(tuple(blocks)) or (wanted,)
