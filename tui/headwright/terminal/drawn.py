"""A widget that draws its own lines: rows of text in named styles, of which only those that changed are painted."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Self

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.style import Style

Span = tuple[str, str]
"""Text, and the name of its style (empty: as the widget is)."""
Line = tuple[Span, ...]

STYLES = ("quiet", "strong", "now", "good", "near", "bad", "hand", "entry", "line", "title")

MOST_PAINTED = 1000
"""Lines that a widget keeps as they are painted: some screens full of them."""


class Lines(Widget):
    """Lines of styled text. The styles are the component classes `drawn--NAME` of the style sheet that it names."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id, classes=classes)
        self._lines: tuple[Line, ...] = ()
        self._styles_by_name: dict[str, Style] = {}
        self._painted: dict[Line, Strip] = {}
        self._gutter: tuple[int | None, int] | None = None

    @property
    def lines(self) -> tuple[Line, ...]:
        """Give the lines that are shown."""
        return self._lines

    @property
    def width(self) -> int:
        """Give the cells of a line; 0 until the widget is laid out."""
        return self.size.width if self._around[0] is None else self._size.width

    @property
    def _around(self) -> tuple[int | None, int]:
        """Give how many lines stand above and below ours; None above where something stands beside them or over them.

        That is a border, padding or an outline, which Textual draws.
        """
        if self._gutter is None:
            gutter = self.gutter
            beside = gutter.left or gutter.right or self.styles.outline
            self._gutter = (None if beside else gutter.top, gutter.bottom)
        return self._gutter

    def put(self, lines: Sequence[Line]) -> None:
        """Show these lines, from the top; only those that differ from what is shown are painted again."""
        old, new = self._lines, tuple(lines)
        self._lines = new
        width = self.width
        longest = max(len(old), len(new))
        changed = [
            Region(0, y, width, 1)
            for y in range(longest)
            if y >= len(old) or y >= len(new) or (old[y] is not new[y] and old[y] != new[y])
        ]
        if changed:
            self.refresh(*changed)

    def style(self, name: str) -> Style:
        """Give the style of a name as the style sheet has it."""
        found = self._styles_by_name.get(name)
        if found is None:
            found = self.get_component_rich_style(f"drawn--{name}") if name else self.rich_style
            self._styles_by_name[name] = found
        return found

    def notify_style_update(self) -> None:
        """Forget the styles kept when the style sheet or the theme changes."""
        self._styles_by_name.clear()
        self._painted.clear()
        self._gutter = None
        super().notify_style_update()

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        """Paint lines again; without any given, all of them, and in whatever style they have by now."""
        if not regions:
            self._painted.clear()
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Give lines as they are painted; a line that was there before is not painted anew.

        Where nothing stands beside a line, Textual would add nothing to it but the filters of the app, after it had
        looked up colours, sizes and borders each time.
        """
        above, below = self._around
        width, height = self._size
        if above is None or crop.x or crop.width != width:
            return super().render_lines(crop)
        if len(self._painted) > MOST_PAINTED:
            self._painted.clear()
        strips = []
        for y in crop.line_range:
            if not above <= y < height - below:
                strips += super().render_lines(Region(0, y, width, 1))
                continue
            line = self._lines[y - above] if y - above < len(self._lines) else ()
            strip = self._painted.get(line)
            if strip is None or strip.cell_length != width:
                strip = self._painted[line] = self._filtered(self.render_line(y - above))
            strips.append(strip)
        return strips

    def _filtered(self, strip: Strip) -> Strip:
        filters = self.get_line_filters()
        if filters:
            background = self.background_colors[1]
            for each in filters:
                strip = strip.apply_filter(each, background)
        return strip

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        base = self.style("")
        line = self._lines[y] if y < len(self._lines) else ()
        segments = [Segment(part, style) for text, name in line if text for part, style in self._inked(text, name)]
        return Strip(segments).adjust_cell_length(self.width, base)

    def _inked(self, text: str, name: str) -> tuple[tuple[str, Style], ...]:
        """Give a text in its style; where that underlines, the blanks around it stay without a line."""
        style = self.style(name)
        inked = text.strip() if style.underline else text
        if inked == text:
            return ((text, style),)
        begin, plain_style = text.find(inked), self.style("")
        parts = ((text[:begin], plain_style), (inked, style), (text[begin + len(inked) :], plain_style))
        return tuple(part for part in parts if part[0])


class Drawn(Lines):
    """Lines in any of the styles."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"drawn--{name}" for name in STYLES}


def fit(text: str, width: int, *, right: bool = False) -> str:
    """Give a text in exactly so many cells: cut with … where it is longer, filled with blanks where it is shorter."""
    length = cell_len(text)
    if length > width:
        return set_cell_size(text, width - 1) + "…" if width > 0 else ""
    blanks = " " * (width - length)
    return blanks + text if right else text + blanks


def plain(line: Line) -> str:
    """Give a line's text without its styles."""
    return "".join(text for text, _ in line)


def clean(text: str) -> str:
    """Give text from a person or a file so that it takes the cells it seems to: no control characters, one line."""
    return "".join(c if c.isprintable() else " " for c in text)
