"""Trends as drawings: finished bores in their limits, jobs beside one another, and springback over interference."""

from __future__ import annotations

from collections import Counter
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

BESIDE = 0.15
"""How far a drawing between limits goes on beyond each, as a share of the span between them."""
ENDS = Axis(-BESIDE, 1 + BESIDE)
GRAIN = 1e-3
"""Millimetres that a drawing to one limit spans at least (our choice)."""
WIDEST = 72
"""Cells of such a drawing: wider, and the eye no longer takes it in at once."""
LEAST = 10
MANY, MORE = 9, "#"
"""Points in one cell beyond which they are no longer counted, and what stands for more."""
BEYOND, LEAST_SPAN = 0.15, 0.002
"""How far a scale goes on beyond what is drawn: this share of it, and at least so many mm."""
THIRDS = "▁─▔"
"""The line in the lowest, middle and highest third of a cell."""
WORDS = 6
"""Lines of words under a plot at most."""
MINE, OTHERS, LEFT_OUT = "●", "○", "×"
"""A sizing of this job, one of another job, one that the line does not rest on."""
Span2 = tuple[float, float]
"""A lower end and a higher one."""
COVERAGE = 0.95
"""Share of the sizings to come that the band holds."""


def drawn_positions(bores: Sequence[Finished], width: int) -> tuple[Line, ...]:
    """Draw every finished bore between its own limits, which stand under one another.

    Args:
        bores: in the order in which they are shown.
        width: cells across, 30 or more.
    """
    if not bores:
        words = "No finished bore with limits has been read yet. Each valve gets a line here once its own is."
        return flowed([[(words, "quiet")]], width, 3)
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
        ends, limits = _ends(bore), Held(bore.low, bore.high, bore.guard)
        parts: list[Span] = [(_in(bore.name, name), "strong")]
        if text:
            parts.append((bore.low_text.rjust(low - 1) + " ", "quiet"))
        if room >= LEAST:
            parts += _between_limits(ends, limits, (bore.least, bore.most), room, bore.style or "now")
        if text:
            parts += [(" " + _in(bore.high_text, high + 1), "quiet"), (_in(bore.text, text), bore.style)]
        else:
            parts.append((" ", ""))
        lines.append((*parts, (bore.word, bore.style)))
    return tuple(lines)


def _ends(bore: Finished) -> Axis:
    """Give what the drawing of a bore spans, so that the limits of all stand under one another."""
    if bore.low is not None and bore.high is not None:
        beside = BESIDE * max(bore.high - bore.low, GRAIN)
        return Axis(bore.low - beside, bore.high + beside)
    known = [size for size in (bore.low, bore.high, bore.least, bore.most) if size is not None]
    beside = BESIDE * max(max(known) - min(known), GRAIN)
    return Axis(min(known) - beside, max(known) + beside)


def _between_limits(ends: Axis, limits: Held, figure: Span2, room: int, style: str) -> list[Span]:
    """Draw a span between limits, cell by cell."""
    return [(sign, name) for text, name in drawn(ends, limits, figure, (), room, style=style) for sign in text]


def drawn_jobs(shares: Sequence[Share], width: int) -> tuple[Line, ...]:
    """Draw the finished bores of each job between their limits, all on one scale from the low limit to the high one.

    Args:
        shares: in the order in which they are shown.
        width: cells across, 30 or more.
    """
    if not shares:
        return ((("No job has a finished bore with limits yet.", "quiet"),),)
    name = min(10, max(cell_len(s.job) for s in shares)) + 1
    words = [_passing(share) for share in shares]
    word = max(map(len, words))
    about = min(26, max(cell_len(s.about) for s in shares)) + 1 if width >= 90 else 0
    room = min(WIDEST, width - name - about - word - 1)
    lines: list[Line] = []
    for share, said in zip(shares, words, strict=True):
        style = "bad" if share.out or share.unproven else "near" if share.conceded else "good"
        parts: list[Span] = [(_in(share.job, name), "strong"), (_in(share.about, about), "quiet")]
        if room >= LEAST:
            parts += _with_mean(share, room, style)
            parts.append((" ", ""))
        lines.append((*(part for part in parts if part[0]), (cut(said, width - name), style)))
    return tuple(lines)


