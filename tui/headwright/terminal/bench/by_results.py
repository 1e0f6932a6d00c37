"""What the reading at hand is held to by results that move with it, as a clearance does, in words and figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.hole import hole_of
from headwright.job.show import decimals, unit_of
from headwright.job.verdict import Verdict
from headwright.terminal.bench.digits import short
from headwright.terminal.bench.scale import Held
from headwright.terminal.bench.verdicts import word_of, worst

if TYPE_CHECKING:
    from headwright.job.hole import Hole
    from headwright.procedure.plan import Reading
    from headwright.terminal.bench.hand import Hand, Live


class ByResults(NamedTuple):
    """Limits carried over from results: how a figure stands to them, and which result they come from.

    `places` are the decimals that tell the limits as they are.
    """

    limits: Held
    word: str
    style: str
    by: str
    places: int


def by_results(hand: Hand, reading: Reading, live: Live, value: float | None) -> ByResults | None:
    """Give what a figure (mm) of the reading at hand is held to by results; None where it is held by none."""
    held = hand.held()
    hole = hole_of(held, live.figures) if held else None
    if hole is None or (hole.low is None and hole.high is None):
        return None
    word, style = _verdict(hand, hole, value)
    by = next((figure.label.lower() for figure in hole.figures if figure.item != reading.name), "")
    return ByResults(Held(hole.low, hole.high, hole.guard), word, style, f"by {by}", _places(hand, reading, hole))


def _verdict(hand: Hand, hole: Hole, value: float | None) -> tuple[str, str]:
    """Say how a size alone stands to what the hole is held by."""
    if value is None:
        return "", "quiet"
    figures = hole.of_size(value)
    verdict = worst(figures)
    found = next((figure for figure in figures if figure.verdict is verdict), None)
    return ("", "now") if found is None or verdict is Verdict.OPEN else word_of(hand.state, found)


def _places(hand: Hand, reading: Reading, hole: Hole) -> int:
    """Give the decimals of the reading, and one more where a limit lies between two of its steps."""
    plan = hand.state.plan
    usual = decimals(reading.resolution, unit_of(plan, reading.unit, reading.dimension))
    ends = [end for end in (hole.low, hole.high) if end is not None]
    finer = any(float(short(plan, reading, e, usual)) != float(short(plan, reading, e, usual + 1)) for e in ends)
    return usual + 1 if finer else usual
