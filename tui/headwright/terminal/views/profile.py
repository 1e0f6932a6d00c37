"""The cross-section of a bore: its walls as they were read, far wider than true, between the lines of its limits."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.terminal.bench.scale import UNPROVED
from headwright.terminal.views.paper import cut, said
from headwright.terminal.views.profile_scale import TIGHTER, WIDER, Scale, band_at, line_at, scale_of
from headwright.terminal.views.profile_words import BEFORE, LIMIT, caption_lines, captions, notes_on

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from headwright.terminal.drawn import Line, Span
    from headwright.terminal.views.bore import Bore

HATCH = "╱"
LEFT_HALF, RIGHT_HALF = "▌", "▐"
_MIRRORED = {LEFT_HALF: RIGHT_HALF, RIGHT_HALF: LEFT_HALF, WIDER: TIGHTER, TIGHTER: WIDER}
NARROW = 30
"""Cells below which a section is not drawn beside another."""
LEAST_ROWS = 5
QUIET = {"", "good"}
"""Styles of verdicts that need no sign beside the figure."""


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
    scale = scale_of(found, wide)
    notes = notes_on(found, scale)
    room = height - 1 - caption_lines(notes, width, height)
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
    lines += captions(found, scale, notes, width, height - len(lines))
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
    """Give the row of each station: evenly apart, with a row of the mouth beyond either end where it fits."""
    edge = 1 if deep >= stations + 2 else 0
    apart = max(1, (deep - 1 - 2 * edge) // (stations - 1))
    first = max(0, (deep - 1 - apart * (stations - 1)) // 2)
    return [first + number * apart for number in range(stations)]


def _heading(found: Bore, angle: int, scale: Scale, wide: int) -> list[Span]:
    """Give the line above a section: the angle over the bore, L and H over the lines of the limits."""
    cells = [" "] * wide
    for letter, limit in (("L", found.hole.low), ("H", found.hole.high)):
        if limit is not None and scale.shows(limit):
            at = line_at(scale, limit)
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
        for at in band_at(scale, first, last):
            signs[at], styles[at] = UNPROVED, "quiet"
    for limit in limits:
        if limit is not None and scale.shows(limit):
            at = line_at(scale, limit)
            signs[at], styles[at] = LIMIT, "title"
    if before is not None and scale.shows(before):
        at = line_at(scale, before)
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


def _runs(signs: Sequence[str], styles: Sequence[str]) -> Iterator[Span]:
    begin = 0
    for at in range(1, len(signs) + 1):
        if at == len(signs) or styles[at] != styles[begin]:
            yield "".join(signs[begin:at]), styles[begin]
            begin = at
