"""The record of a job shows a gap, an edit or a swap."""

from __future__ import annotations

import hashlib
import json

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from headwright.job.chain import chained, event_bytes, event_from, first_misfit
from headwright.job.events import Noted, ReadingTaken, StepTicked

EVENTS = tuple(StepTicked("bore", "1I", f"step-{n}") for n in range(6))
ENTRIES = chained("1", None, EVENTS, time="2026-01-01T00:00:00.000000Z", operator="07", terminal="bench")


def test_the_hash_is_the_sha256_of_the_one_before_and_the_canonical_line() -> None:
    """Recomputed with the standard library's JSON and hashlib."""
    line = ["1", 2, ENTRIES[1].time, "07", "bench", {"what": "step-ticked", "operation": "bore", "place": "1I",
                                                      "step": "step-1"}]  # fmt: skip
    body = json.dumps(line, separators=(",", ":"), sort_keys=True)
    assert ENTRIES[1].hash == hashlib.sha256((ENTRIES[0].hash + body).encode()).hexdigest()


@given(st.integers(0, 5), st.sampled_from(["time", "operator", "terminal", "hash"]))
def test_an_edit_shows_at_its_entry(number: int, field: str) -> None:
    edited = [*ENTRIES]
    edited[number] = replace(edited[number], **{field: "x"})
    assert first_misfit("1", edited) == number + 1


def test_an_edited_event_a_gap_a_swap_and_another_job_show() -> None:
    edited = [*ENTRIES]
    edited[3] = replace(edited[3], event=Noted("nothing"))
    assert first_misfit("1", edited) == 4
    assert first_misfit("1", [*ENTRIES[:2], *ENTRIES[3:]]) == 3
    assert first_misfit("1", [ENTRIES[1], ENTRIES[0], *ENTRIES[2:]]) == 1
    assert first_misfit("2", ENTRIES) == 1
    assert first_misfit("1", ENTRIES) is None
    assert first_misfit("1", ENTRIES[3:], after=ENTRIES[2]) is None


@given(st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=30))
def test_an_event_reads_back_as_it_was_written(value: float, typed: str) -> None:
    event = ReadingTaken("bore", "1I", "bored_id", typed, "in", value, station="top", angle=90)
    assert event_from(event_bytes(event)) == event
