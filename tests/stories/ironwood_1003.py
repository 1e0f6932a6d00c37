"""Job 1003: a heavy diesel head is measured while it waits for the crack reader, who then stops it.

Everything in it is invented: shop, people, customer, engine and readings.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from headwright.job.agenda import Now
from headwright.job.events import Disposed, Disposition, Noted, ReadingTaken, Stopped
from headwright.job.holds import hold_at
from tests.stories.tale import ILSE, MARA, OWEN, Tale, again, measured

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.job.agenda import Next

SIZES = measured("ironwood_1003.csv")
POSITIONS = tuple(dict.fromkeys(key[0] for key in SIZES))
HEAD = "head:A"
CRACK = "3E1: a line of 14 mm from the seat to the injector bore, across the seat. Marked, photograph 1003-7"


def stems(place: str) -> str:
    """Give a worn stem at its three stations: least in the middle, where it is given."""
    least = float(SIZES[place, "old_stem", "", 0])
    return f"{least + 0.003:.3f} {least:.3f} {least + 0.002:.3f}"


FIGURES = {
    "casting": "D6-HD 4", "complaint": "Uses coolant, white smoke when cold, 11,200 h", "magnet": "yes",
    "sodium": "none", "bath_temperature": "86", "nozzle_pressure": "26", "handling_temperature": "34",
    "threads": "to be repaired", "pitting": "0.06", "room": "20.6", "head_temperature": "20.9",
    "gauge_temperature": "20.6", "boss_od": "22.0",
    "yoke_lift": "11", "indication": "seat to injector",
}  # fmt: skip
PLACES = {
    **{(p, "old_stem"): stems(p) for p in POSITIONS},
    **{(p, "recession_found"): SIZES[p, "recession_found", "", 0] for p in POSITIONS},
}
GOES = {("survey-stems", "6I2", "old_stem", 2): "7.964"}
WAYS = {
    ("survey-stems", "6I2", "old_stem"): [
        again("7.920 is under 7.930: condemned. With a new stem of 7.964 the guide may stay")
    ]
}  # fmt: skip
WAITS = {"soak": 70.0}


class Ironwood1003(Tale):
    """The story of job 1003."""

    job, tag, customer = "1003", "377-A", "377"
    start = datetime(2026, 3, 23, 7, 30, tzinfo=UTC)
    figures = FIGURES
    places = PLACES
    goes = GOES
    ways = WAYS
    waits = WAITS

    def grid(self, operation: str, place: str, reading: str, attempt: int) -> Mapping[tuple[str, int], str] | None:
        """Give the six figures of a worn guide."""
        del operation, attempt
        return {key[2:]: value for key, value in SIZES.items() if key[:2] == (place, reading)}

    def tell(self) -> Ironwood1003:
        """Tell it until the head is given up."""
        super().tell()
        return self

    def adds(self, following: Next) -> bool:
        """Measure while the reader is waited for; then have him stop the head, and the lead give it up."""
        if following.operation == "crack-check" and following.now is not Now.HOLD and self.play.worker is MARA:
            self._measures_meanwhile()
            return True
        if following.now is Now.HOLD and following.operation == "crack-check":
            self._stops()
            return True
        return False

    def _measures_meanwhile(self) -> None:
        teller = self.teller
        teller.record(Noted("The crack reader comes tomorrow: measured meanwhile", HEAD), MARA.operator)
        for operation in ("soak", "survey-guides", "survey-stems"):
            teller.wait(self.waits.get(operation, 6))
            for place in teller.state.index.places_of(teller.state.index.operations[operation]):
                self.play.work_at(operation, place)
                hold = hold_at(teller.state, (operation, place))
                if hold is not None:
                    self.play.holds.append((operation, place, hold.figure.item))
                    teller.record(self.decide(hold), MARA.operator)
                    self.play.work_at(operation, place)
        self.staff = (ILSE, OWEN)
        teller.goes_off(MARA)
        teller.goes_off(OWEN)
        self.play.worker = ILSE
        teller.time = teller.time.replace(day=24, hour=7, minute=30)
        for person in self.staff:
            teller.comes_on(person)

    def _stops(self) -> None:
        """Stop it, with what was measured left as it is, and give it up: no rule allows this crack."""
        teller = self.teller
        teller.record(Noted(CRACK, "3E1"), ILSE.operator)
        teller.record(
            Noted("Pressure test not gone on with: plates off again, no pressure was on", HEAD), ILSE.operator
        )
        teller.record(Stopped(HEAD, CRACK), ILSE.operator)
        teller.wait(45)
        reason = "No written reuse rule for an exhaust bridge of this family: head rejected, exchange core offered"
        wanted = Disposed("crack-check", HEAD, "indication", Disposition.SCRAP, reason)
        teller.record(wanted, OWEN.operator)
        teller.record(Noted("Customer 377 told in writing, 24 March; red tag on the head", HEAD), OWEN.operator)


def frozen_try(story: Ironwood1003) -> ReadingTaken:
    """Give a reading that somebody would like to take after the head was given up."""
    return story.teller.reading("survey-guides", "1I1", ("boss_od", "", None), "22.0", ILSE.operator)
