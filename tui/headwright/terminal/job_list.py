"""The list of jobs: a drawn line a job where the screen is narrow, two where it is not, set apart on a wall screen."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.cells import cell_len
from textual.binding import Binding, BindingType
from textual.message import Message

from headwright.job.pace import learned, time_words
from headwright.terminal.cards.words import moment
from headwright.terminal.drawn import Drawn, Line, Span, clean, fit
from headwright.terminal.job_words import DOUBT, left_of, left_words, short_words, sign_of, troubles

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual import events

    from headwright.job.listed import Summary
    from headwright.job.pace import Took

_BAR = 8
_TWO_LINES = 100
"""Columns from which on a job has two lines."""
_APART = 140
"""Columns from which on an empty line sets them apart."""
_STATUS, _LEFT = 11, 10
"""Cells of the status and of the work left, in one line."""
_SIDE, _WORDS = 16, 33
"""Cells of the two columns at the right, in two lines."""


class _Widths(NamedTuple):
    """Cells of the columns that give way; the others are as wide as what they hold."""

    job: int
    head: int
    on: int


class JobList(Drawn, can_focus=True):
    """The jobs, one of them at hand; arrows, page keys and the wheel move, Enter or a click opens."""

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
        self._known: Mapping[str, Took] = {}
        self._at = 0
        self._top = 0

    @property
    def at_hand(self) -> Summary | None:
        """The job at hand, None in an empty list."""
        return self._jobs[self._at] if self._jobs else None

    @property
    def known(self) -> Mapping[str, Took]:
        """What the jobs of the shop took, by operation."""
        return self._known

    def learn(self, jobs: Sequence[Summary]) -> None:
        """Learn from all jobs of the shop how long work takes."""
        self._known = learned(job.took for job in jobs)

    def show(self, jobs: Sequence[Summary]) -> None:
        """Show these jobs; the one at hand stays so while it is among them."""
        kept = self.at_hand.job if self.at_hand else ""
        self._jobs = tuple(jobs)
        self._at = next((i for i, job in enumerate(self._jobs) if job.job == kept), 0)
        self._draw()
        self.post_message(self.AtHand())

    def take(self, job: str) -> None:
        """Take the job of a number in hand, where it is shown."""
        self._go(next((i for i, shown in enumerate(self._jobs) if shown.job == job), self._at))

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
        return max(1, (self.size.height - self._heading) // self._height)

    @property
    def _height(self) -> int:
        """Lines of a job."""
        width = self.size.width
        return 3 if width >= _APART else 2 if width >= _TWO_LINES else 1

    @property
    def _heading(self) -> int:
        """Lines above the first job: names of columns, where each job is one line."""
        return 1 if self._height == 1 else 0

    def _go(self, to: int) -> None:
        to = max(0, min(to, len(self._jobs) - 1))
        if to != self._at:
            self._at = to
            self._draw()
            self.post_message(self.AtHand())

    def on_resize(self) -> None:
        """Lay the lines out for the width."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """Open the job under the mouse."""
        row = self._top + (event.y - self._heading) // self._height
        if event.chain > 1 or event.y < self._heading or row >= len(self._jobs):
            return
        self._go(row)
        self.post_message(self.Chosen())

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
        shown = self._jobs[self._top : self._top + page]
        rows: list[Line] = []
        widths = _widths(self._jobs, self.size.width)
        if self._height == 1:
            rows.append(_head(widths))
        for number, job in enumerate(shown, start=self._top):
            lines: tuple[Line, ...] = (
                (_row(job, widths, self._known),)
                if self._height == 1
                else _two_rows(job, widths, self.size.width, self._known)
            )
            if number == self._at:
                lines = tuple(_in_hand(line, self.size.width) for line in lines)
            rows += [*lines, *[()] * (self._height - len(lines))]
        self.put(rows)


def _in_hand(line: Line, width: int) -> Line:
    return ((fit("".join(part for part, _ in line), width), "hand"),)


def _widths(jobs: Sequence[Summary], width: int) -> _Widths:
    def widest(texts: list[str], least: int, most: int) -> int:
        return max(least, min(most, max(map(cell_len, texts), default=0)))

    job = widest([clean(j.job) for j in jobs], 3, 14 if width >= _APART else 10)
    on = widest([_on(j) for j in jobs], 2, 6)
    rest = width - (3 + job + 2 + 2 + _BAR + 8 + 2 + _STATUS + 2 + on + 2 + _LEFT + 1)
    return _Widths(job, max(4, rest), on)


def _on(job: Summary) -> str:
    return " ".join(map(clean, job.on))


def _head_words(job: Summary, *more: str) -> str:
    """Give what a head is known by: its tag before all."""
    return ", ".join(clean(part) for part in (job.tag, job.family, *more) if part)


def _cut(text: str, width: int) -> str:
    """Fit a text with no blank before its …, whose plain twin would take three cells there and move what follows."""
    found = fit(text, width)
    return fit(f"{found[:-1].rstrip()}…", width) if found.endswith(" …") else found


def _head(widths: _Widths) -> Line:
    text = "   " + "  ".join(
        (
            fit("job", widths.job),
            fit("head", widths.head),
            fit("done", _BAR + 8),
            fit("status", _STATUS),
            fit("on", widths.on),
            fit("work left", _LEFT),
        )
    )
    return ((text, "title"),)


def _row(job: Summary, widths: _Widths, known: Mapping[str, Took]) -> Line:
    sign, style = sign_of(job)
    minutes = left_of(job, known).minutes
    left = time_words(minutes).replace("under ", "< ") if minutes else ""
    return (
        (f" {sign} ", style),
        (fit(clean(job.job), widths.job), "strong"),
        (f"  {_cut(_head_words(job), widths.head)}  ", ""),
        *_bar(job, _BAR),
        (f" {fit(f'{job.done}/{job.due}' if job.due else '', 7, right=True)}  ", ""),
        (fit(short_words(job), _STATUS), DOUBT[1] if job.doubted else style),
        (f"  {fit(_on(job), widths.on)}  {fit(left, _LEFT)}", ""),
    )


def _two_rows(job: Summary, widths: _Widths, width: int, known: Mapping[str, Took]) -> tuple[Line, Line]:
    sign, style = sign_of(job)
    words = _WORDS + max(0, (width - _APART) // 2)
    text = max(10, width - (3 + words + 2 + _SIDE + 2 + 1))
    count = f"{job.done} of {job.due} done" if job.due else ""
    first: Line = (
        (f" {sign} ", style),
        (fit(clean(job.job), widths.job), "strong"),
        (_cut(f"  {_head_words(job, job.route)}", text - widths.job), ""),
        ("  ", ""),
        *_bar(job, words - 16),
        (f"{fit(count, 16, right=True)}  ", ""),
        (fit(_on(job) or ("" if _is_over(job) else "nobody on"), _SIDE), "" if job.on else "quiet"),
    )
    wrong = tuple(troubles(job))
    used = sum(cell_len(part) for part, _ in wrong)
    at = f"  {'' if job.status == 'broken' else 'at '}{clean(job.at)}" if job.at else ""
    second: Line = (
        ("   ", ""),
        *wrong,
        (fit(at, max(0, text - used)), "quiet"),
        (f"  {fit(left_words(job, left_of(job, known)), words)}  ", ""),
        (fit(moment(job.time) if job.time else "", _SIDE), "quiet"),
    )
    return first, second


def _is_over(job: Summary) -> bool:
    return job.status in {"released", "scrapped", "broken"}


def _bar(job: Summary, width: int) -> tuple[Span, Span]:
    """Give a bar that is full only when all is done, and empty only when nothing is."""
    if not job.due or job.status == "scrapped":
        return (" " * width, ""), ("", "")
    share = job.done / job.due
    done = round(share * width)
    done = min(max(done, 1), width - 1) if 0 < share < 1 else done
    return ("━" * done, "good" if share == 1 else "now"), ("─" * (width - done), "line")
