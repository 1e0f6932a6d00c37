"""The line at the top of a screen: what it shows, what is wrong on it, and where that is kept."""

from __future__ import annotations

from rich.cells import cell_len

from headwright.terminal.drawn import Drawn, Line, Span, clean, fit


class Heading(Drawn):
    """Spans on one line, of which the last gives way where there is not room for all."""

    def __init__(self, *spans: Span) -> None:
        super().__init__(classes="heading")
        self._spans: Line = spans

    def show(self, *spans: Span) -> None:
        """Show other spans."""
        self._spans = spans
        self._lay_out()

    def on_resize(self) -> None:
        """Lay the line out for the width."""
        self._lay_out()

    def _lay_out(self) -> None:
        *first, (last, style) = ((clean(text), style) for text, style in self._spans)
        room = self.size.width - 2 - sum(cell_len(text) for text, _ in first)
        self.put(((((" ", ""), *first, (fit(last, max(0, room)), style))),))
