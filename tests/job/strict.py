"""The small plan under a shop's rules: gauges traced and zeroed, tools named, PINs, no concession of one's own."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.chain import chained
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    Disposed,
    Event,
    FirstPieceReleased,
    GaugeChecked,
    GaugeTaken,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    ToolChosen,
)
from headwright.job.evolve import fold
from headwright.job.gauges import in_hand
from headwright.procedure.plan import Mastering, Rules
from tests.job.small import INCH, MACHINIST, Shop, plan, taken

if TYPE_CHECKING:
    from headwright.procedure.plan import Operation, Plan, Reading

START = datetime(2026, 3, 4, 8, tzinfo=UTC)
TENTH = 0.0001 * INCH
RULES = Rules(
    gauges=("bore gauge", "micrometer"),
    mastering=Mastering(("bore gauge",), 1800.0, 10, TENTH, 0.005 * INCH),
    pins=True,
    own_concession=False,
)
SIGNED = (CameOn, Disposed, Resumed, SpecConfirmed, Released, Reopened)


def strict_plan(*, heads: tuple[str, ...] = ("A",), confirmed: bool = True, proof: bool = False) -> Plan:
    """Make the small plan under the rules; with `proof` the clearance has to be proved by guard band."""
    loose = plan(heads=heads, confirmed=confirmed)
    return replace(loose, rules=RULES, operations=tuple(_strict(op, proof=proof) for op in loose.operations))


def _strict(operation: Operation, *, proof: bool) -> Operation:
    results = tuple(replace(result, proof=proof) for result in operation.results)
    tool = "cutter" if operation.id == "bore" else ""
    return replace(operation, readings=tuple(map(_traced, operation.readings)), results=results, tool=tool)


def _traced(reading: Reading) -> Reading:
    if reading.name == "stem":
        return replace(reading, gauge="micrometer", agree=TENTH)
    return replace(reading, gauge="bore gauge") if reading.name in {"bored_id", "finished_id"} else reading


def stamp(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class StrictShop(Shop):
    """A shop with a clock, that signs what wants a PIN and takes its gauges in hand when told to."""

    def __init__(self, the_plan: Plan | None = None) -> None:
        self.time = START
        super().__init__(the_plan or strict_plan())

    def wait(self, minutes: float) -> None:
        self.time += timedelta(minutes=minutes)

    def ask(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...] | Refused:
        return decide(self.state, wanted, operator, "bench", stamp(self.time))

    def do(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...]:
        if isinstance(wanted, SIGNED):
            wanted = replace(wanted, signed=True)
        answer = self.ask(wanted, operator)
        assert not isinstance(answer, Refused), str(answer)
        self.time += timedelta(seconds=10)
        last = self.entries[-1] if self.entries else None
        new = chained("1", last, answer, time=stamp(self.time), operator=operator, terminal="bench")
        self.entries += new
        self.state = fold(self.state, new)
        return answer

    def take_gauges(self, operator: str = MACHINIST, *, ring: float = 0.3430) -> None:
        """Take a micrometer and a bore gauge in hand, and zero the bore gauge on a ring (inches)."""
        self.do(GaugeTaken("MIC-1", "micrometer", 0.00005 * INCH, 0.00008 * INCH, "2027-02-16"), operator)
        self.do(GaugeTaken("BG-3", "bore gauge", 0.00005 * INCH, 0.00012 * INCH, "2027-02-16"), operator)
        self.zero(operator, ring=ring)

    def zero(self, operator: str = MACHINIST, *, ring: float = 0.3430, off: float = 0.0) -> tuple[Event, ...]:
        """Check the bore gauge on a ring; sizes in inches."""
        check = GaugeChecked("BG-3", f"R-{ring:.4f}", ring * INCH, off * INCH, 0.0, 0.00003 * INCH)
        return self.do(check, operator)

    def read(self, operation: str, place: str, reading: str, inches: float, station: str = "") -> ReadingTaken:
        """Give a figure as the machinist reads it, with the gauge in hand; a further one where one is wanted."""
        sort = self.state.index.readings[operation, reading].gauge
        gauge = in_hand(self.state, MACHINIST, sort)
        attempt = self.state.writing(operation, place)
        there = attempt.readings.get((reading, station, None))
        wanted = replace(taken(operation, place, reading, inches, station), gauge=gauge.gauge if gauge else "")
        if there is None:
            return wanted
        repeat = not attempt.has(self.state.index.readings[operation, reading], (reading, station, None))
        return replace(wanted, over=there.number, repeat=repeat)

    def inch(self, operation: str, place: str, reading: str, *values: float, operator: str = MACHINIST) -> None:
        stations = ("top", "bottom") if len(values) > 1 else ("",)
        for station, value in zip(stations, values, strict=True):
            self.do(self.read(operation, place, reading, value, station), operator)
            if self.state.index.readings[operation, reading].agree is not None:
                self.do(self.read(operation, place, reading, value, station), operator)

    def to_bore(self, *repairs: str) -> None:
        if not self.state.gauges:
            self.take_gauges()
        super().to_bore(*repairs)

    def name_cutter(self, place: str = "1I") -> None:
        self.do(ToolChosen("bore", place, "cutter", "K-3425", 0.3425 * INCH))

    def release_first(self, place: str) -> None:
        self.do(FirstPieceReleased("bore", place))
