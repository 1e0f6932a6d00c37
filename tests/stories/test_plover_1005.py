"""Job 1005: two gas heads; sodium cleared, a dock that was warm, a sunk seat, lint, and a gauge that drifted.

The engine and its readings are invented; the expected figures were worked out from the readings beforehand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.events import (
    GaugeChecked,
    HandedOver,
    ReadingStruck,
    ReadingTaken,
    Released,
    Resumed,
    StepTicked,
    Stopped,
)
from headwright.job.evolve import fold
from headwright.job.state import State, begin
from tests.stories.looking import at_end, at_hold, decisions, ends, nothing_is_due, one, shipped_record
from tests.stories.write import ROOT, text_of

if TYPE_CHECKING:
    from headwright.store.record import Record


TABLE = {
    "H07-IA": (0.080, 0.084, 1.02, 72.4), "H07-IB": (0.080, 0.086, 1.12, 77.8),
    "H07-EA": (0.114, 0.122, 1.09, 77.9), "H07-EB": (0.114, 0.122, 1.74, 73.9),
    "H11-IA": (0.080, 0.086, 0.99, 77.5), "H11-IB": (0.078, 0.086, 1.18, 55.0),
    "H11-EA": (0.120, 0.128, 0.90, 77.8), "H11-EB": (0.118, 0.126, 1.19, 77.6),
}  # fmt: skip
"""As first read, mm and kPa: least and most clearance, valve below the deck, vacuum."""
READ_AGAIN = {"H11-EA": (12.064, 12.072), "H11-EB": (12.062, 12.070)}
"""mm, the next morning, with the gauge put right."""
KPA = 0.001
ALLOWED = 0.002
"""mm that a gauge may be off on its ring, as the route says."""

DECISIONS = [
    ("receive", "head:H07", "sodium", "remeasure", "", ""),
    ("receive", "head:H11", "sodium", "remeasure", "", ""),
    ("soak", "head:H07", "head_over_gauge", "remeasure", "", ""),
    ("soak", "head:H11", "head_over_gauge", "remeasure", "", ""),
    ("check-seats", "H07-EB", "depth_before", "rework", "seat-inserts", ""),
    ("vacuum-test", "H11-IB", "vacuum", "rework", "assemble", ""),
]


@pytest.fixture(scope="module")
def record() -> Record:
    return shipped_record("1005")


def drift_found(record: Record) -> State:
    """Give the job as it stood just before the gauge was found off."""
    return fold(begin(record.plan), record.entries[: checks_around(record)[1] - 1])


def test_the_record_that_is_shipped_is_what_the_story_tells_today() -> None:
    """Run `python -m tests.stories.write` after a change of the procedures."""
    assert (ROOT / "sample_jobs" / "1005.toml").read_text(encoding="utf-8") == text_of("1005")


def test_both_heads_end_released_with_nothing_open(record: Record) -> None:
    assert isinstance(record.entries[-1].event, Released)
    assert nothing_is_due(at_end(record))


def test_what_went_wrong_was_decided_so_and_in_this_order(record: Record) -> None:
    assert decisions(record) == DECISIONS


@pytest.mark.parametrize("place", TABLE)
def test_the_figures_as_first_read(record: Record, place: str) -> None:
    least, most, depth, vacuum = TABLE[place]
    verify = drift_found(record) if place in READ_AGAIN else at_end(record)
    assert ends(verify, "verify", place, "clearance") == pytest.approx((least, most), abs=1e-9)
    if place == "H07-EB":
        sunk = at_hold(record, *DECISIONS[4][:3])
        assert one(sunk, "check-seats", place, "depth_before") == pytest.approx(depth)
    else:
        assert one(at_end(record), "blue-check", place, "depth") == pytest.approx(depth)
    port = at_hold(record, *DECISIONS[5][:3]) if place == "H11-IB" else at_end(record)
    assert one(port, "vacuum-test", place, "vacuum", KPA) == pytest.approx(vacuum)


def test_nobody_took_a_head_apart_before_sodium_was_cleared(record: Record) -> None:
    stopped = [e.number for e in record.entries if isinstance(e.event, Stopped)]
    resumed = [e.number for e in record.entries if isinstance(e.event, Resumed)]
    assert len(stopped) == len(resumed) == 2
    work = [
        e.number
        for e in record.entries
        if isinstance(e.event, ReadingTaken | StepTicked) and e.event.operation != "receive"
    ]
    assert min(work) > max(resumed) > max(stopped)


def test_the_heads_from_the_dock_were_held_until_they_had_cooled(record: Record) -> None:
    for head in ("head:H07", "head:H11"):
        warm = at_hold(record, "soak", head, "head_over_gauge")
        assert one(warm, "soak", head, "head_temperature") == pytest.approx(27.5)
        assert one(at_end(record), "soak", head, "head_over_gauge") <= 1.0


def test_what_the_drifted_gauge_read_was_struck_and_read_again_the_next_morning(record: Record) -> None:
    """0.006 mm too big on the ring: all of it since the last good check, in both guides, and only that."""
    state = at_end(record)
    good, bad, morning = checks_around(record)
    struck = [e.event.number for e in record.entries if isinstance(e.event, ReadingStruck)]
    doubtful = [e.number for e in record.entries if is_with_bg5(e.event) and good < e.number < bad]
    assert sorted(struck) == doubtful
    assert len(struck) == 10
    (doubt,) = state.doubts
    assert (doubt.gauge, sorted(doubt.readings)) == ("BG-5", doubtful)
    assert doubt.drift == pytest.approx(0.006)
    for place, (least, most) in READ_AGAIN.items():
        assert ends(state, "verify", place, "verified_id") == pytest.approx((least, most))
        readings = state.attempt("verify", place).readings
        assert all(taken.number > morning for key, taken in readings.items() if key[0] == "verified_id")


def is_with_bg5(event: object) -> bool:
    return isinstance(event, ReadingTaken) and event.gauge == "BG-5"


def checks_around(record: Record) -> tuple[int, int, int]:
    """Give the entries of the last good check, of the one that found the drift, and of the first the next morning."""
    checks = [(e.number, e.event) for e in record.entries if isinstance(e.event, GaugeChecked)]
    (found,) = (at for at, (_, check) in enumerate(checks) if abs(check.before) > ALLOWED)
    assert checks[found][1].before == pytest.approx(0.006)
    return checks[found - 1][0], checks[found][0], checks[found + 1][0]


def test_the_strikes_followed_from_the_check_and_nobody_ordered_them(record: Record) -> None:
    _, bad, _ = checks_around(record)
    check = record.entries[bad - 1]
    following = record.entries[bad : bad + 10]
    assert all(isinstance(e.event, ReadingStruck) and e.time == check.time for e in following)
    assert {e.event.reason for e in following if isinstance(e.event, ReadingStruck)} == {
        "BG-5 came back to its ring off by +0.0060 mm"
    }


def test_whoever_took_the_gauge_over_found_it(record: Record) -> None:
    good, bad, _ = checks_around(record)
    measured = {e.operator for e in record.entries if is_with_bg5(e.event) and good < e.number < bad}
    assert measured == {"07"}
    assert record.entries[bad - 1].operator == "12"
    between = [e.event for e in record.entries[good:bad] if isinstance(e.event, HandedOver)]
    assert between == [HandedOver("07", "12")]


def test_the_sunk_seat_got_a_ring_and_the_port_was_washed(record: Record) -> None:
    state = at_end(record)
    assert ends(state, "seat-inserts", "H07-EB", "interference") == pytest.approx((0.09, 0.09), abs=1e-9)
    assert one(state, "blue-check", "H07-EB", "depth") < 1.5
    assert one(state, "vacuum-test", "H11-IB", "vacuum", KPA) == pytest.approx(74.0)
    others = [p for p in TABLE if p != "H07-EB"]
    assert not any(state.attempt("seat-inserts", p).begun for p in others)
