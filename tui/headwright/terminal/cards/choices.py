"""Numbered choices."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len
from rich.table import Table
from rich.text import Text
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from headwright.terminal.cards.words import like_a_reading, plain
from headwright.terminal.drawn import fit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.screen import Screen
    from textual.widget import Widget

EDGE = 10
"""Cells of titles behind which what is said of choices begins where the facts of a card do."""
WIDEST_TITLE = 20
"""Cells of titles, beyond which what is said of choices goes on behind each."""
FROM_A_GAUGE = "That looks like a reading from a gauge: nothing was decided, and it was not saved."
CHOOSE = "Choose by its number or with the arrows."
FEW = 5
"""Digits that the line of keys names one by one."""
READ = 0.5
"""s in which nobody has read what a choice means (our choice): numbers that come sooner are the digits of a figure."""
FIRST = "nothing is chosen yet."
NOT_OPEN = "× not open to you"


class Choice(NamedTuple):
    """One thing that may be chosen.

    `reason` are the words put down for it unless the operator types others; empty where they must be the operator's
    own. `barred` says why it cannot be chosen now. `number` is the digit that chooses it whatever stands beside it, so
    that a practised thumb finds it on every card; 0: its place in the list. `details` are what it means, each with its
    label: its card shows them for the choice at hand, and the choice itself keeps to one line. `then` tells what is
    asked for once its reason is given, so that nobody gives that in its place.
    """

    title: str
    say: str = ""
    more: tuple[str, ...] = ()
    reason: str = ""
    barred: str = ""
    number: int = 0
    details: tuple[tuple[str, str], ...] = ()
    then: str = ""


NONE_OF_THESE = 9
"""The digit of the choice that is in no list: another gauge, ring or tool, somebody else."""


class Numbered(OptionList):
    """A list whose lines are chosen by number and Enter, by arrows and Enter, or by the mouse.

    Args:
        choices: its lines.
        name: which list of its card it is.
        decides: whether a choice undoes or decides something: Enter alone takes no line then, a number or an arrow
            comes first.
    """

    class Complaint(Message):
        """What was typed chose nothing; `text` says why."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(self, choices: Sequence[Choice], *, name: str | None = None, decides: bool = False) -> None:
        self._choices = _aligned(choices)
        self.decides = decides
        self._marked: int | None = None
        super().__init__(*_options(self._choices), name=name, classes="elastic", markup=False, compact=True)
        if decides:
            self.highlighted = None
        self._typed, self._typed_at = "", 0.0

    @property
    def sign(self) -> str:
        """Give the digits that choose, as the line of keys shows them: `1–4`, or each where they do not run on."""
        digits = [digit for digit in _digits(self._choices) if digit != "·"]
        if len(digits) > 1 and digits != [str(number) for number in range(1, len(digits) + 1)]:
            return " ".join(digits) if len(digits) <= FEW else f"{digits[0]}–{digits[-1]}"
        return "–".join(dict.fromkeys((*digits[:1], *digits[-1:])))

    def change(self, choices: Sequence[Choice]) -> None:
        """Offer other choices, the highlight where it was as far as there is such a line."""
        at = self.highlighted or 0
        self._choices = _aligned(choices)
        self.set_options(_options(self._choices))
        self.highlighted = min(at, len(self._choices) - 1) if self._choices else None

    def watch_highlighted(self, highlighted: int | None) -> None:
        """Put the sign before the line at hand: where there are no colours, nothing else tells which it is."""
        for number in {self._marked, highlighted}:
            if number is not None and number < self.option_count:
                digit = _digits(self._choices)[number]
                drawn = _drawn(digit, self._choices[number], at_hand=number == highlighted)
                self.replace_option_prompt_at_index(number, drawn)
        self._marked = highlighted
        super().watch_highlighted(highlighted)

    def on_click(self, event: events.Click) -> None:
        """Leave out the second half of a double click: it was meant for what stood here before."""
        if event.chain > 1:
            event.stop()
            event.prevent_default()

    def on_key(self, event: events.Key) -> None:
        """Go to the line whose number was typed."""
        if event.key == "enter":
            # One number chooses; more than one key before Enter is what a gauge on a data cable types, or words that
            # were meant for a line.
            if len(self._typed) > 1:
                event.stop()
                if self.decides:
                    self.highlighted = None
                then = CHOOSE if self.decides else "Enter once more takes the choice at hand."
                typed = self._typed
                what = FROM_A_GAUGE if like_a_reading(typed) else f"'{plain(typed, 40)}' is not taken: {FIRST}"
                self.post_message(self.Complaint(f"{what} {then}"))
            self._typed = ""
            return
        digit = (event.character or "").isdigit()
        if (digit or self._typed.isdigit()) and event.time - self._typed_at >= READ:
            self._typed = ""  # one number after another, each of them looked at; or a key hit by mistake before it
        self._typed, self._typed_at = self._typed + (event.character or "") if event.is_printable else "", event.time
        if event.character and event.character in "123456789":
            event.stop()
            self._go(event.character)

    def on_resize(self) -> None:
        """Keep the line at hand in sight when there is less room."""
        self.call_after_refresh(self.scroll_to_highlight)

    def on_focus(self) -> None:
        """Forget what was typed elsewhere."""
        self._typed = ""

    def action_select(self) -> None:
        """Take the line at hand, or say how one is chosen."""
        if self.highlighted is None:
            self.post_message(self.Complaint(CHOOSE))
        else:
            super().action_select()

    def action_page_down(self) -> None:
        """Read on: in what stands above, then in the choices; the one at hand stays."""
        parts = [part for part in _pages(self.screen) if part.scroll_offset.y < part.max_scroll_y]
        if parts:
            parts[0].scroll_page_down(animate=False)

    def action_page_up(self) -> None:
        """Read back: in the choices, then in what stands above them."""
        parts = [part for part in _pages(self.screen) if part.scroll_offset.y > 0]
        if parts:
            parts[-1].scroll_page_up(animate=False)

    def _go(self, digit: str) -> None:
        digits = _digits(self._choices)
        if digit in digits:
            self.highlighted = digits.index(digit)
            self.scroll_to_highlight()
        else:
            self.post_message(self.Complaint(f"There is no choice {digit}."))


