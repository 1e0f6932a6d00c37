"""Gauges in words and figures: which may be taken, which ring is near, what a gauge shows in it. No screen in here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.agenda import point_words
from headwright.job.entry import Misread, entered
from headwright.job.events import GaugeTaken
from headwright.job.figures import Bench
from headwright.job.gauges import GaugeNow, in_doubt, in_hand, is_too_far, is_traced, mastering_of, seconds_between
from headwright.job.show import decimals, unit_of
from headwright.job.verdict import SLACK
from headwright.procedure.plan import Sort
from headwright.terminal.bench.digits import short, where, with_unit

if TYPE_CHECKING:
    from headwright.job.state import State
    from headwright.procedure.kit import Gauge, Kit
    from headwright.procedure.plan import Operation, Reading

FARTHEST = 0.5
"""mm: what a gauge shows farther from its ring is a slip, and no drift (our choice: a turn of a metric thimble)."""

OLD = 48 * 60
"""Minutes from which an age is told in days."""


class GaugeLine(NamedTuple):
    """A gauge that may be chosen: what is recorded when it is, what is said of it, and why it may not be."""

    taken: GaugeTaken
    say: str
    barred: str = ""
    at_hand: bool = False


class RingLine(NamedTuple):
    """A ring that may be chosen: its size and expanded uncertainty (mm), what is said of it, and why it may not be."""

    ring: str
    size: float
    uncertainty: float
    say: str
    barred: str = ""


def reading_with(state: State, sort: str, operation: str = "") -> Reading | None:
    """Give a length that is read with a sort of gauge: in an operation, else anywhere; None where there is none."""
    found = [
        (key, r) for key, r in state.index.readings.items()
        if r.gauge == sort and r.sort is Sort.NUMBER and r.dimension == "length"
    ]  # fmt: skip
    return next((r for key, r in sorted(found, key=lambda each: each[0][0] != operation)), None)


def expected_at(state: State, operation: Operation, place: str, reading: Reading) -> float | None:
    """Give the size that is expected at a place, mm; None where none is, or it is no length."""
    if reading.dimension != "length" or place not in state.index.places_of(operation):
        return None
    return Bench(state, operation, place).value(reading.expect)


def gauge_lines(state: State, operator: str, sort: str, kit: Kit | None, now: str) -> list[GaugeLine]:
    """Give the gauges of a sort: the one in hand, then those used last in this job, then the others of the kit."""
    at_hand = in_hand(state, operator, sort)
    found = {g.id: _from_kit(state, g, now) for g in (kit.gauges if kit else ()) if g.sort == sort}
    for known in state.gauges.values():
        if known.sort == sort and known.gauge not in found:
            found[known.gauge] = _named(known, now)
    lines = [
        line._replace(at_hand=at_hand is not None and line.taken.gauge == at_hand.gauge) for line in found.values()
    ]
    return sorted(lines, key=lambda line: (bool(line.barred), not line.at_hand, -_last_used(state, line.taken.gauge)))


def _from_kit(state: State, gauge: Gauge, now: str) -> GaugeLine:
    taken = GaugeTaken(gauge.id, gauge.sort, gauge.resolution, gauge.uncertainty, gauge.due)
    if gauge.is_overdue(now[:10]):
        return GaugeLine(taken, "", f"Overdue since {gauge.due}: it is calibrated before it is read again.")
    reading = reading_with(state, gauge.sort)
    unsure = f"±{size_words(state, reading, gauge.uncertainty)}, " if reading and gauge.uncertainty else ""
    return GaugeLine(taken, f"{unsure}due {gauge.due}")


def _named(known: GaugeNow, now: str) -> GaugeLine:
    taken = GaugeTaken(known.gauge, known.sort, known.resolution, known.uncertainty, known.due)
    if known.is_overdue(now):
        return GaugeLine(taken, "", f"Overdue since {known.due}: it is calibrated before it is read again.")
    return GaugeLine(taken, "named by hand: it has no date on which it is due" if not known.due else f"due {known.due}")


def _last_used(state: State, gauge: str) -> int:
    known = state.gauges.get(gauge)
    if known is None:
        return 0
    checked = 1 if known.check is None else known.check.number
    return max(checked, *known.after, 1)


def only_one(state: State, operator: str, sort: str, kit: Kit | None, now: str) -> GaugeTaken | None:
    """Give the gauge that is taken without a question: the kit's only usable one of a sort that needs no zero."""
    if kit is None or mastering_of(state, sort) is not None:
        return None
    usable = [line.taken for line in gauge_lines(state, operator, sort, kit, now) if not line.barred]
    return usable[0] if len(usable) == 1 else None


