"""What the told jobs have on record, counted from the entries alone: gauges, zeroes, first pieces, signatures."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING

import pytest

from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    FirstPieceReleased,
    GaugeChecked,
    GaugeTaken,
    ReadingStruck,
    ReadingTaken,
    Released,
    Resumed,
    SpecConfirmed,
    ToolChosen,
)
from headwright.procedure.plan import Role
from tests.stories.looking import at_end, shipped_record
from tests.stories.tray import kit
from tests.stories.write import STORIES

if TYPE_CHECKING:
    from headwright.job.events import Event
    from headwright.store.record import Record

MOST, OLDEST, NEAR = 10, timedelta(minutes=30), 0.5
"""Readings on one zero, its age, and mm from the ring: what is read may be farther off than what was expected."""
jobs = pytest.mark.parametrize("job", STORIES)


@cache
def record_of(job: str) -> Record:
    return shipped_record(job)


@jobs
def test_every_reading_that_is_traced_names_a_gauge_that_was_in_date(job: str) -> None:
    record = record_of(job)
    gauges = {gauge.id: gauge for gauge in kit().gauges}
    sorts = {(op.id, reading.name): reading.gauge for op in record.plan.operations for reading in op.readings}
    named = 0
    for entry in record.entries:
        event = entry.event
        if isinstance(event, ReadingTaken):
            sort = sorts[event.operation, event.reading]
            assert bool(event.gauge) == (sort in record.plan.rules.gauges and event.value is not None)
            if event.gauge:
                named += 1
                assert gauges[event.gauge].sort == sort
                assert entry.time[:10] <= gauges[event.gauge].due
        elif isinstance(event, GaugeTaken):
            gauge = gauges[event.gauge]
            told = (event.sort, event.resolution, event.uncertainty, event.due)
            assert told == (gauge.sort, gauge.resolution, gauge.uncertainty, gauge.due)
    assert named > 150


@jobs
def test_no_zero_was_used_up_old_somebody_elses_or_far_from_the_size(job: str) -> None:
    record = record_of(job)
    rings = {ring.id: ring for ring in kit().rings}
    zero: dict[str, tuple[datetime, str, float]] = {}
    used: dict[str, int] = {}
    checks = 0
    for entry in record.entries:
        event, time = entry.event, datetime.fromisoformat(entry.time)
        if isinstance(event, GaugeChecked):
            checks += 1
            ring = rings[event.ring]
            assert (event.size, event.uncertainty) == (ring.size, ring.uncertainty)
            zero[event.gauge], used[event.gauge] = (time, entry.operator, event.size), 0
        elif isinstance(event, ReadingTaken) and event.gauge.startswith(("BG", "AG")):
            set_at, by, size = zero[event.gauge]
            assert used[event.gauge] < MOST
            assert time - set_at <= OLDEST
            assert by == entry.operator
            assert event.questioned or event.value == pytest.approx(size, abs=NEAR)
            used[event.gauge] += 1
    assert checks > 10


@jobs
def test_the_others_waited_for_the_first_piece(job: str) -> None:
    record = record_of(job)
    kinds = {place.id: str(place.kind) for place in record.plan.places}
    waiting: dict[tuple[str, str], str] = {}
    tools = 0
    for entry in record.entries:
        event = entry.event
        if isinstance(event, ToolChosen):
            tools += 1
            waiting[event.operation, kinds[event.place]] = event.place
        elif isinstance(event, FirstPieceReleased):
            assert waiting.pop((event.operation, kinds[event.place])) == event.place
        elif isinstance(event, ReadingTaken):
            assert waiting.get((event.operation, kinds[event.place]), event.place) == event.place
    with_tools = [operation.id for operation in record.plan.operations if operation.tool]
    done = at_end(record).released
    assert (tools >= 2 * len(with_tools)) if done else (tools == 0)


def is_for_a_lead(event: Event) -> bool:
    match event:
        case CameOn(role=role):
            return role is Role.LEAD
        case Disposed(disposition=disposition):
            return disposition in {Disposition.CONCESSION, Disposition.SCRAP}
        case _:
            return isinstance(event, Resumed | SpecConfirmed | Released)


@jobs
def test_what_only_a_lead_decides_is_signed_and_nothing_else(job: str) -> None:
    record = record_of(job)
    leads = {e.event.operator for e in record.entries if isinstance(e.event, CameOn) and e.event.role is Role.LEAD}
    signed = [entry for entry in record.entries if getattr(entry.event, "signed", False)]
    assert [entry for entry in record.entries if is_for_a_lead(entry.event)] == signed
    assert {entry.operator for entry in signed} == leads


def test_nobody_conceded_what_he_had_read_himself() -> None:
    conceded = 0
    for job in STORIES:
        record = record_of(job)
        for entry in record.entries:
            event = entry.event
            if isinstance(event, Disposed) and event.disposition is Disposition.CONCESSION:
                conceded += 1
                read = {
                    e.operator
                    for e in record.entries[: entry.number]
                    if isinstance(e.event, ReadingTaken)
                    and (e.event.operation, e.event.place) == (event.operation, event.place)
                }
                assert entry.operator not in read
    assert conceded > 0


@jobs
def test_a_gauge_came_back_to_its_ring_before_the_head_left(job: str) -> None:
    record = record_of(job)
    struck = {entry.event.number for entry in record.entries if isinstance(entry.event, ReadingStruck)}
    last: dict[str, int] = {}
    back: dict[str, int] = {}
    for entry in record.entries:
        event = entry.event
        if isinstance(event, ReadingTaken) and event.gauge.startswith(("BG", "AG")) and entry.number not in struck:
            last[event.gauge] = entry.number
        elif isinstance(event, GaugeChecked):
            back[event.gauge] = entry.number
    if isinstance(record.entries[-1].event, Released):
        assert all(back[gauge] > number for gauge, number in last.items())
    else:
        assert job == "1003", "a head that was given up leaves nothing behind that has to be proved"
