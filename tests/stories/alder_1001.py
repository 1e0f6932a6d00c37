"""Job 1001: a worn iron head of eight valves goes through the liner rebuild, with what went wrong on the way.

Everything in it is invented: shop, people, customer, engine and readings.
"""

from __future__ import annotations

import csv
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.agenda import Now
from headwright.job.events import Disposed, Disposition, Noted, ReadingStruck
from headwright.procedure.plan import Role
from tests.stories.driver import Person, Play, Teller
from tests.stories.tray import Tool

if TYPE_CHECKING:
    from headwright.job.agenda import Next
    from headwright.job.holds import Hold
    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Plan

MARA = Person("07", "Mara Quill", Role.MACHINIST)
OWEN = Person("02", "Owen Hale", Role.LEAD)

SURVEY_SLIP = ("survey-guides", "1I", ("guide_id", "middle", 90))

WORDS = {
    "casting": "A107-3 c",
    "complaint": "Blue smoke on the overrun, 148,000 mi, uses a litre of oil a week",
    "magnet": "yes",
    "sodium": "none",
    "indication": "none",
    "bubbles": "none",
    "repair": "liner",
    "valve": "new",
    "effort": "normal",
    "seam": "closed",
}
FIGURES = {
    "bath_temperature": "88",
    "nozzle_pressure": "25",
    "handling_temperature": "31.5",
    "yoke_lift": "11.5",
    "water_temperature": "85",
    "test_pressure": "40.0",
    "held_for": "20",
    "start_pressure": "40.0",
    "start_temperature": "22.0",
    "end_pressure": "39.8",
    "end_temperature": "20.9",
    "room": "20.6",
    "head_temperature": "20.9",
    "gauge_temperature": "20.6",
    "boss_od": "0.562",
    "blank_vacuum": "27.0",
    "gap_span": "0.0010",
}
BALLS = {("intake", 1): "0.31395", ("exhaust", 1): "0.31390", ("intake", 2): "0.31400", ("exhaust", 2): "0.31395"}
BALL_OF_2I = {1: "0.31300", 2: "0.31400"}
RUNOUT = {
    "1I": "0.0007", "2I": "0.0005", "3I": "0.0009", "4I": "0.0012",
    "1E": "0.0008", "2E": "0.0010", "3E": "0.0006", "4E": "0.0011",
}  # fmt: skip
WIDTH = {"1I": "0.058", "2I": "0.060", "3I": "0.057", "4I": "0.059", "1E": "0.068", "2E": "0.070", "3E": "0.069",
         "4E": "0.067"}  # fmt: skip
HEIGHT = {"1I": "1.655", "2I": "1.648", "3I": "1.652", "4I": "1.650", "1E": "1.660", "2E": "1.662", "3E": "1.671",
          "4E": "1.657"}  # fmt: skip
VACUUM = {"1I": "24.5", "2I": "24.5", "3I": "24.0", "4I": "24.5", "1E": "24.0", "2E": "24.5", "3E": "25.0",
          "4E": "24.0"}  # fmt: skip
DECK_BEFORE = ("0.0020", "0.0030", "0.0030", "0.0020", "0.0010", "0.0020")
NEXT_HOLE = ("0.3473", "0.3472", "0.3472", "0.3471", "0.3472", "0.3472")
POINTS = tuple((station, angle) for station in ("top", "middle", "bottom") for angle in (0, 90))


def measured() -> dict[tuple[str, str, str, int], str]:
    """Give the measured sizes: (position, reading, station, angle) → inches as typed."""
    with (Path(__file__).parent / "alder_1001.csv").open(encoding="utf-8", newline="") as file:
        return {
            (row["position"], row["reading"], row["station"], int(row["angle"])): row["inches"]
            for row in csv.DictReader(file)
        }


SIZES = measured()


INCH = 25.4
CUTTERS = {"liner": Tool("C-3424", 0.3424 * INCH), "next-liner": Tool("C-3472", 0.3472 * INCH)}
SEAT_CUTTERS = {"I": Tool("SC-45-I"), "E": Tool("SC-45-E")}


DECK_LINES = ("left side", "right side", "middle", "diagonal 1", "diagonal 2", "across")
HEAD_FIGURES = {"gap_after": "0.0010", "height_before": "3.610", "height_after": "3.606"}
BY_PLACE = {"runout": RUNOUT, "width": WIDTH, "height": HEIGHT, "vacuum": VACUUM}
FIRST_TIME = {("runout", "1E"): "0.0026", ("vacuum", "2I"): "21.5"}
"""What was read before it was put right."""


def answer(operation: str, place: str, point: PointKey, attempt: int) -> str:
    """Give what is typed at a point, in the given attempt at it."""
    reading, station, angle = point
    if attempt == 1 and (reading, place) in FIRST_TIME:
        return FIRST_TIME[reading, place]
    if reading in {"guide_id", "bored_id", "finished_id", "verified_id", "old_stem"}:
        return _bore_or_stem(operation, place, (reading, station, angle), attempt)
    if reading == "gap_before":
        return DECK_BEFORE[DECK_LINES.index(station)]
    own = {
        "stem": _stem(place),
        "ball": _ball(place, attempt),
        "pre_size_id": "0.3102" if place == "3E" else "0.3104",
        "shim": "0.045" if place == "3E" else "0.030",
        **{name: table.get(place, "") for name, table in BY_PLACE.items()},
        **HEAD_FIGURES,
        **FIGURES,
        **WORDS,
    }
    return own.get(reading, "yes")


