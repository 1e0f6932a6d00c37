"""The widget that shows where a reading is taken, as high as its drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.terminal.drawn import Drawn
from headwright.terminal.views.where import drawn_where, where_of

if TYPE_CHECKING:
    from textual.geometry import Size

    from headwright.job.index import PointKey
    from headwright.procedure.plan import Reading


class WherePanel(Drawn):
    """A drawing of a reading's points, the one at hand marked; it takes no line for a reading without any.

    Args:
        reading: the reading.
        point: the point at hand, None to mark none.
    """

    def __init__(self, reading: Reading, point: PointKey | None = None) -> None:
        super().__init__()
        self._where = where_of(reading, point)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Give the lines that the drawing takes in a width."""
        del container, viewport
        return len(drawn_where(self._where, width)) if self._where is not None else 0

    def on_resize(self) -> None:
        """Draw for the new size."""
        if self._where is not None and self.size.width:
            self.put(drawn_where(self._where, self.size.width))