def _passing(share: Share) -> str:
    """Say how many bores of a job there are, and how many do not pass."""
    parts = [(share.out, "■", "out"), (share.unproven, "■", "not proven"), (share.conceded, "~", "conceded")]
    found = ", ".join(f"{sign} {count} {word}" for count, sign, word in parts if count)
    return f"{share.bores} bore{'' if share.bores == 1 else 's'}, {found or '✓ all ok'}"


def _with_mean(share: Share, room: int, style: str) -> list[Span]:
    """Draw the bores of a job together between their limits, their mean on top."""
    cells = _between_limits(ENDS, Held(0.0, 1.0, share.guard), (share.least, share.most), room, style)
    at = ENDS.at(share.mean, room)
    if 0 <= at < room:
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
    across = _span([p.interference for p in _counting(found)], found.grain)
    up = _span(_heights(found, across), found.grain)
    beyond, crowd = _is_beyond(found, across, up), 1
    while True:
        notes = flowed(_springs_words(found, which, crowd, beyond), width, WORDS)
        plot, ups = _plot(found, up, width, height - len(notes))
        crowded = max(Counter(_at(push, plot, (across, up)) for push in found.pushes).values())
        if min(crowded, MANY + 1) <= crowd:
            break
        crowd = min(crowded, MANY + 1)  # the words that tell of it may take a line more
    paper = Paper(width, plot[2] + 3)
    _frame(paper, plot, found, (across, up), ups)
    through = _band(paper, plot, found.line, (across, up)) if found.line is not None else set()
    _points(paper, plot, found.pushes, (across, up), through)
    return (*paper.lines(), *notes)


Plot = tuple[int, int, int]
"""The first cell, the cells across and the lines of what is drawn in; its first line is the second of the paper."""