def _bore_or_stem(operation: str, place: str, point: PointKey, attempt: int) -> str:
    reading, station, angle = point
    if reading == "old_stem" and attempt > 1:
        return _stem(place)
    if reading == "bored_id" and attempt > 1:
        return NEXT_HOLE[POINTS.index((station, angle or 0))]
    if reading in {"finished_id", "verified_id"}:
        second = (place, "finished_id_pass2", station, angle or 0)
        final = attempt > 1 or operation == "verify"
        return SIZES[second] if final and second in SIZES else SIZES[place, "finished_id_pass1", station, angle or 0]
    return SIZES[place, reading, station, angle or 0]


def _stem(place: str) -> str:
    return "0.3118" if place.endswith("I") else "0.3113"


def _ball(place: str, attempt: int) -> str:
    if place == "2I":
        return BALL_OF_2I[min(attempt, 2)]
    return BALLS["intake" if place.endswith("I") else "exhaust", min(attempt, 2)]


REASONS = {
    ("survey-stems", "2E"): "Stem 0.3092 in, under 0.3105: condemned, a new valve measured",
    ("bore", "3E"): "Pilot slipped, hole 0.3445 in at the top: on to the next liner",
    ("size", "2I"): "Clearance 0.0004 in with the 0.3130 ball: next ball 0.3140",
    ("size", "4E"): "0.0005 in out of round at the top: brushed, same ball both ways",
    ("seats", "1E"): "A chip under the pilot: wiped, pilot seated again, seat dressed",
    ("vacuum-test", "2I"): "21.5 of 27.0: lint on the seat, taken out and cleaned",
}
"""What stopped the job, and what was done about it."""


def decision(hold: Hold) -> Disposed:
    """Decide a hold as the story tells: the first way out that the procedure names."""
    way = hold.ways[0]
    assert way.disposition in {Disposition.REWORK, Disposition.REMEASURE}
    reason = REASONS[hold.operation, hold.place]
    return Disposed(
        hold.operation, hold.place, hold.figure.item, way.disposition, reason, redo=way.redo, repair=way.repair
    )


def tool_at(state: State, operation: str, place: str) -> Tool:
    """Give the tool for an operation at a place."""
    return CUTTERS[state.repair_at(place)] if operation == "bore" else SEAT_CUTTERS[place[-1]]


class Alder1001:
    """The story of job 1001."""

    def __init__(self, plan: Plan) -> None:
        start = datetime(2026, 3, 9, 7, 30, tzinfo=UTC)
        self.teller = Teller(plan, "1001", tag="418-A", customer="418", start=start, terminal="bench 2")
        self.play = Play(
            self.teller, (MARA, OWEN), answer=answer, decision=decision, before=self._before, tool=self._tool
        )
        self.slipped = False
        self.operation = ""

    def tell(self) -> Alder1001:
        """Tell it from opening to release."""
        self.teller.comes_on(MARA)
        self.teller.comes_on(OWEN)
        self.play.to_release()
        return self

    def _tool(self, operation: str, place: str) -> Tool:
        return tool_at(self.teller.state, operation, place)

    def _before(self, following: Next) -> bool:
        teller = self.teller
        self._go_home()
        if following.operation and following.operation != self.operation:
            self.operation = following.operation
            teller.wait(6)
            if following.operation == "soak":
                teller.wait(60)
            if following.operation == "decide":
                self.play.confirm_all()
                teller.record(
                    Noted("Customer approved eight liners, eight valves and surfacing by mail, 10 March", "head:A"),
                    OWEN.operator,
                )
        if following.now is Now.READING and (following.operation, following.place, following.point) == SURVEY_SLIP:
            return self._slip()
        return False

    def _go_home(self) -> None:
        """End the shift at six in the evening; the next begins at half past seven."""
        teller = self.teller
        if teller.time.hour < 18:
            return
        for person in (MARA, OWEN):
            teller.goes_off(person)
        teller.time = teller.time.replace(hour=7, minute=30, second=0) + timedelta(days=1)
        for person in (MARA, OWEN):
            teller.comes_on(person)

    def _slip(self) -> bool:
        """Tell how 1I was first keyed one turn of the thimble off, kept, seen, struck and read again."""
        if self.slipped:
            return False
        self.slipped = True
        operation, place, point = SURVEY_SLIP
        wrong = self.teller.reading(operation, place, point, "0.3391", MARA.operator)
        self.teller.record(replace(wrong, questioned="one thimble turn"), MARA.operator)
        number = self.teller.state.attempt(operation, place).readings[point].number
        self.teller.record(ReadingStruck(number, "Thimble misread by one turn: read again"), MARA.operator)
        return True
