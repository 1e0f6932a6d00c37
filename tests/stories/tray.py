"""What the people of a story take from the shop's kit: gauges, the rings to zero them on, and the tools."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from headwright.job.events import GaugeChecked, GaugeTaken
from headwright.job.figures import Bench
from headwright.job.gauges import in_doubt, in_hand, mastering_of
from headwright.procedure.kit import Kit, load_kit

if TYPE_CHECKING:
    from headwright.job.agenda import Next
    from headwright.job.gauges import GaugeNow
    from headwright.job.state import State
    from headwright.procedure.kit import Ring

KIT = Path(__file__).parents[2] / "sample_jobs" / "kit.toml"
FIRST_CHOICE = {
    ("bore gauge", "in"): "BG-1",
    ("bore gauge", "mm"): "BG-5",
    ("micrometer", "in"): "MIC-1",
    ("micrometer", "mm"): "MIC-4",
}
"""Which of several gauges of a sort is taken, by the unit that is read; else the first that is not overdue."""
SEEN = (0.0, 0.5, 0.0, -0.5, 0.0)
"""What a gauge is off by when it comes back to its ring, in its graduations, one check after another (invented)."""


class Tool(NamedTuple):
    """A tool that is put in: which one, and its size in mm as measured."""

    item: str
    size: float | None = None


@cache
def kit() -> Kit:
    """Give the kit of the invented shop."""
    return load_kit(KIT)


def taken(gauge: str) -> GaugeTaken:
    """Take a gauge from the kit, with what the kit says of it."""
    found = next(each for each in kit().gauges if each.id == gauge)
    return GaugeTaken(found.id, found.sort, found.resolution, found.uncertainty, found.due)


def wanted(state: State, following: Next, operator: str, day: str) -> GaugeTaken | GaugeChecked:
    """Do what a gauge wants: be taken in hand, or be zeroed on the ring that is nearest to the size."""
    if not following.operation:
        return _before_release(state, following.subject)
    assert following.point is not None
    reading = state.index.readings[following.operation, following.point[0]]
    gauge = in_hand(state, operator, reading.gauge)
    if gauge is None:
        return taken(_choice(reading.gauge, reading.unit, day))
    bench = Bench(state, state.index.operations[following.operation], following.place)
    expected = bench.value(reading.expect)
    assert expected is not None, f"nobody in the story knows which ring: {following}"
    rings = [ring for ring in kit().rings if not ring.is_overdue(day)]
    return checked(state, gauge, min(rings, key=lambda ring: abs(ring.size - expected)))


def checked(state: State, gauge: GaugeNow, ring: Ring, before: float | None = None) -> GaugeChecked:
    """Check a gauge on a ring and set its zero; `before` (mm) is what it was off by, left out: next to nothing."""
    if before is None:
        number = gauge.check.number if gauge.check is not None else 0
        before = SEEN[number % len(SEEN)] * gauge.resolution if number else 0.0
        rule = mastering_of(state, gauge.sort)
        assert rule is not None
        assert abs(before) <= rule.drift
    return GaugeChecked(gauge.gauge, ring.id, ring.size, before, 0.0, ring.uncertainty)


def ring(name: str) -> Ring:
    """Give a ring of the kit."""
    return next(each for each in kit().rings if each.id == name)


def _before_release(state: State, sort: str) -> GaugeChecked:
    """Check a gauge once more on the ring that it was last on, when all readings are done."""
    gauge = next(g for g in state.gauges.values() if g.sort == sort and g.check and in_doubt(state, g.gauge))
    assert gauge.check is not None
    return checked(state, gauge, ring(gauge.check.ring))


def _choice(sort: str, unit: str, day: str) -> str:
    first = FIRST_CHOICE.get((sort, unit))
    return first or next(each.id for each in kit().gauges if each.sort == sort and not each.is_overdue(day))
