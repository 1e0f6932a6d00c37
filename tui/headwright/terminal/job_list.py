"""The list of jobs: one drawn line a job, as much of it as the width allows."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.cells import cell_len
from textual.binding import Binding, BindingType
from textual.message import Message

from headwright.terminal.drawn import Drawn, Line, Span, clean, fit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from headwright.job.summary import Summary

_SIGNS = {
    "open": ("▸", ""),
    "held": ("■", "bad"),
    "stopped": ("■", "bad"),
    "released": ("✓", "good"),
    "scrapped": ("×", "quiet"),
    "broken": ("×", "bad"),
}
_BAR = 8
_NARROW = 96
"""Columns below which the operation is told under the list only."""


class _Widths(NamedTuple):
    """Cells of the columns that give way; the others are as wide as what they hold."""

    job: int
    tag: int
    family: int
    on: int
    at: int


class JobList(Drawn, can_focus=True):
    """The jobs, one of them at hand; arrows, page keys and the wheel move, Enter or a second click opens."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("home", "go_first", show=False),
        Binding("end", "go_last", show=False),
    ]

    class AtHand(Message):
        """Another job is at hand."""

    class Chosen(Message):
        """The job at hand is to be opened."""

    def __init__(self) -> None:
        super().__init__()
        self._jobs: tuple[Summary, ...] = ()
        self._at = 0
        self._top = 0

    @property
    def at_hand(self) -> Summary | None:
        """The job at hand, None in an empty list."""
        return self._jobs[self._at] if self._jobs else None

    def show(self, jobs: Sequence[Summary]) -> None:
        """Show these jobs; the one at hand stays so while it is among them."""
        kept = self.at_hand.job if self.at_hand else ""
        self._jobs = tuple(jobs)
        self._at = next((i for i, job in enumerate(self._jobs) if job.job == kept), 0)
        self._draw()
        self.post_message(self.AtHand())

    def move(self, by: int) -> None:
        """Take the job so many lines further (or, below 0, before) in hand."""
        self._go(self._at + by)

    def action_go_first(self) -> None:
        """Take the first job in hand."""
        self._go(0)

    def action_go_last(self) -> None:
        """Take the last job in hand."""
        self._go(len(self._jobs) - 1)

    @property
    def page(self) -> int:
        """How many jobs are seen at once."""
        return max(1, self.size.height - 1)

    def _go(self, to: int) -> None:
        to = max(0, min(to, len(self._jobs) - 1))
        if to != self._at:
            self._at = to
            self._draw()
            self.post_message(self.AtHand())

    def on_resize(self) -> None:
        """Lay the lines out for the width."""
        self._draw()

    def on_focus(self) -> None:
        """Show that the arrows work here."""
        self._draw()

    def on_blur(self) -> None:
        """Show that they do not."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """Take the job under the mouse in hand; open it when it was."""
        row = self._top + event.y - 1
        if event.y < 1 or row >= len(self._jobs):
            return
        if row == self._at:
            self.post_message(self.Chosen())
        self._go(row)

    def on_mouse_scroll_down(self) -> None:
        """Move down."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """Move up."""
        self.move(-1)

    def _draw(self) -> None:
        if not self.size.width:
            return
        page = self.page
        self._top = max(0, min(self._top, len(self._jobs) - page))
        self._top = min(max(self._top, self._at - page + 1), self._at)
        widths = _widths(self._jobs, self.size.width)
        rows = [_row(job, widths) for job in self._jobs[self._top : self._top + page]]
        if rows:
            here = self._at - self._top
            text = "".join(part for part, _ in rows[here])
            rows[here] = ((fit(text, self.size.width), "hand" if self.has_focus else "strong"),)
        self.put((_head(widths), *rows))


def _widths(jobs: Sequence[Summary], width: int) -> _Widths:
    def widest(texts: list[str], least: int, most: int) -> int:
        return max(least, min(most, max(map(cell_len, texts), default=0)))

    roomy = width >= _NARROW
    job = widest([clean(j.job) for j in jobs], 3, 14 if roomy else 10)
    tag = widest([clean(j.tag) for j in jobs], 3, 16 if roomy else 9)
    on = widest([_on(j) for j in jobs], 3, 12 if roomy else 6)
    rest = width - (3 + job + 2 + tag + 2 + 2 + _BAR + 9 + 2 + 9 + 2 + on)
    at = max(0, min(rest // 2, 40)) if roomy else 0
    return _Widths(job, tag, max(4, rest - at - 2 * bool(at)), on, at)


def _on(job: Summary) -> str:
    return " ".join(map(clean, job.on))


def _head(widths: _Widths) -> Line:
    text = "   " + "  ".join(
        (
            fit("job", widths.job),
            fit("tag", widths.tag),
            fit("family", widths.family),
            fit("done", _BAR + 9),
            fit("status", 9),
            fit("on", widths.on),
            *(("stands at",) if widths.at else ()),
        )
    )
    return ((text, "title"),)


def _row(job: Summary, widths: _Widths) -> Line:
    sign, style = _SIGNS.get(job.status, ("·", ""))
    spans: list[Span] = [
        (f" {sign} ", style),
        (fit(clean(job.job), widths.job), "strong"),
        (f"  {fit(clean(job.tag), widths.tag)}  {fit(clean(job.family), widths.family)}  ", ""),
        *_bar(job),
        (f" {fit(f'{job.done}/{job.due}', 8, right=True)}  ", ""),
        (fit(status_words(job), 9), style),
        (f"  {fit(_on(job), widths.on)}", ""),
    ]
    if widths.at:
        spans.append((f"  {fit(clean(job.at), widths.at)}", "quiet"))
    return tuple(spans)


def _bar(job: Summary) -> tuple[Span, Span]:
    """Give a bar that is full only when all is done, and empty only when nothing is."""
    share = job.done / job.due if job.due else 0.0
    done = round(share * _BAR)
    done = min(max(done, 1), _BAR - 1) if 0 < share < 1 else done
    return ("━" * done, "now"), ("─" * (_BAR - done), "line")


def status_words(job: Summary) -> str:
    """Give the status in words, with the count of what is held: `held 2`."""
    return f"held {job.held}" if job.status == "held" else job.status
