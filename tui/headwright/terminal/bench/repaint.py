"""Painting the lines that changed and no others: Textual asks every widget between two of them for all of its lines."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from textual._compositor import ChopsUpdate, Compositor
from textual.geometry import Region

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.screen import Screen
    from textual.strip import Strip


def paint_now(screen: Screen[None]) -> None:
    """Paint what changed on a screen at once, where nothing has to be laid out anew.

    Textual would pass it from widget to screen to a timer first, and hold it there while the last frame is young.
    """
    repaint = screen._compositor  # noqa: SLF001
    if not isinstance(repaint, Repaint) or not screen.is_current or screen.app._batch_count:  # noqa: SLF001
        return
    widgets = repaint.visible_widgets.keys()
    if screen._layout_required or any(w._layout_required or w._scroll_required for w in widgets):  # noqa: SLF001
        return
    changed = {widget for widget in widgets if widget._repaint_required}  # noqa: SLF001
    for widget in changed:
        widget._repaint_required = False  # noqa: SLF001
    if changed:
        repaint.update_widgets(changed)
        screen._compositor_refresh()  # noqa: SLF001


class Repaint(Compositor):
    """Textual's compositor, which asks a widget only for those of its lines that changed and that are seen."""

    def render_partial_update(self) -> ChopsUpdate | None:
        """Give what changed since it was asked last, None where nothing did."""
        screen = self.size.region
        regions = [region for each in self._dirty_regions if (region := each.intersection(screen))]
        self._dirty_regions.clear()
        if not regions:
            return None
        spans = list(self._regions_to_spans(regions))
        return ChopsUpdate(self._lines(spans), spans, [cuts[1:] for cuts in self.cuts])

    def _lines(self, spans: Sequence[tuple[int, int, int]]) -> list[dict[int, Strip | None]]:
        """Give the pieces of each line that changed, front to back: the first that covers a cell is what is seen."""
        cuts = self.cuts
        lines: list[dict[int, Strip | None]] = [{} for _ in cuts]
        wanted: dict[int, set[int]] = defaultdict(set)
        for y, first, end in spans:
            lines[y] = dict.fromkeys(cuts[y][:-1])
            wanted[y].update(a for a, b in zip(cuts[y], cuts[y][1:], strict=False) if first < b and end > a)
        for widget, (region, clip) in self.visible_widgets.items():
            shown = region.intersection(clip)
            left, right = shown.column_span
            here = [y for y in wanted if shown.y <= y < shown.bottom and any(left <= x < right for x in wanted[y])]
            for top, count in _runs(here):
                strips = widget.render_lines(Region(left - region.x, top - region.y, shown.width, count))
                for y, strip in enumerate(strips, top):
                    edges = [cut for cut in cuts[y] if left <= cut <= right]
                    for cut, piece in zip(edges, strip.divide([edge - left for edge in edges[1:]]), strict=False):
                        if lines[y][cut] is None:
                            lines[y][cut] = piece
                    wanted[y].difference_update(edges[:-1])
        return lines


def _runs(numbers: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Give ascending numbers as runs without a gap: where each begins, and how long it is."""
    first = count = 0
    for number in numbers:
        if count and number == first + count:
            count += 1
            continue
        if count:
            yield first, count
        first, count = number, 1
    if count:
        yield first, count
