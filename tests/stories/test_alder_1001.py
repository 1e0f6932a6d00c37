"""Job 1001 from receiving to release: the sample record is what the story tells, and its figures are right.

The engine and its readings are invented; the expected figures below were worked out by hand from the readings.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from headwright.job.events import Disposed, ReadingStruck, ReadingTaken, Released
from headwright.job.evolve import fold
from headwright.job.figures import Bench
from headwright.job.state import State, begin
from headwright.job.verdict import Verdict
from headwright.store.record import Record, read_record
from tests.stories.alder_1001 import Alder1001
from tests.stories.write import ROOT, STORIES, text_of

SAMPLE = ROOT / "sample_jobs" / "1001.toml"
INCH = 25.4

WORN = {"1E": 0.0068, "1I": 0.0045, "2I": 0.0048, "2E": 0.0082, "3E": 0.0060, "3I": 0.0051, "4I": 0.0043, "4E": 0.0061}
"""Greatest clearance as received, in inches."""

SIZED = {
    "1E": (0.0019, 0.0021, 0.00010, 0.0001),
    "1I": (0.0014, 0.0016, 0.00005, 0.0001),
    "2I": (0.0004, 0.0007, 0.00005, 0.0001),
    "2E": (0.0019, 0.0020, 0.00005, 0.0001),
    "3E": (0.0019, 0.0021, 0.00010, 0.0000),
    "3I": (0.0014, 0.0016, 0.00015, 0.0001),
    "4I": (0.0014, 0.0016, 0.00005, 0.0001),
    "4E": (0.0019, 0.0024, 0.00000, 0.0005),
}
"""After the first ball, in inches: least and most clearance, taper, out of round."""

SIZED_AGAIN = {"2I": (0.0014, 0.0015, 0.0000), "4E": (0.0020, 0.0022, 0.0001)}
"""After the second go: least and most clearance, out of round."""

HOLDS = [
    ("survey-stems", "2E", "old_stem"),
    ("bore", "3E", "bored_id"),
    ("size", "2I", "clearance"),
    ("size", "4E", "out_of_round"),
    ("seats", "1E", "runout"),
    ("vacuum-test", "2I", "vacuum"),
]


@pytest.fixture(scope="module")
def record() -> Record:
    return read_record(SAMPLE)


@pytest.fixture(scope="module")
def story(record: Record) -> Alder1001:
    return Alder1001(record.plan).tell()


def before(record: Record, number: int) -> State:
    return fold(begin(record.plan), record.entries[: number - 1])


def held(record: Record, item: tuple[str, str, str]) -> State:
    """Give the job as it stood when a hold was decided."""
    for entry in record.entries:
        event = entry.event
        if isinstance(event, Disposed) and (event.operation, event.place, event.item) == item:
            return before(record, entry.number)
    raise AssertionError(item)


def closed(record: Record, operation: str, place: str) -> State:
    """Give the job at its end, where the operation stands as it was last done."""
    state = fold(begin(record.plan), record.entries)
    assert state.attempt(operation, place).closed
    return state


def inches(state: State, operation: str, place: str, item: str) -> tuple[float, float]:
    figure = Bench(state, state.index.operations[operation], place).figure(item)
    assert figure.least is not None
    assert figure.most is not None
    return figure.least / INCH, figure.most / INCH


def test_the_record_that_is_shipped_is_what_the_story_tells_today() -> None:
    """Run `python -m tests.stories.write` after a change of the procedures."""
    assert SAMPLE.read_text(encoding="utf-8") == text_of("1001")


def test_it_ends_released_with_nothing_open(record: Record) -> None:
    state = fold(begin(record.plan), record.entries)
    assert isinstance(record.entries[-1].event, Released)
    assert state.released
    assert not any(state.is_due(op, p) for op in state.plan.operations for p in state.index.places_of(op))


def test_what_went_wrong_was_held_and_decided_in_this_order(story: Alder1001) -> None:
    assert story.play.holds == HOLDS


@pytest.mark.parametrize("place", WORN)
def test_the_wear_is_what_the_six_readings_say(record: Record, place: str) -> None:
    state = held(record, HOLDS[0]) if place == "2E" else fold(begin(record.plan), record.entries)
    assert inches(state, "survey-stems", place, "worn_clearance")[1] == pytest.approx(WORN[place], abs=1e-9)


@pytest.mark.parametrize("place", SIZED)
def test_the_figures_after_the_first_ball(record: Record, place: str) -> None:
    items = {"2I": HOLDS[2], "4E": HOLDS[3]}
    state = held(record, items[place]) if place in items else closed(record, "size", place)
    least, most, taper, out_of_round = SIZED[place]
    assert inches(state, "size", place, "clearance") == pytest.approx((least, most), abs=1e-9)
    assert inches(state, "size", place, "taper")[0] == pytest.approx(taper, abs=1e-9)
    assert inches(state, "size", place, "out_of_round")[0] == pytest.approx(out_of_round, abs=1e-9)


@pytest.mark.parametrize("place", SIZED_AGAIN)
def test_the_figures_after_the_rework(record: Record, place: str) -> None:
    state = closed(record, "size", place)
    least, most, out_of_round = SIZED_AGAIN[place]
    assert state.attempt("size", place).number == 2
    assert inches(state, "size", place, "clearance") == pytest.approx((least, most), abs=1e-9)
    assert inches(state, "size", place, "out_of_round")[0] == pytest.approx(out_of_round, abs=1e-9)


def test_the_undersize_guide_was_low_and_went_back_alone(record: Record) -> None:
    state = held(record, HOLDS[2])
    figure = Bench(state, state.index.operations["size"], "2I").figure("clearance")
    assert figure.verdict is Verdict.LOW
    after = fold(begin(record.plan), record.entries[: state.number + 1])
    for position in state.index.positions:
        lost = state.held[position.id] - after.held[position.id]
        assert lost == frozenset()
    assert after.attempt("size", "2I").number == 2
    assert all(after.attempt("size", p) == state.attempt("size", p) for p in ("1I", "3I", "4I"))


def test_the_hole_bored_over_went_to_the_next_liner(record: Record) -> None:
    state = closed(record, "bore", "3E")
    assert state.repair_at("3E") == "next-liner"
    (first,) = state.past["bore", "3E"]
    assert max(t.event.value or 0 for t in first.readings.values()) == pytest.approx(0.3445 * INCH)


def test_the_turn_of_the_thimble_stays_on_record_with_what_was_read_again(record: Record) -> None:
    kept = [e.event for e in record.entries if isinstance(e.event, ReadingTaken) and e.event.questioned]
    assert [(e.place, e.typed, e.questioned) for e in kept] == [("1I", "0.3391", "one thimble turn")]
    struck = [e.event for e in record.entries if isinstance(e.event, ReadingStruck)]
    assert [e.reason for e in struck] == ["Thimble misread by one turn: read again"]
    state = closed(record, "survey-guides", "1I")
    taken = state.attempt("survey-guides", "1I").readings["guide_id", "middle", 90]
    assert taken.event.value == pytest.approx(0.3141 * INCH)


def test_every_shipped_record_has_its_story() -> None:
    names = {path.name for path in Path(SAMPLE.parent).glob("*.toml")} - {"kit.toml"}
    assert names == {f"{job}.toml" for job in STORIES}
