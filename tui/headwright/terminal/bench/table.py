"""The widget in which an operation's places and readings are drawn, the one being typed in too."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

from headwright.job.entry import Entered
from headwright.terminal.bench.spots import Spot, is_tall
from headwright.terminal.bench.tall import Tall
from headwright.terminal.bench.wide import Wide
from headwright.terminal.drawn import Drawn

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable

    from textual import events

    from headwright.job.figures import Figure
    from headwright.job.state import State
    from headwright.procedure.plan import Operation
    from headwright.terminal.bench.typed import Live
    from headwright.terminal.drawn import Line

MOST_PAGES = 16
"""Ways to lay the columns out whose rows are kept: at the next place they are wanted again, one after the other."""


class Table(Drawn):
    """One drawn widget for all places: no cell is a widget, and only rows that changed are painted."""

    class Picked(Message):
        """A spot was clicked."""

        def __init__(self, spot: Spot) -> None:
            super().__init__()
            self.spot = spot

    def __init__(self) -> None:
        super().__init__(id="table")
        self._face: Wide | Tall | None = None
        self._spot: Spot | None = None
        self._typed = ""
        self._now = ""
        self._figures: tuple[Figure, ...] = ()
        self._top = 0
        self._kept: dict[int, Line] = {}
        self._pages: dict[Hashable, dict[int, Line]] = {}

    @property
    def face(self) -> Wide | Tall | None:
        """Give the table or list that is drawn."""
        return self._face

    @property
    def whole(self) -> int:
        """Give the cells in which nothing of what is drawn is folded away."""
        return self._face.whole if self._face is not None else 0

    def turn_to(self, state: State, operation: Operation) -> None:
        """Draw another operation."""
        self._face = (Tall if is_tall(operation) else Wide)(state, operation)
        self._top = 0
        self._forget(None)

    def wanted(self, width: int) -> int:
        """Give the lines that the whole table would take."""
        if self._face is None:
            return 0
        self._arrange(width)
        return self._face.head_lines + self._face.count

    def look(self, state: State, places: Iterable[str] | None = None) -> None:
        """Take in a state; `places` are those that changed, None for all."""
        if self._face is not None:
            self._forget(self._face.look(state, places))

    def look_ahead(self, state: State, place: str) -> None:
        """Work out what a place will show in a state that may come next."""
        if isinstance(self._face, Wide):
            self._face.look_ahead(state, place)

    def _forget(self, rows: Iterable[int] | None) -> None:
        """Draw these rows anew when they are wanted next, None for all; in whatever columns they were drawn."""
        if rows is None:
            self._kept = {}
            self._pages.clear()
            return
        for page in (self._kept, *self._pages.values()):
            for row in rows:
                page.pop(row, None)

    def _arrange(self, width: int) -> None:
        if self._face is not None and self._face.arrange(width, self._spot):
            if len(self._pages) > MOST_PAGES:
                self._pages.clear()
            self._kept = self._pages.setdefault(self._face.laid_out, {})

    def show(self, spot: Spot | None, typed: str, now: str, live: Live) -> None:
        """Draw the rows; of a key that is typed, only those that it changes.

        Args:
            spot: what is at hand.
            typed: the text typed there.
            now: the place at which the next thing is to be done.
            live: what the typed text would mean and come to.
        """
        face = self._face
        is_figure = isinstance(live.read, Entered) and live.read.value is not None
        figures = live.figures if is_figure else ()
        if face is not None:
            stale = {face.row_of(s) for s in (self._spot, spot) if s is not None}
            for at in (self._spot if self._figures else None, spot if figures else None):
                stale.update(face.rows_with(at) if at is not None else ())
            if now != self._now:
                stale |= {face.first_row_at(self._now), face.first_row_at(now)}
            self._forget([row for row in stale if row is not None])
        self._spot, self._typed, self._now, self._figures = spot, typed, now, figures
        self._draw()

    def _draw(self) -> None:
        face, width = self._face, self.width
        if face is None or not width:
            return
        self._arrange(width)
        row = face.row_of(self._spot) if self._spot else None
        if row is not None:
            self._top = min(max(self._top, row - self._room + 1), row)
        self._put_from(self._top)

    @property
    def _room(self) -> int:
        """Give how many rows there is room for."""
        return max(1, self.outer_size.height - (self._face.head_lines if self._face else 0))

    def _put_from(self, top: int) -> None:
        face = self._face
        if face is None:
            return
        self._top = max(0, min(top, face.count - self._room))
        rows = range(self._top, min(face.count, self._top + self._room))
        self.put((*face.heading(), *map(self._line, rows)))

    def _line(self, row: int) -> Line:
        """Give a row's line; those that did not change are the same object as before, which is quick to compare."""
        line = self._kept.get(row)
        if line is None and self._face is not None:
            line = self._kept[row] = self._face.line(row, self._spot, self._typed, self._now, self._figures)
        return line or ()

    def on_resize(self) -> None:
        """Lay out for the new size."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """Pick the spot under the mouse."""
        if self._face is None or event.chain > 1:  # the second of two was meant for the list of jobs
            return
        number = self._top + event.y - self._face.head_lines
        if event.y >= self._face.head_lines and number < self._face.count:
            spot = self._face.spot_at(number, event.x)
            if spot is not None:
                self.post_message(self.Picked(spot))

    def on_mouse_scroll_down(self) -> None:
        """Show later rows."""
        self._put_from(self._top + 3)

    def on_mouse_scroll_up(self) -> None:
        """Show earlier rows."""
        self._put_from(self._top - 3)