def _plot(found: Springs, up: Span2, width: int, height: int) -> tuple[Plot, tuple[float, ...]]:
    """Give where the drawing goes on a sheet, and the figures beside it."""
    high = max(4, height) - 3
    ups = _ticks(up, found, max(2, min(6, high // 3)))
    margin = max((cell_len(found.write(tick)) for tick in ups), default=0) + 1
    return (margin + 1, width - margin - 2, high), ups


def _counting(found: Springs) -> list[Push]:
    """Give the sizings that the scale is made for: those that the line rests on, all where it rests on none."""
    return [push for push in found.pushes if push.counts] or list(found.pushes)


def _is_beyond(found: Springs, across: Span2, up: Span2) -> bool:
    """Tell whether a sizing lies beyond the scale."""
    inside = (across[0] <= p.interference <= across[1] and up[0] <= p.springback <= up[1] for p in found.pushes)
    return not all(inside)


def _heights(found: Springs, across: Span2) -> list[float]:
    """Give every height that is drawn: the sizings, and the band at both ends."""
    heights = [p.springback for p in _counting(found)]
    if found.line is not None:
        for interference in across:
            heights += _between(found.line, interference)
    return heights


def _between(line: Springback, interference: float) -> tuple[float, float]:
    """Give the least and the greatest springback that the line lets expect, mm; the hole's own size does not matter."""
    hole = 10.0
    told = line.predict(hole, hole + interference, COVERAGE)
    return hole + interference - told.high, hole + interference - told.low


def _span(values: Sequence[float], grain: float) -> Span2:
    first, last = min(values), max(values)
    room = max((last - first) * BEYOND, LEAST_SPAN, grain)
    return first - room, last + room


def _ticks(span: Span2, found: Springs, most: int) -> tuple[float, ...]:
    """Give figures between two ends that are round in the unit that they are written in."""
    least = found.grain / found.factor
    return tuple(tick * found.factor for tick in ticks(span[0] / found.factor, span[1] / found.factor, most, least))


def _cell(value: float, span: Span2, cells: int) -> int:
    return round((value - span[0]) / (span[1] - span[0]) * (cells - 1))


def _at(push: Push, plot: Plot, spans: tuple[Span2, Span2]) -> tuple[int, int]:
    """Give the cell of a sizing; one beyond the scale stands at its end."""
    _, wide, high = plot
    x, y = _cell(push.interference, spans[0], wide), _cell(push.springback, spans[1], high)
    return min(max(x, 0), wide - 1), min(max(y, 0), high - 1)


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
    for tick in _ticks(spans[0], found, max(2, wide // 12)):
        x, text = left + _cell(tick, spans[0], wide), found.write(tick)
        paper.put(x, high + 1, "┴", "line")
        if x + cell_len(text) < end:
            paper.put(x - cell_len(text) // 2, high + 2, text, "quiet")
    paper.put(end + 1, high + 2, name, "title")


def _band(paper: Paper, plot: Plot, line: Springback, spans: tuple[Span2, Span2]) -> set[tuple[int, int]]:
    """Shade what the next sizings are expected to lie in, and draw the line through it; give the cells of the line."""
    left, wide, high = plot
    through = set()
    for x in range(wide):
        interference = spans[0][0] + (spans[0][1] - spans[0][0]) * x / max(1, wide - 1)
        low, top = (_cell(v, spans[1], high) for v in _between(line, interference))
        for y in range(max(0, low), min(high - 1, top) + 1):
            paper.put(left + x, high - y, "░", "line")
        third = _cell(line.intercept + line.slope * interference, spans[1], 3 * high)
        if 0 <= third < 3 * high:
            paper.put(left + x, high - third // 3, THIRDS[third % 3], "now")
            through.add((x, third // 3))
    return through


def _points(
    paper: Paper, plot: Plot, pushes: Sequence[Push], spans: tuple[Span2, Span2], through: set[tuple[int, int]]
) -> None:
    """Draw the sizings; those on the line in its colour, so that it shows among many."""
    left, _, high = plot
    cells: dict[tuple[int, int], list[Push]] = {}
    for push in pushes:
        cells.setdefault(_at(push, plot, spans), []).append(push)
    for (x, y), here in cells.items():
        mine = any(push.mine for push in here)
        sign = MINE if mine else OTHERS
        if not any(push.counts for push in here):
            sign = LEFT_OUT
        if len(here) > 1:
            sign = str(len(here)) if len(here) <= MANY else MORE
        paper.put(left + x, high - y, sign, "now" if (x, y) in through else "strong" if mine else "")


def _springs_words(found: Springs, which: str, crowd: int, beyond: bool) -> list[list[Span]]:  # noqa: FBT001 - a fact
    """Say what the signs mean, and what the line says; `crowd` sizings stand in one cell at most."""
    mine, others = sum(p.mine for p in found.pushes), sum(not p.mine for p in found.pushes)
    pieces: list[list[Span]] = [
        [(f"{MINE} ", "strong"), (f"this job, {mine}", "quiet")],
        [(f"{OTHERS} ", ""), (f"other jobs, {others}", "quiet")],
    ]
    if crowd > 1:
        pieces.append([("2–9 ", ""), ("so many in one place", "quiet")])
    if crowd > MANY:
        pieces.append([(f"{MORE} ", ""), ("more than nine", "quiet")])
    if beyond:
        pieces.append([("at an edge: further out", "quiet")])
    line = found.line
    if line is not None:
        of = "assumed, brought up to date with" if line.assumed else "learned from"
        sizings = "sizing" if line.records == 1 else "sizings"
        pieces.append([("─ ", "now"), (f"{of} {line.records} {sizings} by {which}", "quiet")])
        pieces.append(
            [("░ ", "line"), (f"{COVERAGE:.0%} of the next ones are expected here".replace("%", " %"), "quiet")]
        )
        if line.left_out:
            pieces.append([(f"{LEFT_OUT} ", ""), (f"not plausible, {line.left_out} left out", "quiet")])
    return pieces


def _in(text: str, width: int) -> str:
    """Give a text in exactly so many cells, blanks after it."""
    shown = cut(text, max(0, width - 1))
    return shown + " " * (width - cell_len(shown))
