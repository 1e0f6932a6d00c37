"""How warm a head and its gauges were, when the head will have soaked, and what its warmth does to a size.

A part comes to the temperature of its room by Newton's law of cooling, so two temperatures and the time between them
tell how much longer it takes. What a size would be at 20 °C is only told: verdicts stay on the figure as it was read.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import ceil
from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.calc import CalcError
from headwright.calc.material import material
from headwright.calc.thermal import REFERENCE, at_20, grown, soak
from headwright.job.figures import Bench
from headwright.job.gauges import mastering_of, seconds_between
from headwright.job.show import decimals, show, unit_of, unit_sign
from headwright.job.sizing import FINISHED, PRE_SIZE
from headwright.job.verdict import SLACK
from headwright.procedure.plan import Sort, Unit

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import At, Attempt, State
    from headwright.procedure.plan import Operation, Reading, Result

    Typed = dict[PointKey, float]

SOAK = "soak"
"""The advice of a remedy that a head has to wait for its temperature."""
ROOM, PART, GAUGE = "room-temperature", "part-temperature", "gauge-temperature"
"""The roles of readings that tell a temperature."""
SHORTEST = 300.0
"""Seconds between two temperatures below which they tell nothing (our choice)."""
AGAIN = 10
"""Minutes after which a second temperature is asked for (common practice, no source)."""
CLEAR = 2
"""Graduations of the thermometer by which two temperatures must differ to tell anything (our choice)."""
REACH = 5.0
"""How far from 20 °C, in K, a size is still told for 20 °C (common practice, no source)."""
_TELLING = 0.1
"""Share of a reading's resolution below which what warmth does to a size is not worth telling."""
_BIT = 0.01
"""By how much a temperature is moved, K, to see what that does to what holds it."""
_METALS = (
    ("aluminium bronze", "bronze-c95400"),
    ("bronze", "bronze-c51000"),
    ("aluminium", "aluminium-356-t6"),
    ("iron", "grey-iron-30"),
)
"""What a family calls the metal of a head, and the metal whose expansion is taken; the first that fits."""


class Warmth(Struct, frozen=True):
    """A temperature on record: the mean of its points (°C), the time of the last of them, and the entry's number."""

    value: float
    time: str
    number: int


class Temperatures(Struct, frozen=True):
    """The last temperatures on record for a place; None where there is none."""

    room: Warmth | None = None
    part: Warmth | None = None
    gauge: Warmth | None = None


class Forecast(Struct, frozen=True):
    """When a head will have soaked.

    `say` tells it, or why it cannot be told. `done` is the time (UTC, as records have it) at which the head should be
    in its limit, empty where that cannot be told; `left` are the seconds from the time asked until then, 0 when past.
    """

    say: str
    done: str = ""
    left: float = 0.0


class Correction(Struct, frozen=True):
    """What warmth does to a size: what it would be at 20 °C and by how much it differs from what was read, in mm.

    Both are None where the metal is not known, or where it is too far from 20 °C to tell; `say` tells that then.
    """

    say: str
    size: float | None = None
    difference: float | None = None


def temperatures(state: State, place: str, before: int = 0) -> Temperatures:
    """Give the last temperatures on record for a place, of those taken there or at a wider place around it.

    Args:
        state: the job.
        place: a head, or a place inside it.
        before: leaves out what was recorded from this entry on; 0 for nothing.
    """
    found = (_series(state, place, role, before) for role in (ROOM, PART, GAUGE))
    return Temperatures(*(series[-1] if series else None for series in found))


def _series(state: State, place: str, role: str, before: int = 0, *, since_done: bool = False) -> list[Warmth]:
    """Give the temperatures of a role that concern a place, in order, those of attempts set aside among them.

    `since_done` leaves out those of attempts that were completed: the head was at temperature then, and was warmed.
    """
    found: dict[int, Warmth] = {}
    around = (place, *state.index.places[place].within)
    for (operation, name), reading in state.index.readings.items():
        if reading.role != role or reading.sort is not Sort.NUMBER:
            continue
        for at in ((operation, where) for where in around):
            past = tuple(a for a in state.past.get(at, ()) if not (since_done and a.closed))
            for attempt in (*past, state.attempt(*at)):
                warmth = _warmth(attempt, name, before)
                if warmth is not None:
                    found[warmth.number] = warmth
    return [found[number] for number in sorted(found)]


