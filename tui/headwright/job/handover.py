"""How a job stands when the bench goes from one to another, in plain lines."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from headwright.job.agenda import next_up
from headwright.job.gauges import GaugeNow, mastering_of, seconds_between
from headwright.job.holds import holds
from headwright.job.index import place_words
from headwright.job.progress import Standing, standings
from headwright.job.shift import news
from headwright.job.show import decimals, show, unit_of, unit_sign
from headwright.procedure.plan import ConditionSort, Sort

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from headwright.job.events import Entry
    from headwright.job.state import State, Tool

LAST_NEWS = 6
"""News that are told, the latest of them."""
FEW = 3
"""Operations of a list that are named: nobody goes through more of them at a handover."""
LAST_NOTES = 5
"""Notes that are told, the latest of them."""
DAYS = 2
"""An age beyond so many days is no longer told as one: the date says more (our choice)."""


class Section(NamedTuple):
    """A heading, and the lines under it."""

    title: str
    lines: tuple[str, ...]


def handover(
    state: State,
    operator: str,
    now: str,
    at: tuple[str, str] | None = None,
    *,
    entries: Sequence[Entry] = (),
    typed: str = "",
) -> tuple[Section, ...]:
    """Tell how a job stands, for whoever takes it over: its news first; sections with nothing in them are left out.

    Args:
        state: the job.
        operator: who leaves.
        now: the time, UTC as records have it.
        at: the operation and place where the work stands at the bench; None for none.
        entries: the record, of which the news of the shift are told.
        typed: what is typed at the bench and not saved.
    """
    stands = standings(state)
    found = (
        Section("Stopped", tuple(_stopped(state))),
        Section("Held", tuple(_held(state))),
        Section("This shift", tuple(_news(state, entries, operator, now))),
        Section("Not saved", (f"'{typed}' is typed at the bench, and not saved",) if typed else ()),
        Section("Begun", tuple(_begun(state, now))),
        Section("Gauges in hand", tuple(_gauges(state, now))),
        Section("Next", (next_up(state, operator, at, now).say,)),
        Section("Tools in use", tuple(_tools(state))),
        Section("Last notes", tuple(_notes(state, now))),
        Section("State now", tuple(_conditions(state))),
        Section("At the bench", tuple(_people(state, now))),
        Section("Still to do", tuple(_pending(stands))),
        Section("Done", tuple(_done(stands))),
    )
    return tuple(section for section in found if section.lines)


def _news(state: State, entries: Sequence[Entry], leaver: str, now: str) -> Iterator[str]:
    """Give the news of the shift, the latest of them first and not too many."""
    told = list(news(state, entries, leaver, now))
    for entry, words in told[: -LAST_NEWS - 1 : -1]:
        yield f"{words} ({entry.operator}, {_since(entry.time, now)})"
    if len(told) > LAST_NEWS:
        yield f"and {len(told) - LAST_NEWS} before these: 'headwright replay' tells all of them"


def age_words(seconds: float) -> str:
    """Give an age in words: `40 s`, `12 min`, `3 h`, `2 days`; a clock that was set back gives `0 s`."""
    seconds = max(0.0, seconds)
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 90 * 60:
        return f"{seconds / 60:.0f} min"
    hours = seconds / 3600
    return f"{hours:.0f} h" if hours < 36 else f"{hours / 24:.0f} days"


def _since(time: str, now: str, ago: str = "{} ago", on: str = "on ") -> str:
    """Give how long ago a time was, as `ago` words it, or the day (of this place) where that is beyond two."""
    seconds = seconds_between(time, now)
    if seconds <= DAYS * 24 * 3600:
        return ago.format(age_words(seconds))
    return f"{on}{datetime.fromisoformat(time).astimezone().date().isoformat()}"


def _where(state: State, place: str) -> str:
    return place_words(state.index.places[place])


def _stopped(state: State) -> Iterator[str]:
    for head, reason in state.stopped.items():
        yield f"{_where(state, head)}: {reason}"
    for head, reason in state.scrapped.items():
        yield f"{_where(state, head)} was given up: {reason}"


def _held(state: State) -> Iterator[str]:
    for hold in holds(state):
        title = state.index.operations[hold.operation].title
        yield f"{_where(state, hold.place)} in '{title}': {hold.figure.label} {hold.figure.verdict.value}"


def _begun(state: State, now: str) -> Iterator[str]:
    for operation in state.plan.operations:
        for place in state.index.places_of(operation):
            attempt = state.attempts.get((operation.id, place))
            if attempt is None or not attempt.begun or attempt.closed or not state.is_due(operation, place):
                continue
            points = [(r, p) for r in operation.readings for p in state.index.points(operation.id, r.name)]
            there = sum(attempt.has(reading, point) for reading, point in points)
            yield f"{operation.title}, {_where(state, place)}: {there} of {len(points)} readings"
    for (name, place, step), since in state.begun.items():
        operation = state.index.operations[name]
        words = next((each.do for each in operation.steps if each.name == step), step)
        yield f"{operation.title}, {_where(state, place)}: '{words}' began {_since(since, now)}"


def _gauges(state: State, now: str) -> Iterator[str]:
    for (operator, _), gauge in state.in_hand.items():
        yield f"{gauge}, {state.gauges[gauge].sort}, with {operator}{_zero(state, state.gauges[gauge], now)}"


def _zero(state: State, gauge: GaugeNow, now: str) -> str:
    if mastering_of(state, gauge.sort) is None:
        return ""
    if gauge.check is None:
        return "; not zeroed"
    count = len(gauge.after)
    age = age_words(seconds_between(gauge.check.time, now))
    return f"; zero {age} old, set on {gauge.check.ring}, {count} {'reading' if count == 1 else 'readings'} since"


def _tools(state: State) -> Iterator[str]:
    for (name, group), tool in state.tools.items():
        operation = state.index.operations[name]
        batch = f", {group}" if group else ""
        first = _where(state, tool.first)
        released = f"first piece {first} released" if tool.released else f"first piece {first} not released yet"
        yield f"{operation.title}{batch}: {tool.tool} {tool.item}{_size(state, name, tool)}; {released}"


def _size(state: State, operation: str, tool: Tool) -> str:
    if tool.size is None:
        return ""
    readings = [*state.index.operations[operation].readings, *state.index.readings.values()]
    like = next((r for r in readings if r.sort is Sort.NUMBER and r.dimension == "length"), None)
    if like is None:
        return f", {tool.size:.3f} mm"
    unit = unit_of(state.plan, like.unit, like.dimension)
    return f", {show(tool.size, unit, decimals(like.resolution, unit))} {unit_sign(unit.name)}"


def _conditions(state: State) -> Iterator[str]:
    """Tell which passing states hold, and where: they are lost unseen when nobody tells of them."""
    leaves = [leaf.id for leaf in state.index.positions if state.index.head_of(leaf.id) not in state.scrapped]
    for condition in state.plan.conditions:
        at = [leaf for leaf in leaves if condition.id in state.held[leaf]]
        if condition.sort is ConditionSort.STATE and at:
            yield f"{condition.label}: {'every position' if len(at) == len(leaves) else ', '.join(at)}"


def _pending(stands: Iterable[Standing]) -> Iterator[str]:
    due = [stand for stand in stands if stand.due]
    for stand in due[:FEW]:
        again = ", called for again" if stand.again else ""
        count = f": {stand.done} of {stand.applies} done" if stand.done and stand.applies > 1 else ""
        yield f"{stand.title}{count}{again}"
    if len(due) > FEW:
        yield f"{len(due) - FEW} more, to '{due[-1].title}'"


def _done(stands: Iterable[Standing]) -> Iterator[str]:
    titles = [stand.title for stand in stands if stand.applies and stand.done == stand.applies]
    if len(titles) > FEW:
        yield f"{len(titles)} operations, from '{titles[0]}' to '{titles[-1]}'"
    elif titles:
        yield ", ".join(titles)


def _notes(state: State, now: str) -> Iterator[str]:
    for note in reversed(state.notes[-LAST_NOTES:]):
        where = f"{_where(state, note.place)}: " if note.place else ""
        yield f"{where}{note.text} ({note.operator}, {_since(note.time, now)})"


def _people(state: State, now: str) -> Iterator[str]:
    for person in state.people.values():
        if person.on:
            since = _since(person.since, now, "for {}", "since ")
            yield f"{person.operator} {person.name}, {person.role.value}, on {since}"
