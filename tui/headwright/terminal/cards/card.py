"""What every card has: a title, a body, a line for what is expected, and its keys."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from rich.table import Table
from rich.text import Text
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from headwright.terminal.cards.choices import Numbered
from headwright.terminal.cards.words import plain
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import BENCH, Key, bindings, in_use
from headwright.terminal.outer_keys import CARD, FURTHER, QUIT, STOP, TEXT, numbered
from headwright.terminal.small import TooSmall

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.widget import Widget

Answer = TypeVar("Answer")

SEEN = 0.01
"""Seconds until a paint is out on the terminal: what needs the processor begins no sooner."""
LONGEST_TITLE = 300
"""Characters: enough for any title of ours, and it bounds a stray text."""
LABELS = 14
"""Columns of the labels of every card, so that all that is told begins at one edge; the style sheet has it too."""
MORE = "More stands below: {key} reads on."
_LEAST = 2
"""Lines that a part which scrolls keeps on the lowest of screens."""


class Card(ModalScreen[Answer | None]):
    """A card; it is dismissed with its answer, or with None when everything is left as it is.

    Attributes:
        TONE: how its frame and title are drawn: `-bad` where work is held, `-near` where care is asked for.
        ABOUT: what it asks and what becomes of the answer, told where somebody asks why.
        SAYS_MORE: whether a line says that there is more to read: before an answer, all of it should be.
        give: takes the answer while the card is still there, and dismisses it once that is recorded: what was typed
            is not lost where it cannot be. None to dismiss it at once.
    """

    TONE: ClassVar[str] = ""
    ABOUT: ClassVar[str] = "Nothing changes before the card is answered; Esc leaves everything as it is."
    SAYS_MORE: ClassVar[bool] = True
    KEYS: ClassVar[tuple[Key, ...]] = CARD
    BINDINGS: ClassVar[list[BindingType]] = [*bindings((*CARD, QUIT, STOP))]

    def __init__(self, title: str) -> None:
        super().__init__()
        self._title = plain(title, LONGEST_TITLE)
        self.give: Callable[[Answer], None] | None = None
        self._keys_now = self.KEYS
        self._reserved: dict[Widget, int] = {}
        self._rooms: dict[Widget, int] = {}

    def compose(self) -> ComposeResult:
        """Lay the card out."""
        with Vertical(classes=f"card {self.TONE}".strip()):
            yield Static(Text(self._title), classes="card-title")
            yield from self.body()
            expected = Static("", classes="card-say")
            expected.display = False
            yield expected
            yield Static("", classes="card-more")
            yield KeyLine(self.KEYS)
        yield TooSmall()

    def body(self) -> Iterator[Widget]:
        """Give what the card is about."""
        yield from ()

    def settle(self, answer: Answer) -> None:
        """Give the answer to whoever waits for it."""
        if self.give is not None:
            self.give(answer)
        else:
            self.dismiss(answer)

    def say(self, text: str) -> None:
        """Show what is expected or wrong; an empty text takes the line away."""
        line = self.query_one(".card-say", Static)
        line.update(Text(plain(text)))
        line.display = bool(text)
        self.fit()

    def on_mount(self) -> None:
        """Fit the card to the screen, now and whenever its parts need another height."""
        for part in self.query(".card, .elastic"):
            self.watch(part, "virtual_size", self.fit)
        for part in self.query(".elastic"):
            self.watch(part, "scroll_y", self._tell_more)

    def on_resize(self) -> None:
        """Fit the card to the screen."""
        self.fit()

    def on_descendant_focus(self) -> None:
        """Give what the hand is on its room."""
        self.fit()

    def fit(self) -> None:
        """Share the height that the screen has among the parts that can scroll, once they are laid out."""
        self.call_after_refresh(self._share)

    def reserve(self, part: Widget, lines: int) -> None:
        """Keep so many lines for a part that can scroll, where there is room, however few it takes at the moment."""
        self._reserved[part] = lines

    def show_keys(self, keys: tuple[Key, ...]) -> None:
        """Show the keys of the stage at hand, with how many choices there are; what reads on, where there is more."""
        self._keys_now = keys
        longer = any(self._need(part) > room for part, room in self._rooms.items())
        sign = next((each.sign for each in self.query(Numbered) if _is_shown(each)), "")
        shown = tuple(key for key in keys if longer or key.id != FURTHER.id)
        self.query_one(KeyLine).show(numbered(shown, sign) if sign else shown)

    @property
    def _elastic(self) -> list[Widget]:
        return [part for part in self.query(".card .elastic") if _is_shown(part)]

    def _need(self, part: Widget) -> int:
        """Give the lines that a part takes; room that is kept for it is none of them."""
        if part in self._reserved:
            return sum(child.outer_size.height for child in part.children)
        return part.virtual_size.height

    def _share(self) -> None:
        card = self.query_one(".card")
        # What the hand is on comes first, so that it has room, then what is to be seen whole; the others keep what they
        # need of the rest.
        elastic = sorted(self._elastic, key=lambda part: (not part.has_focus, not part.has_class("-whole")))
        fixed = card.virtual_size.height - sum(part.outer_size.height for part in elastic)
        room = self.size.height - card.gutter.height - fixed
        needs = [self._need(part) for part in elastic]
        self._rooms.clear()
        for number, (part, need) in enumerate(zip(elastic, needs, strict=True)):
            later = needs[number + 1 :]
            most = room - sum(min(_LEAST, each) for each in later)
            # Half of what is left at least, so that neither the facts nor the choices are crowded out.
            share = min(need, most, most if part.has_class("-whole") else max(room - sum(later), room // 2))
            part.styles.max_height = self._rooms[part] = share = max(share, _LEAST)
            room -= min(need, share)
        for part, lines in self._reserved.items():
            share = self._rooms.get(part, 0)
            part.styles.min_height = least = min(lines, min(share, self._need(part)) + max(0, room))
            part.styles.max_height = max(least, share)
        self._tell_more()

    def _tell_more(self) -> None:
        """Say in words that the card goes on where it is longer than the screen."""
        more = any(part.scroll_offset.y + room < self._need(part) for part, room in self._rooms.items())
        told = self.query_one(".card-more", Static)
        told.display = self.SAYS_MORE
        told.update(MORE.format(key=in_use(FURTHER).sign) if more else "")
        self.show_keys(self._keys_now)

    def waits_for(self) -> str:
        """Say what has to be done before anything else, after `F4 waits:`."""
        return "this card comes first"

    def on_key(self, event: events.Key) -> None:
        """Say of a key that is for the bench that it waits, and for what."""
        if event.is_printable or event.key in self.active_bindings:
            return
        key = next((key for key in map(in_use, BENCH) if key.rank and event.key in key.keys.split(",")), None)
        if key is not None:
            self.say(f"{key.sign.split()[0]} ({key.label}) waits: {self.waits_for()}, or Esc leaves this card.")

    def key_question_mark(self) -> None:
        """Say what is asked here, for whoever looks for a why."""
        self.say(self.ABOUT)

    def action_card_leave(self) -> None:
        """Leave everything as it is."""
        self.dismiss(None)


def _is_shown(part: Widget) -> bool:
    return all(node.display for node in part.ancestors_with_self)


class TextCard(Card[Answer]):
    """A card with a text that is scrolled where it does not fit."""

    KEYS: ClassVar[tuple[Key, ...]] = TEXT
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(TEXT)]

    def scroll(self) -> VerticalScroll:
        """Give the container for the text."""
        return VerticalScroll(classes="card-text elastic")

    def on_mount(self) -> None:
        """Make the arrows scroll it."""
        self.query_one(VerticalScroll).focus()

    def action_card_further(self) -> None:
        """Show what stands below."""
        self.query_one(VerticalScroll).scroll_page_down(animate=False)


def facts(pairs: Iterable[tuple[str, str]]) -> Table:
    """Set facts under one another, each with its label to the left; those without a text are left out.

    Args:
        pairs: label and text of each.
    """
    rows = [(label, plain(text)) for label, text in pairs if text]
    table = Table.grid(padding=(0, 1), expand=True)
    table.add_column(width=LABELS, style="bold")
    table.add_column(ratio=1)
    for label, text in rows:
        table.add_row(Text(label), Text(text))
    return table