def _warmth(attempt: Attempt, name: str, before: int) -> Warmth | None:
    taken = [t for key, t in attempt.readings.items() if key[0] == name and not (before and t.number >= before)]
    values = [value for t in taken if (value := t.value) is not None]
    if not values:
        return None
    last = max(taken, key=lambda t: t.number)
    return Warmth(sum(values) / len(values), last.time, last.number)


def soaking(operation: Operation) -> tuple[Reading, Reading | Result] | None:
    """Give the part's temperature and what holds it, where an operation names waiting as the way out of that."""
    part = next((r for r in operation.readings if r.role == PART), None)
    items: tuple[Reading | Result, ...] = (*operation.results, *operation.readings)
    held = next((item for item in items if any(remedy.advise == SOAK for remedy in item.remedies)), None)
    return None if part is None or held is None else (part, held)


def soak_forecast(state: State, at: At, now: str = "") -> Forecast | None:
    """Tell how much longer a part has to soak, from its last two temperatures and that of the room.

    Args:
        state: the job.
        at: the operation in which the temperatures are taken, and the place.
        now: the time, UTC as records have it; empty for that of the last entry.

    Returns:
        The forecast; None where nothing waits for a temperature there, none is on record, or it is in its limit.

    Source: Newton's law of cooling; its time constant from the two temperatures.
    """
    operation = state.index.operations[at[0]]
    known = soaking(operation)
    if known is None:
        return None
    part = known[0]
    parts = _series(state, at[1], PART, since_done=True)
    last = temperatures(state, at[1])
    ambient = last.room or last.gauge
    if not parts or ambient is None:
        return None
    later = parts[-1]
    target = _target(state, at, known, later, {ROOM: last.room, GAUGE: last.gauge})
    if target is None:
        return None
    unit = unit_of(state.plan, part.unit, part.dimension)
    words = _Degrees(unit, decimals(part.resolution, unit))
    if not min(later.value, ambient.value) < target < max(later.value, ambient.value):
        return Forecast(
            f"It settles at the room's {words.say(ambient.value)}, and is in its limit from {words.say(target)} only: "
            "lay gauge and ring in the same room beside it."
        )
    return _forecast(parts, ambient, abs(target - ambient.value), (part, words), now or state.time)


class _Degrees(Struct, frozen=True):
    """Temperatures in the unit of a reading."""

    unit: Unit
    places: int

    def say(self, value: float) -> str:
        return f"{show(value, self.unit, self.places)} {unit_sign(self.unit.name)}"


def _target(
    state: State, at: At, known: tuple[Reading, Reading | Result], later: Warmth, beside: dict[str, Warmth | None]
) -> float | None:
    """Give the part's temperature (°C) at which what holds it meets its limit; None where it does, or has none.

    The part's temperature alone is moved; the others stay as they were read last.
    """
    operation, (part, held) = state.index.operations[at[0]], known

    def figure(value: float) -> Figure:
        typed: Typed = dict.fromkeys(state.index.points(operation.id, part.name), value)
        for reading in operation.readings:
            warmth = beside.get(reading.role)
            if warmth is not None:
                typed |= dict.fromkeys(state.index.points(operation.id, reading.name), warmth.value)
        return Bench(state, operation, at[1], typed).figure(held.name)

    here, moved = figure(later.value), figure(later.value + _BIT)
    if here.least is None or here.most is None or moved.least is None or moved.most is None:
        return None
    ends = ((here.low, here.least, moved.least, -1.0), (here.high, here.most, moved.most, 1.0))
    for limit, value, other, side in ends:
        slope = (other - value) / _BIT
        if limit is not None and (value - limit) * side > SLACK and slope:
            return later.value + (limit - value) / slope
    return None


