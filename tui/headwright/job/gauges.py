"""The gauges that readings are traced to: which is in hand, and whether it may be trusted now."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.show import decimals, show, unit_of, unit_sign
from headwright.job.slips import question
from headwright.job.verdict import SLACK
from headwright.procedure.plan import Sort

if TYPE_CHECKING:
    from headwright.job.index import PlanIndex
    from headwright.job.slips import Doubt
    from headwright.job.state import State
    from headwright.procedure.plan import Mastering, Reading

BEHIND = 60.0
"""s by which the clocks of two terminals may differ; one that is further behind the record was set wrong."""

KNOCKED = 5.0
"""Times the drift that is allowed up to which a zero may well have moved, and nothing was mistyped (our choice)."""


class Check(Struct, frozen=True):
    """A gauge's last check: on which ring of what size (mm), by whom, what it was off by, and is off by since (mm)."""

    number: int
    time: str
    operator: str
    ring: str
    size: float
    uncertainty: float
    before: float
    after: float


class GaugeNow(Struct, frozen=True):
    """A gauge that was taken from the kit for this job, as it stands.

    Resolution and expanded uncertainty (k = 2) are canonical; `due` is the last day that it may be used on, empty for
    none. `check` is its last check, None before the first; `after` are the numbers of the readings taken with it since.
    """

    gauge: str
    sort: str
    resolution: float = 0.0
    uncertainty: float = 0.0
    due: str = ""
    check: Check | None = None
    after: tuple[int, ...] = ()

    def is_overdue(self, now: str) -> bool:
        """Tell whether the gauge is past due at a time (UTC, as records have it)."""
        return bool(self.due) and now[:10] > self.due


def in_hand(state: State, operator: str, sort: str) -> GaugeNow | None:
    """Give the gauge of a sort that somebody has in hand, None where they have none."""
    gauge = state.in_hand.get((operator, sort))
    return None if gauge is None else state.gauges[gauge]


def is_traced(state: State, reading: Reading) -> bool:
    """Tell whether a reading has to name the gauge that it was taken with."""
    rules = state.plan.rules
    if reading.sort is not Sort.NUMBER or not reading.gauge:
        return False
    return reading.gauge in (*rules.gauges, *(rules.mastering.gauges if rules.mastering else ()))


def mastering_of(state: State, sort: str) -> Mastering | None:
    """Give the rule for zeroing gauges of a sort on a ring; None where they need none."""
    rule = state.plan.rules.mastering
    return rule if rule is not None and sort in rule.gauges else None


def why_not(
    state: State, gauge: GaugeNow, operator: str, now: str, expected: float | None = None
) -> tuple[str, str] | None:
    """Tell why a gauge may not be read with now, and what would clear that; None where it may.

    Args:
        state: the job.
        gauge: the gauge.
        operator: who reads it: a zero counts for whoever set it.
        now: the time, UTC as records have it; empty for that of the last entry.
        expected: the size to be read, mm, where it is known: it must be near the ring's.
    """
    now = now or state.time
    # A clock that was set back makes no gauge good again: the day of the last entry has been.
    if gauge.is_overdue(max(now, state.time)):
        return (
            f"{gauge.gauge} was due to be checked by {gauge.due}.",
            "Take another gauge, or have this one calibrated.",
        )
    rule = mastering_of(state, gauge.sort)
    if rule is None:
        return None
    check = gauge.check
    if check is not None and is_too_far(rule, check.size, expected):
        return (
            f"{gauge.gauge} is zeroed on {check.ring}, too far from the size that is expected here.",
            "Take a ring near that size and set the zero on it.",
        )
    stale = _stale(gauge, check, rule, operator, now)
    return (stale, "Check it on its ring and set the zero.") if stale else None


def is_too_far(rule: Mastering | None, ring: float, expected: float | None) -> bool:
    """Tell whether a ring is too far from a size that is to be read for a zero on it to count there.

    Args:
        rule: for zeroing gauges of the sort; None where they need no zero.
        ring: its size, mm.
        expected: the size to be read, mm; None where it is not known.
    """
    return rule is not None and expected is not None and abs(expected - ring) > rule.within + SLACK


