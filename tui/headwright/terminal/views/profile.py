"""The cross-section of a bore: its walls as they were read, far wider than true, between the lines of its limits."""

from __future__ import annotations

from functools import lru_cache
from math import ceil, floor
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.calc import NotEnough
from headwright.calc.form import bell, out_of_round, station_means
from headwright.job.show import decimals, unit_of
from headwright.job.verdict import SLACK
from headwright.terminal.bench.scale import UNPROVED
from headwright.terminal.views.paper import cut, flowed, said
from headwright.terminal.views.steps import round_step, rounded

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from headwright.terminal.drawn import Line, Span
    from headwright.terminal.views.bore import Bore

HATCH, LIMIT, BEFORE = "╱", "┆", "○"
LEFT_HALF, RIGHT_HALF = "▌", "▐"
WIDER, TIGHTER = "«", "»"
"""Stands at the edge of the left wall's cells for a size further out or further in than the drawing goes."""
_MIRRORED = {LEFT_HALF: RIGHT_HALF, RIGHT_HALF: LEFT_HALF, WIDER: TIGHTER, TIGHTER: WIDER}
NARROW = 30
"""Cells below which a section is not drawn beside another."""
LEAST_WALL = 6
"""Cells that a wall has to move in."""
LEAST_ROWS = 5
LEAST_BAND = 2
"""Cells from line to line of a guard band, both counted, from which any of it can be seen."""
QUIET = {"", "good"}
"""Styles of verdicts that need no sign beside the figure."""
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


