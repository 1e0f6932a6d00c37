"""What is said under the section of a bore: the scale, what fails, the limits, the size before, and its shape."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.calc import NotEnough
from headwright.calc.form import bell, out_of_round, station_means
from headwright.job.show import decimals, unit_of
from headwright.job.verdict import SLACK
from headwright.terminal.bench.scale import UNPROVED
from headwright.terminal.views.paper import flowed
from headwright.terminal.views.profile_scale import TIGHTER, WIDER, band_at
from headwright.terminal.views.steps import rounded

if TYPE_CHECKING:
    from headwright.terminal.drawn import Line, Span
    from headwright.terminal.views.bore import Bore
    from headwright.terminal.views.profile_scale import Scale

LIMIT, BEFORE = "┆", "○"
"""The line of a limit, and the size before."""
LEAST_BAND = 2
"""Cells from line to line of a guard band, both counted, from which any of it can be seen."""


def captions(found: Bore, scale: Scale, notes: list[list[Span]], width: int, most: int) -> tuple[Line, ...]:
    """Say what is drawn, and to which scale; the scale always."""
    size = next((v for column in found.now for v in column if v is not None), found.hole.low or found.hole.high)
    cell = _cell_words(found, scale.cell)
    stated = f"drawn {rounded(scale.times(size)):,} × across, not along, " if size is not None else ""
    stated += f"one cell is {cell} of diameter"
    return flowed([[(stated[0].upper() + stated[1:], "quiet")], *notes], width, max(1, most))


def _finer(found: Bore, width: float) -> str:
    """Give a width with its unit, to a digit more than sizes have."""
    reading = found.digits.reading
    unit = unit_of(found.digits.plan, reading.unit, reading.dimension)
    return f"{found.digits.write(width, decimals(reading.resolution, unit) + 1)} {found.digits.unit}"


def _cell_words(found: Bore, cell: float) -> str:
    reading = found.digits.reading
    unit = unit_of(found.digits.plan, reading.unit, reading.dimension)
    return f"{found.digits.write(cell, decimals(cell, unit))} {found.digits.unit}"


def caption_lines(notes: list[list[Span]], width: int, height: int) -> int:
    """Give the lines for what is said under the drawing: as many as it takes, three tenths of the height at most."""
    scale = [("x" * min(width, 70), "")]
    return min(len(flowed([scale, *notes], width, height)), max(2, 3 * height // 10))


def notes_on(found: Bore, scale: Scale) -> list[list[Span]]:
    """Give what else is said: what fails, the limits, the size before, the shape in words, and what proves it."""
    digits, low, high = found.digits, found.hole.low, found.hole.high
    notes: list[list[Span]] = [[each] for each in found.said if each.style]
    ends = [f"L {digits.write(low)}" if low is not None else "", f"H {digits.write(high)}" if high is not None else ""]
    if low is not None or high is not None:
        words = f"{LIMIT} limits {', '.join(end for end in ends if end)} {digits.unit}"
        notes.append([(words + (f", by the {found.by}" if found.by else ""), "quiet")])
    if found.hole.bands:
        narrow = all(len(band_at(scale, *band)) < LEAST_BAND for band in found.hole.bands)
        words = f"guard band {_finer(found, found.hole.guard)}: in, and not proved"
        notes.append([(f"{words}; too narrow to draw" if narrow else f"{UNPROVED} {words}", "quiet")])
    before = [v for column in found.before for v in column if v is not None]
    if before:
        ends = list(dict.fromkeys((digits.write(min(before)), digits.write(max(before)))))
        words = f"{BEFORE} before: {'–'.join(ends)} {digits.unit}, {found.before_words}"
        shown = any(scale.shows(size) for size in before)
        now = [v for column in found.now for v in column]
        same = len(now) == len(before) and all(
            one is not None and digits.write(one) == digits.write(other) for one, other in zip(now, before, strict=True)
        )
        words += ", the same as now" if same else "" if shown else ", not on the drawing"
        notes.append([(words, "quiet")])
    if any(v is not None and scale.beyond(v) for column in found.now for v in column):
        notes.append([(f"{WIDER}{TIGHTER} further than the drawing goes", "quiet")])
    notes += [[(words, "")] for words in shape_words(found)]
    return [*notes, *([(each.word, "quiet")] for each in found.said if not each.style)]


def shape_words(found: Bore) -> list[str]:
    """Say in words what the shape is: which end is wider, bell-mouth or barrel, out of round; when all is read."""
    grid = list(zip(*found.now, strict=True))
    if any(v is None for row in grid for v in row):
        return []
    known = [[v for v in row if v is not None] for row in grid]
    digits, grain = found.digits, found.digits.reading.resolution
    words: list[str] = []
    try:
        first, *_, last = station_means(known)
        if abs(first - last) > grain / 2 - SLACK:
            end = found.stations[0] if first > last else found.stations[-1]
            words.append(f"{end} wider by {digits.write(abs(first - last))} {digits.unit}: tapered")
        mouth = bell(known) if len(known) > 2 else 0.0
        if mouth > grain / 2 - SLACK and min(first, last) > max(first, last) - mouth + SLACK:
            words.append(f"both ends wider, bell-mouth {digits.write(mouth)} {digits.unit}")
        elif mouth < SLACK - grain / 2:
            words.append(f"middle wider, barrel {digits.write(-mouth)} {digits.unit}")
        oval = out_of_round(known)
        if oval > grain / 2 - SLACK:
            words.append(f"out of round {digits.write(oval)} {digits.unit}")
    except NotEnough:
        return words
    return words or ["straight and round to the last digit"]
