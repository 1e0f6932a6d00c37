"""Job 1002: an aluminium head of sixteen valves gets new guides, and four of them give trouble.

Everything in it is invented: shop, people, customer, engine and readings.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from headwright.job.agenda import Now
from headwright.job.events import Noted, ReadingStruck
from tests.stories.tale import MARA, POINTS, Tale, Way, again, measured, six, stands
from tests.stories.tray import Tool

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.job.agenda import Next

SIZES = measured("sorrel_1002.csv")
POSITIONS = tuple(dict.fromkeys(key[0] for key in SIZES))
WARM = "2IB"
LIFT = 9.5

COOLED = six("7.022 7.022 7.018 7.016 7.020 7.018")
"""2IB once it had come down from 34 °C to the room."""
FRESH = six("7.008 7.006 7.004 7.004 7.006 7.006")
"""2IB in its second guide."""
REAMED_2IB = six("7.012 7.012 7.010 7.010 7.012 7.010")
"""2IB as it was reamed, before the hone went through it three times too often."""
DRAGGED = six("7.022 7.020 7.010 7.010 7.010 7.008")
"""4EA measured close to its mouth, where a dragged reamer had opened it."""


def worn(number: int) -> dict[tuple[str, int], str]:
    """Give the six figures of a worn guide: much alike, no two neighbours the same."""
    more = (0.002 * (number % 3), 0.002 * (number % 2))
    figures = (7.044, 7.038, 7.024, 7.022, 7.036, 7.032)
    return {point: f"{size + more[at % 2]:.3f}" for at, (point, size) in enumerate(zip(POINTS, figures, strict=True))}


def gap(place: str) -> str:
    """Give the gap between retainer and seal with the valve closed: that at full lift and the lift."""
    return f"{float(SIZES[place, 'gap', '', 0]) + LIFT:.2f}"


FIGURES = {
    "casting": "SR16-2", "complaint": "Smokes after long closed throttle, 41 race hours", "magnet": "no",
    "sodium": "none", "bath_temperature": "68", "nozzle_pressure": "24", "handling_temperature": "30",
    "threads": "sound", "pitting": "0", "part_temperature": "21", "dwell_time": "20", "developer_time": "12",
    "indication": "rounded spot", "water_temperature": "85", "test_pressure": "25.0", "held_for": "20",
    "bubbles": "none", "start_pressure": "25.0", "start_temperature": "22.0", "end_pressure": "24.9",
    "end_temperature": "21.0", "room": "20.6", "head_temperature": "20.9", "gauge_temperature": "20.6",
    "boss_od": "18.2", "lean": "0.4", "closed_load": "255",
    "open_load": "640", "solid_height": "21.4", "repair": "guide", "valve": "new", "face_runout": "0.01",
    "margin": "1.20", "face_removed": "0", "tip_removed": "0", "old_protrusion": "16.0",
    "guide_od": "12.047 12.046", "head_heat": "120", "effort": "slid in", "protrusion": "16.0",
    "depth_before": "0.62", "depth": "0.80", "contact_band": "unbroken, mid-face", "tip_height": "46.86",
    "gap_before": "0.05 0.09 0.06 0.04 0.03 0.05", "gap_after": "0.02 0.03 0.02 0.02 0.01 0.02",
    "gap_span": "0.01", "height_before": "125.00", "height_after": "124.88", "chamber_volume": "54.56",
    "height": "34.82", "shim": "0.8", "guide_top": "11.02", "blank_vacuum": "82.0",
}  # fmt: skip
KINDS = {
    ("intake", "old_stem"): "6.968 6.966 6.964", ("exhaust", "old_stem"): "6.957 6.955 6.953",
    ("intake", "stem"): "6.970", ("exhaust", "stem"): "6.960",
    ("intake", "width"): "1.2", ("exhaust", "width"): "1.7",
}  # fmt: skip
PLACES = {
    **{(p, "runout"): SIZES[p, "runout", "", 0] for p in POSITIONS},
    **{(p, "closed_gap"): gap(p) for p in POSITIONS},
    **{(p, "vacuum"): SIZES[p, "vacuum", "", 0] for p in POSITIONS},
}
GOES = {
    ("penetrant-check", "head:A", "indication", 1): "smear",
    ("penetrant-check", "head:A", "dwell_time", 1): "10",
    ("guide-out", "3IB", "guide_od", 1): "12.010",
    ("guide-out", "3IB", "guide_od", 2): "12.060",
    ("seats", "4EA", "runout", 2): "0.028",
    ("seals", "1IA", "closed_gap", 2): "11.00",
    ("seats", "3EB", "contact", 2): "no",
    ("vacuum-test", "3EB", "vacuum", 2): "61.5",
    ("vacuum-test", "3EB", "vacuum", 3): "76.0",
}
GRIDS = {
    ("verify", WARM, 2): COOLED,
    ("verify", WARM, 3): FRESH,
    ("ream-guide", WARM, 1): REAMED_2IB,
    ("ream-guide", WARM, 2): FRESH,
    ("verify", "4EA", 2): DRAGGED,
    ("guide-out", "3IB", 1): six("11.998 11.998 11.998 11.998 11.998 11.998"),
    ("guide-out", "3IB", 2): six("12.012 12.012 12.012 12.012 12.012 12.012"),
}
WAYS = {
    ("penetrant-check", "head:A", "indication"): [
        Way("A smear by the plug hole of cylinder 2, nothing to be read: cleaned and done again", "clean"),
        stands("One round pore of 0.8 mm by the plug hole of cylinder 2, no line, photograph 1002-14: it stays"),
    ],
    ("guide-out", "3IB", "interference"): [
        Way("0.012 mm: hole trued to 12.012, guide with 0.05 mm more outside", "guide-out")
    ],
    ("verify", WARM, "clearance"): [
        again("The boss was at 34 °C: left to settle, measured again. Heat is worth 2 µm, not 9"),
        Way("0.052 mm at room temperature: the hone went through it too often. A new guide", "guide-out"),
    ],
    ("seats", "4EA", "runout"): [
        Way("0.090 mm, and the high spot stays when the pilot is turned: the guide measured again", "verify")
    ],
    ("verify", "4EA", "clearance"): [
        Way("Mouth 0.012 mm wide: a reamer dragged out of it. A new guide", "guide-out")
    ],
    ("seals", "1IA", "gap"): [Way("0.90 mm at full lift: guide top shortened by 0.6 mm", "seals")],
    ("vacuum-test", "3EB", "vacuum"): [
        Way("61 of 82 kPa: taken out, cleaned, tried again", "assemble"),
        Way("61.5 after cleaning, oil on the stem does not help: the seat", "seats"),
    ],
    ("seats", "3EB", "contact"): [Way("Blue broken over a fifth of the ring: seat touched up", "seats")],
    ("soak", "head:A", "head_over_gauge"): [again("34 °C at boss 2, a lamp had stood there: 190 min in still air")],
}  # fmt: skip
TOOLS = {("seats", "intake"): Tool("SC-45-26"), ("seats", "exhaust"): Tool("SC-45-22")}


class Sorrel1002(Tale):
    """The story of job 1002."""

    job, tag, customer = "1002", "552-A", "552"
    start = datetime(2026, 3, 16, 7, 30, tzinfo=UTC)
    agreed = "Customer approved sixteen guides, sixteen valves and surfacing by mail"
    figures = FIGURES
    kinds = KINDS
    places = PLACES
    goes = GOES
    grids = GRIDS
    ways = WAYS
    tools = TOOLS
    warm = seen = False

    def grid(self, operation: str, place: str, reading: str, attempt: int) -> Mapping[tuple[str, int], str] | None:
        """Give six figures: the tables, and for the holes and the worn guides one pattern for all."""
        own = self.grids.get((operation, place, attempt))
        if own is not None:
            return own
        if reading == "head_bore":
            return six("12.002 12.000 12.000 12.000 12.000 12.002")
        if reading == "guide_id":
            return worn(POSITIONS.index(place))
        if reading in {"reamed_id", "verified_id"}:
            return {point[2:]: value for point, value in _table(place).items()}
        return None

    def answer(self, operation: str, place: str, point: tuple[str, str, int | None], attempt: int) -> str:
        """Give what is typed; the head is warm once, where a lamp had stood."""
        if (operation, point[0]) == ("soak", "head_temperature") and self.warm:
            self.warm = False
            return "34.0"
        return super().answer(operation, place, point, attempt)

    def adds(self, following: Next) -> bool:
        """Tell how the warm boss came to light."""
        first = not self.decided.get(("verify", WARM, "clearance"))
        if (following.now, following.operation, following.place) != (Now.HOLD, "verify", WARM) or not first:
            return self._cools(following)
        if self.seen:
            return False
        state = self.teller.state
        number = state.attempt("soak", "head:A").readings["head_temperature", "", None].number
        self.teller.record(Noted("A lamp stands against cylinder 2: boss 2IB warm to the hand", WARM), MARA.operator)
        self.teller.record(ReadingStruck(number, "Probe had been at cylinder 4; 2IB is warm"), MARA.operator)
        self.warm = self.seen = True
        return True

    def _cools(self, following: Next) -> bool:
        if (following.now, following.operation) == (Now.HOLD, "soak"):
            self.teller.wait(190)
            self.go_home()
        return False


def _table(place: str) -> dict[tuple[str, str, str, int], str]:
    return {key: value for key, value in SIZES.items() if key[:2] == (place, "verified_id")}
