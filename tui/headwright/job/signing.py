"""What only a lead may decide takes a PIN."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.blocks import BlockKind
from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepTicked,
    TookBench,
)
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from headwright.job.events import Event
    from headwright.job.refusal import Refused
    from headwright.job.state import State

_DECISIONS = {Disposition.CONCESSION, Disposition.SCRAP}


def is_for_leads(wanted: Event) -> bool:
    """Tell whether an event is one that only a lead decides."""
    match wanted:
        case Resumed() | SpecConfirmed() | Released() | Reopened():
            return True
        case Disposed(disposition=disposition):
            return disposition in _DECISIONS
        case CameOn(role=role) | TookBench(role=role):
            return role is Role.LEAD
        case _:
            return False


def was_for_leads(state: State, event: Event) -> bool:
    """Tell whether an event did what only a lead does, short of coming to the bench: a decision, or work of theirs."""
    if isinstance(event, CameOn | TookBench):
        return False
    if isinstance(event, ReadingTaken | StepTicked):
        return state.index.operations[event.operation].who is Role.LEAD
    return is_for_leads(event)


def takes_pin(state: State, wanted: Event) -> bool:
    """Tell whether an event takes the PIN of whoever wants it, by the rules of the job's plan."""
    return state.plan.rules.pins and is_for_leads(wanted)


def as_signed(wanted: Event) -> Event:
    """Give an event as it would be if its PIN were right; one that tells of none stays as it is."""
    return replace(wanted, signed=True) if hasattr(wanted, "signed") else wanted


def wants_only_lead(state: State, wanted: Event, refused: Refused) -> bool:
    """Tell whether an event that takes a PIN is refused for nothing but who is at the bench: a lead may sign beside.

    Whoever comes to the bench does so for himself.
    """
    if not takes_pin(state, wanted) or isinstance(wanted, CameOn | TookBench):
        return False
    return all(block.kind is BlockKind.PERSON and block.who is Role.LEAD for block in refused.blocks)
