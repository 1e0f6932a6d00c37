"""Job 1004: a pair of lined heads comes back smoking; all liners come out, and four holes are no longer what they were.

Everything in it is invented: shop, people, customer, engine and readings.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from headwright.job.agenda import Now
from headwright.job.gauges import in_hand
from tests.stories import tray
from tests.stories.tale import MARA, POINTS, Tale, Way, again, measured, six
from tests.stories.tray import Tool

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.job.agenda import Next
    from headwright.job.index import PointKey

SIZES = measured("brant_1004.csv")
POSITIONS = tuple(dict.fromkeys(key[0] for key in SIZES))
STEM = {"I": 0.3414, "E": 0.3410}
INCH = 25.4
AT_LIMIT = {
    "L7I": six("0.37340 0.37335 0.37325 0.37320 0.37330 0.37335"),
    "L7E": six("0.37345 0.37340 0.37330 0.37325 0.37335 0.37335"),
}
"""Holes that the bore gauge showed right on the limit, and what the air gauge said."""

FINAL = {
    "L1I": "14 15 13 15 15 15", "L3I": "15 15 15 15 15 15", "L5I": "15 14 15 15 15 16", "L7I": "16 16 16 16 16 16",
    "R2I": "16 17 15 16 16 16", "R4I": "17 17 17 17 17 17", "R6I": "18 17 16 17 17 17", "R8I": "19 17 17 17 17 18",
    "L1E": "20 21 19 20 21 20", "L3E": "22 22 21 21 22 22", "L5E": "23 22 22 22 23 22", "L7E": "21 21 20 21 21 22",
    "R2E": "24 23 22 22 23 23", "R4E": "22 23 22 22 22 23", "R6E": "25 24 23 23 24 24", "R8E": "21 21 21 21 21 22",
}  # fmt: skip
"""Clearance that each position leaves with, in tenths of a thou, top 0°, 90°, middle, bottom."""

FINDINGS = {
    "L3E": "loose", "L7I": "pushed in", "R4E": "chip behind it", "R6I": "ball mark or open seam", "R8E": "loose",
}  # fmt: skip
STUCK = six("0.3431 0.3430 0.3434 0.3429 0.3430 0.3430")
"""R6E where the ball stuck half-way."""


def finished(place: str) -> dict[tuple[str, int], str]:
    """Give the six figures of a finished bore."""
    stem = STEM[place[-1]]
    return {
        point: f"{stem + int(tenths) / 1e4:.4f}" for point, tenths in zip(POINTS, FINAL[place].split(), strict=True)
    }


TIGHTER = ((0, 1, 2, 2, 1, 1), (0, 0, 2, 2, 1, 1), (0, 1, 2, 1, 0, 1), (0, 1, 1, 2, 1, 0), (0, 0, 1, 2, 1, 1))
"""By how many tenths of a thou each point of a hole is under its greatest, for one position after another."""


def hole(place: str, most: float) -> dict[tuple[str, int], str]:
    """Give the six figures of a hole whose greatest is given, a tenth or two tighter in the middle."""
    less = TIGHTER[POSITIONS.index(place) // 2 % len(TIGHTER)]
    return {point: f"{most - tenths / 1e4:.4f}" for point, tenths in zip(POINTS, less, strict=True)}


FIGURES = {
    "casting": "BV8-11 L and R", "complaint": "Oil smoke 3,000 mi after job 0877", "magnet": "yes",
    "sodium": "none", "old_job": "0877, released 3 November", "trace": "down the stems", "overheated": "no",
    "bath_temperature": "86", "nozzle_pressure": "25", "handling_temperature": "33", "threads": "sound",
    "pitting": "0", "yoke_lift": "11", "indication": "none", "water_temperature": "85", "test_pressure": "40.0",
    "held_for": "20", "bubbles": "none", "start_pressure": "40.0", "start_temperature": "22.0",
    "end_pressure": "39.8", "end_temperature": "20.9", "room": "20.6", "head_temperature": "20.9",
    "gauge_temperature": "20.6", "boss_od": "0.65",
    "finding": "sits fast", "lean": "0.020", "closed_load": "110", "open_load": "280", "solid_height": "1.15",
    "repair": "liner", "valve": "kept", "face_runout": "0.0010", "margin": "0.060", "face_removed": "0.002",
    "tip_removed": "0", "insert_od": "0.5000 0.5000", "head_heat": "100", "replace-guide.effort": "slid in",
    "install.effort": "normal", "protrusion": "0.750", "seam": "closed", "depth_before": "0.030",
    "depth": "0.036", "contact_band": "unbroken, mid-face", "tip_height": "2.258", "gap_before": "0.0010",
    "gap_after": "0.0010", "gap_span": "0.0010", "height_before": "4.250", "height_after": "4.250",
    "height": "1.782", "shim": "0.030", "guide_top": "0.531", "closed_gap": "0.545", "blank_vacuum": "27.0",
    "vacuum": "24.5",
}  # fmt: skip
KINDS = {
    ("intake", "old_stem"): "0.3414", ("exhaust", "old_stem"): "0.3410",
    ("intake", "stem"): "0.3414", ("exhaust", "stem"): "0.3410",
    ("intake", "left_with"): "0.0019", ("exhaust", "left_with"): "0.0024",
    ("intake", "ball"): "0.34370", ("exhaust", "ball"): "0.34385",
    ("intake", "runout"): "0.0009", ("exhaust", "runout"): "0.0011",
    ("intake", "width"): "0.052", ("exhaust", "width"): "0.070",
}  # fmt: skip
PLACES = {**{(place, "finding"): found for place, found in FINDINGS.items()}}
GOES = {("install", "R2I", "effort", 1): "easy"}
GRIDS = {
    ("bore", "L3E", 2): hole("L3E", 0.3778),
    ("bore", "R4E", 2): hole("R4E", 0.3777),
    ("bore", "R2I", 2): six("0.3734 0.3734 0.3733 0.3734 0.3736 0.3735"),
    ("bore", "R2I", 3): hole("R2I", 0.3776),
    ("guide-insert", "R8E", 1): six("0.4986 0.4985 0.4985 0.4985 0.4985 0.4986"),
    ("size", "R6E", 1): STUCK,
    **{("bore", place, 2): figures for place, figures in AT_LIMIT.items()},
}
TOOLS = {
    ("bore", "liner"): Tool("C-3728", 0.3728 * INCH), ("bore", "next-liner"): Tool("C-3778", 0.3778 * INCH),
    ("seats", "intake"): Tool("SC-45-I"), ("seats", "exhaust"): Tool("SC-45-E"),
}  # fmt: skip
REPEATS = {("install", "L5E", "pre_size_id"): ["0.3415", "0.3413"]}
"""The gauge stood askew at first: the middle one of three counts."""
NOT_PROVEN = "0.3735 is the limit itself, and the bore gauge proves nothing there: again, with the air gauge"
WAYS = {
    **{("bore", place, "bored_id"): [again(NOT_PROVEN)] for place in AT_LIMIT},
    ("bore", "L3E", "bored_id"): [Way("0.3748 where the loose liner worked: next liner", "bore", "next-liner")],
    ("bore", "R4E", "bored_id"): [Way("0.3741, scored by the chip: next liner", "bore", "next-liner")],
    ("bore", "R8E", "bored_id"): [
        Way("0.3792, beyond every liner: a solid guide insert", "guide-insert", "insert")
    ],
    ("install", "R2I", "effort"): [
        Way("Went in easy, crush found 0.0008: out again, next liner", "remove-liner", "next-liner")
    ],
    ("bore", "R2I", "bored_id"): [Way("0.3736 at the bottom as it came out: bored on for the next liner", "bore")],
    ("size", "R6E", "out_of_round"): [
        Way("Ball stuck half-way, pushed back with brass: the bore has a ring. Liner out", "remove-liner")
    ],
}  # fmt: skip


class Brant1004(Tale):
    """The story of job 1004."""

    job, tag, customer = "1004", "206-L/R", "206"
    start = datetime(2026, 3, 30, 7, 30, tzinfo=UTC)
    agreed = "Shop pays five positions, the rest is shared: customer agreed in writing"
    figures = FIGURES
    kinds = KINDS
    places = PLACES
    goes = GOES
    grids = GRIDS
    ways = WAYS
    tools = TOOLS
    repeats = REPEATS

    def grid(self, operation: str, place: str, reading: str, attempt: int) -> Mapping[tuple[str, int], str] | None:
        """Give six figures: as received, as the hole was, as finished."""
        own = self.grids.get((operation, place, attempt))
        if own is not None:
            return own
        if reading == "guide_id":
            return {key[2:]: value for key, value in SIZES.items() if key[:2] == (place, reading)}
        if reading == "bored_id":
            return hole(place, float(SIZES[place, "hole", "", 0]))
        return finished(place)

    def answer(self, operation: str, place: str, point: PointKey, attempt: int) -> str:
        """Give what is typed; the bore before sizing follows from hole and wall."""
        if point[0] == "pre_size_id":
            readings = self.teller.state.attempt("bore", place).readings
            mean = sum(t.event.value or 0 for k, t in readings.items() if k[0] == "bored_id") / 6 / 25.4
            return f"{mean - (0.0370 if self.teller.state.repair_at(place) == 'next-liner' else 0.0320):.4f}"
        return super().answer(operation, place, point, attempt)

    def adds(self, following: Next) -> bool:
        """Have the two holes that read right on the limit measured once more with the air gauge, and no other."""
        state = self.teller.state
        now = in_hand(state, MARA.operator, "bore gauge")
        if following.now not in {Now.GAUGE, Now.READING} or now is None:
            return False
        at = (following.operation, following.place)
        known = at[0] == "bore" and at[1] in AT_LIMIT
        wanted = "AG-1" if known and state.writing(*at).number > 1 else "BG-1"
        if now.gauge == wanted:
            return False
        self.teller.record(tray.taken(wanted), MARA.operator)
        return True
