"""What the strip draws to scale: the figure at hand in what it is held to or expected in, each result in its limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len

from headwright.job.entry import Entered
from headwright.job.figures import Bench
from headwright.job.show import unit_sign
from headwright.terminal.bench.by_results import by_results
from headwright.terminal.bench.digits import item_of, places_of, short, span, usual_width, with_unit
from headwright.terminal.bench.grid import LONG_WORD, PROOF_WORD, WORD, Scale
from headwright.terminal.bench.scale import Held
from headwright.terminal.bench.verdicts import look_of, marked
from headwright.terminal.drawn import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.job.figures import Figure
    from headwright.job.state import State, Taken
    from headwright.procedure.plan import Reading, Result
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.bench.spots import Spot
    from headwright.terminal.bench.typed import Live

_LEAST_GRAIN = 1e-9

PLAUSIBLE = "possible"
"""Said of a figure that is no slip, and held to nothing."""


def taken_at(hand: Hand) -> Taken | None:
    """Give what is on record at the cursor."""
    spot = hand.spot
    if spot is None or spot.point is None:
        return None
    return hand.state.writing(hand.operation_id, spot.place).readings.get(spot.point)


def own_scale(hand: Hand, reading: Reading, spot: Spot, live: Live, neighbours: Sequence[float]) -> Scale:
    """Give the scale of the figure at hand: what it is held to, else the span in which it is expected.

    Args:
        hand: what is at hand.
        reading: the reading at hand, a figure.
        spot: where it is.
        live: what the typed text would mean and come to.
        neighbours: what other places have at the same point, in canonical units.
    """
    taken = None if live.begun else taken_at(hand)
    value = live.read.value if isinstance(live.read, Entered) else taken.value if taken else None
    base = _scale(hand.state, reading, Held(None, None), None)._replace(
        usual=usual_width(hand.state.plan, reading) + 1 + cell_len(unit_sign(reading.unit)),
        figure=None if value is None else (value, value),
        neighbours=tuple(neighbours),
    )
    text = "" if value is None else with_unit(hand.state.plan, reading, value)
    figure = Bench(hand.state, hand.operation, spot.place).reading(reading)
    if figure.judged and (figure.low is not None or figure.high is not None):
        mine = next((f for f in live.figures if f.item == reading.name), figure)
        word, said = marked(hand.state, mine)
        places = places_of(hand.state, mine)
        text = "" if value is None else with_unit(hand.state.plan, reading, value, places)
        held = _limits(base, hand.state, reading, Held(mine.low, mine.high, mine.guard), places)
        return held._replace(text=text, style=look_of(mine), word=word, said=said, long=_long(mine))
    found = by_results(hand, reading, live, value)
    if found is not None:
        held = _limits(base, hand.state, reading, found.limits, found.places)
        long = PROOF_WORD if found.proof else WORD
        return held._replace(text=text, style=found.look, word=found.word, said=found.style, long=long, note=found.by)
    window = hand.window()
    if window is None:
        return base._replace(text=text)
    far = value is not None and not window[0] <= value <= window[1]
    held = _limits(base, hand.state, reading, Held(*window, firm=False), None)
    # A figure that is no slip is not thereby the right one: which ball to push is said by the advice.
    word, said = ("far off", "near") if far else ("" if value is None else PLAUSIBLE, "quiet")
    return held._replace(text=text, style="near" if far else "", word=word, said=said, long=LONG_WORD)


def result_scale(state: State, figure: Figure) -> Scale:
    """Give the scale of a result: its limits, what it comes to, and its verdict so far."""
    plan, item, places = state.plan, item_of(state, figure.operation, figure.item), places_of(state, figure)
    word, said = marked(state, figure)
    both, text = None, figure.word
    if figure.least is not None and figure.most is not None:
        both, text = (figure.least, figure.most), text or span(plan, item, figure.least, figure.most, places)
    held = Held(figure.low, figure.high, figure.guard)
    return _scale(state, item, held, places)._replace(
        name=clean(figure.label),
        usual=(2 if figure.pair else 1) * usual_width(plan, item) + figure.pair,
        figure=both,
        text=text,
        style=look_of(figure),
        word=word,
        said=said,
        long=_long(figure),
    )


def _long(figure: Figure) -> int:
    return PROOF_WORD if figure.proof else WORD


def _scale(state: State, item: Reading | Result, limits: Held, places: int | None) -> Scale:
    bare = Scale("", limits, "", "", max(item.resolution, _LEAST_GRAIN), 0)
    return _limits(bare, state, item, limits, places)


def _limits(scale: Scale, state: State, item: Reading | Result, limits: Held, places: int | None) -> Scale:
    """Give a scale with these limits, in figures and in texts."""
    texts = ("" if end is None else short(state.plan, item, end, places) for end in (limits.low, limits.high))
    low, high = texts
    return scale._replace(limits=limits, low=low, high=high)
