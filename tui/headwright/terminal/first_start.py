"""What a shop without a job is asked first, and a look round before anything is begun."""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.widgets import OptionList, Static

from headwright.terminal.cards.card import Card
from headwright.terminal.cards.choices import Choice, Numbered
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.cards.why import WhyCard
from headwright.terminal.keys import BENCH, Key, bindings, sign_in
from headwright.terminal.outer_keys import FIRST_START

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.binding import BindingType
    from textual.widget import Widget


class Start(Enum):
    """How to begin."""

    SAMPLE = auto()
    NEW = auto()
    LOOK = auto()


_CHOICES = (
    (Start.SAMPLE, "The sample job", "a worn iron head of eight valves at an invented shop, half way through"),
    (Start.NEW, "A new job", "for a head on your own bench"),
    (Start.LOOK, "A look round", "what this program does, and where help is; nothing is written"),
)
_WELCOME = (
    "Headwright walks a machinist through rebuilding a cylinder head, from receiving it to releasing it. There is no "
    "job on this machine yet. How shall it begin?"
)
_TOUR = """\
What it does: It knows the order of the work and why it is so, takes every reading, and works out clearances, taper \
and the rest while the figure is typed. It does not let a head go on past a hazard that nobody acknowledged or a size \
that is wrong.
The bench: Every operation of the route has a sign: ✓ done, ▸ now, ■ held, · not yet, ◦ not here. The table shows the \
places of the operation at hand and their readings. One line says what to do now; type the figure and press Enter. It \
is on disk before it says saved.
When a figure is out: Its place is held and the others go on. A card tells what failed, by how much and why it \
matters, and offers the ways out with what each of them undoes. A lead may let it stand, with a reason that goes on \
the sheet.
Cautions: They come before the work that they belong to. They are reminders: local codes, the safety data sheet, the \
machine's manual, the shop's rules and qualified people always win.
What is kept: Every entry, with who, when and at which terminal. Nothing is erased: a wrong reading is struck with a \
reason. The procedures are text files (TOML) that a lead can read and change; 'headwright check' looks them over.
Help: {help} shows every key, and from there the words of the trade. {why} at the bench tells of the field at \
hand: what it is, how to measure it, why it matters."""


class FirstStart(Card[Start]):
    """Ask how to begin."""

    KEYS: ClassVar[tuple[Key, ...]] = FIRST_START
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(FIRST_START)]

    def __init__(self) -> None:
        super().__init__("Headwright")

    def body(self) -> Iterator[Widget]:
        """Give the welcome and the choices."""
        yield Static(Text(_WELCOME), classes="card-welcome")
        yield Numbered([Choice(title, say) for _, title, say in _CHOICES])

    def on_mount(self) -> None:
        """Begin on the choices."""
        self.query_one(Numbered).focus()

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(_CHOICES[event.option_index][0])

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    def action_card_number(self) -> None:
        """Go to the choices."""
        self.query_one(Numbered).focus()

    def action_card_settle(self) -> None:
        """Take the choice."""
        self.query_one(Numbered).action_select()

    def action_help(self) -> None:
        """Show the help."""
        self.app.push_screen(HelpScreen(FIRST_START))


class TourScreen(WhyCard):
    """A look round: what the program does and where help is."""

    def __init__(self) -> None:
        tour = _TOUR.format(help=sign_in(BENCH, "help"), why=sign_in(BENCH, "why"))
        paragraphs = (line.partition(": ") for line in tour.splitlines())
        super().__init__("A look round", [(heading, text) for heading, _, text in paragraphs])
