"""What a job teaches of sizing, told on the sample job: invented readings, figures worked out by hand."""

from __future__ import annotations

import pytest

from headwright.job.events import Disposed, Disposition
from headwright.job.evolve import fold, provisional
from headwright.job.sizing import Sized, ball_advice, ball_question, sizings, stratum
from headwright.job.state import State, begin
from headwright.store.record import Record, read_record
from tests.stories.write import ROOT

INCH = 25.4


@pytest.fixture(scope="module")
def record() -> Record:
    return read_record(ROOT / "sample_jobs" / "1001.toml")


@pytest.fixture(scope="module")
def end(record: Record) -> State:
    return fold(begin(record.plan), record.entries)


def at_hold(record: Record, place: str) -> State:
    number = next(
        e.number
        for e in record.entries
        if isinstance(e.event, Disposed) and (e.event.operation, e.event.place) == ("size", place)
    )
    return fold(begin(record.plan), record.entries[: number - 1])


def test_every_push_with_ball_and_both_holes_teaches(end: State) -> None:
    found = sizings(end)
    assert len(found) == 10
    assert [s.position for s in found if s.stratum.later] == ["2I", "4E"]
    first = next(s for s in found if s.position == "1I")
    assert first.pre_size == pytest.approx(0.3104 * INCH)
    assert first.finished == pytest.approx((0.3133 + 0.3134 + 0.3133 + 0.3132 + 0.3133 + 0.3133) / 6 * INCH)


def test_a_second_push_starts_from_the_hole_that_the_first_left(end: State) -> None:
    first, second = (s for s in sizings(end) if s.position == "2I")
    assert second.pre_size == first.finished
    assert first.stratum == stratum(end.plan, later=False)


def test_doubted_readings_teach_nothing(record: Record) -> None:
    state = at_hold(record, "2I")
    doubt = Disposed("size", "2I", "clearance", Disposition.REMEASURE, "chip on the gauge")
    assert any(s.position == "2I" for s in sizings(state))
    assert not any(s.position == "2I" for s in sizings(provisional(state, doubt, "07", "bench")))


def test_the_question_is_the_hole_now_and_stem_plus_clearance(record: Record) -> None:
    """Stem 0.3118 in, clearance 0.0010 to 0.0020 in: a hole of 0.3128 to 0.3138 in."""
    question = ball_question(at_hold(record, "2I"), ("size", "2I"))
    assert question is not None
    assert question.low == pytest.approx(0.3128 * INCH)
    assert question.high == pytest.approx(0.3138 * INCH)
    assert question.pre_size == pytest.approx((0.3125 + 0.3124 + 0.3123 + 0.3122 + 0.3124 + 0.3124) / 6 * INCH)
    assert question.stratum.later


def test_the_advice_learns_from_its_own_stratum_only(record: Record) -> None:
    question = ball_question(at_hold(record, "2I"), ("size", "2I"))
    assert question is not None
    balls = [size * INCH for size in (0.3130, 0.3135, 0.3140, 0.3145)]
    shop = [
        Sized("x", n, "", question.stratum, (0.3120 + n * 0.0001) * INCH, 0.3140 * INCH, (0.3133 + n * 0.00001) * INCH)
        for n in range(8)
    ]
    other = [Sized("y", 1, "", stratum(record.plan, later=False), 0.3104 * INCH, 0.3140 * INCH, 0.3110 * INCH)] * 20
    learned = ball_advice(question, balls, shop + other)
    assert learned is not None
    assert learned.model.records == 8
    assert learned.ball == pytest.approx(0.3140 * INCH)
    assert learned.predicted == pytest.approx(0.31333 * INCH, abs=0.0002)


def test_no_ball_no_advice(record: Record) -> None:
    question = ball_question(at_hold(record, "2I"), ("size", "2I"))
    assert question is not None
    assert ball_advice(question, [], []) is None
