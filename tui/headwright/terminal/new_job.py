"""A new job: its number, tag and customer, and the family, route and application that make its plan."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.console import Group
from rich.text import Text
from textual import on, work
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, OptionList, Static
from textual.worker import Worker, WorkerState

from headwright.data import shipped
from headwright.errors import HeadwrightError
from headwright.store import store_file
from headwright.store.contract import number_taken
from headwright.store.desk import Desk
from headwright.terminal.cards.card import Card, facts
from headwright.terminal.cards.choices import Choice, Numbered
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.cards.words import error_words, plain
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import NEW_JOB

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from textual import events
    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.procedure.library import Library
    from headwright.store import JobStore

APPLICATION = "what the engine is for decides which limits are held to, the clearance of the stems among them."
LOST = "Nothing of this is kept: Esc once more leaves without a job."
LOW = 36
"""Lines of a terminal below which the lists that the hand is not on show their line at hand alone."""
OWN = "procedures"
"""The folder beside the store in which a shop keeps procedures of its own."""

_FIELDS = (("number", "Job number", 40), ("tag", "Tag on head", 80), ("customer", "Customer", 80))
_LISTS = ("family", "route", "application")


class _Offer(NamedTuple):
    """A family of a library, with what is shown of it."""

    library: Library
    family: str
    title: str


class NewJobScreen(Card[str]):
    """Put down a new job; the answer is its number once it is on disk.

    Args:
        store: where the job is to go.
        terminal: the name of this terminal, for the record.
        folders: procedures to choose from; left out, those that come with the program and the shop's own.
    """

    KEYS: ClassVar[tuple[Key, ...]] = NEW_JOB
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(NEW_JOB)]

    def __init__(self, store: JobStore, terminal: str, folders: Sequence[Path] | None = None) -> None:
        super().__init__("A new job")
        self._store = store
        self._terminal = terminal
        self._folders = folders
        self._offers: tuple[_Offer, ...] = ()
        self._problems: tuple[str, ...] = ()
        self._busy = True
        self._leaving = False

    def body(self) -> Iterator[Widget]:
        """Give the fields, the three lists, and the line about what is at hand."""
        for name, label, longest in _FIELDS:
            with Horizontal(classes="card-line"):
                yield Static(label, classes="card-label")
                yield Input(compact=True, max_length=longest, name=name)
        for name in _LISTS:
            with Horizontal(classes="new-list new-first" if name == _LISTS[0] else "new-list"):
                yield Static(name.capitalize(), classes="card-label")
                yield Numbered((), name=name)
        with VerticalScroll(classes="new-about elastic", can_focus=False):
            yield Static(Text(""), id="new-about")
        yield Numbered(
            [Choice("Open this job", "its plan is kept with it, whatever the procedures become")], name="open"
        )

    def on_mount(self) -> None:
        """Begin on the number, and read the procedures meanwhile."""
        self._field("number").focus()
        self.say("Reading the procedures …")
        self._read()

    def _field(self, name: str) -> Input:
        return next(each for each in self.query(Input) if each.name == name)

    def _list(self, name: str) -> Numbered:
        return next(each for each in self.query(Numbered) if each.name == name)

    @work(exit_on_error=False)
    async def _read(self) -> None:
        offers, problems = await asyncio.to_thread(_offers, self._folders)
        self._busy = False
        self._offers, self._problems = tuple(offers), tuple(problems)
        self._list("family").change([Choice(offer.title) for offer in offers])
        self._tell()
        if problems:
            # It can be reached with Tab, to read problems that do not fit.
            self.query_one(".new-about").can_focus = True
            self.say("There are problems in the procedures, told above; 'headwright check' lists them again.")
        elif not offers:
            self.say("The procedures have no family. 'headwright check' looks them over.")
        else:
            self.say("")

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Show a fault of the program in place of ending it."""
        if event.state is WorkerState.ERROR:
            self._busy = False
            self.say(f"This is a fault of the program: {event.worker.error!r}")

    @on(OptionList.OptionHighlighted)
    def _follow(self, event: OptionList.OptionHighlighted) -> None:
        if event.option_list.name == "family":
            offer = self._offers[event.option_index]
            family = offer.library.families[offer.family].definition
            routes = [offer.library.routes[name].definition.title for name in family.routes]
            self._list("route").change([Choice(title) for title in routes])
            self._list("application").change([Choice(label) for label in family.application.values()])
        self._tell()

    def _tell(self) -> None:
        """Say what is wrong with the procedures, and what the family and the route at hand are."""
        about: list[tuple[str, str]] = []
        offer, route = self._at("family"), self._at("route")
        if offer is not None:
            library, name, _ = self._offers[offer]
            family = library.families[name].definition
            why = library.routes[family.routes[route]].definition.why if route is not None else ""
            about = [("Family", family.about), ("Route", why)]
            application = self._at("application")
            if application is not None:
                title = list(family.application.values())[application]
                about.append(("Application", f"{title}: {APPLICATION}"))
            # What the hand is on alone, so that it is seen whole; else what is chosen of family and route.
            at_hand = next((each.name or "" for each in self.query(Numbered) if each.has_focus), "").capitalize()
            about = [pair for pair in about if pair[0] == at_hand] or about[:2]
        problems = [Text(plain(problem)) for problem in self._problems]
        self.query_one("#new-about", Static).update(Group(*problems, facts(about)))

    def on_descendant_focus(self) -> None:
        """Tell first of what the hand is on, and give its list room."""
        self._fold()
        self._tell()
        super().on_descendant_focus()

    def on_resize(self) -> None:
        """Give the list that the hand is on room."""
        self._fold()
        super().on_resize()

    def _fold(self) -> None:
        """Show the lists that the hand is not on by their line at hand, where the terminal is low."""
        for name in _LISTS:
            options = self._list(name)
            folded = self.size.height < LOW and not options.has_focus
            options.set_class(not folded, "elastic")
            if folded:
                options.styles.max_height = 1
                options.call_after_refresh(options.scroll_to_highlight)

    def _at(self, name: str) -> int | None:
        return self._list(name).highlighted

    @on(Input.Submitted)
    @on(OptionList.OptionSelected)
    def _further(self, event: Input.Submitted | OptionList.OptionSelected) -> None:
        if isinstance(event, OptionList.OptionSelected) and event.option_list.name == "open":
            self.action_create_job()
        else:
            self.focus_next()

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    def on_descendant_blur(self, event: events.DescendantBlur) -> None:
        """Tell at once that a number is taken, and not when all else is filled in."""
        number = plain(self._field("number").value).strip()
        if event.widget is not self._field("number") or not number:
            return
        try:
            is_taken = self._store.last(number) is not None
        except HeadwrightError as error:
            self.say(error_words(error))
        else:
            if is_taken:
                self.say(error_words(number_taken(number)))

    def action_next_field(self) -> None:
        """Go to the next field."""
        self.focus_next()

    def action_card_leave(self) -> None:
        """Leave; where something was typed, once that is known to be lost."""
        if any(field.value for field in self.query(Input)) and not self._leaving:
            self._leaving = True
            self.say(LOST)
        else:
            self.dismiss(None)

    @on(Input.Changed)
    def _goes_on(self, event: Input.Changed) -> None:
        """Whoever types on does not mean to leave, and may mean another number."""
        if self._leaving or (event.input is self._field("number") and self._offers and not self._problems):
            self._leaving = False
            self.say("")

    def action_help(self) -> None:
        """Show the help."""
        self.app.push_screen(HelpScreen(NEW_JOB))

    def action_create_job(self) -> None:
        """Open the job as it is put down."""
        texts = {name: plain(self._field(name).value).strip() for name, _, _ in _FIELDS}
        at = [self._at(name) for name in _LISTS]
        if self._busy:
            self.say("One moment: the procedures are being read.")
        elif not texts["number"]:
            self._field("number").focus()
            self.say("A job number is expected, as the shop counts them.")
        elif None in at:
            self.say("A family, a route and an application are expected.")
        else:
            self._busy = True
            self.say("Making the plan …")
            self._create(texts, *(number or 0 for number in at))

    @work(exit_on_error=False)
    async def _create(self, texts: dict[str, str], offer: int, route: int, application: int) -> None:
        library, name, _ = self._offers[offer]
        family = library.families[name].definition
        chosen = (family.routes[route], name, list(family.application)[application])
        try:
            await asyncio.to_thread(self._open, library, chosen, texts)
        except HeadwrightError as error:
            self._busy = False
            self.say(error_words(error))
            self._field("number").focus()
        else:
            self.dismiss(texts["number"])

    def _open(self, library: Library, chosen: tuple[str, str, str], texts: dict[str, str]) -> None:
        from headwright.procedure.resolve import build_plan  # noqa: PLC0415 - loads pint, 0.2 s

        Desk.create(
            self._store,
            build_plan(library, *chosen),
            texts["number"],
            terminal=self._terminal,
            tag=texts["tag"],
            customer=texts["customer"],
        )


def _offers(folders: Sequence[Path] | None) -> tuple[list[_Offer], list[str]]:
    """Read the procedures; give the families that may be chosen, and every problem in words."""
    from headwright.procedure.library import load  # noqa: PLC0415 - loads pydantic and pint, 0.3 s

    offers: list[_Offer] = []
    problems: list[str] = []
    for number, folder in enumerate(_folders() if folders is None else folders):
        try:
            library = load(folder)
        except HeadwrightError as error:
            problems += error.message.splitlines()
        except OSError as error:
            problems.append(f"{folder} cannot be read: {error.strerror or error}.")
        else:
            own = ", the shop's own" if number else ""
            offers += [
                _Offer(library, name, f"{entry.definition.title}{own}") for name, entry in library.families.items()
            ]
    return offers, problems


def _folders() -> tuple[Path, ...]:
    """Give the procedures that come with the program, and the shop's own beside the store where there are any."""
    own = store_file().parent / OWN
    return (shipped("procedures"), own) if own.is_dir() else (shipped("procedures"),)
