"""The head map on screen: a widget in which a valve is picked by arrows or mouse, and a screen around it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from headwright.job.turn import place_in_turn, position_in_turn
from headwright.terminal.drawn import Drawn
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import QUIT, STOP
from headwright.terminal.small import TooSmall
from headwright.terminal.views.head_map import MapDrawing, drawn_map, legend
from headwright.terminal.views.paper import cut, flowed
from headwright.terminal.views.standing import Casting, castings, told
from headwright.terminal.views.view_keys import MAP

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from headwright.job.state import State
    from headwright.procedure.plan import Operation
    from headwright.terminal.drawn import Line

LEAST_COLUMNS = 24
TELL = 4
"""Lines that tell of the valve that is picked at least, where there is room."""
ROOMY = 18
"""Lines from which there is."""


class MapPanel(Drawn):
    """Lines: the heads, scrolled so that the picked valve is in sight; what the signs mean; what is picked."""

    class Picked(Message):
        """A valve was picked to go to: `position` is its id, `place` that of the operation there."""

        def __init__(self, position: str, place: str) -> None:
            super().__init__()
            self.position = position
            self.place = place

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id)
        self.picked = ""
        self._state: State | None = None
        self._operation: Operation | None = None
        self._heads: tuple[Casting, ...] = ()
        self._next = ""
        self._drawing: MapDrawing | None = None
        self._top = self._shown = 0

    def show(self, state: State, operation_id: str, place: str = "", next_place: str = "") -> None:
        """Draw the heads with where every valve stands in an operation.

        Args:
            state: the job.
            operation_id: the operation looked at.
            place: what is at hand; the position there at which work goes on is picked. Empty keeps what is picked.
            next_place: the place of that operation at which the next thing is to be done.
        """
        self._state, self._operation = state, state.index.operations[operation_id]
        self._next = place_in_turn(state, self._operation, next_place)
        self._heads = castings(state, self._operation, self._next)
        if place != self.picked:
            self.picked = position_in_turn(state, self._operation, place) or self.picked
        if self.picked not in state.index.places:
            self.picked = state.index.positions[0].id
        self._draw()

    def move(self, right: int, down: int) -> None:
        """Pick the valve beside, by steps of one to the right (left below 0) or down (up below 0)."""
        if self._drawing is not None:
            self.picked = self._drawing.beside(self.picked, right, down)
            self._draw()

    def pick_next(self) -> None:
        """Pick the valve at which the next thing is to be done."""
        if self._state is not None and self._operation is not None:
            self.picked = position_in_turn(self._state, self._operation, self._next) or self.picked
            self._draw()

    def go(self) -> None:
        """Tell that the picked valve is to be gone to."""
        if self._state is None or self._operation is None or not self.picked:
            return
        place = next(iter(self._state.index.around(self.picked, self._operation.per)), self.picked)
        self.post_message(self.Picked(self.picked, place))

    def _draw(self) -> None:
        width, height = self.size
        if self._state is None or self._operation is None or width < LEAST_COLUMNS or not height:
            return
        roomy = height >= ROOMY
        told_of = self._told(width, TELL if roomy else 2)
        room = max(1, height - len(told_of) - (3 if roomy else 1))
        self._drawing = drawn_map(self._heads, width, room, picked=self.picked)
        lines = self._drawing.lines
        signs = legend(self._heads, self._drawing.look, width, 2 if roomy else 1)
        if len(lines) > room and not roomy and room > 1:
            room -= 1  # for what tells that it goes on
        cell = self._drawing.cells.get(self.picked)
        if cell is not None:
            self._top = min(max(self._top, cell.y + cell.high + 1 - room), max(0, cell.y - 1))
        self._top = max(0, min(self._top, len(lines) - room))
        shown = lines[self._top : self._top + room]
        self._shown = len(shown)
        gap = [self._goes_on(len(lines) - self._top - room)] if roomy or len(lines) > room else []
        spare = height - len(shown) - len(gap) - len(signs)
        self.put([*shown, *gap, *signs, *self._told(width, max(len(told_of), spare))])

    def _goes_on(self, below: int) -> Line:
        """Tell that the map goes on above or below what is shown of it, by so many lines."""
        parts = [f"↑ {self._top} lines more"] if self._top > 0 else []
        parts += [f"↓ {below} lines more"] if below > 0 else []
        return (("   ".join(parts), "near"),) if parts else ()

    def _told(self, width: int, most: int) -> Sequence[Line]:
        """Tell of the valve that is picked, in at most so many lines."""
        if self._state is None or self._operation is None:
            return ()
        sentences = told(self._state, self._operation, self.picked)
        pieces = [[(cut(text, 400), "strong" if not number else "")] for number, text in enumerate(sentences)]
        return flowed(pieces, width, most, "  ")

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """Go to the valve under the mouse."""
        if self._drawing is None:
            return
        x, y = event.x - self.gutter.left, event.y - self.gutter.top
        place = self._drawing.at(x, y + self._top) if 0 <= y < self._shown else ""
        if place:
            self.picked = place
            self._draw()
            self.go()


class MapScreen(ModalScreen["MapPanel.Picked | None"]):
    """The head map over the bench; it is dismissed with the valve to go to, or with None.

    Args:
        state: the job.
        operation_id: the operation looked at.
        place: what is at hand.
        next_place: the place of that operation at which the next thing is to be done.
    """

    CSS_PATH = "../views.tcss"
    KEYS: ClassVar[tuple[Key, ...]] = MAP
    BINDINGS: ClassVar[list[BindingType]] = [*bindings((*MAP, QUIT, STOP))]

    def __init__(self, state: State, operation_id: str, place: str = "", next_place: str = "") -> None:
        super().__init__()
        self._show = (state, operation_id, place, next_place)

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        state, operation_id, *_ = self._show
        title = f"{state.job}  {state.plan.family_title}: {state.index.operations[operation_id].title}"
        yield Static(cut(title, 200), classes="view-title", markup=False)
        yield MapPanel()
        yield KeyLine(MAP)
        yield TooSmall()

    def on_mount(self) -> None:
        """Draw the map once it is laid out."""
        self.query_one(MapPanel).show(*self._show)

    def on_map_panel_picked(self, message: MapPanel.Picked) -> None:
        """Leave with the valve that was picked."""
        message.stop()
        self.dismiss(message)

    def action_map_go(self) -> None:
        """Go to the valve that is picked."""
        self.query_one(MapPanel).go()

    def action_map_left(self) -> None:
        """Pick the valve to the left."""
        self.query_one(MapPanel).move(-1, 0)

    def action_map_right(self) -> None:
        """Pick the valve to the right."""
        self.query_one(MapPanel).move(1, 0)

    def action_map_up(self) -> None:
        """Pick the valve above."""
        self.query_one(MapPanel).move(0, -1)

    def action_map_down(self) -> None:
        """Pick the valve below."""
        self.query_one(MapPanel).move(0, 1)

    def action_map_next(self) -> None:
        """Pick the valve at which the next thing is to be done."""
        self.query_one(MapPanel).pick_next()

    def action_view_leave(self) -> None:
        """Leave; nothing changes."""
        self.dismiss(None)
