"""A job gone through entry by entry: every hold with how it cleared, and the figures of every attempt set aside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.events import Entry, Event, ReadingStruck, StepTicked
from headwright.job.evolve import evolve
from headwright.job.figures import Bench, Figure
from headwright.job.holds import Hold, holds
from headwright.job.state import State, begin

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from headwright.procedure.plan import Plan

HoldKey = tuple[str, str, str, int]
"""Operation, place, item and attempt: what tells one hold from another."""


class Held(Struct):
    """A hold on record: the entry at which it came up, and the one that cleared it (None: it stands)."""

    hold: Hold
    since: Entry
    cleared: Entry | None = None


class Passed(Struct, frozen=True):
    """One entry with what it did: the state after it, the holds that came up with it and those that it cleared."""

    entry: Entry
    state: State
    came: tuple[Held, ...]
    cleared: tuple[Held, ...]


class History(Struct, frozen=True):
    """A whole job: its state now, its holds in the order in which they came up, and what the state does not keep.

    `figures` are those of attempts set aside, as they stood when they ended, by operation, place and attempt. `ticks`
    are the entries in which steps were ticked, by operation, place and step, each with its attempt.
    """

    state: State
    entries: tuple[Entry, ...]
    holds: tuple[Held, ...]
    figures: dict[tuple[str, str, int], tuple[Figure, ...]]
    ticks: dict[tuple[str, str, str], list[tuple[int, Entry]]]

    def tick(self, operation: str, place: str, step: str, attempt: int) -> Entry:
        """Give the entry of a tick that counts in an attempt: its own, or one that it took over from those before."""
        return next(e for n, e in reversed(self.ticks[operation, place, step]) if n <= attempt)

    def source(self, event: Event) -> Entry:
        """Give the entry in which an event is recorded."""
        return next(entry for entry in self.entries if entry.event is event)

    def strike(self, number: int) -> Entry:
        """Give the entry that struck the reading of the entry with this number."""
        return next(e for e in self.entries if isinstance(e.event, ReadingStruck) and e.event.number == number)


def walked(plan: Plan, entries: Iterable[Entry]) -> Iterator[Passed]:
    """Go through a job's entries one by one."""
    state = begin(plan)
    standing: dict[HoldKey, Held] = {}
    for entry in entries:
        state = evolve(state, entry)
        now = {(h.operation, h.place, h.figure.item, h.attempt): h for h in holds(state)}
        gone = tuple(standing.pop(key) for key in tuple(standing) if key not in now)
        for held in gone:
            held.cleared = entry
        came = {key: Held(hold, entry) for key, hold in now.items() if key not in standing}
        standing |= came
        yield Passed(entry, state, tuple(came.values()), gone)


def history(plan: Plan, entries: tuple[Entry, ...], progress: Callable[[int, int], None] | None = None) -> History:
    """Give the history of a job from all of its entries.

    Args:
        plan: what the job is held to.
        entries: all of them.
        progress: is told after each how many are gone through, and of how many.
    """
    found: list[Held] = []
    figures: dict[tuple[str, str, int], tuple[Figure, ...]] = {}
    ticks: dict[tuple[str, str, str], list[tuple[int, Entry]]] = {}
    before = begin(plan)
    for passed in walked(plan, entries):
        found.extend(passed.came)
        if isinstance(tick := passed.entry.event, StepTicked):
            attempt = passed.state.attempt(tick.operation, tick.place).number
            ticks.setdefault((tick.operation, tick.place, tick.step), []).append((attempt, passed.entry))
        figures.update(_set_aside(before, passed.state))
        before = passed.state
        if progress:
            progress(passed.entry.number, len(entries))
    return History(before, entries, tuple(found), figures, ticks)


def _set_aside(before: State, after: State) -> Iterator[tuple[tuple[str, str, int], tuple[Figure, ...]]]:
    for at, past in after.past.items():
        if len(past) > len(before.past.get(at, ())):
            operation = before.index.operations[at[0]]
            if at[1] in before.index.places_of(operation):
                yield (*at, past[-1].number), Bench(before, operation, at[1]).figures()
