"""The program on screen: it opens the store's jobs at the bench and goes between the screens."""

from __future__ import annotations

import sys
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from headwright.errors import HeadwrightError
from headwright.terminal.cards.card import Card
from headwright.terminal.cards.words import error_words
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import SUSPEND, bindings, in_use
from headwright.terminal.outer_keys import QUIT, STOP
from headwright.terminal.small import ACROSS, DOWN
from headwright.terminal.starting import StartingApp, collect_again

if TYPE_CHECKING:
    from textual.binding import BindingType
    from textual.driver import Driver
    from textual.screen import Screen

    from headwright.job.state import Person
    from headwright.store.front import Front
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.jobs import JobsScreen
    from headwright.terminal.sums import Kept


NOTHING_TO_STOP = "No head is at hand: one is stopped at its bench, or where it is the job at hand on the list."


class HeadwrightApp(StartingApp[None]):
    """The screens of one terminal.

    Args:
        store: where the jobs are.
        terminal: the name of this terminal, for the record.
        job: the job to open at once; empty for the list of jobs.
    """

    CSS_PATH = "headwright.tcss"
    TITLE = "headwright"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = ACROSS
    VERTICAL_BREAKPOINTS = DOWN

    BINDINGS: ClassVar[list[BindingType]] = [*bindings((QUIT, STOP, SUSPEND))]

    def __init__(self, store: Front, terminal: str, job: str = "") -> None:
        super().__init__(store, terminal, job)
        self._jobs: JobsScreen | None = None
        self._was: Person | None = None
        self._sums: Kept | None = None

    def _fatal_error(self) -> None:
        """Leave after a fault of the program without Textual's own report; `run` hands the fault on."""
        self._close_messages_no_wait()

    @property
    def fault(self) -> Exception | None:
        """The fault of the program that ended the screens, if one did."""
        return self._exception

    def get_default_screen(self) -> Screen[object]:
        """Give the screen below all others: the list of jobs, where no job is named; see also `StartingApp`."""
        return super().get_default_screen() if self.job else self._board()  # type: ignore[return-value]

    def on_mount(self) -> None:
        """Open the job, where one is named."""
        if self.begin_reading():
            return
        if self.job:
            self.open_bench(self.job)
        if self.is_loaded:
            self.call_after_refresh(collect_again)
        else:
            self.begin_loading()

    def open_bench(self, job: str, *, stop: bool = False) -> None:
        """Open a job at the bench; a job that cannot be opened ends the program, or is told on the list of jobs.

        Args:
            job: its number.
            stop: whether to ask at once why its head is stopped.
        """
        try:
            hand = self.opened(job, self._was)
        except HeadwrightError as error:
            if self._jobs is not None:
                self._jobs.say(error_words(error))
            else:
                self.refused = error
                self.exit(return_code=error.exit_code)
            return
        self.show_bench(hand, stop=stop)

    def show_bench(self, hand: Hand, *, stop: bool = False, asked: bool = False) -> None:
        """Show a job at the bench; see `StartingApp.show_bench`."""
        from headwright.terminal.bench.screen import BenchScreen  # noqa: PLC0415 - loaded once a job is read

        self.push_screen(BenchScreen(hand, stop=stop, asked=asked), partial(self._left_bench, hand))

    def _left_bench(self, hand: Hand, _: None) -> None:
        self._was = hand.state.people.get(hand.operator, self._was)
        if self._jobs is None:
            self.open_jobs()
        if self._jobs is not None:
            self._jobs.come_from(hand.state.job)

    def _board(self) -> JobsScreen:
        from headwright.terminal.jobs import JobsScreen  # noqa: PLC0415 - not wanted where a job is opened at once

        self._jobs = JobsScreen(self.store if self.is_loaded else self._front, self.terminal, self.notice)
        return self._jobs

    def open_jobs(self) -> None:
        """Show the list of jobs."""
        self.push_screen(self._board())

    def all_there(self) -> None:
        """Let the list of jobs do what it takes all of the program to do; see `StartingApp.all_there`."""
        if self._jobs is not None:
            self._jobs.all_there()

    def action_stop(self) -> None:
        """Stop the head at the bench below, or that of the job at hand on the list of jobs."""
        if self.keep_key(in_use(STOP).keys.partition(",")[0]):
            return
        from headwright.terminal.bench.screen import BenchScreen  # noqa: PLC0415 - loaded once a job is read

        bench = next((screen for screen in reversed(self.screen_stack) if isinstance(screen, BenchScreen)), None)
        if bench is not None and isinstance(self.screen, Card) and bench.stopped:
            self.screen.say(bench.stopped_words)
        elif bench is not None:
            bench.action_stop()
        elif self._jobs is not None and self._jobs.at_hand:
            self.open_bench(self._jobs.at_hand, stop=True)
        elif callable(say := getattr(self.screen, "say", None)):
            say(NOTHING_TO_STOP)

    def action_leave(self) -> None:
        """Leave the program; everything that says saved is on disk."""
        self.exit()

    def get_driver_class(self) -> type[Driver]:
        """Give what draws on the terminal: it can be stopped and wakes up as it was."""
        if sys.platform == "win32":
            return super().get_driver_class()
        from headwright.terminal.suspending import WakingDriver  # noqa: PLC0415 - not on every system

        return WakingDriver

    def action_suspend(self) -> None:
        """Go back to the shell until it brings the program back."""
        if sys.platform == "win32":
            return
        from headwright.terminal.bench.screen import BenchScreen  # noqa: PLC0415 - loaded once a job is read
        from headwright.terminal.suspending import suspended  # noqa: PLC0415 - not on every system

        refused, top = suspended(self), self.screen
        if not refused:
            return
        if isinstance(top, BenchScreen):
            top.tell(refused)
        elif isinstance(top, Card) or top is self._jobs:
            top.say(refused)

    def action_commands(self) -> None:
        """Offer everything that can be done on the screen at hand, and do what is taken."""
        from headwright.terminal.cards.commands import CommandsCard  # noqa: PLC0415 - on first use

        screen = self.screen

        async def answered(name: str | None) -> None:
            if name:
                await screen.run_action(name)

        self.push_screen(CommandsCard(screen.query_one(KeyLine).keys), answered)

    def action_glossary(self) -> None:
        """Show the words of the trade."""
        from headwright.terminal.cards.glossary import GlossaryCard  # noqa: PLC0415 - on first use

        self.push_screen(GlossaryCard())

    def action_look(self) -> None:
        """Offer the themes and the signs."""
        from headwright.terminal.cards.look import LookCard  # noqa: PLC0415 - on first use

        self.push_screen(LookCard())

    def action_sums(self) -> None:
        """Show the sums; what was typed there stays until the program is left."""
        from headwright.terminal.sums import Kept, SumsScreen  # noqa: PLC0415 - not wanted at the start

        if self._sums is None:
            self._sums = Kept()
        self.push_screen(SumsScreen(self._sums))

    def action_kit(self) -> None:
        """Show the shop's kit."""
        from headwright.terminal.kit import KitScreen  # noqa: PLC0415 - on first use

        self.push_screen(KitScreen(self.store))

    def on_jobs_screen_open(self, message: JobsScreen.Open) -> None:
        """Open the job that was chosen."""
        self.open_bench(message.job)
