"""What a job teaches of sizing, told on the sample job: invented readings, figures worked out by hand."""

from __future__ import annotations

import pytest

from headwright.job.events import Disposed, Disposition, ReadingTaken
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


def decided(state: State, disposition: Disposition) -> State:
    redo = "size" if disposition is Disposition.REWORK else ""
    return provisional(state, Disposed("size", "2I", "clearance", disposition, "so", redo=redo), "07", "bench")


def read(state: State, *inches: float, ball: float = 0.0) -> State:
    """Read 2I anew, and the ball before it where one is given."""
    if ball:
        state = provisional(state, ReadingTaken("size", "2I", "ball", "", unit="in", value=ball * INCH), "07", "bench")
    for point, size in zip(state.index.points("size", "finished_id"), inches, strict=False):
        taken = ReadingTaken("size", "2I", point[0], "", unit="in", value=size * INCH, station=point[1], angle=point[2])
        state = provisional(state, taken, "07", "bench")
    return state


def at_2i(state: State) -> list[Sized]:
    return [sized for sized in sizings(state) if sized.position == "2I"]


def test_what_is_measured_again_takes_the_place_of_the_first_figures_and_is_no_second_ball(record: Record) -> None:
    """The first ball at 2I, measured three times: one push, from the driven liner to the last figures."""
    state = at_hold(record, "2I")
    (once,) = at_2i(state)
    for size in (0.3124, 0.3126):
        state = read(decided(state, Disposition.REMEASURE), *[size] * 6)
    (found,) = at_2i(state)
    assert (found.stratum, found.pre_size, found.ball) == (once.stratum, once.pre_size, once.ball)
    assert not found.stratum.later
    assert found.finished == pytest.approx(0.3126 * INCH)
    assert found.number > once.number
    question = ball_question(state, ("size", "2I"))
    assert question is not None
    assert question.stratum.later
    assert question.pre_size == pytest.approx(0.3126 * INCH)


def test_the_second_ball_after_a_remeasure_starts_from_the_figures_that_count(record: Record) -> None:
    state = read(decided(at_hold(record, "2I"), Disposition.REMEASURE), *[0.3126] * 6)
    state = decided(state, Disposition.REWORK)
    question = ball_question(state, ("size", "2I"))
    assert question is not None
    assert question.stratum.later
    assert question.pre_size == pytest.approx(0.3126 * INCH)
    first, second = at_2i(read(state, *[0.3133] * 6, ball=0.3140))
    assert (first.stratum.later, second.stratum.later) == (False, True)
    assert second.pre_size == first.finished == pytest.approx(0.3126 * INCH)


def test_while_a_bore_is_measured_again_no_ball_is_advised(record: Record) -> None:
    """Its ball went through already; what it left is not known until all of it is read."""
    state = decided(at_hold(record, "2I"), Disposition.REMEASURE)
    assert ball_question(state, ("size", "2I")) is None
    assert ball_question(read(state, *[0.3126] * 5), ("size", "2I")) is None


def test_a_second_ball_teaches_nothing_where_nobody_knows_what_the_first_left(record: Record) -> None:
    """It meets bronze that is hardened already, so it is no first ball either."""
    state = decided(decided(at_hold(record, "2I"), Disposition.REMEASURE), Disposition.REWORK)
    assert ball_question(state, ("size", "2I")) is None
    assert at_2i(read(state, *[0.3133] * 6, ball=0.3140)) == []


def test_a_hole_that_is_measured_again_before_sizing_is_not_known_meanwhile(record: Record) -> None:
    """The pre-size that a ball starts from is read with the liner in: set aside, it teaches and advises nothing."""
    place, operation = "2I", "install"
    state = at_hold(record, place)
    item = next(r for r in state.index.operations[operation].readings if r.role == "pre-size")
    doubt = Disposed(operation, place, item.name, Disposition.REMEASURE, "chip on the gauge")
    state = provisional(state, doubt, "07", "bench")
    assert at_2i(state) == []


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
