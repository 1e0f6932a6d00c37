"""Trends as drawings: finished bores in their limits, jobs beside one another, and springback over interference."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len

from headwright.terminal.bench.scale import Axis, Held, drawn
from headwright.terminal.views.paper import Paper, cut, flowed
from headwright.terminal.views.steps import ticks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.calc.springback import Springback
    from headwright.terminal.drawn import Line, Span
    from headwright.terminal.views.sizes import Finished, Push, Share, Springs

ENDS = Axis(-0.15, 1.15)
"""What a drawing between limits spans, in shares of the limits."""
LIMITS = Held(0.0, 1.0)
WIDEST = 72
"""Cells of such a drawing: wider, and the eye no longer takes it in at once."""
LEAST = 10
MANY = 9
"""Points in one cell beyond which they are no longer counted."""
BEYOND, LEAST_SPAN = 0.15, 0.002
"""How far a scale goes on beyond what is drawn: this share of it, and at least so many mm."""
THIRDS = "▁─▔"
"""The line in the lowest, middle and highest third of a cell."""
COVERAGE = 0.95
"""Share of the sizings to come that the band holds."""


def drawn_positions(bores: Sequence[Finished], width: int) -> tuple[Line, ...]:
    """Draw every finished bore between its own limits, which stand under one another.

    Args:
        bores: in the order in which they are shown.
        width: cells across, 30 or more.
    """
    if not bores:
        return ((("No finished bore with limits has been read yet.", "quiet"),),)
    name = min(14, max(cell_len(b.name) for b in bores)) + 1
    low = max(cell_len(b.low_text) for b in bores) + 1
    high = max(cell_len(b.high_text) for b in bores) + 1
    text = max(cell_len(b.text) for b in bores) + 2
    word = max(cell_len(b.word) for b in bores)
    room = min(WIDEST, width - name - low - high - text - word - 3)
    lines: list[Line] = []
    if room < LEAST:
        room = min(WIDEST, width - name - word - 1)
        low = high = text = 0
    for bore in bores:
        figure = (bore.share(bore.least), bore.share(bore.most))
        parts: list[Span] = [(_in(bore.name, name), "strong")]
        if text:
            parts.append((bore.low_text.rjust(low - 1) + " ", "quiet"))
        if room >= LEAST:
            parts += drawn(ENDS, LIMITS, figure, (), room, style=bore.style or "now")
        if text:
            parts += [(" " + _in(bore.high_text, high + 1), "quiet"), (_in(bore.text, text), bore.style)]
        else:
            parts.append((" ", ""))
        lines.append((*parts, (bore.word, bore.style)))
    return tuple(lines)


def drawn_jobs(shares: Sequence[Share], width: int) -> tuple[Line, ...]:
    """Draw the finished bores of each job between their limits, all on one scale from the low limit to the high one.

    Args:
        shares: in the order in which they are shown.
        width: cells across, 30 or more.
    """
    if not shares:
        return ((("No job has a finished bore with limits yet.", "quiet"),),)
    name = min(10, max(cell_len(s.job) for s in shares)) + 1
    words = [f"{s.bores} bores, " + (f"■ {s.out} out" if s.out else "✓ all in") for s in shares]
    word = max(map(len, words))
    about = min(26, max(cell_len(s.about) for s in shares)) + 1 if width >= 90 else 0
    room = min(WIDEST, width - name - about - word - 1)
    lines: list[Line] = []
    for share, said in zip(shares, words, strict=True):
        style = "bad" if share.out else "good"
        parts: list[Span] = [(_in(share.job, name), "strong"), (_in(share.about, about), "quiet")]
        if room >= LEAST:
            parts += _with_mean(drawn(ENDS, LIMITS, (share.least, share.most), (), room, style=style), share, room)
            parts.append((" ", ""))
        lines.append((*(part for part in parts if part[0]), (cut(said, width - name), style)))
    return tuple(lines)


def _with_mean(line: Line, share: Share, room: int) -> list[Span]:
    """Put the mean of a job's bores on its line."""
    at = ENDS.at(share.mean, room)
    if not 0 <= at < room:
        return list(line)
    cells = [(sign, style) for text, style in line for sign in text]
    cells[at] = ("◆", "strong")
    return cells