def drawn_bore(found: Bore, width: int, height: int) -> tuple[Line, ...]:
    """Draw a bore in so many lines of a width.

    Sections at each angle stand beside one another, under one another where it is narrow, and only the one at hand
    where there is no room for more.

    Args:
        found: what to draw.
        width: cells across, 30 or more.
        height: lines, 8 or more.
    """
    margin = max(4, *(min(cell_len(s), 10) for s in found.stations)) + 1
    shown = list(range(len(found.angles)))
    first = found.hand[0] if found.hand else _worst(found)
    beside = max(1, min(len(shown), (width - margin + 2) // (NARROW + 2)))
    wide = min(76, (width - margin - 2 * (beside - 1)) // beside)
    scale = _scale(found, wide)
    notes = _notes(found, scale)
    room = height - 1 - _caption_lines(notes, width, height)
    under = max(1, min(-(-len(shown) // beside), room // (LEAST_ROWS + 1)))
    if beside * under < len(shown):
        shown = sorted(sorted(shown, key=lambda a: a != first)[: beside * under])
    word, style = found.stood
    stood = [(f"  {word}", style)] if word else []
    lines: list[Line] = [said([(found.title, "strong"), *stood, *_left_out(found, shown)], width)]
    deep = room // under
    for block in range(under):
        part = shown[block * beside : (block + 1) * beside]
        lines += _sections(found, part, scale, (margin, wide, deep))
    lines += _captions(found, scale, notes, width, height - len(lines))
    return tuple(lines[:height])


def _worst(found: Bore) -> int:
    """Give the angle at which the bore is furthest from the middle of its limits."""
    low, high = found.hole.low, found.hole.high
    middle = (low + high) / 2 if low is not None and high is not None else 0.0
    spans = [max((abs(v - middle) for v in column if v is not None), default=-1.0) for column in found.now]
    return spans.index(max(spans))


def _left_out(found: Bore, shown: Sequence[int]) -> list[Span]:
    """Name the angles that there is no room for."""
    missing = [f"{found.angles[a]}°" for a in range(len(found.angles)) if a not in shown]
    return [(f"  {', '.join(missing)} not shown", "quiet")] if missing else []


def _scale(found: Bore, wide: int) -> Scale:
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


def _sections(found: Bore, part: Sequence[int], scale: Scale, room: tuple[int, int, int]) -> Iterator[Line]:
    margin, wide, deep = room
    rows = station_rows(len(found.stations), deep - 1)
    heading: list[Span] = [(" " * margin, "")]
    for number, angle in enumerate(part):
        heading += [("  " if number else "", ""), *_heading(found, angle, scale, wide)]
    yield tuple(heading)
    for y in range(deep - 1):
        station = rows.index(y) if y in rows else None
        label = cut(found.stations[station], margin - 1) if station is not None else ""
        line: list[Span] = [(label + " " * (margin - cell_len(label)), "quiet")]
        for number, angle in enumerate(part):
            line.append(("  " if number else "", ""))
            line += _row(scale, _row_facts(found, angle, rows, y))
        yield tuple(line)


def station_rows(stations: int, deep: int) -> list[int]:
    """Give the row of each station: spread over the height, a row of the mouth beyond either end where it fits."""
    edge = 1 if deep >= stations + 2 else 0
    span = deep - 1 - 2 * edge
    return [edge + round(i * span / (stations - 1)) for i in range(stations)]


def _heading(found: Bore, angle: int, scale: Scale, wide: int) -> list[Span]:
    """Give the line above a section: the angle over the bore, L and H over the lines of the limits."""
    cells = [" "] * wide
    for letter, limit in (("L", found.hole.low), ("H", found.hole.high)):
        if limit is not None and scale.shows(limit):
            at = _line_at(scale, limit)
            cells[at] = cells[wide - 1 - at] = letter
    name = f"{found.angles[angle]}°" if found.angles[angle] is not None else "any angle"
    begin = (wide - len(name)) // 2
    return [("".join(cells[:begin]), "title"), (name, "strong"), ("".join(cells[begin + len(name) :]), "title")]


class Row(NamedTuple):
    """What a row of a section depends on.

    Sizes now and before, limits and guard bands, mm; the style of the wall; the text in the bore and its style.
    """

    now: float | None
    before: float | None
    limits: tuple[float | None, float | None]
    bands: tuple[tuple[float, float], ...]
    wall: str
    text: str
    style: str


def _row_facts(found: Bore, angle: int, rows: list[int], y: int) -> Row:
    """Put together what a row of a section depends on; only what was read is drawn in the style of a verdict."""
    column = found.now[angle]
    now = between(rows, column, y)
    before = between(rows, found.before[angle], y) if found.before else None
    text, style, wall = "", "", "quiet"
    if y in rows:
        station = rows.index(y)
        size = column[station]
        if size is not None:
            word, style = found.at_size(size)
            text = found.digits.write(size) + (f" {word[:1]}" if style not in QUIET else "")
            wall = style = style or "strong"
        text, style = (text or "·", "hand" if found.hand == (angle, station) else style or "quiet")
    elif y - 1 in rows:
        size = column[rows.index(y - 1)]
        word, style = ("", "") if size is None else found.at_size(size)
        text, style = (word[2:], style) if style not in QUIET else ("", "")
    hole = found.hole
    return Row(now, before, (hole.low, hole.high), hole.bands, wall, text, style)


def between(rows: Sequence[int], column: Sequence[float | None], y: int) -> float | None:
    """Give the diameter at a row: read there, or on a straight line between two stations; nothing beyond the ends."""
    for i, row in enumerate(rows):
        size = column[i]
        if row == y:
            return size
        if y < row:
            before = column[i - 1] if i else None
            if size is None or before is None:
                return None
            return before + (size - before) * (y - rows[i - 1]) / (row - rows[i - 1])
    return None


@lru_cache(maxsize=512)
def _row(scale: Scale, row: Row) -> tuple[Span, ...]:
    """Draw a row of a section: metal, wall, bore with its text, wall, metal; limits and the size before over it."""
    zone, (now, before, limits, bands, wall, text, style) = scale.zone, row
    signs, styles = [" "] * zone, [""] * zone
    halves = None if now is None else scale.halves(now)
    if halves is not None:
        full = halves // 2
        edge = full if halves % 2 else full - 1
        for i in range(min(full, zone)):
            signs[i], styles[i] = HATCH, "line"
    for first, last in bands:
        for at in _band_at(scale, first, last):
            signs[at], styles[at] = UNPROVED, "quiet"
    for limit in limits:
        if limit is not None and scale.shows(limit):
            at = _line_at(scale, limit)
            signs[at], styles[at] = LIMIT, "title"
    if before is not None and scale.shows(before):
        at = _line_at(scale, before)
        signs[at], styles[at] = BEFORE, "quiet"
    if now is not None and (beyond := scale.beyond(now)):
        at = 0 if beyond == WIDER else zone - 1
        signs[at], styles[at] = beyond, wall
    elif halves is not None and 0 <= edge < zone:
        signs[edge], styles[edge] = (LEFT_HALF if halves % 2 else RIGHT_HALF), wall
    right = [_MIRRORED.get(sign, sign) for sign in reversed(signs)]
    middle = cut(text, scale.centre)
    begin = (scale.centre - cell_len(middle)) // 2
    spans = [*_runs(signs, styles), (" " * begin, ""), (middle, style)]
    spans += [(" " * (scale.centre - begin - cell_len(middle)), ""), *_runs(right, styles[::-1])]
    return tuple(span for span in spans if span[0])


def _line_at(scale: Scale, diameter: float) -> int:
    """Give the cell of a wall's zone in which a line at a diameter stands: that of a wall at the same diameter."""
    return min(scale.zone - 1, max(0, ceil(scale.halves(diameter) / 2) - 1))


def _band_at(scale: Scale, first: float, last: float) -> range:
    """Give the cells of a wall's zone between the lines at two diameters, of which the first is the lesser."""
    return range(max(0, _line_at(scale, last)), min(scale.zone - 1, _line_at(scale, first)) + 1)


def _runs(signs: Sequence[str], styles: Sequence[str]) -> Iterator[Span]:
    begin = 0
    for at in range(1, len(signs) + 1):
        if at == len(signs) or styles[at] != styles[begin]:
            yield "".join(signs[begin:at]), styles[begin]
            begin = at


def _captions(found: Bore, scale: Scale, notes: list[list[Span]], width: int, most: int) -> tuple[Line, ...]:
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


def _caption_lines(notes: list[list[Span]], width: int, height: int) -> int:
    """Give the lines for what is said under the drawing: as many as it takes, three tenths of the height at most."""
    scale = [("x" * min(width, 70), "")]
    return min(len(flowed([scale, *notes], width, height)), max(2, 3 * height // 10))


def _notes(found: Bore, scale: Scale) -> list[list[Span]]:
    """Give what else is said: what fails, the limits, the size before, the shape in words, and what proves it."""
    digits, low, high = found.digits, found.hole.low, found.hole.high
    notes: list[list[Span]] = [[each] for each in found.said if each.style]
    ends = [f"L {digits.write(low)}" if low is not None else "", f"H {digits.write(high)}" if high is not None else ""]
    if low is not None or high is not None:
        words = f"{LIMIT} limits {', '.join(end for end in ends if end)} {digits.unit}"
        notes.append([(words + (f", by the {found.by}" if found.by else ""), "quiet")])
    if found.hole.bands:
        narrow = all(len(_band_at(scale, *band)) < LEAST_BAND for band in found.hole.bands)
        words = f"guard band {_finer(found, found.hole.guard)}: in, and not proved"
        notes.append([(f"{words}; too narrow to draw" if narrow else f"{UNPROVED} {words}", "quiet")])
    before = [v for column in found.before for v in column if v is not None]
    if before:
        ends = list(dict.fromkeys((digits.write(min(before)), digits.write(max(before)))))
        words = f"{BEFORE} before: {'–'.join(ends)} {digits.unit}, {found.before_words}"
        shown = any(scale.shows(size) for size in before)
        notes.append([(words + ("" if shown else ", not on the drawing"), "quiet")])
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
