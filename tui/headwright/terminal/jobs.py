"""The jobs board: every job, how far it is, what holds it, who is on it."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, Static

from headwright.errors import HeadwrightError
from headwright.terminal.cards.card import facts
from headwright.terminal.cards.words import error_words, moment, plain
from headwright.terminal.heading import Heading
from headwright.terminal.job_list import JobList
from headwright.terminal.job_words import DOUBT, SIGNS, finish_words, left_of, trouble_words
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import bindings, in_use, sign_in
from headwright.terminal.outer_keys import JOBS
from headwright.terminal.small import TooSmall

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from headwright.job.listed import Summary
    from headwright.job.pace import Took
    from headwright.store.contract import Waiting
    from headwright.store.front import Front
    from headwright.store.quarantine import Elsewhere
    from headwright.terminal.drawn import Span
    from headwright.terminal.first_start import Start
    from headwright.terminal.long_work import Progress

SECONDS = 2.0
"""Between two looks at the store, so that what others do is seen soon."""
_LONGEST_FIND = 60
_LONGEST_TAG = 40
_LONGEST_JOB = 14
HOW = "Enter or a click opens the job; arrows and the wheel only look."
BACK = "Enter or a click opens the job; {key} goes back to {job}."
ALL_SHOWN = "Every job is shown already; {key} leaves the program."


class JobsScreen(Screen[None]):
    """The list of jobs of a store; what is to be opened goes out as `Open`.

    It is shown before anything that works on jobs is loaded; what a key needs of that is loaded on its use.

    Args:
        front: where the jobs are.
        terminal: the name of this terminal, for the record of a new job.
        notice: what is told while there is nothing else to tell.
    """

    CSS_PATH = ["screens.tcss", "views.tcss"]  # noqa: RUF012 - as Textual declares it
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(JOBS)]

    class Open(Message):
        """A job is to be opened at the bench."""

        def __init__(self, job: str) -> None:
            super().__init__()
            self.job = job

    def __init__(self, front: Front, terminal: str, notice: str = "") -> None:
        super().__init__()
        self._front = front
        self._is_all_there = front.at_once
        self._terminal = terminal
        self._notice = notice
        self._jobs: tuple[Summary, ...] | None = None
        self._tried: tuple[Waiting, ...] = ()
        self._bringing = False
        self._came_from = ""

    def come_from(self, job: str) -> None:
        """Tell which job was left for the list: it is at hand, and Esc goes back to it."""
        self._came_from = job
        if self.is_mounted:
            self.query_one(JobList).take(job)

    def compose(self) -> ComposeResult:
        """Lay the board out."""
        yield Heading(("Jobs", "strong"))
        yield JobList()
        yield Static(Text(""), id="jobs-at-hand")
        yield Static(Text(""), id="jobs-say")
        find = Input(
            compact=True,
            max_length=_LONGEST_FIND,
            id="jobs-find",
            placeholder="find: any part of a line",
            select_on_focus=False,
        )
        find.display = False
        yield find
        yield KeyLine(JOBS)
        yield TooSmall()

    def on_mount(self) -> None:
        """Begin on the list, and look at the store now and then."""
        self.query_one(JobList).focus()
        self.set_interval(SECONDS, self._look_again)

    def on_screen_resume(self) -> None:
        """Look at the store whenever the board comes into view; a shop without a job is asked how to begin."""
        first = self._jobs is None
        self._tried = ()
        self.look()
        self._bring_in_doubts()
        if first and self._jobs == ():
            self._ask_how_to_begin()

    def _ask_how_to_begin(self) -> None:
        from headwright.terminal.first_start import FirstStart  # noqa: PLC0415 - once, before the first job

        self.app.push_screen(FirstStart(), self._begin)

    def all_there(self) -> None:
        """Begin with what takes all that works on jobs: doubts that wait are brought in."""
        self._is_all_there = True
        self._bring_in_doubts()

    def _look_again(self) -> None:
        if self.is_current:
            self.look()
            self._bring_in_doubts()

    def _bring_in_doubts(self) -> None:
        """Bring the doubts that wait into their jobs, beside the screen and while nobody types."""
        if not self._is_all_there or self._bringing or self.query_one("#jobs-find", Input).value:
            return
        try:
            waiting = self._front.whole().waiting()
        except HeadwrightError as error:
            self.say(error_words(error))
            return
        # What could not be brought in is tried again when the board is opened again, not every other second.
        if waiting and waiting != self._tried:
            self._bringing = True
            self._bring_in()

    @work(exit_on_error=False)
    async def _bring_in(self) -> None:
        from headwright.store.desk import utc_now  # noqa: PLC0415 - only a doubt is worth loading it
        from headwright.store.quarantine import bring_in  # noqa: PLC0415

        try:
            store = self._front.whole()
            told = await asyncio.to_thread(bring_in, store, utc_now)
            self._tried = store.waiting()
        except HeadwrightError as error:
            self.say(error_words(error))
            return
        finally:
            self._bringing = False
        self.look()
        if told:
            self._notice = doubts_in_words(told)
            self.say(self._notice)

    def look(self) -> None:
        """Read the jobs, and show them where they have changed."""
        try:
            found = self._front.jobs()
        except HeadwrightError as error:
            self.say(error_words(error))
            return
        if found != self._jobs:
            self._jobs = found
            self._show()

    def _show(self) -> None:
        jobs = self._jobs or ()
        wanted = plain(self.query_one("#jobs-find", Input).value).lower().split()
        shown = [job for job in jobs if all(part in _searched(job) for part in wanted)]
        count = f"{len(shown)} of {len(jobs)}" if wanted else str(len(jobs))
        self.query_one(Heading).show(
            (f"Jobs  {count}   ", "strong"), *_wrong(jobs), (f"in {self._front.where}", "quiet")
        )
        listed, first = self.query_one(JobList), self.query_one(JobList).at_hand is None
        listed.learn(jobs)
        listed.show(shown)
        if first:
            listed.take(self._came_from)
        if not jobs:
            new, sample = sign_in(JOBS, "new_job"), sign_in(JOBS, "sample_job")
            self.say(f"There is no job yet: {new} opens a new one, {sample} the sample.")
        elif not shown:
            self.say("No job has that in its line. Esc shows them all again.")
        else:
            self.say(self._notice)

    @property
    def at_hand(self) -> str:
        """The number of the job at hand, empty where there is none, or another screen covers the list."""
        job = self.query_one(JobList).at_hand if self.is_current else None
        return job.job if job is not None else ""

    def say(self, text: str) -> None:
        """Show one line of what went wrong or what is expected; where there is nothing, how a job is opened."""
        line = self.query_one("#jobs-say", Static)
        line.update(Text(plain(text) or (self._how if self._jobs else "")))
        line.set_class(not text, "-hint")

    @property
    def _how(self) -> str:
        back = BACK.format(key=sign_in(JOBS, "all_jobs"), job=plain(self._came_from, _LONGEST_JOB))
        return back if self._came_from else HOW

    @on(JobList.AtHand)
    def _tell(self) -> None:
        listed = self.query_one(JobList)
        about = facts(_details(listed.at_hand, listed.known)) if listed.at_hand else ""
        self.query_one("#jobs-at-hand", Static).update(about)

    @on(JobList.Chosen)
    def action_open_job(self) -> None:
        """Open the job at hand."""
        job = self.query_one(JobList).at_hand
        if job is not None:
            self.post_message(self.Open(job.job))

    def action_new_job(self) -> None:
        """Put down a new job, then open it."""
        from headwright.terminal.new_job import NewJobScreen  # noqa: PLC0415 - on first use

        self.app.push_screen(NewJobScreen(self._front.whole(), self._terminal), self._open)

    def action_sample_job(self) -> None:
        """Bring the sample job in where it is not there yet, and open it."""
        from headwright.store.sample import bring_sample  # noqa: PLC0415 - on first use
        from headwright.terminal.long_work import WorkCard  # noqa: PLC0415

        def bring(progress: Progress) -> str:
            return bring_sample(self._front.whole(), progress)[0]

        def brought(found: str | HeadwrightError | None) -> None:
            if isinstance(found, HeadwrightError):
                self.say(error_words(found))
            elif found is None:
                self.say("The sample job was not brought in.")
            else:
                self._open(found)

        self.app.push_screen(WorkCard("Bringing the sample job in", bring), brought)

    def _open(self, job: str | None) -> None:
        if job:
            self.post_message(self.Open(job))

    def _begin(self, start: Start | None) -> None:
        from headwright.terminal.first_start import Start, TourScreen  # noqa: PLC0415 - loaded with what asked

        match start:
            case Start.SAMPLE:
                self.action_sample_job()
            case Start.NEW:
                self.action_new_job()
            case Start.LOOK:
                self.app.push_screen(TourScreen(), lambda _: self._ask_how_to_begin())
            case None:
                pass

    def on_key(self, event: events.Key) -> None:
        """Begin to find with a letter or digit that is no key of its own."""
        own = {in_use(key).keys for key in JOBS}
        if event.character and event.character.isalnum() and event.character not in own:
            event.stop()
            self.action_find_job()
            self.query_one("#jobs-find", Input).insert_text_at_cursor(event.character)

    def action_find_job(self) -> None:
        """Open the line in which to type what is looked for."""
        find = self.query_one("#jobs-find", Input)
        find.display = True
        find.focus()

    @on(Input.Changed, "#jobs-find")
    def _narrow(self) -> None:
        self._show()

    @on(Input.Submitted, "#jobs-find")
    def _take(self) -> None:
        self.action_open_job()

    def action_all_jobs(self) -> None:
        """Show every job again; where they are, go back to the job that was left for the list."""
        find = self.query_one("#jobs-find", Input)
        if not find.display:
            if self._came_from:
                self._open(self._came_from)
            else:
                self.say(ALL_SHOWN.format(key=sign_in(JOBS, "app.leave")))
            return
        find.value = ""
        find.display = False
        self.query_one(JobList).focus()

    def action_job_up(self) -> None:
        """Take the job above in hand."""
        self.query_one(JobList).move(-1)

    def action_job_down(self) -> None:
        """Take the job below in hand."""
        self.query_one(JobList).move(1)

    def action_jobs_up(self) -> None:
        """Go a page up."""
        jobs = self.query_one(JobList)
        jobs.move(-jobs.page)

    def action_jobs_down(self) -> None:
        """Go a page down."""
        jobs = self.query_one(JobList)
        jobs.move(jobs.page)

    def action_help(self) -> None:
        """Show the help."""
        from headwright.terminal.cards.help import HelpScreen  # noqa: PLC0415 - on first use

        self.app.push_screen(HelpScreen(JOBS))


def _searched(job: Summary) -> str:
    texts = (job.job, job.tag, job.customer, job.family, job.route, trouble_words(job), *job.on, job.at)
    return " ".join(map(plain, texts)).lower()


def _wrong(jobs: Sequence[Summary]) -> Iterator[Span]:
    """Give what is wrong on the whole board, each with its sign and its count."""
    held, stopped = sum(job.status == "held" for job in jobs), sum(job.status == "stopped" for job in jobs)
    doubted = sum(bool(job.doubted) for job in jobs)
    counts = ((SIGNS["held"], "held", held), (SIGNS["stopped"], "stopped", stopped), (DOUBT, "in doubt", doubted))
    for (sign, style), words, count in counts:
        if count:
            yield from ((f"{sign} {count} {words}", style), ("   ", ""))


def doubts_in_words(told: Sequence[Elsewhere]) -> str:
    """Say what gauges that were found off mean for the jobs of the board, in one line."""
    parts = []
    for found in told:
        if found.waiting:
            parts.append(f"A doubt about a gauge could not be told to job {found.job}: {found.waiting}.")
            continue
        count = len(found.readings)
        readings = f"{count} reading{'s' * (count != 1)}"
        what = "in doubt, though it was released" if found.released else "struck, to be taken again"
        parts.append(
            f"{DOUBT[0]} {found.gauge} was found off in job {found.found_in}: {readings} of job {found.job} {what}."
        )
    return " ".join(parts)


def _details(job: Summary, known: Mapping[str, Took]) -> tuple[tuple[str, str], ...]:
    """Give what is told of the job at hand: labels and texts."""
    name = plain(job.job, _LONGEST_JOB)
    if job.status == "broken":
        return ((name, f"It cannot be opened: {job.at}"),)
    tag, customer = plain(job.tag, _LONGEST_TAG), plain(job.customer, _LONGEST_TAG)
    head = [f"tag {tag}"] * bool(tag) + [job.family] + [f"for {customer}"] * bool(customer)
    stands = f"at '{job.at}'" if job.at else "nothing is due"
    given_up = f", {job.given_up} given up" if job.given_up else ""
    on_it = ", ".join(job.on) if job.on else "nobody"
    return (
        (name, ", ".join(head)),
        ("Route", job.route),
        ("Stands", f"{trouble_words(job)}, {stands}; {job.done} of {job.due} done{given_up}"),
        ("Time", finish_words(job, left_of(job, known), datetime.now(UTC))),
        ("At the bench", f"{on_it}; last entry {job.number}, {moment(job.time)}"),
    )