def drawn_springs(found: Springs, width: int, height: int) -> tuple[Line, ...]:
    """Draw springback over interference: every sizing, the line learned from them, and the band of those to come.

    Args:
        found: what to draw.
        width: cells across, 30 or more.
        height: lines, 10 or more.
    """
    which = "later balls" if found.later else "the first ball"
    if not found.pushes:
        words = f"No sizing by {which} is on record for liners like these, so there is nothing to draw yet."
        return flowed([[(words, "quiet")]], width, 3)
    notes = flowed(_springs_words(found, which), width, 4)
    across = _span([p.interference for p in found.pushes])
    up = _span(_heights(found, across))
    ups = _ticks(up, found.factor, max(2, min(6, (height - len(notes)) // 3)))
    margin = max(cell_len(found.write(tick)) for tick in ups) + 1
    paper = Paper(width, max(4, height - len(notes)))
    plot = (margin + 1, width - margin - 2, paper.height - 3)
    _frame(paper, plot, found, (across, up), ups)
    if found.line is not None:
        _band(paper, plot, found.line, (across, up))
    _points(paper, plot, found.pushes, (across, up))
    return (*paper.lines(), *notes)


Span2 = tuple[float, float]
Plot = tuple[int, int, int]
"""The first cell, the cells across and the lines of what is drawn in; its first line is the second of the paper."""


def _heights(found: Springs, across: Span2) -> list[float]:
    """Give every height that is drawn: the sizings, and the band at both ends."""
    heights = [p.springback for p in found.pushes]
    if found.line is not None:
        for interference in across:
            heights += _between(found.line, interference)
    return heights


def _between(line: Springback, interference: float) -> tuple[float, float]:
    """Give the least and the greatest springback that the line lets expect, mm; the hole's own size does not matter."""
    hole = 10.0
    told = line.predict(hole, hole + interference, COVERAGE)
    return hole + interference - told.high, hole + interference - told.low


def _span(values: Sequence[float]) -> Span2:
    first, last = min(values), max(values)
    room = max((last - first) * BEYOND, LEAST_SPAN)
    return first - room, last + room


def _ticks(span: Span2, factor: float, most: int) -> tuple[float, ...]:
    """Give figures between two ends that are round in the unit that they are written in."""
    return tuple(tick * factor for tick in ticks(span[0] / factor, span[1] / factor, most))


def _cell(value: float, span: Span2, cells: int) -> int:
    return round((value - span[0]) / (span[1] - span[0]) * (cells - 1))


def _frame(paper: Paper, plot: Plot, found: Springs, spans: tuple[Span2, Span2], ups: Sequence[float]) -> None:
    left, wide, high = plot
    paper.put(0, 0, cut(f"springback, {found.unit}", paper.width), "title")
    paper.down(left - 1, 1, high, "│", "line")
    paper.put(left - 1, high + 1, "└" + "─" * wide, "line")
    for tick in ups:
        y = high - _cell(tick, spans[1], high)
        text = found.write(tick)
        paper.put(left - 1 - cell_len(text), y, text, "quiet")
        paper.put(left - 1, y, "┤", "line")
    name = f"interference, {found.unit}"
    end = paper.width - cell_len(name) - 1
    for tick in _ticks(spans[0], found.factor, max(2, wide // 12)):
        x, text = left + _cell(tick, spans[0], wide), found.write(tick)
        paper.put(x, high + 1, "┴", "line")
        if x + cell_len(text) < end:
            paper.put(x - cell_len(text) // 2, high + 2, text, "quiet")
    paper.put(end + 1, high + 2, name, "title")


def _band(paper: Paper, plot: Plot, line: Springback, spans: tuple[Span2, Span2]) -> None:
    """Shade what the next sizings are expected to lie in, and draw the line through the middle of it."""
    left, wide, high = plot
    for x in range(wide):
        interference = spans[0][0] + (spans[0][1] - spans[0][0]) * x / max(1, wide - 1)
        low, top = (_cell(v, spans[1], high) for v in _between(line, interference))
        for y in range(max(0, low), min(high - 1, top) + 1):
            paper.put(left + x, high - y, "░", "line")
        third = _cell(line.intercept + line.slope * interference, spans[1], 3 * high)
        if 0 <= third < 3 * high:
            paper.put(left + x, high - third // 3, THIRDS[third % 3], "now")


def _points(paper: Paper, plot: Plot, pushes: Sequence[Push], spans: tuple[Span2, Span2]) -> None:
    left, wide, high = plot
    cells: dict[tuple[int, int], list[bool]] = {}
    for push in pushes:
        at = (_cell(push.interference, spans[0], wide), _cell(push.springback, spans[1], high))
        cells.setdefault(at, []).append(push.mine)
    for (x, y), mine in cells.items():
        sign = "●" if any(mine) else "○"
        if len(mine) > 1:
            sign = str(min(MANY, len(mine)))
        paper.put(left + x, high - y, sign, "strong" if any(mine) else "")


def _springs_words(found: Springs, which: str) -> list[list[Span]]:
    """Say what the signs mean, and what the line says."""
    mine, others = sum(p.mine for p in found.pushes), sum(not p.mine for p in found.pushes)
    pieces: list[list[Span]] = [
        [("● ", "strong"), (f"this job, {mine}", "quiet")],
        [("○ ", ""), (f"other jobs, {others}", "quiet")],
    ]
    if len({(round(p.interference, 4), round(p.springback, 4)) for p in found.pushes}) < len(found.pushes):
        pieces.append([("2–9 ", ""), ("so many in one place", "quiet")])
    line = found.line
    if line is not None:
        of = "assumed, brought up to date with" if line.assumed else "learned from"
        pieces.append([("─ ", "now"), (f"{of} {line.records} sizings by {which}", "quiet")])
        pieces.append(
            [("░ ", "line"), (f"{COVERAGE:.0%} of the next ones are expected here".replace("%", " %"), "quiet")]
        )
        if line.left_out:
            pieces.append([(f"{line.left_out} not plausible, left out", "quiet")])
    return pieces


def _in(text: str, width: int) -> str:
    """Give a text in exactly so many cells, blanks after it."""
    shown = cut(text, max(0, width - 1))
    return shown + " " * (width - cell_len(shown))
