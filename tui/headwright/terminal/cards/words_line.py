"""A line for words that goes on below where it is full, so that whoever signs them has all of them in sight."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len, chop_cells
from textual.geometry import Offset, Size
from textual.strip import Strip
from textual.widgets import Input
from textual.widgets.input import Selection

if TYPE_CHECKING:
    from textual import events

LONGEST = 500
"""Characters of a reason: about eight lines of a printed sheet."""


class WordsLine(Input):
    """A field for words; as high as they need, as far as the style sheet lets it be.

    Args:
        placeholder: what is expected, shown while it is empty.
    """

    def __init__(self, placeholder: str = "") -> None:
        super().__init__(placeholder=placeholder, compact=True, max_length=LONGEST, select_on_focus=False)

    def offer(self, text: str) -> None:
        """Put a text down that stands unless another is typed."""
        self.value = text
        self.selection = Selection(len(text), 0)

    def on_focus(self) -> None:
        """Select what is there: typing takes its place."""
        self.selection = Selection(len(self.value), 0)

    @property
    def content_width(self) -> int:
        """Give the cells of a row: nothing runs beyond them, so nothing scrolls sideways."""
        return max(1, self.size.width)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Give the rows that the words and the cursor after them take."""
        del container, viewport
        return len(rows(self.value, width))

    def render_line(self, y: int) -> Strip:
        """Draw one row."""
        if not self.value:
            return super().render_line(y)
        width = self.scrollable_content_region.width
        spans = rows(self.value, width)
        at = y + self._first_row(spans)
        if at >= len(spans):
            return Strip.blank(width, self.rich_style)
        text = self._value
        text.pad_right(1)
        if self.has_focus:
            start, end = sorted(self.selection)
            text.stylize(self.get_component_rich_style("input--selection"), start, end)
            if self._cursor_visible:
                cursor = self.cursor_position
                text.stylize(self.get_component_rich_style("input--cursor"), cursor, cursor + 1)
        row = text[slice(*spans[at])]
        row.end = ""
        strip = Strip(self.app.console.render(row, self.app.console_options.update(width=width, no_wrap=True)))
        return strip.adjust_cell_length(width).apply_style(self.rich_style)

    def _row_of(self, position: int, spans: list[tuple[int, int]]) -> int:
        return next((row for row, (_, end) in enumerate(spans) if position < end), len(spans) - 1)

    def _first_row(self, spans: list[tuple[int, int]]) -> int:
        """Give the first row in sight: that of the cursor is, where there are more than fit."""
        height = max(1, self.size.height)
        return max(0, min(self._row_of(self.cursor_position, spans) - height + 1, len(spans) - height))

    @property
    def cursor_screen_offset(self) -> Offset:
        """Give where the cursor is on screen, for what the terminal itself writes there."""
        spans = rows(self.value, self.content_width)
        row = self._row_of(self.cursor_position, spans)
        before = cell_len(self.value[spans[row][0] : self.cursor_position])
        return self.content_region.offset + Offset(before, row - self._first_row(spans))

    async def _on_mouse_down(self, event: events.MouseDown) -> None:
        await super()._on_mouse_down(event)
        event.prevent_default()  # Textual would call its own once more, which knows of one row alone
        self.selection = Selection.cursor(self._position_at(event.get_content_offset_capture(self)))

    async def _on_mouse_move(self, event: events.MouseMove) -> None:
        event.prevent_default()
        if self._selecting:
            start, _ = self.selection
            self.selection = Selection(start, self._position_at(event.get_content_offset_capture(self)))

    def _position_at(self, offset: Offset) -> int:
        """Give the position in the words that is shown at a cell."""
        spans = rows(self.value, self.content_width)
        start, end = spans[max(0, min(offset.y + self._first_row(spans), len(spans) - 1))]
        position = start
        while position < min(end, len(self.value)) and cell_len(self.value[start : position + 1]) <= offset.x:
            position += 1
        return position


def rows(text: str, width: int) -> list[tuple[int, int]]:
    """Break a text into rows of at most so many cells, at blanks where there are any.

    Args:
        text: what is broken; a cell for the cursor after it is counted in.
        width: cells of a row, at least 1.

    Returns:
        The positions from and to which each row goes; they leave nothing out. The last one ends one past the text.
    """
    spans: list[tuple[int, int]] = []
    rest, start = f"{text} ", 0
    while rest:
        cut = max(1, len(chop_cells(rest, max(1, width))[0])) if cell_len(rest) > width else len(rest)
        if cut < len(rest) and rest[cut] != " ":
            cut = rest.rfind(" ", 0, cut) + 1 or cut
        elif cut < len(rest) - 1:
            cut += 1  # the blank at which it is broken takes no cell of the next row
        spans.append((start, start + cut))
        start, rest = start + cut, rest[cut:]
    return spans
