"""Readings that are in doubt because their gauge was found off in another job, in words for sheet and replay."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.events import GaugeDoubted, OperationClosed, ReadingStruck, ReadingTaken
from headwright.job.gauge_use import doubted, standing
from headwright.job.gauges import drift_words
from headwright.sheet.layout import rows_of
from headwright.sheet.plain import counted
from headwright.sheet.words import moment, spot, where, with_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.events import Entry
    from headwright.job.state import Doubt, State
    from headwright.sheet.history import History


def in_doubt_words(state: State) -> str:
    """Say how many readings are in doubt and still count; empty where none is."""
    count = len(doubted(state))
    return f"{counted(count, 'reading')} in doubt" if count else ""


def doubt_lines(job: History) -> Iterator[str]:
    """Tell of the readings that came into doubt after the job was released; nothing where there is none."""
    said = in_doubt_words(job.state)
    if said:
        yield f"{said.upper()}, taken with a gauge that was found off after the release"
        yield from rows_of([("", _doubt(job, doubt)) for doubt in job.state.doubts if _standing(job.state, doubt)])
        yield ""


def _doubt(job: History, doubt: Doubt) -> str:
    state = job.state
    entry = job.entries[doubt.number - 1]
    places = dict.fromkeys(where(state.index, *state.where[number][0]) for number in _standing(state, doubt))
    return f"{moment(entry.time)}, event {doubt.number}: {found_words(state, entry)}: {'; '.join(places)}"


def _standing(state: State, doubt: Doubt) -> list[int]:
    return [number for number in doubt.readings if standing(state, number) is not None]


def found_words(state: State, entry: Entry) -> str:
    """Say which gauge was found off, by how much and in which job; `entry` is one that says so."""
    event = entry.event
    if not isinstance(event, GaugeDoubted):
        return ""
    gauge = state.gauges.get(event.gauge)
    off = drift_words(state.index, event.drift, gauge.sort if gauge else "")
    return f"{event.gauge} was found off by {off}, in job {event.job}"


def struck_late_words(job: History, entry: Entry) -> str:
    """Tell of a reading that an entry struck although its operation was closed with it; empty for any other entry."""
    event = entry.event
    if not isinstance(event, ReadingStruck):
        return ""
    taken = job.entries[event.number - 1].event
    if not isinstance(taken, ReadingTaken) or not _closed_between(job, taken, event.number, entry.number):
        return ""
    reading = job.state.index.readings[taken.operation, taken.reading]
    point = spot((taken.reading, taken.station, taken.angle))
    at = where(job.state.index, taken.operation, taken.place)
    label = " ".join(filter(None, (reading.label, point)))
    typed = with_unit(taken.typed, taken.unit) if taken.typed[-1:].isdigit() else taken.typed
    return f"{at}: {label} {typed}, event {event.number}, after it was done: {event.reason}"


def _closed_between(job: History, taken: ReadingTaken, after: int, before: int) -> bool:
    closing = OperationClosed(taken.operation, taken.place)
    return any(entry.event == closing for entry in job.entries[after : before - 1])
