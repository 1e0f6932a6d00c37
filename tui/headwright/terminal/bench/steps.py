"""The steps of an operation: what to do, in order, with what is ticked and what is at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.procedure.plan import Tick
from headwright.terminal.bench.columns import wrapped
from headwright.terminal.bench.spots import Spot, step_spots
from headwright.terminal.bench.verdicts import DONE, DUE, NOW
from headwright.terminal.drawn import Drawn, Line, clean, fit

if TYPE_CHECKING:
    from textual import events

    from headwright.job.state import State
    from headwright.procedure.plan import Operation

MOST_LINES = 3
"""Lines of one step."""


class Steps(Drawn):
    """The steps, those that want a tick with their sign; where there is little room, those about the one at hand."""

    def __init__(self) -> None:
        super().__init__(id="steps")
        self._all: list[Line] = []
        self._first_of: dict[str, int] = {}
        self._home = 0

    def look(self, state: State, operation: Operation, spot: Spot | None, width: int) -> int:
        """Lay the steps out; give how many lines they take.

        Args:
            state: the job.
            operation: whose steps.
            spot: what is at hand.
            width: cells there are.
        """
        self._all, self._first_of, self._home = [], {}, 0
        spots = {s.item: s for s in step_spots(state, operation)}
        undone = told = ""
        for step in operation.steps:
            mine = spot is not None and spot.point is None and spot.item == step.name
            sign, style = "–", "quiet"
            if step.name in spots:
                at = spots[step.name]
                ticked = step.name in state.writing(operation.id, at.place).ticks
                sign, style = (DONE, "good") if ticked else (NOW, "now") if mine else (DUE, "quiet")
                undone = undone or ("" if ticked else step.name)
            elif step.tick is Tick.NO:
                told = told or step.name
            else:
                sign, style = (NOW, "now") if mine else (DUE, "quiet")
            self._first_of[step.name] = len(self._all)
            text = "hand" if mine and step.name in spots else "strong" if mine else "" if sign != DONE else "quiet"
            for i, part in enumerate(wrapped(clean(step.do), max(10, width - 2), MOST_LINES)):
                shown = fit(part, max(10, width - 2))
                self._all.append(((f"{sign} " if i == 0 else "  ", style), (shown if mine else shown.rstrip(), text)))
        at_hand = spot.item if spot is not None and spot.point is None else undone or told
        self._home = self._first_of.get(at_hand, 0)
        return len(self._all)

    def show(self, height: int) -> None:
        """Show as many lines as there is room for, the one at hand among them."""
        first = 0 if len(self._all) <= height else max(0, min(self._home, len(self._all) - height))
        shown = self._all[first : first + height]
        left = len(self._all) - len(shown)
        if left and shown and height > 0:
            last = shown[-1]
            note = f"  +{left} lines, ?"
            text = fit("".join(t for t, _ in last[1:]).rstrip(), max(0, self.size.width - 2 - len(note)))
            shown[-1] = (last[0], (text, last[1][1]), (note, "quiet"))
        self.put(shown)

    def on_click(self, event: events.Click) -> None:
        """Let the screen pick the step under the mouse."""
        del event
