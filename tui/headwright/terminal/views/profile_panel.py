"""The widget that shows the profile of a bore, with the figure being typed in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal.drawn import Drawn
from headwright.terminal.views.bore import Bore, Facts, bore, facts
from headwright.terminal.views.profile import drawn_bore

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

LEAST_COLUMNS, LEAST_LINES = 30, 8
"""Below this the profile is not drawn."""
NOTHING = "No bore has been read here yet, so there is no profile to draw."


class ProfilePanel(Drawn):
    """Lines: what is drawn, its sections, the scale, and its shape in words."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id)
        self._asked: tuple[State, str, str, str] | None = None
        self._facts: Facts | None = None
        self._bore: Bore | None = None

    @property
    def bore(self) -> Bore | None:
        """The bore that is drawn, None where none is known."""
        return self._bore

    def show(
        self,
        state: State,
        operation: Operation,
        place: str,
        typed: Mapping[PointKey, float] | None = None,
        hand: PointKey | None = None,
    ) -> None:
        """Draw the bore at a place; what does not depend on the typing is worked out once for a state.

        Args:
            state: the job.
            operation: the operation at hand.
            place: the position at hand.
            typed: the figures being typed, mm, by their points.
            hand: the point at hand.
        """
        asked = (state, operation.id, place, hand[0] if hand else "")
        if self._asked is None or self._asked[0] is not state or self._asked[1:] != asked[1:]:
            self._facts = facts(state, operation, place, asked[3])
            self._asked = asked
        self._bore = None if self._facts is None else bore(self._facts, typed or {}, hand)
        self._draw()

    def _draw(self) -> None:
        width, height = self.size
        if not width or not height:
            return
        if self._bore is None:
            self.put((((NOTHING, "quiet"),),))
        elif width < LEAST_COLUMNS or height < LEAST_LINES:
            self.put((((f"The profile needs {LEAST_COLUMNS} by {LEAST_LINES} cells.", "quiet"),),))
        else:
            self.put(drawn_bore(self._bore, width, height))

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._draw()
