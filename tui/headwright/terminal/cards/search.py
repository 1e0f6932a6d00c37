"""A card that is searched while one types: one line to type in, and the lines that have all of its words."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.table import Table
from rich.text import Text
from textual import on
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from headwright.terminal.cards.card import Card
from headwright.terminal.cards.words import plain
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import SEARCH

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.widget import Widget

_LONGEST = 60


class Entry(NamedTuple):
    """One line: its name and a text, what stands before and under the name, and what else it is found by."""

    id: str
    title: str
    text: str
    side: str = ""
    under: str = ""
    also: str = ""


class SearchCard(Card[str]):
    """Find one of many lines; the answer is its id.

    Args:
        title: what is searched.
        entries: the lines, in their order.
        width: columns of the names.
        nothing: what is said where no line has what was typed.
    """

    KEYS: ClassVar[tuple[Key, ...]] = SEARCH
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(SEARCH)]

    def __init__(self, title: str, entries: Sequence[Entry], width: int, nothing: str) -> None:
        super().__init__(title)
        self._entries = tuple(entries)
        self._width = width
        self._nothing = nothing

    def compose(self) -> ComposeResult:
        """Lay the card out; it keeps its height while lines come and go."""
        for widget in super().compose():
            widget.add_class("search") if widget.has_class("card") else None
            yield widget

    def body(self) -> Iterator[Widget]:
        """Give the line to type in and the lines that are found."""
        yield Input(compact=True, max_length=_LONGEST, placeholder="find: type any part", classes="search-find")
        yield OptionList(*self._options(self._entries), markup=False, compact=True, classes="search-found")

    def on_mount(self) -> None:
        """Begin on the line, with the first of what is found at hand."""
        self.query_one(".search-found").can_focus = False
        self.query_one(Input).focus()
        self._list.highlighted = 0

    @property
    def _list(self) -> OptionList:
        return self.query_one(OptionList)

    def _options(self, entries: Iterable[Entry]) -> list[Option]:
        return [Option(self._drawn(entry), id=entry.id) for entry in entries]

    def _drawn(self, entry: Entry) -> Table:
        table = Table.grid(padding=(0, 2, 0, 0), expand=True)
        side = max((len(each.side) for each in self._entries), default=0)
        if side:
            table.add_column(width=side)
        table.add_column(width=self._width)
        table.add_column(ratio=1)
        names = Text.assemble((plain(entry.title), "bold"), f"\n{plain(entry.under)}" if entry.under else "")
        table.add_row(*[Text(entry.side)] * bool(side), names, Text(plain(entry.text)))
        return table

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        found = found_in(self._entries, event.value)
        self._list.clear_options().add_options(self._options(found))
        self._list.highlighted = 0 if found else None
        self.say("" if found else self._nothing)

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        self.taken(event.option.id or "")

    def taken(self, name: str) -> None:
        """Take a line; the card is left with it."""
        self.dismiss(name)

    @on(Input.Submitted)
    def action_found_take(self) -> None:
        """Take the line at hand."""
        self._list.action_select()

    def action_found_down(self) -> None:
        """Go to the line below."""
        self._list.action_cursor_down()

    def action_found_up(self) -> None:
        """Go to the line above."""
        self._list.action_cursor_up()

    def action_found_page_down(self) -> None:
        """Go a page down."""
        self._list.action_page_down()  # type: ignore[no-untyped-call] # Textual's

    def action_found_page_up(self) -> None:
        """Go a page up."""
        self._list.action_page_up()  # type: ignore[no-untyped-call] # Textual's


def found_in(entries: Iterable[Entry], typed: str) -> list[Entry]:
    """Give the lines that have every word typed; those whose name begins so come first, then those that name it."""
    wanted = typed.lower().split()
    found = [entry for entry in entries if all(each in _searched(entry) for each in wanted)]
    return sorted(found, key=lambda entry: _rank(entry, " ".join(wanted)))


def _searched(entry: Entry) -> str:
    return " ".join(entry[1:]).lower()


def _rank(entry: Entry, typed: str) -> int:
    title = f"{entry.title} {entry.under} {entry.also}".lower()
    return 0 if title.startswith(typed) else 1 if typed in title else 2
