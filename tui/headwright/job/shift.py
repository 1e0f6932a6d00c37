"""The news of a shift: what was decided, stopped, struck and found wrong since the bench was handed over last."""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING

from headwright.job.agenda import point_words
from headwright.job.events import (
    Disposed,
    Disposition,
    Event,
    GaugeChecked,
    GaugeDoubted,
    HandedOver,
    ReadingStruck,
    Released,
    Reopened,
    Resumed,
    Stopped,
)
from headwright.job.gauges import drift_words, seconds_between
from headwright.job.index import place_words
from headwright.job.state import State

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from headwright.job.events import Entry
    from headwright.job.state import Taken

SHIFT = 12 * 3600
"""s: what is older is no news of a shift, unless whoever leaves came on before it (our choice)."""
KEYED_AGAIN = "keyed again"
"""Why a figure is struck that was typed over at once: a slip of the fingers, and no news."""


def news(state: State, entries: Sequence[Entry], leaver: str, now: str) -> Iterator[tuple[Entry, str]]:
    """Give what whoever takes over has to be told of, each entry with its words, in the order in which it came.

    Args:
        state: the job.
        entries: its record.
        leaver: who leaves; what happened before they came on, and is older than a shift, is no news.
        now: the time, UTC as records have it.
    """
    person = state.people.get(leaver)
    handed = max((entry.number for entry in entries if isinstance(entry.event, HandedOver)), default=0)
    recent = [
        entry
        for entry in entries
        if entry.number > handed
        and (seconds_between(entry.time, now) <= SHIFT or (person is not None and entry.time >= person.since))
    ]
    together = _struck_together(recent)
    for entry in recent:
        also = together.get(entry.number, (entry.number,))
        if entry.number != also[-1]:
            continue
        words = _words(entry.event, state, entry.number)
        if words and len(also) > 1 and isinstance(entry.event, ReadingStruck):
            last = _reading(state, entry.event.number)
            words = f"{len(also)} readings struck: {entry.event.reason}; the last of them {last}"
        if words:
            yield entry, words


def _struck_together(entries: Sequence[Entry]) -> dict[int, tuple[int, ...]]:
    """Give the entries that strike for the same reason by the same hand, all of them by the number of each."""
    found: dict[tuple[str, str], tuple[int, ...]] = {}
    for entry in entries:
        if isinstance(entry.event, ReadingStruck):
            cause = (entry.operator, entry.event.reason)
            found[cause] = (*found.get(cause, ()), entry.number)
    return {number: numbers for numbers in found.values() for number in numbers}


@singledispatch
def _words(event: Event, state: State, number: int) -> str:
    """Give an event in words, empty where it is no news; `number` is that of its entry."""
    del event, state, number
    return ""


@_words.register
def _(event: Stopped, state: State, number: int) -> str:
    del number
    return f"{_where(state, event.place)} stopped: {event.reason}"


@_words.register
def _(event: Resumed, state: State, number: int) -> str:
    del number
    return f"{_where(state, event.place)} goes on: {event.reason}"


@_words.register
def _(event: ReadingStruck, state: State, number: int) -> str:
    del number
    return "" if event.reason == KEYED_AGAIN else f"{_reading(state, event.number)} struck: {event.reason}"


@_words.register
def _(event: GaugeChecked, state: State, number: int) -> str:
    doubt = next((each for each in state.doubts if each.number == number), None)
    if doubt is None:
        return ""
    count = len(doubt.readings)
    off = drift_words(state.index, doubt.drift)
    return f"{event.gauge} was off by {off}: {count} {'reading' if count == 1 else 'readings'} struck"


@_words.register
def _(event: GaugeDoubted, state: State, number: int) -> str:
    del number
    return f"{event.gauge} was found off by {drift_words(state.index, event.drift)} in job {event.job}"


@_words.register
def _(event: Released, state: State, number: int) -> str:
    del event, state, number
    return "released"


@_words.register
def _(event: Reopened, state: State, number: int) -> str:
    del state, number
    return f"opened again: {event.reason}"


@_words.register
def _(event: Disposed, state: State, number: int) -> str:
    del number
    if event.disposition is Disposition.SCRAP:
        return f"{_where(state, state.index.head_of(event.place))} given up: {event.reason}"
    key = (event.operation, event.item)
    label = (state.index.readings.get(key) or state.index.results[key]).label
    titles = state.index.operations
    back = f", back to '{titles[event.redo].title}'" if event.redo not in {"", event.operation} else ""
    done = {
        Disposition.CONCESSION: f"concession of '{label}'",
        Disposition.REWORK: f"rework for '{label}'{back}",
        Disposition.REMEASURE: f"'{label}' measured again",
    }[event.disposition]
    return f"{_where(state, event.place)} in '{titles[event.operation].title}': {done}: {event.reason}"


def _where(state: State, place: str) -> str:
    return place_words(state.index.places[place])


def _reading(state: State, number: int) -> str:
    """Name a reading that was struck: its place, what it was of, and the figure."""
    (operation, place), point = state.where[number]
    label = state.index.readings[operation, point[0]].label
    attempts = (state.attempt(operation, place), *state.past.get((operation, place), ()))
    taken = next((each for attempt in attempts for each, _ in attempt.struck if each.number == number), None)
    return f"{_where(state, place)}: {point_words(label, point)}{_figure(taken)}"


def _figure(taken: Taken | None) -> str:
    return f" {taken.event.typed or taken.event.word}" if taken is not None else ""
