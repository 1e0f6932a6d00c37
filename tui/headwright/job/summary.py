"""A job in one line, for the list of jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.agenda import standings
from headwright.job.gauge_use import doubted
from headwright.job.holds import holds

if TYPE_CHECKING:
    from headwright.job.state import State


class Summary(Struct, frozen=True, forbid_unknown_fields=True):
    """A job as the list shows it.

    `status` is one of open, held, stopped, released, scrapped, or broken for a job that this version cannot read;
    `done` of `due` counts operations × places; `at` is the operation that it stands at, or what is broken; `on` are
    the initials of who is at the bench; `doubted` counts the readings that came into doubt after the job was released
    and still stand.
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


def broken(job: str, reason: str, number: int, time: str) -> Summary:
    """Give the summary of a job that cannot be read, so that the list can still show it."""
    return Summary(job, "", "", "", "", "broken", 0, 0, 0, (), reason, number, time)


def summary(state: State) -> Summary:
    """Give the one-line summary of a job."""
    standing = standings(state)
    waiting = {(hold.operation, hold.place) for hold in holds(state)}
    current = next((s for s in standing if s.due), None)
    return Summary(
        job=state.job,
        tag=state.tag,
        customer=state.customer,
        family=state.plan.family_title,
        route=state.plan.route_title,
        status=_status(state, held=bool(waiting)),
        done=sum(s.done for s in standing),
        due=sum(s.applies for s in standing),
        held=len(waiting),
        on=tuple(p.operator for p in state.people.values() if p.on),
        at=current.title if current else "",
        number=state.number,
        time=state.time,
        doubted=len(doubted(state)),
    )


def _status(state: State, *, held: bool) -> str:
    if state.released:
        return "released"
    if all(h.id in state.scrapped for h in state.index.heads):
        return "scrapped"
    if state.stopped:
        return "stopped"
    return "held" if held else "open"
