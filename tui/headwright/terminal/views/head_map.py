"""The heads of a job from above, every valve in its place, as wide and as detailed as there is room for."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.terminal.views.paper import Paper, cut, flowed, said
from headwright.terminal.views.standing import WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from headwright.terminal.drawn import Line, Span
    from headwright.terminal.views.standing import Casting, Valve

ROUND, SQUARE, PICKED = "╭╮╯╰─│", "┌┐┘└─│", "╔╗╝╚═║"
"""Frames: of an intake, of anything else, and of the valve that is picked."""
BOXED = ("full", "figure", "word")
"""The looks that draw a frame."""
LOOKS = ("full", "figure", "word", "open", "bare")
"""How much a valve shows: framed with its figure and how far it is; without the latter; framed with its word; a word
under the name; the name alone."""
HIGH = {"full": 6, "figure": 5, "word": 4, "open": 2, "bare": 1}
ROOM = 4
"""Cells that a valve is made wider at most, where there is room."""
LEAST = 6
"""Cells below which no valve is drawn."""

Rows = tuple[tuple["Valve", ...], ...]


class Cell(NamedTuple):
    """Where a valve is drawn."""

    x: int
    y: int
    wide: int
    high: int

    def has(self, x: int, y: int) -> bool:
        """Tell whether a cell of the screen is inside."""
        return self.x <= x < self.x + self.wide and self.y <= y < self.y + self.high


class MapDrawing(NamedTuple):
    """The drawn lines, and where each position is in them."""

    lines: tuple[Line, ...]
    cells: dict[str, Cell]
    look: str

    def at(self, x: int, y: int) -> str:
        """Give the position drawn at a cell, empty where there is none."""
        return next((place for place, cell in self.cells.items() if cell.has(x, y)), "")

    def beside(self, place: str, right: int, down: int) -> str:
        """Give the nearest position in a direction; the same one where there is none further.

        Args:
            place: from where.
            right: 1 to the right, -1 to the left, 0 for neither.
            down: 1 downwards, -1 upwards, 0 for neither.
        """
        here = self.cells.get(place)
        if here is None:
            return next(iter(self.cells), "")

        def cost(cell: Cell) -> tuple[int, int] | None:
            across = 2 * (cell.x - here.x) + cell.wide - here.wide
            along = 2 * (cell.y - here.y) + cell.high - here.high
            ahead, aside = (across * right, abs(along)) if right else (along * down, abs(across))
            if ahead <= 0 or (right and aside):
                return None
            return (ahead, aside)

        found = {cost(cell): other for other, cell in reversed(self.cells.items())}
        found.pop(None, None)
        if found:
            return found[min(key for key in found if key is not None)]
        return self._in_order(place, right) if right else place

    def _in_order(self, place: str, right: int) -> str:
        """Go on at the end of a row: to the next position in standing order."""
        order = sorted(self.cells, key=lambda p: (self.cells[p].y, self.cells[p].x))
        at = order.index(place) + right
        return order[at] if 0 <= at < len(order) else place


def drawn_map(heads: Sequence[Casting], width: int, height: int, *, picked: str = "") -> MapDrawing:
    """Draw every head with as much as there is room for; what does not fit the height is to be scrolled.

    Args:
        heads: what to draw, in the order in which they stand.
        width: cells across, 24 or more.
        height: lines there are.
        picked: the position that is picked.
    """
    plans = [_Plan(heads, look, width) for look in LOOKS]
    # In one row where that can be, but not for the price of the words that tell how each valve stands.
    order = sorted(range(len(plans)), key=lambda i: (plans[i].look == "bare", plans[i].folded, i))
    chosen = next((plans[i] for i in order if plans[i].height <= height), None) or min(plans, key=lambda p: p.height)
    return chosen.draw(picked)


def legend(heads: Sequence[Casting], look: str, width: int, most: int = 2) -> tuple[Line, ...]:
    """Say in words what the signs and frames on the map mean, those that are there.

    Args:
        heads: what is drawn.
        look: how the valves are drawn, as `MapDrawing.look` has it.
        width: cells across.
        most: lines at most.
    """
    valves = list(_valves(heads))
    seen = dict.fromkeys(valve.sign for valve in valves)
    pieces: list[list[Span]] = []
    for sign, word in WORDS.items():
        if sign in seen:
            style = next(valve.style for valve in valves if valve.sign == sign)
            pieces.append([(f"{sign} ", style), (word, "quiet")])
    kinds = {valve.kind for valve in valves}
    framed = look in BOXED
    pieces += [[("╔═╗ ", "now"), ("picked", "quiet")]] if framed else []
    shapes = (("intake", "╭─╮ " if framed else "( ) "), ("exhaust", "┌─┐ " if framed else "[ ] "))
    pieces += [[(shape, ""), (kind, "quiet")] for kind, shape in shapes if kind in kinds]
    far = next((valve.far for valve in valves if valve.far), "")
    if look == "full" and far:
        pieces.append([(f"{far} ", ""), ("operations of its route are done", "quiet")])
    return flowed(pieces, width, most)


def _valves(heads: Sequence[Casting]) -> Iterator[Valve]:
    for head in heads:
        for _, valves in head.cylinders:
            yield from valves


def has_rows(head: Casting) -> bool:
    """Tell whether intakes and exhausts stand in rows of their own: more than one of a kind to a cylinder.

    With one of each, they stand in one row along the head, in the order in which they were given.
    """
    for _, valves in head.cylinders:
        kinds = [valve.kind for valve in valves]
        if any(kinds.count(kind) > 1 for kind in kinds):
            return True
    return False


class _Plan:
    """Where everything goes, for one look and one width."""

    def __init__(self, heads: Sequence[Casting], look: str, width: int) -> None:
        self.heads, self.look, self.width = heads, look, width
        names = [valve.name for valve in _valves(heads)]
        self._wide = min(max(LEAST, *(self._needs(v) for v in _valves(heads))), max(LEAST, width - 2))
        self._many = max(1, (width - 2) // self._wide)
        # Asked of a head once: asked of each cylinder, a long head would take its square.
        self._apart = {head.place: has_rows(head) for head in heads}
        self._grids = {head.place: [(c, self._rows(head, v)) for c, v in head.cylinders] for head in heads}
        cylinders = [rows for grid in self._grids.values() for _, rows in grid]
        self._across = max((len(row) for rows in cylinders for row in rows), default=1)
        self._cylinder = max(self._across * self._wide, 5)
        self._deep = max((len(rows) for rows in cylinders), default=1) * HIGH[look]
        self._abreast = len(heads) > 1 and all(len(head.cylinders) == 1 for head in heads)
        self._stretch()
        self._fits = max(1, (width - 1) // (self._cylinder + 1))
        wrapped = any(len(rows) > (2 if self._apart[head.place] else 1)
                      for head in heads for _, rows in self._grids[head.place])  # fmt: skip
        cut_short = any(cell_len(name) + 4 > self._wide for name in names)
        self.folded = wrapped or cut_short or any(len(head.cylinders) > self._fits for head in heads)
        self._corners = list(self._laid_out())
        self.height = max((y + self._high(head) for _, y, head in self._corners), default=0)

    def _stretch(self) -> None:
        """Give the valves more room where the width has it."""
        fits = max(1, (self.width - 1) // (self._cylinder + 1))
        most = max(len(head.cylinders) for head in self.heads)
        in_row = len(self.heads) if self._abreast else -(-most // -(-most // fits))
        spare = self.width - in_row * (self._cylinder + (4 if self._abreast else 1)) - 1
        grow = min(ROOM, max(0, spare // (in_row * self._across)))
        self._wide += grow
        self._cylinder += grow * self._across

    def _needs(self, valve: Valve) -> int:
        """Give the cells that a valve takes with this look, the blank beside it too."""
        name, word, figure = cell_len(valve.name) + 2, cell_len(valve.word), cell_len(valve.figure)
        if self.look in {"full", "figure"}:
            return max(name, word, figure, cell_len(valve.far) if self.look == "full" else 0) + 4
        if self.look == "word":
            return max(name, word) + 2
        return name + 2 if self.look == "bare" else max(name + 2, word) + 1

    def _rows(self, head: Casting, valves: tuple[Valve, ...]) -> Rows:
        """Share the valves of a cylinder among rows: intakes, then exhausts, or all in one; broken where too wide."""
        rows = [valves]
        if self._apart[head.place]:
            kinds = dict.fromkeys(v.kind for v in valves)
            order = sorted(kinds, key=("intake", "exhaust", "").index)
            rows = [tuple(v for v in valves if v.kind == kind) for kind in order]
        return tuple(row[i : i + self._many] for row in rows for i in range(0, len(row), self._many))

    def _banks(self, head: Casting) -> int:
        """Give into how many rows of cylinders a head is folded."""
        return -(-len(head.cylinders) // self._fits)

    def _high(self, head: Casting) -> int:
        """Give the lines of a head with its title; rows of cylinders share the line between them."""
        return 2 + self._banks(head) * (self._deep + 1)

    def _laid_out(self) -> Iterator[tuple[int, int, Casting]]:
        """Give the corner of each head: under one another, single-cylinder heads beside one another too."""
        x, y = 0, 0
        for head in self.heads:
            wide = self._cylinder + 2
            if self._abreast and x and x + wide > self.width:
                x, y = 0, y + self._deep + 3
            yield x, y, head
            if self._abreast:
                x += wide + 2
            else:
                y += self._high(head)

    def draw(self, picked: str) -> MapDrawing:
        """Draw all of it."""
        paper = Paper(self.width, self.height)
        cells: dict[str, Cell] = {}
        for x, y, head in self._corners:
            self._title(paper, x, y, head)
            grid = self._grids[head.place]
            banks = self._banks(head)
            many = -(-len(grid) // banks)
            for bank in range(banks):
                top = y + 1 + bank * (self._deep + 1)
                part = grid[bank * many : (bank + 1) * many]
                self._outline(paper, (x, top), [name for name, _ in part], (bank == 0, bank == banks - 1))
                for number, (_, rows) in enumerate(part):
                    left = x + 1 + number * (self._cylinder + 1)
                    self._fill(paper, (left, top + 1), rows, cells, picked)
        return MapDrawing(paper.lines(), cells, self.look)

    def _title(self, paper: Paper, x: int, y: int, head: Casting) -> None:
        room = self._cylinder + 2 if self._abreast else self.width
        words = f"Head {head.name}"
        more = "  front at the left" + (", intakes above, exhausts below" if self._apart[head.place] else "")
        standing: list[Span] = [(f"  {head.sign} {head.word}", head.style)] if head.word else []
        line = said([(words, "strong"), *standing, *([] if self._abreast else [(more, "quiet")])], room)
        for text, style in line:
            paper.put(x, y, text, style)
            x += cell_len(text)

    def _outline(self, paper: Paper, at: tuple[int, int], names: list[str], ends: tuple[bool, bool]) -> None:
        """Draw the casting round a row of cylinders; where it goes on in another row, that end is drawn open."""
        x, y = at
        bottom = y + self._deep + 1
        first, last = ("┃" if ends[0] else "┇"), ("┃" if ends[1] else "┇")
        wide = len(names) * (self._cylinder + 1)
        for row, left, joint, right in ((y, "┏", "┯", "┓"), (bottom, "┗", "┷", "┛")):
            paper.put(x, row, left if ends[0] else "━", "line")
            for number in range(1, len(names) + 1):
                paper.fill(x + (number - 1) * (self._cylinder + 1) + 1, row, self._cylinder, "━", "line")
                paper.put(x + number * (self._cylinder + 1), row, joint, "line")
            paper.put(x + wide, row, right if ends[1] else "━", "line")
        for number, name in enumerate(names):
            left_at = x + number * (self._cylinder + 1)
            paper.down(left_at, y + 1, self._deep, "│" if number else first, "line")
            text = f" cylinder {name} " if self._cylinder >= cell_len(name) + 14 else f" {name} "
            paper.put(left_at + 2, y, cut(text, self._cylinder - 2), "quiet")
        paper.down(x + wide, y + 1, self._deep, last, "line")

    def _fill(self, paper: Paper, corner: tuple[int, int], rows: Rows, cells: dict[str, Cell], picked: str) -> None:
        """Draw the valves of a cylinder, each row in the middle of it."""
        y = corner[1] + (self._deep - len(rows) * HIGH[self.look]) // 2
        for row in rows:
            slack = self._cylinder - len(row) * self._wide
            gap = slack // (len(row) + 1)
            x = corner[0] + (slack - gap * (len(row) - 1)) // 2
            for valve in row:
                cell = Cell(x, y, self._wide, HIGH[self.look])
                cells[valve.place] = cell
                draw = self._boxed if self.look in BOXED else self._plain
                draw(paper, cell, valve, picked == valve.place)
                x += self._wide + gap
            y += HIGH[self.look]

    def _boxed(self, paper: Paper, cell: Cell, valve: Valve, picked: bool) -> None:  # noqa: FBT001 - one of two looks
        pad = 0 if self.look == "word" else 1
        frame = PICKED if picked else ROUND if valve.kind == "intake" else SQUARE
        paper.box((cell.x, cell.y), (cell.wide, cell.high), frame, "now" if picked else "quiet")
        if cell.wide >= cell_len(valve.kind) + 4 and valve.kind:
            beside = min(pad, cell.wide - cell_len(valve.kind) - 4)
            paper.put(cell.x + 1 + beside, cell.y, f" {valve.kind} ", "quiet")
        inner = cell.wide - 2 - 2 * pad
        x = cell.x + 1 + pad
        paper.put(x, cell.y + 1, f"{valve.sign} ", valve.style)
        name = cut(valve.name, inner - 2)
        paper.put(x + 2, cell.y + 1, name, "hand" if picked else "strong")
        paper.put(x, cell.y + 2, cut(valve.word, inner), valve.style)
        if self.look != "word":
            paper.put(x, cell.y + 3, cut(valve.figure, inner), "")
        if self.look == "full":
            paper.put(x, cell.y + 4, cut(valve.far, inner), "quiet")

    def _plain(self, paper: Paper, cell: Cell, valve: Valve, picked: bool) -> None:  # noqa: FBT001 - one of two looks
        left, right = "()" if valve.kind == "intake" else "[]"
        name = cut(valve.name, cell.wide - 4)
        paper.put(cell.x, cell.y, left, "hand" if picked else "quiet")
        paper.put(cell.x + 1, cell.y, valve.sign, "hand" if picked else valve.style)
        shown = f" {name}"
        paper.put(cell.x + 2, cell.y, shown, "hand" if picked else "strong")
        paper.put(cell.x + 2 + cell_len(shown), cell.y, right, "hand" if picked else "quiet")
        if self.look == "open":
            paper.put(cell.x, cell.y + 1, cut(valve.word, cell.wide - 1), valve.style)
