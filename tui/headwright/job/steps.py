"""What a program is run with: where its readings stand, its steps, and so much of both as is asked for at a place.

Every number has a slot. The readings go into theirs, and each step works one more out from those before it. What is
missing is kept as bits of a whole number, one a slot, and a step that needs any of it is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from headwright.calc import NotEnough

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from headwright.job.index import PointKey
    from headwright.job.state import Taken
    from headwright.procedure.formula import Compiled, Grid
    from headwright.procedure.plan import Operation, Reading, Result

NONE = 0
"""The slot that stays empty: of a formula that is not given."""
WORDS = -1
"""Instead of a slot, where words are written down: they are no number to work out."""
NO_ANSWER = (NotEnough, ArithmeticError, ValueError)
"""What a step may raise where its readings do not make a number."""


class Source(NamedTuple):
    """A reading, or one station of it, that is looked for at a place."""

    slot: int
    bit: int
    agree: float | None
    points: tuple[PointKey, ...]
    across: int
    """Angles at each station."""
    single: bool
    """Whether it is one number, not a grid. A grid has the slot after its own for its figures in one line."""
    pick: Callable[[Any], Taken | Sequence[Taken]]
    """Takes what stands at the points out of all readings, a single one by itself; a KeyError where one is missing."""
    cut: Callable[[Sequence[float]], Grid]
    """Cuts the figures of all points into one row a station."""


class Step(NamedTuple):
    """One number worked out from those before it."""

    slot: int
    bit: int
    needs: int
    run: Compiled
    whole: Compiled
    """The same where every point of every reading is there and finite."""


class Ends(NamedTuple):
    """Where the ends of a limit stand, and what has to be there for the limit to be known."""

    low: int
    high: int
    known: int


class Held(NamedTuple):
    """Where the figure of a reading or result stands: its ends, its limits, and the readings that it rests on."""

    item: Reading | Result
    name: str
    label: str
    unit: str
    resolution: float
    least: int
    most: int
    low: int
    high: int
    known: int
    rests: int
    pair: bool
    judged: bool
    proof: bool

    @property
    def wanted(self) -> int:
        """All slots that the figure takes."""
        ends = () if self.least == WORDS else (self.least, self.most, self.low, self.high)
        return bits(*ends) | self.known | self.rests


class Part(NamedTuple):
    """So much of a program as some slots take: values to begin with, what is missing, what to look for and to do."""

    values: list[Any]
    missing: int
    sources: tuple[tuple[Operation, bool, tuple[Source, ...]], ...]
    """By operation, and whether that one stands at this very place, whatever else was decided."""
    steps: tuple[Step, ...]
    needs: int
    whole: tuple[tuple[int, Compiled], ...]
    """All that the steps need, and the steps where that is there and every reading whole: slot, and what goes in."""


class Setting:
    """A program at the places of one kind on one repair: what rests on the family alone is worked out already."""

    def __init__(
        self,
        sources: Sequence[tuple[Operation, bool, Source]],
        steps: Sequence[Step],
        given: Mapping[int, float | None],
        size: int,
    ) -> None:
        self._sources = sources
        self._values: list[Any] = [None] * size
        self._missing = fixed = bits(NONE)
        for slot, value in given.items():
            self._values[slot] = value
            fixed |= bits(slot)
            self._missing |= (value is None) << slot
        left = []
        for step in steps:
            if step.needs & ~fixed and not step.needs & self._missing:
                left.append(step)
            else:
                self._missing = _one_by_one((step,), self._values, self._missing)
                fixed |= step.bit
        self._steps = tuple(left)
        self._parts: dict[int, Part] = {}

    def part(self, wanted: int) -> Part:
        """Give what has to be done to fill some slots, given as bits; kept, for few are ever asked for."""
        part = self._parts.get(wanted)
        if part is None:
            part = self._parts[wanted] = self._part(wanted)
        return part

    def _part(self, wanted: int) -> Part:
        steps: list[Step] = []
        needs = 0
        for step in reversed(self._steps):
            if step.bit & (wanted | needs):
                steps.insert(0, step)
                needs |= step.needs
        sources: dict[str, tuple[Operation, bool, tuple[Source, ...]]] = {}
        for operation, here, source in self._sources:
            if source.bit & (wanted | needs):
                *_, before = sources.get(operation.id, (operation, here, ()))
                sources[operation.id] = (operation, here, (*before, source))
        whole = tuple((step.slot, step.whole) for step in steps)
        return Part(self._values, self._missing, tuple(sources.values()), tuple(steps), needs, whole)


def work_out(part: Part, values: list[Any], missing: int, *, whole: bool) -> int:
    """Work a part's steps out, into their slots; give what is missing then.

    Args:
        part: the part of a program.
        values: its slots, with the readings in theirs; those that have no answer stay empty.
        missing: bits of the slots that are empty.
        whole: whether all its readings have every point there and finite.
    """
    if whole and not part.needs & missing:
        try:
            for slot, run in part.whole:
                values[slot] = run(values)
        except NO_ANSWER:
            pass
        else:
            return missing
    return _one_by_one(part.steps, values, missing)


def _one_by_one(steps: Iterable[Step], values: list[Any], missing: int) -> int:
    """Work steps out where all is there that they need; a slot stays empty where there is no answer."""
    for slot, bit, needs, run, _ in steps:
        values[slot] = None
        if not needs & missing:
            try:
                values[slot] = run(values)
            except NO_ANSWER:
                missing |= bit
        else:
            missing |= bit
    return missing


def bits(*slots: int) -> int:
    """Give the bits of slots."""
    found = 0
    for slot in slots:
        found |= 1 << slot
    return found
