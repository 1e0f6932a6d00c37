"""Every event has words that whoever was overtaken can read."""

from __future__ import annotations

from typing import get_args

import pytest
from tests.store.gauged import gauged_plan
from tests.store.small import INCH, reading, small_plan

from headwright.job import events as ev
from headwright.job.events import Entry, Event
from headwright.job.index import PlanIndex
from headwright.procedure.plan import Role
from headwright.store.news import in_words

WORDS: list[tuple[Event, str]] = [
    (ev.Opened("1001", "0" * 64), "opened job 1001, Size the guides"),
    (ev.CameOn("08", "Bo Lind", Role.TRAINEE), "Bo Lind (08) came on as trainee"),
    (ev.TookBench("08", Role.TRAINEE), "08 took the bench as trainee"),
    (ev.WentOff("08"), "08 went off"),
    (ev.CautionAcknowledged("dust"), "acknowledged the caution 'Bronze dust'"),
    (ev.StepBegun("size", "1E", "oil"), "Size, 1E: began the step 'oil'"),
    (ev.StepTicked("size", "1E", "oil"), "Size, 1E: ticked the step 'oil'"),
    (reading("1E", "top", 0.3438), "Size, 1E: Bore top .3438 in"),
    (ev.ReadingTaken("size", "1E", "bore", "8.73 mm", "mm", 8.73, angle=90), "Size, 1E: Bore 90° 8.73 mm"),
    (ev.ReadingStruck(17, "slipped"), "struck the reading of entry 17: slipped"),
    (ev.HandedOver("08", "07"), "08 handed the bench over to 07"),
    (ev.GaugeTaken("BG-3", "bore gauge"), "took the bore gauge BG-3 in hand"),
    (
        ev.GaugeChecked("BG-3", "R-3440", 8.737, 0.001),
        "checked BG-3 on R-3440: off by +0.0010 mm, set to +0.0000 mm",
    ),
    (
        ev.GaugeDoubted("BG-5", 0.006, "2025-03-04T08:12:09.120000Z", "1005"),
        "BG-5 was found off by +0.0060 mm in job 1005; readings since its check are in doubt",
    ),
    (ev.ToolChosen("size", "1E", "ball", "B-3436"), "Size, 1E: put in the ball B-3436"),
    (ev.FirstPieceReleased("size", "1E"), "Size, 1E: released the first piece"),
    (
        ev.Disposed("size", "1E", "bore", ev.Disposition.REWORK, "one size up", redo="size"),
        "Size, 1E: decided rework, one size up",
    ),
    (ev.Stopped("head:A", "cracked"), "stopped head A: cracked"),
    (ev.Resumed("head:A", "it was a scratch"), "resumed head A: it was a scratch"),
    (ev.SpecConfirmed("stem", "the maker's sheet"), "confirmed 'Stem' from the maker's sheet"),
    (ev.Noted("wait for the seats"), "noted: wait for the seats"),
    (ev.OperationClosed("size", "1E"), "Size, 1E: done"),
    (ev.Released(), "released the job"),
    (ev.Reopened("a seat leaks"), "reopened the job: a seat leaks"),
]


@pytest.mark.parametrize(("event", "words"), WORDS, ids=lambda value: type(value).__name__)
def test_an_event_is_put_into_words(event: Event, words: str) -> None:
    entry = Entry(17, "2025-03-04T08:12:09.120000Z", "07", "bench-2", event, "")
    assert in_words(entry, PlanIndex(small_plan())) == f"07 at bench-2: {words}"


def test_no_event_is_without_words() -> None:
    assert {type(event) for event, _ in WORDS} == set(get_args(Event))


def test_drift_is_told_in_the_unit_that_is_read_with_the_gauge() -> None:
    event = ev.GaugeChecked("BG-3", "R-3440", 8.737, -0.0002 * INCH, 0.00005 * INCH)
    entry = Entry(17, "2025-03-04T08:12:09.120000Z", "07", "bench-2", event, "")
    said = "07 at bench-2: checked BG-3 on R-3440: off by -0.00020 in, set to +0.00005 in"
    assert in_words(entry, PlanIndex(gauged_plan())) == said
