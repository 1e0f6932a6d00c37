"""The steps of an operation: what to do, in order, with what is ticked and what is at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.message import Message

from headwright.procedure.plan import Tick
from headwright.terminal.bench.columns import wrapped
from headwright.terminal.bench.spots import Spot, step_spots
from headwright.terminal.bench.verdicts import DONE, DUE, LEADS, NOW
from headwright.terminal.drawn import Drawn, Line, clean, fit

if TYPE_CHECKING:
    from textual import events

    from headwright.job.state import State
    from headwright.procedure.plan import Operation

MOST_LINES, MOST_ROOMY = 3, 9
"""Lines of one step, and of one where the screen has lines to spare."""


class Steps(Drawn):
    """The steps, those that want a tick with their sign, those that lead to the reading at hand marked.

    Where there is little room, the one at hand is shown; at a reading the last of those that lead to it, and as many
    of them before it as there is room for.

    Args:
        last: whether these are the steps after the readings, else those before and beside them.
    """

    class Picked(Message):
        """A step to tick was clicked."""

        def __init__(self, spot: Spot) -> None:
            super().__init__()
            self.spot = spot

    def __init__(self, *, last: bool) -> None:
        super().__init__(id="last-steps" if last else "steps")
        self._last = last
        self._all: list[Line] = []
        self._spots: list[Spot | None] = []
        self._top = 0
        self._begins: list[int] = []
        self._homes: list[tuple[int, int]] = []
        self._more: tuple[int, int] | None = None
        self._seen: object = None

    def look(self, state: State, operation: Operation, spot: Spot | None, width: int, most: int = MOST_LINES) -> int:
        """Lay the steps out; give how many lines they take.

        Args:
            state: the job.
            operation: whose steps.
            spot: what is at hand.
            width: cells there are.
            most: lines of one step.
        """
        spots = {s.item: s for s in step_spots(state, operation, last=self._last)}
        ticked = {name for name, at in spots.items() if name in state.writing(operation.id, at.place).ticks}
        at_hand = None if spot is None else (spot.item, spot.point is None)
        seen = (operation.id, operation.steps, spots, ticked, at_hand, width, most)
        if seen != self._seen:
            self._seen = seen
            self._lay_out(operation, spot, (width, most), spots, ticked)
        return len(self._all)

    def _lay_out(
        self, operation: Operation, spot: Spot | None, room: tuple[int, int], spots: dict[str, Spot], ticked: set[str]
    ) -> None:
        (width, most), self._all, self._spots, self._begins, self._homes = room, [], [], [], []
        lines_of: dict[str, tuple[int, int]] = {}
        leading = []
        undone = told = ""
        for step in (s for s in operation.steps if s.last is self._last):
            mine = spot is not None and spot.point is None and spot.item == step.name
            leads = spot is not None and spot.point is not None and step.leads_to(spot.item)
            sign, style = (LEADS, "strong") if leads else ("–", "quiet")
            if step.name in spots:
                done = step.name in ticked
                sign, style = (DONE, "good") if done else (NOW, "now") if mine else (DUE, "quiet")
                undone = undone or ("" if done else step.name)
            elif step.tick is Tick.NO:
                told = told or step.name
            else:
                sign, style = (NOW, "now") if mine else (DUE, "quiet")
            begin = len(self._all)
            self._begins.append(begin)
            text = "strong" if mine or leads else "" if sign != DONE else "quiet"
            if mine and step.name in spots:
                text = "hand"
            for i, part in enumerate(wrapped(clean(step.do), max(10, width - 2), most)):
                shown = fit(part, max(10, width - 2))
                self._all.append(((f"{sign} " if i == 0 else "  ", style), (shown if mine else shown.rstrip(), text)))
                self._spots.append(spots.get(step.name))
            lines_of[step.name] = begin, len(self._all)
            if leads:
                leading.append(step.name)
        at_hand = spot.item if spot is not None and spot.point is None else undone or told
        homes = [undone, *leading] if leading else [at_hand]
        self._homes = [lines_of[name] for name in homes if name in lines_of]

    @property
    def lead(self) -> int:
        """Give the lines of the step that is shown where there is room for one alone."""
        return self._homes[-1][1] - self._homes[-1][0] if self._homes else 0

    def show(self, height: int) -> None:
        """Show as many lines as there is room for, the step at hand among them."""
        end = self._homes[-1][1] if self._homes else 0
        first = next((begin for begin in (0, *(at for at, _ in self._homes)) if end - begin <= height), end - self.lead)
        top = max(0, min(first, len(self._all) - height))
        # No step is shown without its beginning, for a line or two of room.
        self._top = next((begin for begin in self._begins if top <= begin <= first), top)
        shown = self._all[self._top : self._top + height]
        left = len(self._all) - len(shown)
        self._more = None
        if left and shown and height > 0:
            last = shown[-1]
            text = "".join(t for t, _ in last[1:]).rstrip()
            room = self.size.width - 2 - cell_len(text)
            notes = (f"  +{left} {'line' if left == 1 else 'lines'}, ?", f"  +{left}, ?")
            note = next((note for note in notes if len(note) <= room), notes[0])
            text = fit(text, max(0, self.size.width - 2 - len(note)))
            shown[-1] = (last[0], (text, last[1][1]), (note, "quiet"))
            self._more = (len(shown) - 1, 2 + cell_len(text))
        self.put(shown)

    async def on_click(self, event: events.Click) -> None:
        """Let the screen take the step under the mouse in hand; on the lines that are left out, tell all of them."""
        if self._more is not None and event.y == self._more[0] and event.x >= self._more[1] and event.chain == 1:
            await self.screen.run_action("why")
            return
        line = self._top + event.y
        spot = self._spots[line] if line < len(self._spots) else None
        if spot is not None and event.chain == 1:  # the second of two was meant for the list of jobs
            self.post_message(self.Picked(spot))