def _pages(screen: Screen[object]) -> list[Widget]:
    """Give what can be read on in: the facts, the choices at hand, what they mean."""
    return [part for part in screen.query(".elastic") if part.display]


def _aligned(choices: Sequence[Choice]) -> tuple[Choice, ...]:
    """Give choices with titles of one width, so that what is said of them stands in a column of its own."""
    widest = max((cell_len(plain(choice.title)) for choice in choices if _says(choice)), default=0)
    if widest > WIDEST_TITLE:
        return tuple(choices)
    width = EDGE if widest <= EDGE else widest + 1
    return tuple(each._replace(title=fit(plain(each.title), width)) if _says(each) else each for each in choices)


def _says(choice: Choice) -> bool:
    return bool(choice.say or choice.barred or choice.more)


def _options(choices: Sequence[Choice]) -> list[Option]:
    return [Option(_drawn(digit, choice)) for digit, choice in zip(_digits(choices), choices, strict=True)]


def _digits(choices: Sequence[Choice]) -> list[str]:
    """Give the digit that chooses each, a dot where there is none left for it."""
    taken = {choice.number for choice in choices}
    numbers = (choice.number or (0 if place in taken else place) for place, choice in enumerate(choices, 1))
    return [str(number) if 1 <= number <= 9 else "·" for number in numbers]


def _drawn(digit: str, choice: Choice, *, at_hand: bool = False) -> Table:
    table = Table.grid(padding=(0, 1), expand=True)
    table.add_column(width=3, justify="right")
    table.add_column(ratio=1, no_wrap=bool(choice.details), overflow="ellipsis" if choice.details else "fold")
    shade = "dim" if choice.barred else ""
    sign = Text.assemble("▸ " if at_hand else "", (digit, shade))
    title = Text(plain(choice.title), style=shade or "bold")
    said = [plain(line) for line in (choice.say, *choice.more) if line]
    if choice.barred and choice.details:
        said = [f"{plain(choice.say)}  {NOT_OPEN}"]
    elif choice.barred:
        said.append(f"× {plain(choice.barred)}")
    if said and cell_len(choice.title) <= WIDEST_TITLE + 1:
        table.columns[-1].ratio, table.columns[-1].width = None, cell_len(choice.title)
        table.add_column(ratio=1, no_wrap=bool(choice.details), overflow="ellipsis" if choice.details else "fold")
        for at, line in enumerate(said):
            table.add_row(*(("", "") if at else (sign, title)), Text(line, shade))
        return table
    if said:
        title.append(f"  {said.pop(0)}", style="not bold")
    table.add_row(sign, title)
    for line in said:
        table.add_row("", Text(line, shade))
    return table
