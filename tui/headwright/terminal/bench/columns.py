"""The columns of an operation's table, and how they are made to fit the width there is.

The reading at hand is always there point by point. Where the rest does not fit, the other readings are shown as one
span each, the farthest first; where even that is too wide, results that are held to nothing are left out, then the
other readings, and only then results that are held to a limit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.procedure.plan import Sort, Tick
from headwright.terminal.bench.digits import usual_width

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading, Result

GAP = 1
"""Blank cells after a column."""
BETWEEN = 1
"""More blank cells between one reading and the next."""
WIDEST_WORD = 14
HEAD_LINES = 3


class Column(NamedTuple):
    """One column: `sort` is point, step, result, or span (a whole reading in one cell)."""

    sort: str
    item: str
    width: int
    point: PointKey | None = None


class Group(NamedTuple):
    """What belongs together under one label: the points of a reading, or a single column.

    `spare` tells how early it is left out: 0 last.
    """

    item: str
    label: str
    columns: tuple[Column, ...]
    spare: int = 1

    @property
    def width(self) -> int:
        """Give the cells that the group takes."""
        return sum(c.width + GAP for c in self.columns) + (BETWEEN if len(self.columns) > 1 else 0)


class Placed(NamedTuple):
    """A column with the cell at which it begins."""

    x: int
    column: Column


class Layout(NamedTuple):
    """Columns laid out: every column with its place, and the lines of the heading as (x, width, text) each."""

    columns: tuple[Placed, ...]
    heads: tuple[tuple[tuple[int, int, str], ...], ...]
    left_out: int


def groups_of(state: State, operation: Operation, widths: Callable[[str], int]) -> tuple[Group, ...]:
    """Give the operation's columns in working order, results last; `widths` tells the widest value shown so far."""
    found = [_reading_group(state, operation, reading, widths(reading.name)) for reading in operation.readings]
    found += [
        _single("step", step.name, step.name.replace("_", " ").replace("-", " ").capitalize(), 3)
        for step in operation.steps
        if step.tick is Tick.EACH
    ]
    found += [_result_group(state, result, widths(result.name)) for result in operation.results]
    return tuple(found)


def _single(sort: str, item: str, label: str, width: int, point: PointKey | None = None) -> Group:
    words = max((len(word) for word in label.replace("-", "- ").split()), default=0)
    return Group(item, label, (Column(sort, item, max(width, min(words, WIDEST_WORD)), point),))


def roomy(group: Group) -> Group:
    """Give a group of one column wide enough for the whole of its label, as far as that is sensible."""
    if len(group.columns) > 1:
        return group
    column = group.columns[0]
    width = column.width
    while width < WIDEST_WORD and len(wrapped(group.label, width, len(group.label))) > HEAD_LINES:
        width += 1
    return group._replace(columns=(column._replace(width=width),))


def _reading_group(state: State, operation: Operation, reading: Reading, seen: int) -> Group:
    points = state.index.points(operation.id, reading.name)
    width = max(seen, reading_width(state, reading))
    if len(points) == 1:
        return _single("point", reading.name, reading.label, width, points[0])
    if not reading.angles:
        width = max(width, min(WIDEST_WORD, max(len(station) for station in reading.stations)))
    return Group(reading.name, reading.label, tuple(Column("point", reading.name, width, point) for point in points))


def reading_width(state: State, reading: Reading) -> int:
    """Give the cells that a value of a reading is likely to take."""
    if reading.sort is Sort.NUMBER:
        return usual_width(state.plan, reading)
    if reading.sort is Sort.TEXT:
        return WIDEST_WORD
    words = state.index.words(reading)
    return min(WIDEST_WORD, max((len(word) for word in words), default=3))


def _result_group(state: State, result: Result, seen: int) -> Group:
    usual = usual_width(state.plan, result)
    group = _single("result", result.name, result.label, max(seen, usual if result.value else 2 * usual + 1))
    return group._replace(spare=0 if result.limit is not None else 2)


def condensed(group: Group) -> Group:
    """Give a reading's group as one column that shows its span."""
    width = group.columns[0].width
    return _single("span", group.item, group.label, 2 * width + 1)


def natural(groups: Sequence[Group], left: int) -> int:
    """Give the cells that all columns take, in full and with the whole of their labels, from the cell `left` on."""
    return left + sum(roomy(group).width for group in groups)


