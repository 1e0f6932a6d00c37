"""To what scale the section of a bore is drawn: what a cell stands for, and in which cell a diameter falls."""

from __future__ import annotations

from math import ceil, floor
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.job.show import unit_of
from headwright.terminal.views.steps import round_step

if TYPE_CHECKING:
    from headwright.terminal.views.bore import Bore

WIDER, TIGHTER = "«", "»"
"""Stands at the edge of the left wall's cells for a size further out or further in than the drawing goes."""
LEAST_WALL = 6
"""Cells that a wall has to move in."""
BAND = 2
"""How many times the span of the limits and the present sizes the size before may stretch the drawing."""
FAR = 2
"""How many times their own span beyond the limits, or beyond the other sizes, a size still stretches the drawing."""


class Scale(NamedTuple):
    """How diameters are drawn: `inner` mm at the inner edge of a wall's zone, `cell` mm of diameter to a cell."""

    inner: float
    cell: float
    zone: int
    centre: int

    def halves(self, diameter: float) -> int:
        """Give the half cells of metal that a wall shows at a diameter, counted from outside."""
        return max(0, min(2 * self.zone, round(2 * (self.zone - (diameter - self.inner) / self.cell))))

    def shows(self, diameter: float) -> bool:
        """Tell whether a diameter lies on the drawing."""
        return self.inner - self.cell / 2 <= diameter <= self.inner + self.cell * (self.zone + 0.5)

    def beyond(self, diameter: float) -> str:
        """Give the sign for a diameter that does not lie on the drawing, empty for one that does."""
        return "" if self.shows(diameter) else WIDER if diameter > self.inner else TIGHTER

    def times(self, diameter: float) -> float:
        """Give how many times wider than the bore itself the way of a wall is drawn."""
        opening = self.centre + 2 * (diameter - self.inner) / self.cell
        return (diameter / max(1.0, opening)) / (self.cell / 2)


def scale_of(found: Bore, wide: int) -> Scale:
    """Choose what a cell stands for: a round figure, as fine as lets all of it on the drawing."""
    texts = [found.digits.write(v) for column in found.now for v in column if v is not None]
    centre = max([6, *(cell_len(text) for text in texts)]) + 4  # `not proven` has room under any figure
    centre += (wide - centre) % 2
    zone = max(LEAST_WALL, (wide - centre) // 2)
    values = _spanned(found)
    before = [v for column in found.before for v in column if v is not None]
    if not values:
        values = before or [0.0]
    span = max(values) - min(values)
    stretched = max([*values, *before]) - min([*values, *before])
    if stretched <= max(BAND * span, 10 * found.digits.reading.resolution):
        values += before
    unit = unit_of(found.digits.plan, found.digits.reading.unit, found.digits.reading.dimension)
    least, most = min(values), max(values)
    grain = max(found.digits.reading.resolution, 1e-6)
    cell = round_step(max((most - least) / max(1, zone - 2), grain / 2) / unit.factor) * unit.factor
    inner = (least + most) / 2 - cell * (zone - 1) / 2
    return Scale(floor(inner / cell + 0.5) * cell, cell, zone, wide - 2 * zone)


def _spanned(found: Bore) -> list[float]:
    """Give what the drawing has to span: limits and sizes, but not one so far out that it pressed all others flat."""
    low, high, hand = found.hole.low, found.hole.high, found.hand
    points = [(a, s) for a in range(len(found.angles)) for s in range(len(found.stations)) if (a, s) != hand]
    values = [v for a, s in points if (v := found.now[a][s]) is not None]
    if low is not None and high is not None:
        far = FAR * (high - low)
        values = [min(max(v, low - far), high + far) for v in values]
    values += [limit for limit in (low, high) if limit is not None]
    at_hand = None if hand is None else found.now[hand[0]][hand[1]]
    if at_hand is None:
        return values
    far = FAR * max(max(values) - min(values), 5 * found.digits.reading.resolution) if values else 0.0
    return [*values, at_hand] if not values or min(values) - far <= at_hand <= max(values) + far else values


def line_at(scale: Scale, diameter: float) -> int:
    """Give the cell of a wall's zone in which a line at a diameter stands: that of a wall at the same diameter."""
    return min(scale.zone - 1, max(0, ceil(scale.halves(diameter) / 2) - 1))


def band_at(scale: Scale, first: float, last: float) -> range:
    """Give the cells of a wall's zone between the lines at two diameters, of which the first is the lesser."""
    return range(max(0, line_at(scale, last)), min(scale.zone - 1, line_at(scale, first)) + 1)
