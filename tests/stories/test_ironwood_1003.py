"""Job 1003: measured while it waited, stopped by a crack, and given up with its figures kept.

The engine and its readings are invented; the expected figures were worked out from the readings beforehand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.agenda import Now, next_up
from headwright.job.decide import Refused, decide
from headwright.job.events import Disposed, Disposition, Noted, Released, Resumed, Stopped
from headwright.job.evolve import fold
from headwright.job.state import begin
from tests.stories.ironwood_1003 import Ironwood1003, frozen_try
from tests.stories.looking import at_end, at_hold, decisions, ends, figure, one, shipped_record
from tests.stories.write import ROOT, tell, text_of

if TYPE_CHECKING:
    from headwright.store.record import Record


TABLE = {
    "1I1": (0.084, 0.007, 0.016, 0.93), "1I2": (0.106, 0.014, 0.014, 0.95),
    "1E1": (0.138, 0.022, 0.014, 0.97), "1E2": (0.138, 0.019, 0.012, 1.01),
    "2I1": (0.114, 0.016, 0.012, 0.91), "2I2": (0.106, 0.011, 0.014, 1.06),
    "2E1": (0.132, 0.017, 0.014, 0.86), "2E2": (0.196, 0.038, 0.012, 1.04),
    "3I1": (0.100, 0.010, 0.010, 0.83), "3I2": (0.108, 0.014, 0.012, 0.91),
    "3E1": (0.118, 0.015, 0.012, 0.84), "3E2": (0.118, 0.014, 0.014, 1.03),
    "4I1": (0.092, 0.007, 0.016, 1.08), "4I2": (0.096, 0.010, 0.014, 0.96),
    "4E1": (0.112, 0.015, 0.012, 0.89), "4E2": (0.104, 0.008, 0.010, 1.52),
    "5I1": (0.092, 0.008, 0.010, 0.93), "5I2": (0.110, 0.016, 0.010, 0.91),
    "5E1": (0.200, 0.040, 0.012, 1.01), "5E2": (0.116, 0.013, 0.014, 1.07),
    "6I1": (0.098, 0.011, 0.012, 0.84), "6I2": (0.128, 0.008, 0.012, 0.98),
    "6E1": (0.112, 0.013, 0.010, 0.99), "6E2": (0.144, 0.019, 0.014, 0.97),
}  # fmt: skip
"""As received, mm: most clearance, taper, out of round, valve below the deck."""
SERVICE = {"I": 0.120, "E": 0.150}
CONDEMNED = "6I2"


@pytest.fixture(scope="module")
def record() -> Record:
    return shipped_record("1003")


def test_the_record_that_is_shipped_is_what_the_story_tells_today() -> None:
    """Run `python -m tests.stories.write` after a change of the procedures."""
    assert (ROOT / "sample_jobs" / "1003.toml").read_text(encoding="utf-8") == text_of("1003")


@pytest.mark.parametrize("place", TABLE)
def test_the_wear_as_received(record: Record, place: str) -> None:
    state = at_hold(record, "survey-stems", place, "old_stem") if place == CONDEMNED else at_end(record)
    most, taper, out_of_round, depth = TABLE[place]
    assert ends(state, "survey-stems", place, "worn_clearance")[1] == pytest.approx(most, abs=1e-9)
    assert one(state, "survey-guides", place, "taper") == pytest.approx(taper, abs=1e-9)
    assert one(state, "survey-guides", place, "out_of_round") == pytest.approx(out_of_round, abs=1e-9)
    assert one(at_end(record), "survey-stems", place, "recession_found") == pytest.approx(depth)


def test_with_a_new_stem_the_guide_may_stay(record: Record) -> None:
    assert one_stem(record) == pytest.approx(7.964)
    assert ends(at_end(record), "survey-stems", CONDEMNED, "worn_clearance")[1] == pytest.approx(0.084, abs=1e-9)


def one_stem(record: Record) -> float:
    return one(at_end(record), "survey-stems", CONDEMNED, "old_stem")


def test_which_guides_and_seats_were_beyond_service(record: Record) -> None:
    state = at_end(record)
    beyond = {p for p in TABLE if ends(state, "survey-stems", p, "worn_clearance")[1] > SERVICE[p[1]]}
    assert beyond == {"2E2", "5E1"}
    assert {p for p in TABLE if one(state, "survey-stems", p, "over_recession") > 0} == {"4E2"}


def test_it_was_measured_before_the_crack_was_found(record: Record) -> None:
    stopped = next(e for e in record.entries if isinstance(e.event, Stopped))
    state = fold(begin(record.plan), record.entries[: stopped.number - 1])
    assert all(state.attempt("survey-guides", p).closed and state.attempt("survey-stems", p).closed for p in TABLE)
    assert figure(state, "crack-check", "head:A", "indication").word == "seat to injector"
    assert not state.attempt("pressure-test", "head:A").begun


def test_it_ends_given_up_by_the_lead_and_never_released(record: Record) -> None:
    state = at_end(record)
    assert decisions(record) == [
        ("survey-stems", CONDEMNED, "old_stem", "remeasure", "", ""),
        ("crack-check", "head:A", "indication", "scrap", "", ""),
    ]
    assert "head:A" in state.scrapped
    assert not any(isinstance(e.event, Released | Resumed) for e in record.entries)
    by = next(e for e in record.entries if isinstance(e.event, Disposed) and e.event.disposition is Disposition.SCRAP)
    assert state.people[by.operator].role.value == "lead"
    assert any(isinstance(e.event, Noted) and "in writing" in e.event.text for e in record.entries)
    assert next_up(state, by.operator).now is Now.SCRAPPED


def test_its_figures_are_frozen(record: Record) -> None:
    """Nothing more can be measured on it; what was measured stays to be seen."""
    story = tell("1003")[1]
    assert isinstance(story, Ironwood1003)
    answer = decide(at_end(record), frozen_try(story), "12", "bench 1")
    assert isinstance(answer, Refused)
    assert "given up" in str(answer)
