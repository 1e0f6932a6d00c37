"""What the reading at hand is held to by results that move with it, as a clearance does, in words and figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.hole import hole_of
from headwright.job.show import decimals, unit_of
from headwright.job.verdict import Verdict
from headwright.terminal.bench.digits import short
from headwright.terminal.bench.scale import Held
from headwright.terminal.bench.verdicts import look_of, marked, worst

if TYPE_CHECKING:
    from headwright.job.hole import Hole
    from headwright.procedure.plan import Reading
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.bench.typed import Live


class ByResults(NamedTuple):
    """Limits carried over from results: how a figure stands to them, and which result they come from.

    `look` is the style of the figure and `style` that of the word; `places` are the decimals that tell the limits as
    they are; `proof` tells that they have to be proved.
    """

    limits: Held
    word: str
    style: str
    look: str
    by: str
    places: int
    proof: bool


def by_results(hand: Hand, reading: Reading, live: Live, value: float | None) -> ByResults | None:
    """Give what a figure (mm) of the reading at hand is held to by results; None where it is held by none."""
    held = hand.held()
    hole = hole_of(held, live.figures) if held else None
    if hole is None or (hole.low is None and hole.high is None):
        return None
    word, style, look = _verdict(hand, hole, value)
    by = next((figure.label.lower() for figure in hole.figures if figure.item != reading.name), "")
    proof = any(figure.proof for figure in hole.figures)
    limits, places = Held(hole.low, hole.high, hole.guard), _places(hand, reading, hole)
    return ByResults(limits, word, style, look, f"by {by}", places, proof)


def _verdict(hand: Hand, hole: Hole, value: float | None) -> tuple[str, str, str]:
    """Say how a size alone stands to what the hole is held by, and give the styles of the word and of the size."""
    if value is None:
        return "", "", ""
    figures = hole.of_size(value)
    verdict = worst(figures)
    found = next((figure for figure in figures if figure.verdict is verdict), None)
    return ("", "", "") if found is None or verdict is Verdict.OPEN else (*marked(hand.state, found), look_of(found))


def _places(hand: Hand, reading: Reading, hole: Hole) -> int:
    """Give the decimals of the reading, and one more where a limit lies between two of its steps."""
    plan = hand.state.plan
    usual = decimals(reading.resolution, unit_of(plan, reading.unit, reading.dimension))
    ends = [end for end in (hole.low, hole.high) if end is not None]
    finer = any(float(short(plan, reading, e, usual)) != float(short(plan, reading, e, usual + 1)) for e in ends)
    return usual + 1 if finer else usual
