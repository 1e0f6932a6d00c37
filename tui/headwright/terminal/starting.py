"""The program from its first paint until all of it is there: what takes time is done beside the screen.

Where a job is opened, what the list of jobs knows of it is shown at once, and who is there is asked; keys that belong
to the bench wait for it, and none is lost. The list itself is shown before anything that works on jobs is loaded.
"""

from __future__ import annotations

import gc
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from textual import events
from textual.app import ReturnType
from textual.message import Message

from headwright.errors import HeadwrightError
from headwright.store.front import last_here, who_may
from headwright.terminal.cards.card import SEEN
from headwright.terminal.keys import in_use
from headwright.terminal.look import LookingApp
from headwright.terminal.outer_keys import QUIT
from headwright.terminal.small import BESIDE, size_classes

if TYPE_CHECKING:
    from textual.css.stylesheet import Stylesheet
    from textual.screen import Screen

    from headwright.job.state import Person
    from headwright.store import JobStore
    from headwright.store.front import Front, Glance
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.bench.screen import BenchScreen
    from headwright.terminal.cards.who import Comes, Goes, WhoCard

SHEETS = [Path(__file__).with_name(name) for name in ("screens.tcss", "views.tcss")]
"""What bench and list of jobs need beside the sheet for what is seen first when a job is opened."""
SOON = 0.3
"""Seconds after which a card that is answered says what it waits for."""
OVER = frozenset({"released", "scrapped"})
"""Where a job stands when nobody is asked for any more."""


