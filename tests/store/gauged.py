"""Jobs whose bores are read with a gauge from the kit that is zeroed on a ring, at desks on a real store."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

from msgspec.structs import replace
from tests.store.small import INCH, HandClock, reading, small_plan

from headwright.job.events import CameOn, GaugeChecked, GaugeTaken, Released, StepTicked
from headwright.procedure.plan import Mastering, Role, Rules
from headwright.store.desk import Desk, Done

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.events import Event
    from headwright.procedure.plan import Plan
    from headwright.store import JobStore

SORT, GAUGE, RING = "bore gauge", "BG-3", 0.344 * INCH
DRIFT = 0.0001 * INCH
"""The most that a gauge may be off by, mm."""
OFF = 0.0003 * INCH
PLACES = ("1I", "1E", "2I", "2E")
POINTS = tuple((place, station) for place in PLACES for station in ("top", "bottom"))


def gauged_plan(*, zeroed: bool = True) -> Plan:
    """Make the small plan with bores traced to a bore gauge, to be zeroed every half hour or 20 readings, or never."""
    loose = small_plan()
    (size,) = loose.operations
    (bore,) = size.readings
    return replace(
        loose,
        rules=Rules(gauges=(SORT,), mastering=Mastering((SORT,), 1800.0, 20, DRIFT, INCH) if zeroed else None),
        operations=(replace(size, readings=(replace(bore, gauge=SORT),)),),
        specs=tuple(replace(spec, confirmed=True) for spec in loose.specs),
    )


class Gauged:
    """A job at a terminal, with a lead who has a bore gauge in hand; ten seconds go by before anything happens."""

    def __init__(self, store: JobStore, clock: HandClock, job: str, *, zeroed: bool = True) -> None:
        self.clock = clock
        self.job = job
        self.desk = Desk.create(store, gauged_plan(zeroed=zeroed), job, terminal="bench-1", clock=clock)
        self.do(CameOn("07", "Ana Ruiz", Role.LEAD))
        self.take()

    def do(self, wanted: Event) -> Done:
        """Have something happen."""
        self.clock.seconds += 10
        answer = self.desk.submit(wanted, "07")
        assert isinstance(answer, Done), str(answer)
        return answer

    def take(self, gauge: str = GAUGE) -> None:
        """Take a gauge in hand."""
        self.do(GaugeTaken(gauge, SORT, 0.001, 0.002))

    def zero(self, off: float = 0.0, gauge: str = GAUGE) -> Done:
        """Check a gauge on its ring: it is off by so much (mm) before, and by nothing after."""
        return self.do(GaugeChecked(gauge, "R-344", RING, off))

    def read(self, *points: tuple[str, str], gauge: str = GAUGE) -> tuple[int, ...]:
        """Read the bore at points; give the numbers of the entries."""
        numbers = []
        for place, station in points:
            done = self.do(replace(reading(place, station), gauge=gauge))
            numbers.append(done.entries[0].number)
        return tuple(numbers)

    def finish(self) -> tuple[int, ...]:
        """Read and tick everything; give the numbers of the readings."""
        numbers = self.read(*POINTS)
        for place in PLACES:
            self.do(StepTicked("size", place, "oil"))
        return numbers

    def to_release(self) -> tuple[int, ...]:
        """Read and tick everything, and release; give the numbers of the readings."""
        numbers = self.finish()
        self.do(Released())
        return numbers

    def standing(self) -> set[tuple[str, str]]:
        """Give the points at which a reading counts now, as the desk sees it after a look."""
        self.desk.refresh()
        return {(at[1], key[1]) for at, attempt in self.desk.state.attempts.items() for key in attempt.readings}


def killed_when_found(path: Path, job: str) -> None:
    """Have another program find the gauge off in a job, and kill it before it tells the others."""
    command = [sys.executable, "-m", "tests.store.quarantine_worker", "drift", str(path), job]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stdin=subprocess.PIPE) as worker:
        assert worker.stdout is not None
        assert worker.stdout.readline() == b"between\n"
        worker.kill()
