"""The route and where each operation stands: a list, folded to one line where the screen is narrow."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

from headwright.job.progress import Standing, standings
from headwright.terminal.bench.columns import wrapped
from headwright.terminal.bench.verdicts import DONE, DUE, GIVEN_UP, HELD, LOST, NOT_HERE, NOW
from headwright.terminal.drawn import Drawn, Line, Span, fit

if TYPE_CHECKING:
    from textual import events

    from headwright.job.state import State


LOOKED = "›"
"""After the sign of the operation that is looked at while another one is next."""
LONGEST = 80
"""Cells that a title and its count may take where operations stand in one line."""


def sign_of(standing: Standing, now: str) -> tuple[str, str]:
    """Give the sign of an operation and its style; `now` is the operation in which something is to be done next."""
    if standing.held:
        return HELD, "bad"
    if standing.operation == now:
        return NOW, "now"
    if not standing.needed:
        return NOT_HERE, "quiet"
    if standing.given_up and not standing.due:
        return LOST, "quiet"
    return (DUE, "quiet") if standing.due else (DONE, "good")


def count_of(standing: Standing, room: int) -> str:
    """Say how far an operation is: `3/8`, `again`, `held`; nothing where its sign says it, or nothing is done yet.

    What was given up is said in words where these have room, in cells, beside the title.
    """
    if standing.held:
        return f"held {standing.held}"
    if standing.again:
        return "again"
    count = f"{standing.done}/{standing.applies}" if standing.needed and 0 < standing.done < standing.applies else ""
    if standing.given_up and not standing.due:
        words = f"{count} {GIVEN_UP}".strip()
        return next((w for w in (words, GIVEN_UP) if len(standing.title) + 1 + len(w) <= room), count)
    return count


class Route(Drawn):
    """Every operation of the route with its sign and count, the one looked at marked."""

    class Picked(Message):
        """An operation was clicked."""

        def __init__(self, operation: str) -> None:
            super().__init__()
            self.operation = operation

    def __init__(self) -> None:
        super().__init__(id="route")
        self._standings: tuple[Standing, ...] = ()
        self._looked = ""
        self._now = ""
        self._shows: tuple[tuple[Standing, ...], str, str] = ((), "", "")
        self._ids: list[str] = []
        self._whole = 0
        self._spans: list[tuple[int, int, str]] = []

    def look(self, state: State) -> None:
        """Take in where the operations stand."""
        found = standings(state)
        if found is not self._standings:
            self._standings = found
            self._whole = max((len(s.title) + len(count_of(s, LONGEST)) + 4 for s in found), default=0)

    @property
    def whole(self) -> int:
        """Give the cells in which every title stands on one line, the border among them."""
        return self._whole

    @property
    def standings(self) -> tuple[Standing, ...]:
        """Give where the operations stand."""
        return self._standings

    def show(self, looked: str, now: str) -> None:
        """Draw with this operation looked at, and the next thing to do in the operation `now`."""
        shows = (self._standings, looked, now)
        if shows != self._shows:
            self._shows = shows
            self._looked, self._now = looked, now
            self._draw()

    def on_resize(self) -> None:
        """Fold or unfold."""
        self._draw()

    def _draw(self) -> None:
        width, height = self.size
        if not width or not self._standings:
            return
        if height <= 1:
            self.put((self._folded(width),))
            return
        # A long title has a second line where all of them fit in so; else it is cut, for the route is seen as a whole.
        rows = [(s, self._row(s, width, 2)) for s in self._standings]
        if sum(len(lines) for _, lines in rows) > height:
            rows = [(s, self._row(s, width, 1)) for s in self._standings]
        lines = [(s.operation, line) for s, lines in rows for line in lines]
        here = next((i for i, (operation, _) in enumerate(lines) if operation == self._looked), 0)
        first = max(0, min(here - height // 2, len(lines) - height))
        shown = lines[first : first + height]
        self._ids = [operation for operation, _ in shown]
        self.put([line for _, line in shown])

    def _row(self, standing: Standing, width: int, most: int) -> list[Line]:
        """Give the lines of an operation, at most so many; its count stands on the last."""
        sign, style = sign_of(standing, self._now)
        told = count_of(standing, width - 2)
        count = f" {told}" if told else ""
        looked = standing.operation == self._looked
        if looked and told[:1].isdigit() and len(standing.title) + len(count) > width - 2:
            count = ""  # the top line has it
        room = max(1, width - 2 - len(count))
        text = "hand" if looked else "quiet" if not standing.due else ""
        *above, last = wrapped(standing.title, room, most)
        lines: list[Line] = [(("  ", ""), (fit(part, width - 2), text)) for part in above]
        lines.append((("  ", ""), (fit(last, room), text), (count, text or "quiet")))
        lines[0] = ((f"{sign}{self._mark(standing)}", style), *lines[0][1:])
        return lines

    def _mark(self, standing: Standing) -> str:
        """Give the sign after that of an operation: which one is looked at, where it is not the one that is next."""
        return LOOKED if standing.operation == self._looked != self._now else " "

    def _folded(self, width: int) -> Line:
        """Give one line: the operation looked at in the middle, what fits before and after it, and what is left."""
        parts = [self._part(s) for s in self._standings]
        widths = [sum(len(text) for text, _ in part) + 2 for part in parts]
        here = next((i for i, s in enumerate(self._standings) if s.operation == self._looked), 0)
        first = last = here
        room = width - 22 - widths[here]
        while True:
            grew = False
            if last + 1 < len(parts) and widths[last + 1] <= room:
                last += 1
                room -= widths[last]
                grew = True
            if first > 0 and widths[first - 1] <= room and here - first <= 1:
                first -= 1
                room -= widths[first]
                grew = True
            if not grew:
                break
        spans: list[Span] = []
        self._spans = []
        x = 0
        if first:
            text = f"‹{first} before  "
            spans.append((text, "quiet"))
            x += len(text)
        for i in range(first, last + 1):
            self._spans.append((x, x + widths[i], self._standings[i].operation))
            spans += [*parts[i], ("  ", "")]
            x += widths[i]
        if last + 1 < len(parts):
            spans.append((f"{len(parts) - last - 1} after›", "quiet"))
        return tuple(spans)

    def _part(self, standing: Standing) -> tuple[Span, ...]:
        sign, style = sign_of(standing, self._now)
        count = count_of(standing, LONGEST)
        looked = standing.operation == self._looked
        text = "hand" if looked else "quiet"
        return ((f"{sign}{self._mark(standing)}", style), (standing.title + (f" {count}" if count else ""), text))

    def on_click(self, event: events.Click) -> None:
        """Look at the operation under the mouse."""
        at = event.get_content_offset(self)
        if at is None:
            return
        if self.size.height <= 1:
            found = next((op for begin, end, op in self._spans if begin <= at.x < end), "")
        else:
            found = self._ids[at.y] if at.y < len(self._ids) else ""
        if found and event.chain == 1:  # the second of two was meant for the list of jobs
            self.post_message(self.Picked(found))
