"""Figures as the bench writes them: short, in the reading's own unit, as they are spoken of in a shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.index import place_words
from headwright.job.show import decimals, short_digits, telling_decimals, unit_of, unit_sign

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.job.state import State, Taken
    from headwright.procedure.plan import Plan, Reading, Result


def short(plan: Plan, item: Reading | Result, value: float, places: int | None = None) -> str:
    """Give a canonical value without its unit; inches go without the nought before the point, as is the habit.

    `places` are the decimals, where they are not to be those of the item.
    """
    unit = unit_of(plan, item.unit, item.dimension)
    return short_digits(value, unit, decimals(item.resolution, unit) if places is None else places)


def with_unit(plan: Plan, item: Reading | Result, value: float, places: int | None = None) -> str:
    """Give a canonical value with its unit; see `short`."""
    return f"{short(plan, item, value, places)} {unit_sign(item.unit)}".strip()


def span(plan: Plan, item: Reading | Result, least: float, most: float, places: int | None = None) -> str:
    """Give a span as `.0014–.0016`, or as one figure where both ends read alike; see `short`."""
    low, high = short(plan, item, least, places), short(plan, item, most, places)
    return low if low == high else f"{low}–{high}"


def item_of(state: State, operation: str, name: str) -> Reading | Result:
    """Give a reading or result of an operation by name."""
    found = state.index.readings.get((operation, name))
    return found if found is not None else state.index.results[operation, name]


def places_of(state: State, figure: Figure) -> int | None:
    """Give the decimals for a figure and its limits, enough to tell them apart where it is out; None for a word."""
    if figure.least is None:
        return None
    return telling_decimals(state.plan, item_of(state, figure.operation, figure.item), figure)


def figure_text(state: State, figure: Figure) -> str:
    """Give what a figure comes to, empty while it cannot be worked out."""
    if figure.word:
        return figure.word
    if figure.least is None or figure.most is None:
        return ""
    item = item_of(state, figure.operation, figure.item)
    return span(state.plan, item, figure.least, figure.most, places_of(state, figure))


def limits_text(state: State, figure: Figure) -> str:
    """Give what a figure is held to: `.0010 to .0020 in`, `at most .0003 in`, empty when to nothing known."""
    item = item_of(state, figure.operation, figure.item)
    places = places_of(state, figure)
    low = None if figure.low is None else short(state.plan, item, figure.low, places)
    high = None if figure.high is None else short(state.plan, item, figure.high, places)
    if low is not None and high is not None:
        text = f"{low} to {high}"
    elif high is not None:
        text = f"at most {high}"
    else:
        text = f"at least {low}" if low is not None else ""
    return f"{text} {unit_sign(item.unit)}".rstrip() if text else ""


def taken_text(plan: Plan, reading: Reading, taken: Taken, places: int | None = None) -> str:
    """Give what counts of a reading on record, as the table shows it; see `short`."""
    value = taken.value
    return short(plan, reading, value, places) if value is not None else taken.event.word


def usual_width(plan: Plan, item: Reading | Result) -> int:
    """Give the cells that a value of this item is likely to take."""
    places = decimals(item.resolution, unit_of(plan, item.unit, item.dimension)) if item.unit or item.dimension else 0
    return places + (1 if item.unit == "in" else 4 if places else 3)


def where(state: State, place: str) -> str:
    """Give a place in words."""
    return place_words(state.index.places[place])
