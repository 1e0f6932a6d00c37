"""What a lead signs with the PIN, in words; and how a lead signs at a bench where somebody else stays."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.errors import HeadwrightError
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    TookBench,
    WentOff,
)
from headwright.job.evolve import provisional
from headwright.job.holds import hold_at
from headwright.job.signing import as_signed
from headwright.terminal.bench.digits import where

if TYPE_CHECKING:
    from headwright.job.events import Event
    from headwright.job.state import State
    from headwright.store.people import People
    from headwright.store.person import Operator


def signed_words(state: State, event: Event) -> str:
    """Give what an event that takes a PIN does, in one line: to which head of which job, and where."""
    job = f"job {state.job}"
    match event:
        case CameOn(role=role):
            words = f"Coming on as {role.value} at {job}"
        case TookBench(role=role):
            words = f"Taking the bench as {role.value} at {job}"
        case Disposed():
            words = _decision_words(state, event)
        case Resumed(place=place):
            words = f"Letting {where(state, place)} of {job} go on"
        case SpecConfirmed(spec=spec, source=source):
            words = f"Confirming '{state.index.specs[spec].label}' for {job}, from {source}"
        case Released():
            words = f"Release of {job}"
        case Reopened():
            words = f"Opening {job} again"
        case _:
            raise TypeError(f"{type(event).__name__} takes no PIN")
    return words


def _decision_words(state: State, event: Disposed) -> str:
    head = state.index.head_of(event.place)
    name = f"{where(state, head)} of job {state.job}"
    hold = hold_at(state, (event.operation, event.place), event.item)
    failed = f": {hold.figure.label} {hold.figure.verdict.value}" if hold is not None else ""
    operation = f"'{state.index.operations[event.operation].title}'{failed}"
    if event.disposition is Disposition.SCRAP:
        return f"Scrap {name} ({where(state, event.place)}, {operation})"
    place = "" if event.place == head else f"{where(state, event.place)}, "
    return f"{event.disposition.value.capitalize()} at {place}{name}, {operation}"


def leads_of(people: People) -> tuple[Operator, ...]:
    """Give the leads on the shop's list; nobody where it cannot be read."""
    try:
        return people.leads()
    except HeadwrightError:
        return ()


def beside(state: State, event: Event, lead: Operator, operator: str, terminal: str) -> tuple[Event, ...] | Refused:
    """Give what is recorded where a lead signs at a bench at which somebody else stays, or why it may not be.

    A lead who is not on comes on for it and goes off again, and whoever was at the bench is there as before.

    Args:
        state: the job.
        event: what is signed.
        lead: who signs.
        operator: who stays.
        terminal: the name of the terminal.
    """
    comes: tuple[Event, ...] = ()
    goes: tuple[Event, ...] = ()
    if not state.is_on(lead.initials):
        comes = (CameOn(lead.initials, lead.name, lead.role),)
        goes = (WentOff(lead.initials), TookBench(operator, state.people[operator].role))
    there = state
    for each in comes:
        there = provisional(there, each, lead.initials, terminal)
    answer = decide(there, as_signed(event), lead.initials, terminal)
    return answer if isinstance(answer, Refused) else (*comes, event, *goes)
