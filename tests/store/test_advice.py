"""The next ball in words, on the sample job as it stood when 2I was held with too little clearance.

The hole there is 0.3124 in on average (0.312367) and may be 0.3128 to 0.3138 in: stem 0.3118 in, clearance 0.0010 to
0.0020 in. What the shop learned is put in as pushes that lie on a line, so that what to expect is worked out by hand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from tests.store.small import INCH, Job

from headwright.data import shipped
from headwright.job.events import CameOn, Disposed, ReadingTaken
from headwright.job.evolve import fold, provisional
from headwright.job.sizing import Sized, Stratum, ball_question
from headwright.job.state import State, begin
from headwright.procedure.kit import Ball, Kit
from headwright.procedure.plan import Role
from headwright.store.advice import ball_words
from headwright.store.record import Record, read_record

if TYPE_CHECKING:
    from headwright.store import JobStore

AT = ("size", "2I")
TIME = "2026-03-01T08:00:00.000000Z"
NO_RECORD = "No sizing like this is on record yet, so this is a first guess, from memory of the trade."


@pytest.fixture(scope="module")
def record() -> Record:
    return read_record(shipped("sample_jobs") / "1001.toml")


@pytest.fixture(scope="module")
def held(record: Record) -> State:
    """The job just before somebody decided on 2I."""
    number = next(
        entry.number
        for entry in record.entries
        if isinstance(entry.event, Disposed) and (entry.event.operation, entry.event.place) == AT
    )
    return fold(begin(record.plan), record.entries[: number - 1])


@pytest.fixture(scope="module")
def alike(held: State) -> Stratum:
    question = ball_question(held, AT)
    assert question is not None
    return question.stratum


def kit(*inches: float) -> Kit:
    """Make a kit of measured balls, named by their size in tenths."""
    return Kit(
        "ours",
        balls=tuple(Ball(f"B-{each * 1e4:.0f}", each * INCH, each * INCH, "2026-01-02") for each in inches),
    )


def learned(store: JobStore, alike: Stratum, count: int, time: str = TIME) -> None:
    """Keep a job whose pushes sprang back 0.0002 in and a tenth of the interference, without scatter."""
    job = Job(f"9{count:03}")
    sized = []
    for number in range(count):
        hole, ball = (0.3118 + number % 4 * 0.0002) * INCH, 0.3140 * INCH
        finished = ball - 0.0002 * INCH - 0.1 * (ball - hole)
        sized.append(Sized("1I", number, time, alike, hole, ball, finished))
    store.create(job.plan_json, job.entries, job.summary, tuple(sized))


def test_one_push_is_told_with_what_to_expect_and_from_how_many(store: JobStore, held: State, alike: Stratum) -> None:
    """0.3138 − 0.0002 − 0.1 × (0.3138 − 0.312367) = 0.313457 in; no scatter, so all but certain."""
    learned(store, alike, 14)
    assert ball_words(store, held, AT, kit(0.3120, 0.3138, 0.3150)) == (
        "Push B-3138 (.31380 in): expect .3135 in, over 99.9 % in limits, under 0.1 % over. "
        "Learned from 14 sizings alike."
    )


def test_few_records_are_told_as_such(store: JobStore, held: State, alike: Stratum) -> None:
    learned(store, alike, 3)
    assert ball_words(store, held, AT, kit(0.3138)).endswith(
        "Few records: a weak assumption from memory of the trade, brought up to date with 3 sizings alike."
    )


def test_no_record_is_told_as_such(store: JobStore, held: State, alike: Stratum) -> None:
    learned(store, replace(alike, lubricant="tallow"), 20)
    assert ball_words(store, held, AT, kit(0.3138)).endswith(NO_RECORD)


def test_sizings_of_more_than_two_years_ago_teach_nothing(store: JobStore, held: State, alike: Stratum) -> None:
    learned(store, alike, 9, "2024-03-08T00:00:00.000000Z")
    learned(store, alike, 12, "2024-03-10T00:00:00.000000Z")
    assert held.time.startswith("2026-03-09")
    assert ball_words(store, held, AT, kit(0.3138)).endswith("Learned from 12 sizings alike.")
    later = "2026-03-20T00:00:00.000000Z"
    assert ball_words(store, held, AT, kit(0.3138), later).endswith(NO_RECORD)


def test_where_no_single_ball_serves_the_first_of_two_is_told(store: JobStore, held: State, alike: Stratum) -> None:
    """By the line 0.3128 in leaves 0.31256 in, under the limit; 0.3160 in leaves 0.31544 in, far over it."""
    learned(store, alike, 14)
    assert ball_words(store, held, AT, kit(0.3128, 0.3160)) == (
        "Push B-3128 (.31280 in), measure, and ask again: expect .3126 in, under 0.1 % in limits, "
        "under 0.1 % over; no single ball reaches 90.0 %. Learned from 14 sizings alike."
    )


def test_no_ball_serves_and_those_left_out_are_counted(store: JobStore, held: State, alike: Stratum) -> None:
    learned(store, alike, 14)
    small = kit(0.3120, 0.3138)
    overdue = replace(small, balls=(small.balls[0], replace(small.balls[1], due="2026-03-08")))
    assert ball_words(store, held, AT, overdue) == (
        "No ball of the kit serves: each is too small, or too likely to go over. "
        "1 ball is left out, not measured or overdue for it. Learned from 14 sizings alike."
    )
    on_the_day = replace(small, balls=(small.balls[0], replace(small.balls[1], due="2026-03-09")))
    assert ball_words(store, held, AT, on_the_day).startswith("Push B-3138 ")


def test_a_kit_without_a_measured_ball_is_told(store: JobStore, held: State) -> None:
    assert ball_words(store, held, AT, Kit("ours", balls=(Ball("B-1", 7.9),))) == (
        "No ball of the kit is measured and in date, so none can be named. Measure the balls first."
    )


@pytest.mark.parametrize(
    ("inches", "words"),
    [
        (0.3130, "The hole is in limits on average already (.3130 in): push no larger ball."),
        (0.3140, "The hole is .3140 in on average, over .3138 in: no ball makes it smaller."),
    ],
)
def test_a_hole_that_needs_no_ball_gets_none(store: JobStore, held: State, inches: float, words: str) -> None:
    state = held
    for station in ("top", "middle", "bottom"):
        for angle in (0, 90):
            event = ReadingTaken(*AT, "finished_id", f"{inches}", "in", inches * INCH, station=station, angle=angle)
            state = provisional(state, event, "07", "bench")
    assert ball_words(store, state, AT, kit(0.3138)) == words


def test_where_a_family_does_not_name_its_parts_nothing_is_learned_from_others(
    store: JobStore, record: Record, held: State, alike: Stratum
) -> None:
    nameless = replace(alike, liner="", stem_class="")
    learned(store, nameless, 14)
    facts = {name: fact for name, fact in record.plan.facts.items() if name in {"head", "lubricant"}}
    state = fold(begin(replace(record.plan, facts=facts)), record.entries[: held.number])
    question = ball_question(state, AT)
    assert question is not None
    assert question.stratum == nameless
    assert ball_words(store, state, AT, kit(0.3138)).endswith(
        "The family does not name its liner and stem class, so no sizings are alike: "
        "a weak assumption from memory of the trade stands in."
    )


def test_nothing_is_said_where_no_ball_is_asked_for_or_the_hole_is_not_known(
    store: JobStore, record: Record, held: State
) -> None:
    assert ball_words(store, held, ("verify", "2I"), kit(0.3138)) == ""
    assert ball_words(store, begin(record.plan), AT, kit(0.3138)) == ""
    on = provisional(begin(record.plan), CameOn("07", "Ana", Role.LEAD), "07", "bench")
    assert ball_words(store, on, AT, kit(0.3138)) == ""


def test_sizes_are_told_in_the_unit_of_the_readings(
    store: JobStore, record: Record, held: State, alike: Stratum
) -> None:
    """0.3138 in = 7.9705 mm; 0.313457 in = 7.96180 mm; resolutions 0.00005 in and 0.0001 in give four and three places.

    A tenth of a thou is 0.00254 mm, shown to 0.001 mm; half of that, 0.00127 mm, too.
    """
    learned(store, alike, 14)
    size = held.index.operations["size"]
    metric = replace(size, readings=tuple(replace(r, unit="mm") if r.role else r for r in size.readings))
    plan = replace(record.plan, operations=tuple(metric if op is size else op for op in held.plan.operations))
    state = fold(begin(plan), record.entries[: held.number])
    words = ball_words(store, state, AT, kit(0.3138))
    assert words.startswith("Push B-3138 (7.971 mm): expect 7.962 mm, ")
