"""A job in one line, worked out for the list of jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.gauge_use import doubted
from headwright.job.listed import Held, Summary, Worker
from headwright.job.progress import standings, waiting
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.state import Person, State


def summary(state: State) -> Summary:
    """Give the one-line summary of a job."""
    standing = standings(state)
    minutes = {operation.id: operation.minutes for operation in state.plan.operations}
    held = waiting(state)
    current = next((s for s in standing if s.due), None)
    done, due = sum(s.done - s.received for s in standing), sum(s.due for s in standing)
    given_up = sum(s.given_up for s in standing)
    return Summary(
        job=state.job,
        tag=state.tag,
        customer=state.customer,
        family=state.plan.family_title,
        route=state.plan.route_title,
        status=_status(state, held=bool(held)),
        done=done,
        due=done + due + given_up,
        held=len(held),
        on=tuple(p.operator for p in state.people.values() if p.on),
        at=current.title if current else "",
        number=state.number,
        time=state.time,
        doubted=len(doubted(state)),
        left=tuple((s.operation, s.due * minutes[s.operation]) for s in standing if s.due and minutes[s.operation]),
        undecided=_undecided(state),
        took=tuple(state.took.values()),
        gauges=tuple(_held(state)),
        people=tuple(map(_worker, state.people.values())),
        given_up=given_up,
    )


def _worker(person: Person) -> Worker:
    return Worker(
        person.operator, person.name, person.role.value, person.terminal, person.on, person.since, person.here
    )


def _undecided(state: State) -> int:
    if not any(reading.sort is Sort.REPAIR for reading in state.index.readings.values()):
        return 0
    open_here = (p.id for p in state.index.positions if state.index.head_of(p.id) not in state.scrapped)
    return sum(not state.repair_at(place) for place in open_here)


def _held(state: State) -> Iterator[Held]:
    hands = {gauge: who for (who, _), gauge in state.in_hand.items() if state.is_on(who) and not state.released}
    for name in sorted(state.gauges):
        check = state.gauges[name].check
        yield Held(name, hands.get(name, ""), check.time if check is not None else "")


def _status(state: State, *, held: bool) -> str:
    if state.released:
        return "released"
    if all(h.id in state.scrapped for h in state.index.heads):
        return "scrapped"
    if state.stopped:
        return "stopped"
    return "held" if held else "open"
