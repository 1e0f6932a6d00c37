"""Lengths of the sample jobs as they are typed without the noughts at their end, and without their last digits."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import structs
from tests.bench.slip_sorts import SAMPLES

from headwright.job.entry import Entered, entered
from headwright.job.events import ReadingTaken
from headwright.job.evolve import evolve
from headwright.job.figures import Bench
from headwright.job.nearby import doubt_of
from headwright.job.show import decimals, unit_of
from headwright.job.state import begin
from headwright.job.unfinished import NOT_FINISHED
from headwright.store.record import read_record

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.state import State

CUT = (1, 2)
"""Digits that are left off at the end."""


class Told(NamedTuple):
    """What came of texts of one sort: how many there were, and how many were questioned as unfinished."""

    texts: int = 0
    questioned: int = 0

    def and_another(self, *, questioned: bool) -> Told:
        """Count one more."""
        return Told(self.texts + 1, self.questioned + questioned)


class Unfinished(NamedTuple):
    """Good figures `without_noughts`, and those cut by one and by two digits whose verdict that would change."""

    without_noughts: Told
    cut: dict[int, Told]


def unfinished_figures() -> Unfinished:
    """Type every length for which a window is known without its noughts, and cut; ask about each as the job does."""
    bare, cut = Told(), dict.fromkeys(CUT, Told())
    for state, event in _lengths():
        text = _text(state, event)
        short = text.rstrip("0").rstrip(".")
        wanted = _typed(state, event, short)
        if short != text and wanted is not None and _same(wanted, event):
            bare = bare.and_another(questioned=_is_questioned(state, wanted))
        for count in CUT:
            wanted = _typed(state, event, text[:-count])
            if wanted is not None and not _same(wanted, event) and _fails(state, wanted) - _fails(state, event):
                cut[count] = cut[count].and_another(questioned=_is_questioned(state, wanted))
    return Unfinished(bare, cut)


def _lengths() -> Iterator[tuple[State, ReadingTaken]]:
    for path in sorted(SAMPLES.glob("1*.toml")):
        record = read_record(path)
        state = begin(record.plan)
        for entry in record.entries:
            event = entry.event
            if isinstance(event, ReadingTaken) and event.value is not None and not event.questioned:
                dimension = state.index.readings[event.operation, event.reading].dimension
                if dimension == "length" and "." in _text(state, event) and _window(state, event) is not None:
                    yield state, event
            state = evolve(state, entry)


def _text(state: State, event: ReadingTaken) -> str:
    """Give a figure with all the digits that are read, in the unit in which it was typed."""
    reading = state.index.readings[event.operation, event.reading]
    unit = next((u for u in state.plan.units if u.name == event.unit), None) or unit_of(
        state.plan, reading.unit, reading.dimension
    )
    assert event.value is not None
    return f"{(event.value - unit.offset) / unit.factor:.{decimals(reading.resolution, unit)}f}"


def _window(state: State, event: ReadingTaken) -> tuple[float, float] | None:
    operation = state.index.operations[event.operation]
    reading = state.index.readings[event.operation, event.reading]
    return Bench(state.written(operation.id, event.place), operation, event.place).window(reading)


def _typed(state: State, event: ReadingTaken, text: str) -> ReadingTaken | None:
    """Give the reading that a text would be at the point of another, in its unit; None where it is no figure."""
    reading = state.index.readings[event.operation, event.reading]
    behind = "" if event.unit == reading.unit else f" {event.unit}"
    read = entered(f"{text}{behind}", reading, state.plan, window=_window(state, event))
    if not isinstance(read, Entered) or read.value is None:
        return None
    return structs.replace(event, typed=read.typed, unit=read.unit, value=read.value)


def _same(one: ReadingTaken, other: ReadingTaken) -> bool:
    return abs((one.value or 0.0) - (other.value or 0.0)) < 1e-9


def _fails(state: State, event: ReadingTaken) -> set[str]:
    operation, point = state.index.operations[event.operation], (event.reading, event.station, event.angle)
    bench = Bench(state.written(operation.id, event.place), operation, event.place, {point: event.value or 0.0})
    return {figure.item for figure in bench.figures() if figure.verdict.fails}


def _is_questioned(state: State, event: ReadingTaken) -> bool:
    doubt = doubt_of(state, event)
    return doubt is not None and doubt.slip == NOT_FINISHED
