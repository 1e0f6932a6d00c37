"""Figures as a card says them: what they came to, what they are held to, and by how much they are out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.show import show, telling_decimals, unit_of, unit_sign
from headwright.terminal.cards.words import plain

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.procedure.plan import Plan, Reading, Result, Unit


def span_words(plan: Plan, item: Reading | Result, figure: Figure) -> str:
    """Give what a figure came to, with its unit: `.0004–.0007 in`; a word for what is no number."""
    if figure.least is None or figure.most is None:
        return plain(figure.word)
    unit = unit_of(plan, item.unit, item.dimension)
    places = telling_decimals(plan, item, figure)
    least, most = (_digits(value, unit, places) for value in (figure.least, figure.most))
    span = least if least == most else f"{least}–{most}"
    return f"{span} {unit_sign(unit.name)}".strip()


def limit_words(plan: Plan, item: Reading | Result, figure: Figure) -> str:
    """Give what a figure is held to: `.0010 to .0020 in`, `at most …`, `at least …`, or the words that pass."""
    accept = getattr(item, "accept", ())
    if accept:
        return plain(" or ".join(accept))
    unit = unit_of(plan, item.unit, item.dimension)
    places = telling_decimals(plan, item, figure)
    sign = unit_sign(unit.name)
    low, high = (None if end is None else _digits(end, unit, places) for end in (figure.low, figure.high))
    if low is None and high is None:
        return ""
    if low is None:
        return f"at most {high} {sign}".strip()
    if high is None:
        return f"at least {low} {sign}".strip()
    return f"{low} to {high} {sign}".strip()


def out_words(plan: Plan, item: Reading | Result, figure: Figure) -> str:
    """Give by how much a figure is out, with its unit; empty for what is no number."""
    if not figure.out:
        return ""
    unit = unit_of(plan, item.unit, item.dimension)
    # A difference of temperatures has no offset.
    out = _digits(figure.out, replace(unit, offset=0.0), telling_decimals(plan, item, figure))
    return f"{out} {unit_sign(unit.name)}".strip()


def _digits(value: float, unit: Unit, places: int) -> str:
    """Give digits as they are spoken of in a shop: inches go without the nought before the point."""
    text = show(value, unit, places)
    return text.replace("0.", ".", 1) if unit.name == "in" and text.lstrip("-").startswith("0.") else text
