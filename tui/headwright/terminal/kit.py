"""The shop's kit on screen: gauges and when they are due, rings, balls and the rest, as its file has them."""

from __future__ import annotations

import asyncio
import textwrap
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.cells import cell_len
from rich.text import Text
from textual import work
from textual.screen import Screen
from textual.widgets import Static

from headwright.errors import DefinitionsFaulty, HeadwrightError
from headwright.store.desk import utc_now
from headwright.store.place import KIT_NAME, kit_file, store_file
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.cards.words import error_words, plain
from headwright.terminal.drawn import Drawn, Line, Span, fit
from headwright.terminal.heading import Heading
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import bindings
from headwright.terminal.kit_words import Row, Section, overdue, sections
from headwright.terminal.outer_keys import KIT_KEYS
from headwright.terminal.small import TooSmall

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from headwright.store import JobStore

_BESIDE = 120
"""Columns from which what is said of a gauge stands beside it, and not under it."""


class _Read(NamedTuple):
    """What came of reading the kit: the shop and its things, or what is wrong with the file."""

    path: Path | None
    shop: str = ""
    sections: tuple[Section, ...] = ()
    problems: tuple[str, ...] = ()


class KitList(Drawn, can_focus=True):
    """The things, section by section; arrows, page keys and the wheel move through them."""

    def __init__(self) -> None:
        super().__init__()
        self._read: _Read | None = None
        self._top = 0

    def show(self, read: _Read) -> None:
        """Show what was read."""
        self._read = read
        self.move(0)

    @property
    def page(self) -> int:
        """How many lines are seen at once."""
        return max(1, self.size.height)

    def move(self, by: int) -> None:
        """Go so many lines down (or, below 0, up)."""
        lines = self._laid_out()
        self._top = max(0, min(self._top + by, len(lines) - self.page))
        self.put(lines[self._top : self._top + self.page])

    def on_resize(self) -> None:
        """Lay the lines out for the width."""
        self.move(0)

    def on_mouse_scroll_down(self) -> None:
        """Move down."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """Move up."""
        self.move(-1)

    def _laid_out(self) -> list[Line]:
        if self._read is None:
            return [((" One moment: the kit is being read.", "quiet"),)]
        if self._read.problems:
            return list(_problem_lines(self._read.problems, self.size.width))
        return [line for section in self._read.sections for line in _section_lines(section, self.size.width)]


def _problem_lines(problems: tuple[str, ...], width: int) -> Iterator[Line]:
    yield ((" Nothing of the kit can be used before its file is put right:", "strong"),)
    yield ()
    for problem in problems:
        first, *more = textwrap.wrap(plain(problem), max(20, width - 4)) or [""]
        yield ((" ■ ", "bad"), (first, ""))
        yield from (((f"   {line}", ""),) for line in more)


def _section_lines(section: Section, width: int) -> Iterator[Line]:
    columns = list(zip(section.columns, *(row.cells for row in section.rows), strict=True))
    widths = [max(map(cell_len, column)) for column in columns]
    yield ((f" {section.title}", "now"),)
    yield (("   " + "  ".join(map(fit, section.columns, widths)), "title"),)
    for row in section.rows:
        yield from _row_lines(row, widths, width)
    yield ()


def _row_lines(row: Row, widths: list[int], width: int) -> Iterator[Line]:
    sign, style = row.sign
    first, *middle, last = map(fit, row.cells, widths)
    line: Line = ((f" {sign} ", style), (first, "strong"), ("  ".join(("", *middle, "")), ""), (last, _state(style)))
    if not row.note or width >= _BESIDE:
        yield (*line, (f"  {row.note}", ""))
        return
    yield line
    yield from (((f"     {part}", "quiet"),) for part in textwrap.wrap(row.note, max(20, width - 6)))


def _state(style: str) -> str:
    return style if style in {"near", "bad"} else ""


class KitScreen(Screen[None]):
    """Show the kit; nothing is changed here.

    Args:
        store: where the jobs are, for who has a gauge in hand.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(KIT_KEYS)]

    def __init__(self, store: JobStore) -> None:
        super().__init__()
        self._store = store

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Heading(("Kit", "strong"))
        yield KitList()
        yield Static(Text(""), id="kit-say")
        yield KeyLine(KIT_KEYS)
        yield TooSmall()

    def on_mount(self) -> None:
        """Begin on the list, and read the file meanwhile."""
        self.query_one(KitList).focus()
        self.action_read_again()

    @work(exit_on_error=False, exclusive=True)
    async def action_read_again(self) -> None:
        """Read the file again, as it is now."""
        read = await asyncio.to_thread(_read, self._store)
        self.query_one(KitList).show(read)
        self.query_one(Heading).show(*_title(read))
        self.say(_say(read))

    def say(self, text: str) -> None:
        """Show one line of what is expected, or of what cannot be done."""
        self.query_one("#kit-say", Static).update(Text(plain(text)))

    def action_kit_up(self) -> None:
        """Go a line up."""
        self.query_one(KitList).move(-1)

    def action_kit_down(self) -> None:
        """Go a line down."""
        self.query_one(KitList).move(1)

    def action_kit_page_up(self) -> None:
        """Go a page up."""
        listed = self.query_one(KitList)
        listed.move(-listed.page)

    def action_kit_page_down(self) -> None:
        """Go a page down."""
        listed = self.query_one(KitList)
        listed.move(listed.page)

    def action_card_leave(self) -> None:
        """Go back."""
        self.dismiss()

    def action_help(self) -> None:
        """Show the help."""
        self.app.push_screen(HelpScreen(KIT_KEYS))


def _read(store: JobStore) -> _Read:
    from headwright.procedure.kit import load_kit  # noqa: PLC0415 - loads pint

    path = None
    try:
        path = kit_file()
        kit = load_kit(path)
        return _Read(path, kit.shop, sections(kit, store.jobs(), utc_now()))
    except DefinitionsFaulty as error:
        return _Read(path, problems=tuple(map(str, error.problems)))
    except HeadwrightError as error:
        return _Read(path, problems=(error_words(error),))


def _title(read: _Read) -> Iterator[Span]:
    problems, late = len(read.problems), overdue(read.sections)
    yield (f"Kit  {read.shop}   " if read.shop else "Kit   ", "strong")
    if problems:
        yield from ((f"■ {problems} problem{'s' * (problems != 1)}", "bad"), ("   ", ""))
    if late:
        yield from ((f"■ {late} overdue", "bad"), ("   ", ""))
    yield (f"in {read.path}" if read.path is not None else "", "quiet")


def _say(read: _Read) -> str:
    own = store_file().with_name(KIT_NAME)
    if read.path is not None and read.path != own:
        return f"This is the invented shop's kit. Your own goes into {plain(str(own))}, written by hand like this one."
    return "It is only shown here: the kit is changed in its file, with a text editor."