def laid_out(groups: Sequence[Group], left: int, width: int, at: tuple[str, PointKey | None]) -> Layout:
    """Lay columns out between the cell `left` and `width`, the reading `at` hand in full.

    Args:
        groups: the columns, in order.
        left: the first cell that is free.
        width: the cells there are, counted from 0.
        at: the reading or step at hand and its point.
    """
    room = width - left
    home = next((i for i, g in enumerate(groups) if g.item == at[0]), 0)
    shown = dict(enumerate(_widened(groups, room)))
    far = sorted(shown, key=lambda i: -abs(i - home))
    for i in far:
        if sum(g.width for g in shown.values()) <= room:
            break
        if i != home and len(shown[i].columns) > 2:
            shown[i] = condensed(shown[i])
    for i in sorted(far, key=lambda i: -groups[i].spare):
        if sum(g.width for g in shown.values()) <= room:
            break
        if i != home:
            del shown[i]
    if home in shown and shown[home].width > room:
        shown[home] = _window(shown[home], room, at[1])
    return _placed([shown[i] for i in sorted(shown)], left, len(groups) - len(shown))


def _widened(groups: Sequence[Group], room: int) -> list[Group]:
    """Widen columns for the whole of their labels, one after the other, as far as there is room."""
    left = room - sum(group.width for group in groups)
    found = []
    for group in groups:
        wide = roomy(group)
        more = wide.width - group.width
        if more > left:
            found.append(group)
        else:
            found.append(wide)
            left -= more
    return found


def _window(group: Group, room: int, point: PointKey | None) -> Group:
    """Give as many columns of a group as there is room for, the one at hand among them."""
    many = max(1, (room - BETWEEN) // (group.columns[0].width + GAP))
    here = next((i for i, c in enumerate(group.columns) if c.point == point), 0)
    first = max(0, min(here - many // 2, len(group.columns) - many))
    return group._replace(columns=group.columns[first : first + many])


def _placed(groups: Sequence[Group], x: int, left_out: int) -> Layout:
    columns: list[Placed] = []
    heads: list[list[tuple[int, int, str]]] = [[] for _ in range(HEAD_LINES)]
    for group in groups:
        first = x
        for column in group.columns:
            columns.append(Placed(x, column))
            x += column.width + GAP
        placed = columns[-len(group.columns) :]
        for line, entries in enumerate(_headings(group, first, x - GAP - first, placed)):
            heads[line].extend(entries)
        x += BETWEEN if len(group.columns) > 1 else 0
    first_used = next((i for i, line in enumerate(heads) if line), HEAD_LINES)
    return Layout(tuple(columns), tuple(tuple(line) for line in heads[first_used:]), left_out)


def _headings(group: Group, x: int, width: int, placed: Sequence[Placed]) -> list[list[tuple[int, int, str]]]:
    """Give the three heading lines of a group, filled from the bottom."""
    lines: list[list[tuple[int, int, str]]] = []
    if len(group.columns) == 1:
        lines = [[(x, width, text)] for text in wrapped(group.label, width)]
    else:
        stations, angles = _stations(placed), [p for p in placed if p.column.point and p.column.point[2] is not None]
        below = [stations] * bool(stations)
        if angles:
            below.append([(p.x, p.column.width, f"{p.column.point[2]}°") for p in angles if p.column.point])
        lines = [[(x, width, text)] for text in wrapped(group.label, width, max(1, HEAD_LINES - len(below)))]
        lines += below
    return [[] for _ in range(HEAD_LINES - len(lines))] + lines[:HEAD_LINES]


def _stations(placed: Sequence[Placed]) -> list[tuple[int, int, str]]:
    """Give each station's name over its columns."""
    found: list[tuple[int, int, str]] = []
    last = ""
    for x, column in placed:
        name = column.point[1] if column.point else ""
        if name and name == last:
            begin, _, text = found[-1]
            found[-1] = (begin, x + column.width - begin, text)
        elif name:
            found.append((x, column.width, name))
        last = name
    return found


def wrapped(text: str, width: int, most: int = HEAD_LINES) -> list[str]:
    """Break a label between words into at most so many lines of a width; what is left over is cut."""
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= width:
            lines[-1] += f" {word}"
        elif len(word) > width and "-" in word[:width]:
            cut = word.rindex("-", 0, width) + 1
            lines += [word[:cut], word[cut:]]
        else:
            lines.append(word)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return lines or [""]
