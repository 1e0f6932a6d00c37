"""Job 1002: sixteen new guides in an aluminium head, and what went wrong with five of them.

The engine and its readings are invented; the expected figures were worked out from the readings beforehand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.events import ReadingStruck, Released
from headwright.job.verdict import Verdict
from tests.stories.looking import at_end, at_hold, decisions, ends, figure, nothing_is_due, one, shipped_record
from tests.stories.write import ROOT, text_of

if TYPE_CHECKING:
    from headwright.store.record import Record


TABLE = {
    "1IA": (0.032, 0.038, 0.000, 0.002, 0.024, 0.90, 74.2),
    "1IB": (0.034, 0.038, 0.000, 0.002, 0.032, 1.76, 74.6),
    "1EA": (0.046, 0.052, 0.002, 0.004, 0.024, 2.03, 75.4),
    "1EB": (0.048, 0.050, 0.001, 0.002, 0.019, 2.06, 74.6),
    "2IA": (0.032, 0.038, 0.001, 0.004, 0.028, 1.70, 75.5),
    "2IB": (0.048, 0.054, 0.003, 0.002, 0.023, 1.86, 76.9),
    "2EA": (0.046, 0.052, 0.001, 0.004, 0.027, 1.61, 78.8),
    "2EB": (0.046, 0.054, 0.002, 0.004, 0.032, 1.94, 78.8),
    "3IA": (0.032, 0.038, 0.001, 0.004, 0.018, 1.63, 74.1),
    "3IB": (0.034, 0.038, 0.002, 0.002, 0.026, 1.68, 74.1),
    "3EA": (0.046, 0.050, 0.001, 0.004, 0.029, 2.00, 75.0),
    "3EB": (0.048, 0.052, 0.000, 0.004, 0.020, 1.93, 61.0),
    "4IA": (0.034, 0.038, 0.000, 0.004, 0.015, 1.81, 78.7),
    "4IB": (0.034, 0.038, 0.001, 0.004, 0.032, 1.88, 76.4),
    "4EA": (0.048, 0.052, 0.000, 0.002, 0.090, 1.79, 76.8),
    "4EB": (0.046, 0.052, 0.002, 0.004, 0.034, 1.95, 78.4),
}
"""As first read, mm and kPa: least and most clearance, taper, out of round, seat run-out, gap at full lift, vacuum."""

HOLDS = {
    ("verify", "2IB"): ("verify", "2IB", "clearance"),
    ("verify", "4EA"): ("seats", "4EA", "runout"),
    ("seats", "4EA"): ("seats", "4EA", "runout"),
    ("seals", "1IA"): ("seals", "1IA", "gap"),
    ("vacuum-test", "3EB"): ("vacuum-test", "3EB", "vacuum"),
}
"""Where the figure as first read no longer stands at the end: the hold at which it stood."""
KPA = 0.001

DECISIONS = [
    ("penetrant-check", "head:A", "indication", "rework", "clean", ""),
    ("penetrant-check", "head:A", "indication", "concession", "", ""),
    ("guide-out", "3IB", "interference", "rework", "guide-out", ""),
    ("soak", "head:A", "head_over_gauge", "remeasure", "", ""),
    ("verify", "2IB", "clearance", "remeasure", "", ""),
    ("verify", "2IB", "clearance", "rework", "guide-out", ""),
    ("seats", "4EA", "runout", "rework", "verify", ""),
    ("verify", "4EA", "clearance", "rework", "guide-out", ""),
    ("seals", "1IA", "gap", "rework", "seals", ""),
    ("vacuum-test", "3EB", "vacuum", "rework", "assemble", ""),
    ("vacuum-test", "3EB", "vacuum", "rework", "seats", ""),
    ("seats", "3EB", "contact", "rework", "seats", ""),
]


@pytest.fixture(scope="module")
def record() -> Record:
    return shipped_record("1002")


def test_the_record_that_is_shipped_is_what_the_story_tells_today() -> None:
    """Run `python -m tests.stories.write` after a change of the procedures."""
    assert (ROOT / "sample_jobs" / "1002.toml").read_text(encoding="utf-8") == text_of("1002")


def test_it_ends_released_with_nothing_open(record: Record) -> None:
    state = at_end(record)
    assert isinstance(record.entries[-1].event, Released)
    assert state.released
    assert nothing_is_due(state)


def test_what_went_wrong_was_decided_so_and_in_this_order(record: Record) -> None:
    assert decisions(record) == DECISIONS


@pytest.mark.parametrize("place", TABLE)
def test_the_figures_as_first_read(record: Record, place: str) -> None:
    end = at_end(record)
    least, most, taper, out_of_round, runout, gap, vacuum = TABLE[place]
    verify = at_hold(record, *HOLDS["verify", place]) if ("verify", place) in HOLDS else end
    assert ends(verify, "verify", place, "clearance") == pytest.approx((least, most), abs=1e-9)
    assert one(verify, "verify", place, "taper") == pytest.approx(taper, abs=0.00051)
    assert one(verify, "verify", place, "out_of_round") == pytest.approx(out_of_round, abs=1e-9)
    seats = at_hold(record, *HOLDS["seats", place]) if ("seats", place) in HOLDS else end
    assert one(seats, "seats", place, "runout") == pytest.approx(runout)
    seals = at_hold(record, *HOLDS["seals", place]) if ("seals", place) in HOLDS else end
    assert one(seals, "seals", place, "gap") == pytest.approx(gap)
    port = at_hold(record, *HOLDS["vacuum-test", place]) if ("vacuum-test", place) in HOLDS else end
    assert one(port, "vacuum-test", place, "vacuum", KPA) == pytest.approx(vacuum)


def test_the_pore_stays_by_the_leads_concession(record: Record) -> None:
    state = at_end(record)
    decided = state.attempt("penetrant-check", "head:A").decided["indication"]
    by = next(e for e in record.entries if e.event == decided)
    assert state.people[by.operator].role.value == "lead"
    assert "0.8 mm" in decided.reason
    assert "photograph" in decided.reason


def test_the_loose_guide_was_seen_before_it_was_pressed_in(record: Record) -> None:
    before = at_hold(record, "guide-out", "3IB", "interference")
    assert ends(before, "guide-out", "3IB", "interference") == pytest.approx((0.012, 0.012), abs=1e-9)
    assert not before.attempt("replace-guide", "3IB").begun
    assert ends(at_end(record), "guide-out", "3IB", "interference") == pytest.approx((0.048, 0.048), abs=1e-9)


def test_the_warm_boss_was_no_excuse(record: Record) -> None:
    """34 °C are held; once cool, 2IB reads 0.002 mm less and is still over 0.045 mm."""
    warm = figure(at_hold(record, "soak", "head:A", "head_over_gauge"), "soak", "head:A", "head_temperature")
    assert warm.most == pytest.approx(34.0)
    cool = at_hold(record, "verify", "2IB", "clearance", 2)
    assert ends(cool, "verify", "2IB", "verified_id") == pytest.approx((7.016, 7.022))
    assert ends(cool, "verify", "2IB", "clearance") == pytest.approx((0.046, 0.052), abs=1e-9)
    assert figure(cool, "verify", "2IB", "clearance").verdict is Verdict.HIGH
    assert [e.event.reason for e in record.entries if isinstance(e.event, ReadingStruck)] == [
        "Probe had been at cylinder 4; 2IB is warm"
    ]


def test_what_it_was_once_put_right(record: Record) -> None:
    state = at_end(record)
    assert one(state, "seats", "4EA", "runout") == pytest.approx(0.028)
    assert one(state, "seals", "1IA", "gap") == pytest.approx(1.50)
    assert one(state, "vacuum-test", "3EB", "vacuum", KPA) == pytest.approx(76.0)


def test_the_bell_mouth_went_back_to_a_new_guide(record: Record) -> None:
    before = at_hold(record, "verify", "4EA", "clearance")
    assert one(before, "verify", "4EA", "taper") == pytest.approx(0.012, abs=1e-9)
    assert len(at_end(record).past["guide-out", "4EA"]) == 1


def test_surfacing_and_what_it_did_to_the_compression(record: Record) -> None:
    """86 by 86 mm, 55 cc and 3650 mm² at the deck: 0.12 mm take 0.438 cc, 10.08 becomes 10.16."""
    state = at_end(record)
    assert one(state, "surface", "head:A", "removed") == pytest.approx(0.12, abs=1e-9)
    chamber = "chamber:A-1"
    assert one(state, "chamber-volume", chamber, "volume_lost", 1000.0) == pytest.approx(0.438, abs=1e-9)
    assert round(one(state, "chamber-volume", chamber, "compression_before"), 2) == 10.08
    assert round(one(state, "chamber-volume", chamber, "compression"), 2) == 10.16
