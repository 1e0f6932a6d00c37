"""How the lines of the bench are shared between the steps and the table of places."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from headwright.procedure.plan import Step

LEAST = 2
"""Lines that the steps keep while one of them is at hand."""


class Shares(NamedTuple):
    """Lines for the steps before the readings, for the table, and for the steps after them."""

    before: int
    table: int
    after: int


def shares(wanted: Shares, room: int, step: Step | None, lead: int = 1) -> Shares:
    """Share the lines: the places come first, then the steps with the one at hand, then the others.

    Args:
        wanted: the lines that each would take.
        room: the lines there are.
        step: the step at hand, None while a reading is.
        lead: the lines of the step that leads to the reading at hand.
    """
    at_last = step is not None and step.last
    scrolls = wanted.table > room - 1  # then a line more or less of it hides nothing that was whole
    least = LEAST if step is not None else min(lead, LEAST) if scrolls else 1
    least_before = 0 if at_last else min(wanted.before, max(1, least))
    least_after = min(wanted.after, LEAST) if at_last else 0
    table = max(0, min(wanted.table, room - least_before - least_after))
    spare = max(0, room - table - least_before - least_after)
    if at_last:
        after = min(wanted.after, least_after + spare)
        return Shares(min(wanted.before, room - table - after), table, after)
    before = min(wanted.before, least_before + spare)
    return Shares(before, table, min(wanted.after, room - table - before))
