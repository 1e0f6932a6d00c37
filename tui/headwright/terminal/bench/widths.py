"""How the columns of the bench are shared between the route, the work, and the views that stand beside it."""

from __future__ import annotations

from typing import NamedTuple

ROUTE_BESIDE = 100
"""Columns below which the route folds to one line."""
LEAST_WORK = 72
"""Cells that the work keeps where its table wants fewer: steps and strips are read there too."""
LEAST_ROUTE = 20
"""Cells of the route with its border, where the work wants all there is."""
LEAST_SIDE, MOST_SIDE = 46, 76
SHARE = 0.3
"""How much of the screen the side has where there is room."""


class Widths(NamedTuple):
    """Cells for the route and for the side, each with its border; the work has the rest."""

    route: int
    side: int


def widths(columns: int, table: int, route: int, *, side: bool) -> Widths:
    """Share the columns of a screen: first what the table wants, then titles in full, then the side.

    Args:
        columns: those there are.
        table: what the whole table of the operation looked at would take.
        route: what the longest title of the route takes.
        side: whether map and profile stand beside the work.
    """
    work = max(LEAST_WORK, table)
    beside = LEAST_SIDE if side else 0
    for_route = max(LEAST_ROUTE, min(route, columns - beside - work))
    if not side:
        return Widths(for_route, 0)
    spare = columns - for_route - work
    return Widths(for_route, max(LEAST_SIDE, min(MOST_SIDE, round(columns * SHARE), spare)))
