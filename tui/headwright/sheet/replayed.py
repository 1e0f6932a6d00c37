"""A replayed job: what happened that a person would tell of, and where it stands at the end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec

from headwright.job.events import GaugeDoubted, OperationClosed, Released, Reopened, Resumed, Stopped
from headwright.job.figures import Bench, Figure
from headwright.job.index import place_words
from headwright.job.progress import standings
from headwright.job.summary import summary
from headwright.procedure.plan import plan_sha256
from headwright.sheet.doubts import found_words, in_doubt_words, struck_late_words
from headwright.sheet.plain import columns, counted, plain
from headwright.sheet.words import held_words, how_cleared, moment, value_words, verdict_mark, where

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.events import Entry
    from headwright.job.progress import Standing
    from headwright.procedure.plan import Operation
    from headwright.sheet.history import Held, History


def lines(job: History) -> Iterator[str]:
    """Give the job event by event in one line each where something turned, then where it stands."""
    yield f"job {plain(job.state.job)}, {job.state.plan.family_title}, {job.state.plan.route_title}"
    yield f"{counted(len(job.entries), 'event')}, every hash fits; plan {plan_sha256(job.state.plan)}"
    yield ""
    for entry in job.entries:
        for word, said in _said(job, entry):
            yield f"{entry.number:>5}  {moment(entry.time)}  {word:<8}  {plain(said)}"
    yield from _end(job)


def _said(job: History, entry: Entry) -> Iterator[tuple[str, str]]:
    index = job.state.index
    for held in job.holds:
        if held.cleared is entry:
            how = how_cleared(entry, index, held.hold.figure)
            yield "cleared", f"{_attempt(job, held)}: {held.hold.figure.label}, {how} ({entry.operator})"
    yield from _turned(job, entry)
    late = struck_late_words(job, entry)
    if late:
        yield "struck", f"{late} ({entry.operator})"
    for held in job.holds:
        if held.since is entry:
            yield "HELD", f"{_attempt(job, held)}: {held_words(held, index)}"


def _turned(job: History, entry: Entry) -> Iterator[tuple[str, str]]:
    index = job.state.index
    match entry.event:
        case Stopped(place=place, reason=reason):
            yield "STOPPED", f"{place_words(index.places[place])}: {reason} ({entry.operator})"
        case Resumed(place=place, reason=reason):
            yield "resumed", f"{place_words(index.places[place])}: {reason} ({entry.operator})"
        case Released(note=note):
            yield "released", f"{note} ({entry.operator})".strip()
        case Reopened(reason=reason):
            yield "reopened", f"{reason} ({entry.operator})"
        case OperationClosed(operation=operation, place=place):
            yield "done", where(index, operation, place)
        case GaugeDoubted():
            count = next(len(doubt.readings) for doubt in job.state.doubts if doubt.number == entry.number)
            yield "DOUBT", f"{found_words(job.state, entry)}: {counted(count, 'reading')} in doubt ({entry.operator})"


def _attempt(job: History, held: Held) -> str:
    return f"{where(job.state.index, held.hold.operation, held.hold.place)}, attempt {held.hold.attempt}"


def _waits(standing: Standing) -> str:
    held = f"{standing.held} held" if standing.held else ""
    given_up = f"{standing.given_up} given up" if standing.given_up else ""
    return ", ".join(filter(None, (held, given_up)))


def _end(job: History) -> Iterator[str]:
    state = job.state
    yield ""
    rows = [(f"  {s.title}", f"{s.done} of {s.applies}", _waits(s)) for s in standings(state)]
    yield "where it stands:"
    yield from columns(rows)
    for operation in state.plan.operations:
        table = list(_results(job, operation))
        if len(table) > 1:
            yield ""
            yield f"{operation.title}, results that count:"
            yield from columns(table)
    yield ""
    short = summary(state)
    left = sum(held.cleared is None for held in job.holds)
    yield f"holds: {len(job.holds)}, of them cleared {len(job.holds) - left}, open {left}"
    yield f"final state: {', '.join(filter(None, (short.status, in_doubt_words(state))))}"


def _results(job: History, operation: Operation) -> Iterator[tuple[str, ...]]:
    yield "", *(result.label for result in operation.results)
    for place in job.state.index.places_of(operation):
        found = {figure.item: figure for figure in _counting(job, operation, place)}
        if found:
            cells = (_cell(job, found.get(result.name)) for result in operation.results)
            yield f"  {place_words(job.state.index.places[place])}", *cells


def _cell(job: History, figure: Figure | None) -> str:
    return "-" if figure is None else f"{value_words(figure, job.state.index)} {verdict_mark(figure)}".rstrip()


def _counting(job: History, operation: Operation, place: str) -> tuple[Figure, ...]:
    if not job.state.attempt(operation.id, place).readings:
        return ()
    names = {result.name for result in operation.results}
    figures = Bench(job.state, operation, place).figures()
    return tuple(figure for figure in figures if figure.item in names and figure.least is not None)


def as_json(job: History) -> str:
    """Give the replay as JSON; figures are in mm, N, MPa, °C, s, mm³ and degrees, as everywhere in a record."""
    state = job.state
    told: dict[str, Any] = {
        "summary": summary(state),
        "plan_sha256": plan_sha256(state.plan),
        "last_hash": job.entries[-1].hash,
        "holds": [_hold(held) for held in job.holds],
        "doubts": state.doubts,
        "standings": standings(state),
        "results": [
            figure
            for operation in state.plan.operations
            for place in state.index.places_of(operation)
            for figure in _counting(job, operation, place)
        ],
    }
    return msgspec.json.format(msgspec.json.encode(told)).decode()


def _hold(held: Held) -> dict[str, Any]:
    return {
        "operation": held.hold.operation,
        "place": held.hold.place,
        "attempt": held.hold.attempt,
        "figure": held.hold.figure,
        "since": held.since.number,
        "cleared": held.cleared,
    }
