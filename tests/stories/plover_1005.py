"""Job 1005: two gas heads, sodium suspected, a warm dock, and a gauge that drifted over a change of shift.

Everything in it is invented: shop, people, customer, engine and readings.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from headwright.job.agenda import Now
from headwright.job.events import HandedOver, Noted, Resumed
from headwright.job.gauges import in_hand
from tests.stories import tray
from tests.stories.tale import ILSE, MARA, OWEN, Tale, Way, again, measured
from tests.stories.tray import Tool

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.job.agenda import Next

SIZES = measured("plover_1005.csv")
POSITIONS = tuple(dict.fromkeys(key[0] for key in SIZES))
HEADS = ("head:H07", "head:H11")
DOUBTFUL = ("H11-EA", "H11-EB")
DRIFT = 0.006
"""mm by which BG-5 read too much when the late shift took it over."""
SUNK = "H07-EB"


def before_cutting(place: str) -> str:
    """Give how deep a valve sat before its seat was cut: the cut took 0.06 mm, except where a ring had to come."""
    depth = float(SIZES[place, "depth", "", 0])
    return f"{depth:.2f}" if place == SUNK else f"{depth - 0.06:.2f}"


def true_size(place: str) -> dict[tuple[str, int], str]:
    """Give the six figures of a guide as a good gauge reads them."""
    off = DRIFT if place in DOUBTFUL else 0.0
    return {key[2:]: f"{float(value) - off:.3f}" for key, value in SIZES.items() if key[:2] == (place, "verified_id")}


FIGURES = {
    "casting": "PG-1 H07, H11", "complaint": "Valves sinking, 8,600 h on gas", "magnet": "yes",
    "sodium": "cleared", "bath_temperature": "85", "nozzle_pressure": "26", "handling_temperature": "35",
    "threads": "sound", "pitting": "0.04", "yoke_lift": "11", "indication": "none", "water_temperature": "86",
    "test_pressure": "50.0", "held_for": "25", "bubbles": "none", "start_pressure": "50.0",
    "start_temperature": "22.0", "end_pressure": "49.8", "end_temperature": "20.9", "room": "20.6",
    "head_temperature": "21.1", "gauge_temperature": "20.6", "boss_od": "30.0",
    "lean": "0.6", "closed_load": "590", "open_load": "1200", "solid_height": "41.0",
    "repair": "reuse", "valve": "kept", "face_runout": "0.02", "margin": "3.20", "face_removed": "0.06",
    "tip_removed": "0", "width": "2.6", "contact_band": "unbroken, mid-face", "tip_height": "78.60",
    "gap_before": "0.04 0.06 0.05 0.04 0.03 0.04", "gap_after": "0.02 0.02 0.02 0.02 0.01 0.02",
    "gap_span": "0.01", "height_before": "150.00", "height_after": "149.90", "height": "61.50", "shim": "1.5",
    "guide_top": "20.04", "closed_gap": "16.40", "blank_vacuum": "80.0", "runout": "0.021",
    "pocket_bore": "52.00 52.00", "ring_od": "52.09 52.09", "chilled_for": "3",
}  # fmt: skip
KINDS = {
    ("intake", "old_stem"): "11.970", ("exhaust", "old_stem"): "11.950",
    ("intake", "stem"): "11.970", ("exhaust", "stem"): "11.950",
}  # fmt: skip
PLACES = {
    **{(p, "depth_before"): before_cutting(p) for p in POSITIONS},
    **{(p, "depth"): SIZES[p, "depth", "", 0] for p in POSITIONS if p != SUNK},
    (SUNK, "depth"): "0.98",
    (HEADS[1], "gap_before"): "0.05 0.06 0.06 0.03 0.04 0.05",
    **{(p, "vacuum"): SIZES[p, "vacuum", "", 0] for p in POSITIONS},
}
GOES = {
    **{("receive", head, "sodium", 1): "suspected" for head in HEADS},
    **{("soak", head, "head_temperature", 1): "27.5" for head in HEADS},
    ("check-seats", SUNK, "depth_before", 2): "0.90",
    ("vacuum-test", "H11-IB", "vacuum", 2): "74.0",
}
WAYS = {
    **{("receive", head, "sodium"): [again("Supplier's list 12-EX-S: solid stems. Attached")] for head in HEADS},
    **{("soak", head, "head_over_gauge"): [again("27.5 °C from the dock: 33 min with the fan")] for head in HEADS},
    ("check-seats", SUNK, "depth_before"): [Way("1.74 of 1.50: a new seat ring first", "seat-inserts")],
    ("vacuum-test", "H11-IB", "vacuum"): [Way("55 of 80 kPa: lint on the seat, washed", "assemble")],
}  # fmt: skip
WAITS = {"soak": 5.0}
TOOLS = {("seats", "intake"): Tool("SC-20-L"), ("seats", "exhaust"): Tool("SC-30-L")}
TAKEN_OVER_AT = 4
"""How many points of the last guide were read when the late shift took over."""


class Plover1005(Tale):
    """The story of job 1005."""

    job, tag, customer = "1005", "633-H07/H11", "633"
    start = datetime(2026, 4, 13, 7, 30, tzinfo=UTC)
    agreed = "Customer approved seats, eight springs and surfacing by mail"
    figures = FIGURES
    kinds = KINDS
    places = PLACES
    goes = GOES
    ways = WAYS
    waits = WAITS
    tools = TOOLS
    drifted = checked = False

    def grid(self, operation: str, place: str, reading: str, attempt: int) -> Mapping[tuple[str, int], str] | None:
        """Give six figures; the last two guides are verified with a gauge that has drifted, at first."""
        del reading, attempt
        if operation == "verify" and place in DOUBTFUL and not self.checked:
            return {key[2:]: value for key, value in SIZES.items() if key[:2] == (place, "verified_id")}
        return true_size(place)

    def adds(self, following: Next) -> bool:
        """Tell of the sodium, of the fan, of the shift and of the gauge."""
        if following.now is Now.STOP:
            self._cleared()
            return True
        if (following.now, following.operation) == (Now.HOLD, "soak"):
            self.teller.wait(33)
        if self.checked or following.operation != "verify" or following.place not in DOUBTFUL:
            return False
        if not self.drifted:
            self.drifted = True
            self._checks(0.0)
            return True
        if self.play.worker is MARA and following.place == "H11-EB":
            return self._hands_over()
        if following.now is Now.GAUGE and in_hand(self.teller.state, ILSE.operator, "bore gauge"):
            self._finds_the_drift()
            return True
        return False

    def _checks(self, before: float) -> None:
        """Have whoever works check BG-5 on its ring."""
        gauge = self.teller.state.gauges["BG-5"]
        self.teller.record(tray.checked(self.teller.state, gauge, tray.ring("R-12"), before), self.play.worker.operator)

    def _cleared(self) -> None:
        """Have the lead let both heads go on, with the list of who made the valves."""
        self.teller.wait(90)
        self.teller.record(Noted("Supplier's list 12-EX-S: exhaust stems of this number are solid"), OWEN.operator)
        for head in tuple(self.teller.state.stopped):
            self.teller.record(Resumed(head, "Cleared by the supplier's list, attached: no sodium"), OWEN.operator)

    def _hands_over(self) -> bool:
        """Have the late shift take over in the middle of the last guide."""
        read = [point for point in self.teller.state.attempt("verify", "H11-EB").readings if point[0] == "verified_id"]
        if len(read) < TAKEN_OVER_AT:
            return False
        self.teller.comes_on(ILSE)
        self.teller.record(HandedOver(MARA.operator, ILSE.operator), ILSE.operator)
        self.staff = (ILSE, OWEN)
        self.play.worker = ILSE
        return True

    def _finds_the_drift(self) -> None:
        """Find the gauge off when it is taken over: what it read since its last good check does not count."""
        teller = self.teller
        self._checks(DRIFT)
        self.checked = True
        teller.record(
            Noted("BG-5 had a chip under its contact; cleaned. The guides since H11-EA tomorrow, cool", "head:H11"),
            ILSE.operator,
        )
        teller.goes_off(ILSE)
        teller.goes_off(OWEN)
        self.staff = (MARA, OWEN)
        self.play.worker = MARA
        teller.time = teller.time.replace(hour=7, minute=30, second=0) + timedelta(days=1)
        for person in self.staff:
            teller.comes_on(person)
