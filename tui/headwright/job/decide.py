"""May this happen? A wanted event is answered with the events that follow, or with every reason against it.

A command is simply the event that somebody wants to happen. The answer starts with it and adds what follows from it:
a point read again strikes the old figure, a complete place closes its operation, a crack stops the head.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.job import decide_lead as lead
from headwright.job import decide_tools as tools
from headwright.job import decide_work as work
from headwright.job.blocks import BlockKind, closing_blocks, job_blocks
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
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
from headwright.job.evolve import provisional
from headwright.job.known import known_of
from headwright.job.refusal import Answer, Refused, refuse
from headwright.job.signing import takes_pin
from headwright.job.texts import text_refused
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.job.events import Event
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

__all__ = ["Answer", "Refused", "decide"]

_RULES: dict[type, Callable[[Any, State, str, str], Answer]] = {
    Opened: lead.open_job,
    CameOn: lead.come_on,
    TookBench: lead.take_bench,
    WentOff: lead.go_off,
    HandedOver: lead.hand_over,
    CautionAcknowledged: lead.acknowledge,
    StepBegun: work.tick,
    StepTicked: work.tick,
    ReadingTaken: work.take,
    ReadingStruck: work.strike,
    GaugeTaken: tools.take_gauge,
    GaugeChecked: tools.check_gauge,
    GaugeDoubted: tools.doubt_gauge,
    ToolChosen: tools.choose_tool,
    FirstPieceReleased: tools.release_first,
    Disposed: lead.dispose,
    Stopped: lead.stop,
    Resumed: lead.resume,
    SpecConfirmed: lead.confirm,
    Noted: lead.note,
    Released: lead.release,
    Reopened: lead.reopen,
}
"""What answers each event that may be wanted; the others only follow."""


def decide(state: State, wanted: Event, operator: str, terminal: str, now: str = "") -> Answer:
    """Answer a wanted event with the events to record, or with why it may not be.

    `operator` is who wants it, at `terminal`; `now` is the time, UTC as records have it, empty for that of the last
    entry. Nothing is changed: the caller records the events and folds them.
    """
    if not state.job and not isinstance(wanted, Opened):
        return refuse(BlockKind.ENTRY, "Job", "no job is open.", "Open one first.")
    rule = _RULES.get(type(wanted))
    if rule is None:
        return refuse(
            BlockKind.ENTRY, type(wanted).__name__, "this follows from other entries.", "It is never asked for."
        )
    answer = text_refused(wanted, operator, terminal) or rule(wanted, state, operator, now or state.time)
    if isinstance(answer, Refused):
        return answer
    if takes_pin(state, wanted) and not getattr(wanted, "signed", False):
        return refuse(BlockKind.PIN, "Signing", "this takes a lead's PIN.", "Give yours.", Role.LEAD)
    return _with_closings(state, answer, operator, terminal)


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
    known = known_of(state)
    for name, place in sorted(known.open, key=known.reach.rank.__getitem__):
        if _may_close(state, state.index.operations[name], place):
            return OperationClosed(name, place)
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
