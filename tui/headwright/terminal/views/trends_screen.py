"""The trends on screen: this job's bores, every job's, and springback; one drawing at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from headwright.errors import HeadwrightError
from headwright.job.state import begin
from headwright.procedure.plan import plan_from
from headwright.store.replay import folded
from headwright.terminal.bench.scale import UNPROVED
from headwright.terminal.cards.words import error_words
from headwright.terminal.drawn import Drawn
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import QUIT, STOP
from headwright.terminal.small import TooSmall
from headwright.terminal.views.paper import cut, flowed
from headwright.terminal.views.sizes import Finished, Share, Springs, finished, share_of, springs
from headwright.terminal.views.trends import drawn_jobs, drawn_positions, drawn_springs
from headwright.terminal.views.view_keys import TRENDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from headwright.job.state import State
    from headwright.store.contract import JobStore
    from headwright.terminal.drawn import Line

JOBS = 20
"""Jobs that are drawn beside one another at most, those last worked on."""
BREATH = 0.01
"""Seconds between two jobs that are read, so that keys are answered meanwhile."""
TITLES = (
    "Finished bores of this job, as last read, in their limits",
    "Finished bores of the jobs last worked on, in their limits",
    "Springback over interference, first ball",
    "Springback over interference, later balls",
)
NO_SIZING = "This job's plan sizes no liners with a ball, so there is no springback to draw."


class TrendsPanel(Drawn):
    """One drawing, as high as it needs to be, or as high as there is room for."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id)

    def show(self, lines: Sequence[Line]) -> None:
        """Show lines, and be as high as they are."""
        self.styles.height = max(1, len(lines))
        self.put(lines)


class TrendsScreen(ModalScreen[None]):
    """The trends over the bench.

    Args:
        state: the job.
        store: has the other jobs.
    """

    CSS_PATH = "../views.tcss"
    KEYS: ClassVar[tuple[Key, ...]] = TRENDS
    BINDINGS: ClassVar[list[BindingType]] = [*bindings((*TRENDS, QUIT, STOP))]

    def __init__(self, state: State, store: JobStore) -> None:
        super().__init__()
        self._state, self._store = state, store
        self._view = 0
        self._bores: tuple[Finished, ...] = ()
        self._shares: list[Share] = []
        self._waiting: list[str] | None = None
        self._springs: dict[bool, Springs | None] = {}
        self._fault = ""

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Static("", classes="view-title", markup=False)
        with VerticalScroll(classes="view-scroll"):
            yield TrendsPanel()
        yield KeyLine(TRENDS)
        yield TooSmall()

    def on_mount(self) -> None:
        """Begin with this job."""
        self._bores = finished(self._state)
        self.query_one(VerticalScroll).focus()
        self._draw()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self._draw)

    def _draw(self) -> None:
        scroll = self.query_one(VerticalScroll)
        width, height = scroll.content_region.size
        self.query_one(".view-title", Static).update(
            cut(f"{self._state.job}  {TITLES[self._view]}", max(1, self.size.width - 2))
        )
        if width < 30 or height < 10:
            return
        lines = list(self._lines(width - 1, height))
        if self._fault:
            lines += flowed([[(f"■ {self._fault}", "bad")]], width, 3)
        self.query_one(TrendsPanel).show(lines)

    def _lines(self, width: int, height: int) -> Sequence[Line]:
        if self._view == 0:
            drawn = drawn_positions(self._bores, width)
            return (*drawn, (), *self._explained(width)) if self._bores else drawn
        if self._view == 1:
            self._begin_jobs()
            reading = f"reading {len(self._waiting or ())} more …" if self._waiting else ""
            lines = drawn_jobs(self._shares, width)
            more: Line = ((reading, "quiet"),)
            return (*lines, more, *self._explained(width)) if self._shares else (*lines, more)
        found = self._springs_of(later=self._view == 3)
        if found is None:
            return flowed([[(NO_SIZING, "quiet")]], width, 3)
        return drawn_springs(found, width, height)

    def _explained(self, width: int) -> tuple[Line, ...]:
        """Say in words what the drawing between limits is made of."""
        pieces: list[list[tuple[str, str]]] = [
            [("├ ┤ ", "quiet"), ("low and high limit", "quiet")],
            [("●━● ", ""), ("least to greatest size", "quiet")],
            [("« » ", ""), ("further out", "quiet")],
        ]
        if self._view == 1:
            pieces.insert(2, [("◆ ", "strong"), ("mean of the job", "quiet")])
        if any(bore.guard for bore in self._bores) if self._view == 0 else any(share.guard for share in self._shares):
            pieces.insert(1, [(f"{UNPROVED} guard band: in, and not proved", "quiet")])
        return flowed(pieces, width, 3)

    def _springs_of(self, *, later: bool) -> Springs | None:
        if later not in self._springs:
            try:
                self._springs[later] = springs(self._state, self._store, later=later)
            except HeadwrightError as error:
                self._fault = error_words(error)
                return None
        return self._springs[later]

    def _begin_jobs(self) -> None:
        """Begin to read the jobs last worked on, one after the other."""
        if self._waiting is not None:
            return
        try:
            self._waiting = [summary.job for summary in self._store.jobs()[:JOBS]]
        except HeadwrightError as error:
            self._waiting, self._fault = [], error_words(error)
        self.set_timer(BREATH, self._read_one)

    def _read_one(self) -> None:
        if not self._waiting:
            return
        job = self._waiting.pop(0)
        share = self._share(job)
        if share is not None:
            self._shares.append(share)
        if self._waiting:
            self.set_timer(BREATH, self._read_one)
        if self._view == 1:
            self._draw()

    def _share(self, job: str) -> Share | None:
        if job == self._state.job:
            return share_of(self._state, self._bores)
        try:
            state = begin(plan_from(self._store.plan_json(job)))
            state = folded(state, self._store.entries(job), self._store.where)
        except (HeadwrightError, ValueError):
            return None  # a job that this version cannot read is told on the list of jobs
        return share_of(state, finished(state))

    def _turn(self, view: int) -> None:
        self._view = view
        self._fault = ""
        self.query_one(VerticalScroll).scroll_home(animate=False)
        self._draw()

    def action_trend_1(self) -> None:
        """Show the positions of this job."""
        self._turn(0)

    def action_trend_2(self) -> None:
        """Show the jobs."""
        self._turn(1)

    def action_trend_3(self) -> None:
        """Show springback of first balls."""
        self._turn(2)

    def action_trend_4(self) -> None:
        """Show springback of later balls."""
        self._turn(3)

    def action_trend_on(self) -> None:
        """Show the next drawing."""
        self._turn((self._view + 1) % len(TITLES))

    def action_view_leave(self) -> None:
        """Leave."""
        self.dismiss(None)
