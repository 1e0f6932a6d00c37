"""Where a reading is taken: stations along a bore or a stem, angles across it, lines and corners of a face."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.procedure.plan import Sort
from headwright.terminal.views.paper import Paper, cut

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.index import PointKey
    from headwright.procedure.plan import Reading
    from headwright.terminal.drawn import Line

LINES = ("left side", "middle", "right side", "diagonal 1", "diagonal 2", "across")
"""Stations of a straightedge on a face."""
CORNERS = ("front left", "front right", "rear left", "rear right")
"""Stations of a height."""
HERE = "◂ here"
SIDE, END = 34, 26
"""Cells that the view from the side and the view from the end take."""
FACE = (40, 9)
"""Cells across and lines of a face."""
NARROW = 36
"""Cells below which the names of the corners do not fit beside one another."""
HEAVY = {"─": "━", "│": "┃", "╲": "●", "╱": "●"}
"""How the line at hand is drawn."""
LEVEL, UPRIGHT = (0, 180), (90, 270)


class Where(NamedTuple):
    """What is drawn: `shape` is inside, outside, lines or corners; `station` and `angle` are those at hand."""

    shape: str
    stations: tuple[str, ...]
    angles: tuple[int, ...]
    station: str
    angle: int | None


def where_of(reading: Reading, point: PointKey | None = None) -> Where | None:
    """Tell what can be drawn of a reading's points; None for a reading at one point, or of no length.

    Args:
        reading: the reading.
        point: the point at hand, None to mark none.
    """
    station, angle = (point[1], point[2]) if point is not None else ("", None)
    if reading.sort is not Sort.NUMBER or reading.dimension != "length" or not (reading.stations or reading.angles):
        return None
    names = set(reading.stations)
    shape = "outside" if "micrometer" in reading.gauge and "bore" not in reading.gauge else "inside"
    if names & (set(LINES) - {"middle"}):
        shape = "lines"
    elif names & set(CORNERS):
        shape = "corners"
    return Where(shape, reading.stations, reading.angles, station, angle)


def drawn_where(found: Where, width: int) -> tuple[Line, ...]:
    """Draw where a reading is taken, in as many lines as that takes.

    Args:
        found: what to draw.
        width: cells across, 30 or more; from 62 on, the side and the end stand beside one another.
    """
    if found.shape in {"lines", "corners"}:
        return _face(found, width)
    side = _side(found, min(width, SIDE)) if found.stations else ()
    end = _end(found, min(width, END)) if found.angles else ()
    if side and end and width >= SIDE + 2 + END:
        high = max(len(side), len(end))
        blank: Line = ((" " * SIDE, ""),)
        left = [*side, *[blank] * (high - len(side))]
        right = [*end, *[()] * (high - len(end))]
        return tuple((*a, ("  ", ""), *b) for a, b in zip(left, right, strict=True))
    return (*side, *end)


def _side(found: Where, width: int) -> tuple[Line, ...]:
    """Draw the bore or the stem from the side, first station at the top, each with its measuring line."""
    inside = found.shape == "inside"
    high = 2 * len(found.stations) + 2
    paper = Paper(width, high)
    name = min(10, max(cell_len(s) for s in found.stations)) + 1
    left, right = name + 5, width - 12
    paper.put(0, 0, "from the side", "title")
    for y in range(1, high):
        if inside:
            paper.put(name, y, "╱╱╱╱", "line")
            paper.put(right + 1, y, "╱╱╱╱", "line")
        else:
            paper.put(left, y, "╱" * (right - left), "line")
        paper.put(left - 1, y, "│", "quiet")
        paper.put(right, y, "│", "quiet")
    for number, station in enumerate(found.stations):
        y = 2 * number + 2
        here = station == found.station
        paper.put(0, y, cut(station, name - 1), "now" if here else "")
        style = "now" if here else "quiet"
        if inside:
            paper.put(left, y, "◂" + ("━" if here else "─") * (right - left - 2) + "▸", style)
        else:
            paper.put(left - 3, y, ("━━" if here else "──") + "▸", style)
            paper.put(right, y, "◂" + ("━━" if here else "──"), style)
        if here:
            paper.put(width - len(HERE), y, HERE, "now")
    return paper.lines()


def _end(found: Where, width: int) -> tuple[Line, ...]:
    """Draw the bore or the stem from the end, with a line across it for each angle."""
    paper = Paper(width, 8)
    wide, middle, top = 13, (7, 4), 2
    x0, y0 = 1, top
    paper.put(0, 0, "from the end", "title")
    paper.box((x0, y0), (wide, 5), "╭╮╯╰─│", "quiet")
    for angle in sorted(found.angles, key=lambda a: a == found.angle):
        here = angle == found.angle
        style = "now" if here else ""
        label = f"{angle}°"
        if angle % 180 in LEVEL:
            paper.put(x0, middle[1], "◂" + ("━" if here else "─") * (wide - 2) + "▸", style)
            paper.put(x0 + wide + 1, middle[1], label + (f" {HERE}" if here else ""), style)
        elif angle in UPRIGHT:
            for y in range(y0, y0 + 5):
                paper.put(middle[0], y, "┃" if here else "│", style)
            paper.put(middle[0] - 1, y0 - 1, label + (f" {HERE}" if here else ""), style)
        else:
            rising = angle % 180 < 90
            for step, y in enumerate(range(y0, y0 + 5)):
                slant = 4 - 2 * step
                paper.put(middle[0] + (slant if rising else -slant), y, "╱" if rising else "╲", style)
            paper.put(x0 + wide if rising else 0, y0 - 1, label + (f" {HERE}" if here else ""), style)
    if not found.stations:
        return paper.lines()[:7]
    return paper.lines()


def _face(found: Where, width: int) -> tuple[Line, ...]:
    """Draw a face with the lines of the straightedge, or the corners where a height is read, front at the left."""
    wide, high = min(width, FACE[0]), FACE[1]
    paper = Paper(width, high + 2)
    paper.put(0, 0, "the face up, front at the left", "title")
    paper.box((0, 1), (wide, high), "┏┓┛┗━┃", "line")
    known = _corners(wide, high) if found.shape == "corners" else _lines(wide, high)
    drawn = [each for each in known if each[0] in found.stations]
    for name, cells, (x, y) in sorted(drawn, key=lambda each: each[0] == found.station):
        here = name == found.station
        style = "now" if here else "quiet"
        for cell_x, cell_y, sign in cells:
            paper.put(cell_x, cell_y + 1, HEAVY.get(sign, sign) if here else sign, style)
        if found.shape == "corners":
            paper.put(x, y + 1, f"{name} ◂" if here else name, style)
    words = f"{HERE}: {found.station}" if found.station else ", ".join(found.stations)
    paper.put(0, high + 1, cut(words, width), "now" if found.station else "quiet")
    return paper.lines()


Part = tuple[str, tuple[tuple[int, int, str], ...], tuple[int, int]]
"""A line or a corner of a face: its name, its cells with their signs, and where the name stands."""


def _lines(wide: int, high: int) -> Iterator[Part]:
    """Give the lines of a straightedge on a face."""
    along = range(2, wide - 2)
    for name, y in (("left side", 1), ("middle", high // 2), ("right side", high - 2)):
        yield name, tuple((x, y, "─") for x in along), (0, 0)
    rows = range(1, high - 1)
    step = (wide - 5) / (high - 3)
    yield "diagonal 1", tuple((2 + round(step * (y - 1)), y, "╲") for y in rows), (0, 0)
    yield "diagonal 2", tuple((2 + round(step * (high - 2 - y)), y, "╱") for y in rows), (0, 0)
    yield "across", tuple((wide // 2, y, "│") for y in rows), (0, 0)


def _corners(wide: int, high: int) -> Iterator[Part]:
    """Give the corners of a face, each with its name; on a narrow one the names to the right stand further in."""
    low = 1 if wide < NARROW else 0
    for name, x, y, text, line in (
        ("front left", 2, 1, 4, 1),
        ("front right", 2, high - 2, 4, high - 2),
        ("rear left", wide - 3, 1, wide - 15, 1 + low),
        ("rear right", wide - 3, high - 2, wide - 16, high - 2 - low),
    ):
        yield name, ((x, y, "●"),), (text, line)