class StartingApp(LookingApp[ReturnType]):
    """An app that begins with a job, and has it read in a thread, or without one, and has what works on jobs loaded so.

    Args:
        front: the store.
        terminal: the name of this terminal, for the record.
        job: the number of a job; empty for none.

    Attributes:
        refused: why the job could not be opened, if that ended the program.
    """

    class Styled(Message):
        """The styles for the bench are read, and those that there were with them."""

        def __init__(self, sheet: Stylesheet) -> None:
            super().__init__()
            self.sheet = sheet

    class Read(Message):
        """The job is read, or could not be."""

        def __init__(self, found: Hand | Exception) -> None:
            super().__init__()
            self.found = found

    class Loaded(Message):
        """All that works on jobs is loaded; `fault` is why it could not be."""

        def __init__(self, fault: Exception | None = None) -> None:
            super().__init__()
            self.fault = fault

    def __init__(self, front: Front, terminal: str, job: str = "") -> None:
        super().__init__()
        if not job:  # read with a screen that comes after the first, they would have all others read again
            self.css_path = [*self.css_path, *SHEETS]
        self.terminal = terminal
        self.job = job
        self.glance: Glance | None = None
        self.refused: HeadwrightError | None = None
        self._front = front
        self._store: JobStore | None = None
        self._reader: Thread | None = None
        self._loader: Thread | None = None
        self._card: WhoCard | None = None
        self._answer: Comes | Goes | None = None
        self._asked = False
        self._waits = False
        self._kept: list[events.Event] = []

    @property
    def store(self) -> JobStore:
        """The store with all that works on jobs; the first to ask for it waits until that is loaded."""
        if self._store is None:
            self._store = self._front.whole()
        return self._store

    def get_default_screen(self) -> Screen[object]:
        """Give the screen below all others: the job as far as the list knows it, where it is yet to be read."""
        if self.job and not self._front.at_once:
            self.glance = self._front.glance(self.job)
        if self.glance is None:
            return super().get_default_screen()
        from headwright.terminal.opening import OpeningScreen  # noqa: PLC0415 - the list of jobs needs it not

        return OpeningScreen(self.glance, size_classes(*self.size))  # type: ignore[return-value]

    def begin_reading(self) -> bool:
        """Read the job beside the screen, and ask meanwhile who is there; tell whether there is one to be read."""
        glance, job = self.glance, self.job
        if glance is None:
            return False
        from headwright.terminal.cards.who import WhoCard  # noqa: PLC0415 - the list of jobs needs it not

        # Whether leads have PINs stands in the plan, which is yet to be read: asked for nothing is better than not.
        here = last_here(glance.people, self.terminal, pins=True)
        if here or glance.status in OVER:
            self._waits = True
        else:
            self._asked = True
            people = who_may(glance.people, self._front.listed())
            self._card = WhoCard(people)
            if not people:
                self._card.css_path = [*SHEETS]  # it begins with the form, for which they have styles
            self._card.give = self._answered
            # Set when its size is told, they would have all of its styles looked up again.
            self._card.add_class(*size_classes(*self.size), update=False)
            self.push_screen(self._card, self._left)
        self._reader = Thread(target=self._read, args=(job, self.size, self.stylesheet.copy()), name="job")
        self.call_after_refresh(self.set_timer, SEEN, self._reader.start)
        return True

    def begin_loading(self) -> None:
        """Load beside the screen what it takes to open a job."""
        self._loader = Thread(target=self._load, name="rest")
        self.call_after_refresh(self.set_timer, SEEN, self._loader.start)

    def _load(self) -> None:
        try:
            _ = self.store
            import headwright.store.desk  # noqa: PLC0415 - loaded here for the thread of the screens
            import headwright.terminal.bench.counsel  # noqa: PLC0415
            import headwright.terminal.bench.hand  # noqa: PLC0415
            import headwright.terminal.bench.screen  # noqa: F401, PLC0415
        except Exception as error:  # noqa: BLE001 - told by the thread of the screens
            self.post_message(self.Loaded(error))
        else:
            self.post_message(self.Loaded())

    def on_starting_app_loaded(self, message: Loaded) -> None:
        """Go on with all of the program there."""
        if message.fault is not None:
            raise message.fault
        collect_again()
        self.all_there()

    def all_there(self) -> None:
        """Go on with what waited for all of the program to be there."""
        raise NotImplementedError

    @property
    def is_loaded(self) -> bool:
        """Tell whether what works on jobs is loaded, or was asked for."""
        return self._front.at_once or self._store is not None

    @property
    def is_starting(self) -> bool:
        """Tell whether a job is being read that the program was started with."""
        return self._reader is not None

    def wait(self) -> None:
        """Wait for the threads: a library that is being loaded while Python shuts down takes the process with it."""
        for thread in (self._reader, self._loader):
            if thread is not None and thread.ident is not None:
                thread.join()

    def _read(self, job: str, size: tuple[int, int], sheet: Stylesheet) -> None:
        try:
            for path in SHEETS:
                sheet.read(path)
            sheet.parse()
            self.post_message(self.Styled(sheet))
            found: Hand | Exception = self.opened(job)
            import headwright.terminal.bench.screen  # noqa: PLC0415 - loaded here for the thread of the screens

            if size[0] >= BESIDE[0] and size[1] >= BESIDE[1]:
                import headwright.terminal.views.map_panel  # noqa: PLC0415
                import headwright.terminal.views.profile_panel  # noqa: F401, PLC0415
        except Exception as error:  # noqa: BLE001 - told by the thread of the screens
            found = error
        self.post_message(self.Read(found))

    def opened(self, job: str, was: Person | None = None) -> Hand:
        """Read a job and take it in hand.

        Args:
            job: its number.
            was: who was last at this terminal.

        Raises:
            HeadwrightError: it cannot be opened.
        """
        from headwright.store.desk import Desk  # noqa: PLC0415 - loads the rules of the job
        from headwright.terminal.bench.counsel import Counsel  # noqa: PLC0415
        from headwright.terminal.bench.hand import Hand  # noqa: PLC0415

        store = self.store
        return Hand(Desk.open(store, job, self.terminal), self.terminal, Counsel(store), was)

    def on_starting_app_styled(self, message: Styled) -> None:
        """Take the styles for the bench, which took too long to be read in this thread."""
        sheet = message.sheet
        for location, source in self.stylesheet.source.items():
            if location not in sheet.source:
                css, is_default, tie_breaker, scope = source
                sheet.add_source(
                    css, read_from=location, is_default_css=is_default, tie_breaker=tie_breaker, scope=scope
                )
        self.stylesheet = sheet
        sheet.update(self)

    def on_starting_app_read(self, message: Read) -> None:
        """Put the bench where the opening screen was, under the card if that is still there."""
        found = message.found
        if isinstance(found, HeadwrightError):
            self.refused = found
            self.exit(return_code=found.exit_code)
            return
        if isinstance(found, Exception):
            raise found
        with self.batch_update():
            if self._card is not None:
                self.pop_screen()
            self.show_bench(found, asked=self._asked)
            if self._card is not None:
                self.push_screen(self._card, self._left)

    def show_bench(self, hand: Hand, *, stop: bool = False, asked: bool = False) -> None:
        """Show a job at the bench; `asked` tells that it was asked already who is there."""
        raise NotImplementedError

    def on_bench_screen_begun(self, message: BenchScreen.Begun) -> None:
        """Hand the bench what waited for it."""
        if self._reader is None:
            return
        card, answer, kept = self._card, self._answer, self._kept
        self._reader, self._card, self._answer, self._kept = None, None, None, []
        self._waits = False
        if card is not None:
            # The record has the last word on who is who: an answer that was given to another list is asked for again.
            others = card.learn(message.bench.people())
            with self.batch_update():
                self.pop_screen()
                message.bench.ask_who(card=card)
            if others and answer is not None:
                card.say("Who may be at this bench is listed anew: choose once more.")
                kept = []
            elif answer is not None and card.give is not None:
                card.give(answer)
        for event in kept:
            self.post_message(event)
        collect_again()

    def _answered(self, answer: Comes | Goes) -> None:
        """Keep the answer until the job is there."""
        self._answer = answer
        self._waits = True
        self.set_timer(SOON, self._say_waits)

    def _say_waits(self) -> None:
        if self._waits and self._card is not None:
            self._card.say("The job is being read.")

    def _left(self, _: Comes | Goes | None) -> None:
        """Go on without an answer: the card was left."""
        self._card = None
        self._waits = True

    async def on_event(self, event: events.Event) -> None:
        """Keep keys that belong to the bench until it is there; whoever wants to leave may."""
        typed = isinstance(event, events.Key | events.Paste) and not event.is_forwarded
        leaves = isinstance(event, events.Key) and event.key in in_use(QUIT).keys.split(",")
        if self._waits and typed and not leaves:
            self._kept.append(event)
        else:
            await super().on_event(event)

    def keep_key(self, key: str) -> bool:
        """Keep a key that acts on the bench from any screen until it is there; tell whether that is still to come."""
        if self._reader is None:
            return False
        self._kept.append(events.Key(key, None))
        self._waits = True
        return True


def collect_again() -> None:
    """Collect garbage from now on; what was loaded until here is left out of it for good."""
    gc.freeze()
    gc.enable()