def ring_lines(state: State, sort: str, kit: Kit | None, expected: float | None, now: str) -> list[RingLine]:
    """Give the kit's rings: those within reach of the size expected first (mm, None: unknown), the nearest first."""
    rule, reading = mastering_of(state, sort), reading_with(state, sort)
    lines = []
    for ring in kit.rings if kit else ():
        size = "" if reading is None else size_words(state, reading, ring.size)
        off = 0.0 if expected is None else abs(ring.size - expected)
        say, barred = size, ""
        if ring.is_overdue(now[:10]):
            say, barred = "", f"{size}, overdue since {ring.due}."
        elif is_too_far(rule, ring.size, expected) and reading is not None and expected is not None:
            say, barred = "", f"{size}, too far from {with_unit(state.plan, reading, expected)}, expected here."
        lines.append((off, RingLine(ring.id, ring.size, ring.uncertainty, say, barred)))
    return [line for _, line in sorted(lines, key=lambda each: (bool(each[1].barred), each[0]))]


def shown_in_ring(state: State, reading: Reading, ring: str, size: float, typed: str) -> float | Misread:
    """Give what a gauge is off by in a ring (mm), from what it shows there.

    Args:
        state: the job.
        reading: what the gauge reads; its resolution is one graduation.
        ring: the ring's name.
        size: the ring's size, mm.
        typed: graduations off the ring (`0`, `+1`, `-0.5`), or the full size (`.31305`).
    """
    text = typed.strip()
    if text and not text.strip("0.,"):
        return 0.0
    read = entered(text, reading, state.plan, window=(size - FARTHEST, size + FARTHEST), master=size)
    if isinstance(read, Misread):
        return read
    off = (read.value or 0.0) - size
    if abs(off) > FARTHEST:
        return Misread(
            f"'{text[:20]}' is far from {ring}: type 0, graduations off it with their sign (+1, -0.5), or the size "
            f"that the gauge shows, near {short(state.plan, reading, size, _finer(state, reading))}."
        )
    return off


def rests_on(state: State, gauge: str) -> list[str]:
    """Say in words which readings rest on a gauge's zero: an operation, a place, and how many of which reading."""
    found: dict[str, int] = {}
    for number in in_doubt(state, gauge):
        words = reading_words(state, number, point=False)
        found[words] = found.get(words, 0) + 1
    return [f"{words} ({count})" if count > 1 else words for words, count in found.items()]


def reading_words(state: State, number: int, *, point: bool = True) -> str:
    """Say which reading an entry is: operation, place, label, and its point."""
    (operation, place), key = state.where[number]
    label = state.index.readings[operation, key[0]].label
    words = point_words(label, key) if point else label
    return f"{state.index.operations[operation].title}, {where(state, place)}: {words}"


def with_words(state: State, operator: str, reading: Reading, now: str) -> str:
    """Say which gauge is in hand for a reading, and how old its zero is; empty where the reading asks for none.

    Before the last reading that a zero counts for, it says that the ring comes next.
    """
    if not is_traced(state, reading):
        return ""
    gauge = in_hand(state, operator, reading.gauge)
    if gauge is None:
        return f"no {reading.gauge} in hand"
    age = zero_words(state, gauge, now)
    rule = mastering_of(state, gauge.sort)
    last = rule is not None and gauge.check is not None and rule.readings - len(gauge.after) == 1
    return f"with {gauge.gauge}{', ' if age else ''}{age}{', then the ring' if last else ''}"


def zero_words(state: State, gauge: GaugeNow, now: str) -> str:
    """Say how old a gauge's zero is: `zero 12 min, 6 readings`, `zero 3 days old, …`; empty for one that needs none."""
    if mastering_of(state, gauge.sort) is None:
        return ""
    if gauge.check is None:
        return "not zeroed"
    minutes = int(max(0.0, seconds_between(gauge.check.time, now)) // 60)
    count = len(gauge.after)
    age = (
        f"{minutes} min" if minutes < 120 else f"{minutes // 60} h" if minutes < OLD else f"{minutes // 1440} days old"
    )
    return f"zero {age}, {count} {'reading' if count == 1 else 'readings'}"


def size_words(state: State, reading: Reading, size: float) -> str:
    """Give a size (mm) one decimal finer than the reading is taken, with its unit: `.31302 in`."""
    return with_unit(state.plan, reading, size, _finer(state, reading))


def off_words(state: State, reading: Reading, off: float) -> str:
    """Give what a gauge is off by (mm), with its sign and unit: `+.00010 in`."""
    return f"{'+' if off > SLACK else ''}{size_words(state, reading, off)}"


def _finer(state: State, reading: Reading) -> int:
    return decimals(reading.resolution, unit_of(state.plan, reading.unit, reading.dimension)) + 1
