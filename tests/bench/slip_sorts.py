"""The figures of the sample jobs, each as it was when it was read, and the slips that are seeded into them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from msgspec import structs

from headwright.job.entry import Misread, entered
from headwright.job.events import ReadingStruck, ReadingTaken
from headwright.job.evolve import evolve
from headwright.job.figures import Bench
from headwright.job.nearby import FEWEST, around
from headwright.job.show import decimals, unit_of
from headwright.job.slips import Doubt, Nearby, question
from headwright.job.state import State, begin
from headwright.procedure.kit import load_kit
from headwright.store.record import read_record

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

    from headwright.procedure.plan import Plan, Reading


SAMPLES = Path(__file__).parents[2] / "sample_jobs"
OTHERS = {
    "in": ("mm",),
    "mm": ("in",),
    "degC": ("degF",),
    "degF": ("degC",),
    "psi": ("kPa", "bar"),
    "kPa": ("inHg", "psi"),
    "inHg": ("kPa",),
    "lbf": ("N",),
    "N": ("lbf",),
}
"""Units that are taken for one another."""


class Case(NamedTuple):
    """A figure of a sample job, as it was when it was read."""

    plan: Plan
    reading: Reading
    window: tuple[float, float] | None
    nearby: Nearby
    tags: frozenset[str]
    event: ReadingTaken
    value: float
    before: State | None
    """The job as it stood, kept where the figure is the last of a place of many points."""


class Slip(NamedTuple):
    """A figure as it arrives after a slip: its text, and the size that the gauge was mastered at for `+2`."""

    typed: str
    master: float | None = None


def cases() -> list[Case]:
    """Give every good figure of the sample jobs: all but those that the stories tell as slips."""
    kit = load_kit(SAMPLES / "kit.toml")
    ids = {*(g.id for g in kit.gauges), *(r.id for r in kit.rings), *(b.id for b in kit.balls)}
    found = []
    for path in sorted(SAMPLES.glob("1*.toml")):
        record = read_record(path)
        struck = {e.event.number for e in record.entries if isinstance(e.event, ReadingStruck)}
        state = begin(record.plan)
        for entry in record.entries:
            event = entry.event
            slip = isinstance(event, ReadingTaken) and event.questioned and entry.number in struck
            if isinstance(event, ReadingTaken) and event.value is not None and not slip:
                found.append(_case(state, event, event.value, frozenset((*ids, state.job, state.tag))))
            state = evolve(state, entry)
    return found


def _case(state: State, event: ReadingTaken, value: float, tags: frozenset[str]) -> Case:
    reading = state.index.readings[event.operation, event.reading]
    window = Bench(state, state.index.operations[event.operation], event.place).window(reading)
    points = state.index.points(event.operation, event.reading)
    standing = state.writing(event.operation, event.place).readings
    last = len(points) >= FEWEST and sum(point in standing for point in points) == len(points) - 1
    bare = structs.replace(event, questioned="")
    return Case(state.plan, reading, window, around(state, bare), tags, bare, value, state if last else None)


def asked(case: Case, slip: Slip) -> tuple[float | None, Doubt | Misread | None]:
    """Read a text at the point of a case as the bench does; give the figure, and what is said against it."""
    read = entered(slip.typed, case.reading, case.plan, window=case.window, master=slip.master, tags=case.tags)
    if isinstance(read, Misread):
        return None, read
    assert read.value is not None
    doubt = question(
        read.value,
        case.window,
        case.reading,
        case.plan,
        typed=read.typed,
        unit=read.unit,
        nearby=case.nearby,
        tags=case.tags,
    )
    return read.value, doubt


def number(case: Case) -> Decimal:
    """Give the figure as a number in its unit, as it was typed."""
    unit = unit_of(case.plan, case.event.unit, case.reading.dimension)
    return Decimal(f"{(case.value - unit.offset) / unit.factor:.{decimals(case.reading.resolution, unit)}f}")


def point(case: Case, dice: random.Random) -> Slip:
    """Move the decimal point, by one place mostly."""
    return Slip(f"{number(case).scaleb(dice.choice((-4, -3, -2, -1, -1, -1, 1, 1, 1, 2, 3, 4))):f}")


def _turned(case: Case, dice: random.Random, turn: float) -> Slip:
    count = dice.choice((1, 1, 1, 1, 2, 2, 3, 4, 5, 8)) * dice.choice((-1, 1))
    unit = unit_of(case.plan, case.event.unit, "length")
    return Slip(f"{(case.value + count * turn) / unit.factor:.{decimals(case.reading.resolution, unit)}f}")


def own_turn(case: Case, dice: random.Random) -> Slip:
    """Misread whole turns of a thimble that is divided in the unit of the reading."""
    return _turned(case, dice, 0.635 if case.event.unit == "in" else 0.5)


def other_turn(case: Case, dice: random.Random) -> Slip:
    """Misread whole turns of a thimble of the other system."""
    return _turned(case, dice, 0.5 if case.event.unit == "in" else 0.635)


def unit_left_out(case: Case, dice: random.Random) -> Slip:
    """Read a gauge in another unit, and type its figure bare."""
    unit = unit_of(case.plan, dice.choice(OTHERS[case.event.unit]), case.reading.dimension)
    return Slip(f"{(case.value - unit.offset) / unit.factor:.{decimals(case.reading.resolution, unit)}f}")


def unit_behind(case: Case, dice: random.Random) -> Slip:
    """Type the wrong unit behind a figure."""
    return Slip(f"{number(case)} {dice.choice(OTHERS[case.event.unit])}")


def swapped(case: Case, dice: random.Random) -> Slip:
    """Swap two digits that follow one another, the point between them or not."""
    text = list(str(number(case)))
    spots = [i for i, c in enumerate(text) if c.isdigit()]
    at = dice.randrange(max(1, len(spots) - 1))
    i, j = spots[at], spots[min(at + 1, len(spots) - 1)]
    text[i], text[j] = text[j], text[i]
    return Slip("".join(text))


def sign(case: Case, dice: random.Random) -> Slip:
    """Turn the sign of a figure round."""
    del dice
    return Slip(f"{-number(case)}")


def comparator_sign(case: Case, dice: random.Random) -> Slip:
    """Turn the sign of a comparing gauge round, zeroed on a ring up to fifty graduations away."""
    count = dice.choice((-1, 1)) * dice.randint(1, 50)
    return Slip(f"{-count:+d}", case.value - count * case.reading.resolution)


def repeated(case: Case, dice: random.Random) -> Slip:
    """Send a figure again that was just taken nearby."""
    return Slip(dice.choice(case.nearby.recent).typed if case.nearby.recent else str(number(case)))


def _is_length(case: Case) -> bool:
    return case.reading.dimension == "length"


def _compares(case: Case) -> bool:
    places = decimals(case.reading.resolution, unit_of(case.plan, case.reading.unit, case.reading.dimension))
    return _is_length(case) and places >= 3 and case.event.unit == case.reading.unit


class Kind(NamedTuple):
    """A sort of slip in a figure: how it is made, which readings can have it, and what it is called when it is met."""

    title: str
    make: Callable[[Case, random.Random], Slip]
    fits: Callable[[Case], bool]
    name: str
    offers: bool = True


KINDS = (
    Kind("decimal place", point, lambda _: True, "a decimal place"),
    Kind("thimble turns", own_turn, _is_length, "turn"),
    Kind("turns of the other system", other_turn, _is_length, "turn"),
    Kind("other unit, not said", unit_left_out, lambda c: c.event.unit in OTHERS, " instead of "),
    Kind("wrong unit behind the figure", unit_behind, lambda c: c.event.unit in OTHERS, " instead of "),
    Kind("digits swapped", swapped, lambda _: True, "two digits swapped"),
    Kind("sign", sign, lambda _: True, " sign"),
    Kind("sign of a comparing gauge", comparator_sign, _compares, " sign"),
    Kind("figure of a neighbour", repeated, lambda c: bool(c.nearby.recent), "a figure repeated", offers=False),
)
