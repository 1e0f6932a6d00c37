"""Points that want a further figure beside the one there: what is said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.verdict import SLACK
from headwright.terminal.bench.digits import short, with_unit

if TYPE_CHECKING:
    from headwright.job.state import State, Taken
    from headwright.procedure.plan import Reading
    from headwright.terminal.bench.hand import Hand


def repeat_words(hand: Hand) -> str:
    """Say which figures stand at the point at hand, whether they agree, and what is wanted; empty where it is one."""
    spot, reading = hand.spot, hand.reading
    if spot is None or reading is None or spot.point is None or reading.agree is None:
        return ""
    taken = hand.state.writing(hand.operation_id, spot.place).readings.get(spot.point)
    return "" if taken is None else _words(hand.state, reading, taken, reading.agree)


def _words(state: State, reading: Reading, taken: Taken, agree: float) -> str:
    figures = [t.event.value for t in (*taken.others, taken) if t.event.value is not None]
    shown = " ".join(short(state.plan, reading, figure) for figure in figures)
    within = with_unit(state.plan, reading, agree)
    if len(figures) == 1:
        return f"{shown} is there: a second figure is wanted that agrees within {within}."
    agrees = max(figures) - min(figures) <= agree + SLACK
    if len(figures) == 2:
        if agrees:
            return f"{shown} agree within {within}: their mean counts."
        return f"{shown} do not agree within {within}: a third figure is wanted, and the median counts."
    middle = "" if taken.value is None else f", {short(state.plan, reading, taken.value)}"
    return f"{shown}: of three, the median counts{middle}."


def wants_mark(reading: Reading, taken: Taken) -> str:
    """Give the mark behind a figure beside which a further one is wanted: `?2` for the second; empty for none."""
    return "" if taken.is_settled(reading.agree) else f" ?{len(taken.others) + 2}"
