"""A job as the list of jobs has it: plain figures and words, read with none of the rules that they come from."""

from __future__ import annotations

from msgspec import Struct

from headwright.job.pace import Took


class Held(Struct, frozen=True, array_like=True):
    """A gauge of a job: who of those at the bench has it in hand (empty: nobody), and when it was last zeroed."""

    gauge: str
    operator: str
    zeroed: str


class Worker(Struct, frozen=True):
    """Somebody who was at the bench of a job, or is: their role in one word, where, whether, and since when.

    `here` tells that nobody else was chosen at their terminal since.
    """

    operator: str
    name: str
    role: str
    terminal: str
    on: bool
    since: str
    here: bool


class Summary(Struct, frozen=True, forbid_unknown_fields=True):
    """A job as the list shows it.

    `status` is one of open, held, stopped, released, scrapped, or broken for a job that this version cannot read;
    `done` of `due` counts operations × places, without what came in done; `given_up` are those of them that nobody does
    any more, for their head was given up; `at` is the operation that it stands at, or what is broken; `on` are the
    initials of who is at the bench; `doubted` counts the readings that came into doubt after the job was released and
    still stand. `left` has operation and minutes by the plan of what is due, as far as it is known: `undecided` counts
    the positions whose repair nobody has decided yet. `took` is what the work took so far. `people` were at the bench,
    or are.
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
    people: tuple[Worker, ...] = ()
    given_up: int = 0


def broken(job: str, reason: str, number: int, time: str) -> Summary:
    """Give the summary of a job that cannot be read, so that the list can still show it."""
    return Summary(job, "", "", "", "", "broken", 0, 0, 0, (), reason, number, time)