def _stale(gauge: GaugeNow, check: Check | None, rule: Mastering, operator: str, now: str) -> str:
    """Tell why a gauge's zero does not count now; empty where it does."""
    if check is None:
        return f"{gauge.gauge} is not zeroed on a ring for this job."
    age = seconds_between(check.time, now)
    reasons = (
        (check.operator != operator, f"was zeroed by {check.operator}, and a zero counts for whoever set it."),
        (len(gauge.after) >= rule.readings, f"has taken {len(gauge.after)} readings since its zero."),
        (age > rule.seconds, f"was zeroed {age / 60:.0f} minutes ago; {rule.seconds / 60:.0f} is the most."),
        (age < -BEHIND, "was zeroed at a time that this clock has not come to: how old the zero is cannot be known."),
    )
    return next((f"{gauge.gauge} {why}" for applies, why in reasons if applies), "")


def seconds_between(earlier: str, later: str) -> float:
    """Give the seconds from one time to another, both UTC as records have them; 0 where a time cannot be read."""
    try:
        return (datetime.fromisoformat(later) - datetime.fromisoformat(earlier)).total_seconds()
    except ValueError:
        return 0.0


def has_drifted(state: State, gauge: GaugeNow, before: float) -> bool:
    """Tell whether a gauge that comes to its ring off by so much (mm) puts its last readings in doubt."""
    rule = mastering_of(state, gauge.sort)
    return rule is not None and abs(before) > rule.drift + SLACK


def of_the_work(
    state: State, gauge: GaugeNow, reading: Reading, *, ring: float, off: float, expected: float | None = None
) -> bool:
    """Tell whether what a gauge is said to show in its ring is a size of the work, and not the ring's.

    A drift that may be has the same figures as a bore that is near the ring: only where it came from tells them apart.

    Args:
        state: the job.
        gauge: the gauge.
        reading: what the gauge reads; within half a step of it two sizes are one.
        ring: the size of its ring, mm.
        off: by how much it is said to be off there, mm.
        expected: the size that is to be read next, mm, where it is known.
    """
    half = reading.resolution / 2 + SLACK
    if abs(off) <= half:
        return False
    read = {
        each.event.value
        for attempt in state.attempts.values()
        for taken in attempt.readings.values()
        for each in (taken, *taken.others)
        if each.number in gauge.after
    }
    return any(size is not None and abs(size - ring - off) <= half for size in (*read, expected))


def ring_slip(state: State, sort: str, reading: Reading, *, ring: float, off: float, typed: str) -> Doubt | None:
    """Give the slip that explains a figure far off in a ring, with what was meant; None where none does.

    Args:
        state: the job.
        sort: the sort of gauge.
        reading: what is read with it.
        ring: size of the ring, mm.
        off: what the gauge would be off by, mm.
        typed: the figure as it was typed.
    """
    rule = mastering_of(state, sort)
    if rule is None:
        return None
    near = (ring - KNOCKED * rule.drift, ring + KNOCKED * rule.drift)
    doubt = question(ring + off, near, reading, state.plan, typed=typed)
    return doubt if doubt is not None and doubt.offer is not None else None


def in_doubt(state: State, gauge: str, since: str = "") -> tuple[int, ...]:
    """Give the numbers of the readings that rest on a gauge's zero: taken with it since its last check.

    Args:
        state: the job.
        gauge: its id.
        since: leaves out what was read before this time.
    """
    known = state.gauges.get(gauge)
    if known is None:
        return ()
    standing = {}
    for attempt in state.attempts.values():
        for taken in attempt.readings.values():
            standing.update({each.number: each.time for each in (taken, *taken.others)})
    return tuple(number for number in known.after if number in standing and standing[number] > since)


def drift_words(index: PlanIndex, drift: float, sort: str = "") -> str:
    """Give by how much a gauge is off (mm), with its sign, in the unit of the readings that are taken with it.

    Args:
        index: that of the plan.
        drift: in mm, above zero where it shows too much.
        sort: of the gauge; empty where only its name is known: any that is zeroed on a ring is taken.
    """
    rule = index.plan.rules.mastering
    sorts = (sort,) if sort else rule.gauges if rule else ()
    lengths = (r for r in index.readings.values() if r.gauge in sorts and r.dimension == "length")
    reading = next(lengths, None)
    if reading is None:
        return f"{drift:+.4f} mm"
    unit = unit_of(index.plan, reading.unit, reading.dimension)
    shown = show(drift, unit, decimals(reading.resolution, unit) + 1)
    return f"{'+' if drift >= 0 else ''}{shown} {unit_sign(unit.name)}"