def _forecast(
    parts: list[Warmth], ambient: Warmth, within: float, told: tuple[Reading, _Degrees], now: str
) -> Forecast:
    part, words = told
    later = parts[-1]
    again = f"take it again after {AGAIN} minutes, and the wait can be told"
    apart = [(earlier, seconds_between(earlier.time, later.time)) for earlier in parts[:-1]]
    if not apart:
        return Forecast(f"One temperature is on record: {again}.")
    earlier, seconds = next((pair for pair in reversed(apart) if pair[1] >= SHORTEST), (None, 0.0))
    if earlier is None:
        return Forecast(f"The last two temperatures are less than {SHORTEST / 60:g} minutes apart: {again}.")
    went = f"it went from {words.say(earlier.value)} to {words.say(later.value)} in {seconds / 60:.0f} minutes"
    room = f"the room at {words.say(ambient.value)}"
    if abs(later.value - earlier.value) < CLEAR * part.resolution - SLACK:
        return Forecast(f"How long cannot be told: {went}, too little to tell; {again}.")
    try:
        found = soak(first=earlier.value, later=later.value, interval=seconds, ambient=ambient.value, within=within)
    except CalcError:
        return Forecast(f"How long cannot be told: {went}, no nearer to {room}. Look at the probe, and what warms it.")
    done = datetime.fromisoformat(later.time) + timedelta(seconds=found.remaining)
    moment = done.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    left = max(0.0, seconds_between(now, moment))
    if not left:
        return Forecast("It should have soaked by now: take the temperatures again.", moment)
    return Forecast(f"About {_minutes(left)} more: {went}, {room}.", moment, left)


def _minutes(seconds: float) -> str:
    """Give a time in whole minutes, rounded up; from an hour on to five."""
    grain = 1 if seconds < 3600 else 5
    minutes = ceil(seconds / 60 / grain - 1e-9) * grain
    return "1 minute" if minutes == 1 else f"{minutes} minutes"


def soak_words(state: State, at: At, now: str = "") -> str:
    """Say how much longer a part has to soak; empty where there is nothing to say. See `soak_forecast`."""
    forecast = soak_forecast(state, at, now)
    return "" if forecast is None else forecast.say


def correction(state: State, reading: Reading, place: str, value: float, before: int = 0) -> Correction | None:
    """Tell what a hole in the head would measure at 20 °C. It is only told: the figure as read is what counts.

    Holes are what is read with a gauge that is zeroed on a ring, and the sizes before and after sizing. They are taken
    to follow the metal of the head, as a thin liner does; gauge and ring are taken for steel.

    Args:
        state: the job.
        reading: what was read.
        place: where.
        value: the figure as read, mm.
        before: the number of its entry: later temperatures do not count; 0 for one being typed.

    Returns:
        The correction; None where no temperatures are on record, the metal of the head is not known, or it makes less
        than a tenth of the reading's resolution.

    Source: ISO 1, 20 °C; expansion of each metal as `calc.material` names it.
    """
    if not _is_hole(state, reading) or value <= 0:
        return None
    found = temperatures(state, place, before)
    head, gauge = found.part, found.gauge or found.room
    metal = state.plan.facts.get("head", "")
    key = next((key for word, key in _METALS if word in metal), "")
    if head is None or gauge is None or not key:
        return None
    warm = f"head {head.value:.1f} °C, gauge {gauge.value:.1f} °C"
    if max(abs(head.value - REFERENCE), abs(gauge.value - REFERENCE)) > REACH + SLACK:
        reach = f"{REFERENCE - REACH:g} to {REFERENCE + REACH:g} °C"
        return Correction(f"Not to be told for {REFERENCE:g} °C ({warm}): both must come to {reach} first.")
    steel, follows = material("gauge-steel").expansion.value, material(key).expansion.value
    size = at_20(grown(value, steel, gauge.value), follows, head.value).size
    difference = size - value
    if abs(difference) < _TELLING * reading.resolution:
        return None
    unit = unit_of(state.plan, reading.unit, reading.dimension)
    places = decimals(reading.resolution, unit) + 1
    by = f"{show(abs(difference), unit, places)} {unit_sign(unit.name)} {'more' if difference > 0 else 'less'}"
    said = f"At {REFERENCE:g} °C {show(size, unit, places)} {unit_sign(unit.name)}, {by} ({warm}; the hole follows "
    return Correction(f"{said}the {metal.replace('-', ' ')}). The figure as read counts.", size, difference)


def _is_hole(state: State, reading: Reading) -> bool:
    if reading.sort is not Sort.NUMBER or reading.dimension != "length":
        return False
    return reading.role in {PRE_SIZE, FINISHED} or mastering_of(state, reading.gauge) is not None
