"""Looking into a told job: how it stood at a hold, and what its figures were."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.events import Disposed
from headwright.job.evolve import fold
from headwright.job.figures import Bench
from headwright.job.state import State, begin
from headwright.store.record import Record, read_record
from tests.stories.write import ROOT

if TYPE_CHECKING:
    from headwright.job.figures import Figure

INCH = 25.4


def shipped_record(job: str) -> Record:
    """Give the record of a sample job as it is shipped."""
    return read_record(ROOT / "sample_jobs" / f"{job}.toml")


def at_end(record: Record) -> State:
    """Give a job as its record leaves it."""
    return fold(begin(record.plan), record.entries)


def at_hold(record: Record, operation: str, place: str, item: str, number: int = 1) -> State:
    """Give a job as it stood just before a hold was decided, the first time or a later one."""
    met = 0
    for entry in record.entries:
        event = entry.event
        if isinstance(event, Disposed) and (event.operation, event.place, event.item) == (operation, place, item):
            met += 1
            if met == number:
                return fold(begin(record.plan), record.entries[: entry.number - 1])
    raise AssertionError((operation, place, item, number))


def figure(state: State, operation: str, place: str, item: str) -> Figure:
    """Give a reading or result as it stands."""
    return Bench(state, state.index.operations[operation], place).figure(item)


def ends(state: State, operation: str, place: str, item: str, unit: float = 1.0) -> tuple[float, float]:
    """Give least and most of a reading or result, in a unit of so many canonical ones."""
    found = figure(state, operation, place, item)
    assert found.least is not None
    assert found.most is not None
    return found.least / unit, found.most / unit


def one(state: State, operation: str, place: str, item: str, unit: float = 1.0) -> float:
    """Give a reading or result of one value."""
    least, most = ends(state, operation, place, item, unit)
    assert least == most
    return least


def decisions(record: Record) -> list[tuple[str, str, str, str, str, str]]:
    """Give every decision: operation, place, item, disposition, redo, repair."""
    found = [entry.event for entry in record.entries if isinstance(entry.event, Disposed)]
    return [(e.operation, e.place, e.item, e.disposition.value, e.redo, e.repair) for e in found]


def nothing_is_due(state: State) -> bool:
    """Tell whether no operation is left to be done anywhere."""
    return not any(state.is_due(op, p) for op in state.plan.operations for p in state.index.places_of(op))
