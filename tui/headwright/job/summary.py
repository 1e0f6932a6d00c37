"""A job in one line, for the list of jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.gauge_use import doubted
from headwright.job.pace import Took
from headwright.job.progress import standings, waiting
from headwright.job.state import Person
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.state import State


class Held(Struct, frozen=True, array_like=True):
    """A gauge of a job: who of those at the bench has it in hand (empty: nobody), and when it was last zeroed."""

    gauge: str
    operator: str
    zeroed: str


class Summary(Struct, frozen=True, forbid_unknown_fields=True):
    """A job as the list shows it.

    `status` is one of open, held, stopped, released, scrapped, or broken for a job that this version cannot read;
    `done` of `due` counts operations × places, without what came in done; `at` is the operation that it stands at, or
    what is broken; `on` are the initials of who is at the bench; `doubted` counts the readings that came into doubt
    after the job was released and still stand. `left` has operation and minutes by the plan of what is due, as far as
    it is known: `undecided` counts the positions whose repair nobody has decided yet. `took` is what the work took so
    far. `people` were at the bench, or are.
    """

    job: str
    tag: str
    customer: str
    family: str
    route: str
    status: str
    done: int
    due: int
    held: int
    on: tuple[str, ...]
    at: str
    number: int
    time: str
    doubted: int = 0
    left: tuple[tuple[str, float], ...] = ()
    undecided: int = 0
    took: tuple[Took, ...] = ()
    gauges: tuple[Held, ...] = ()
    people: tuple[Person, ...] = ()


def broken(job: str, reason: str, number: int, time: str) -> Summary:
    """Give the summary of a job that cannot be read, so that the list can still show it."""
    return Summary(job, "", "", "", "", "broken", 0, 0, 0, (), reason, number, time)


def summary(state: State) -> Summary:
    """Give the one-line summary of a job."""
    standing = standings(state)
    minutes = {operation.id: operation.minutes for operation in state.plan.operations}
    held = waiting(state)
    current = next((s for s in standing if s.due), None)
    done, due = sum(s.done - s.received for s in standing), sum(s.due for s in standing)
    return Summary(
        job=state.job,
        tag=state.tag,
        customer=state.customer,
        family=state.plan.family_title,
        route=state.plan.route_title,
        status=_status(state, held=bool(held)),
        done=done,
        due=done + due,
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
        people=tuple(state.people.values()),
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
