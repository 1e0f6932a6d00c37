"""Numbered choices, and the reason for the one that is taken."""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.cells import cell_len
from rich.table import Table
from rich.text import Text
from textual import events, on
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, OptionList, Static
from textual.widgets.input import Selection
from textual.widgets.option_list import Option

from headwright.terminal.cards.card import Answer, Card
from headwright.terminal.cards.words import like_a_reading, plain
from headwright.terminal.drawn import fit
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import CHOICES, REASON

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from textual.binding import BindingType
    from textual.screen import Screen
    from textual.widget import Widget

EDGE = 10
"""Cells of titles behind which what is said of choices begins where the facts of a card do."""
WIDEST_TITLE = 20
"""Cells of titles, beyond which what is said of choices goes on behind each."""
LONGEST_REASON = 500
"""Characters: about eight lines of a printed sheet."""
FROM_A_GAUGE = "That looks like a reading from a gauge: nothing was decided, and it was not saved."
CHOOSE = "Choose by its number or with the arrows."


class Choice(NamedTuple):
    """One thing that may be chosen.

    `reason` are the words put down for it unless the operator types others; empty where they must be the operator's
    own. `barred` says why it cannot be chosen now. `number` is the digit that chooses it whatever stands beside it, so
    that a practised thumb finds it on every card; 0: its place in the list.
    """

    title: str
    say: str = ""
    more: tuple[str, ...] = ()
    reason: str = ""
    barred: str = ""
    number: int = 0


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
        self._typed = ""

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
            # One number chooses; more than one key before Enter is what a gauge on a data cable types.
            if len(self._typed) > 1:
                event.stop()
                if self.decides:
                    self.highlighted = None
                then = CHOOSE if self.decides else "Enter once more takes the choice at hand."
                self.post_message(self.Complaint(f"{FROM_A_GAUGE} {then}"))
            self._typed = ""
            return
        self._typed = self._typed + (event.character or "") if event.is_printable else ""
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


class Reason(Input):
    """The line for the reason: one that is offered is read from its beginning, and typing takes its place."""

    def __init__(self) -> None:
        super().__init__(
            placeholder="in your own words", compact=True, max_length=LONGEST_REASON, select_on_focus=False
        )

    def offer(self, text: str) -> None:
        """Put a text down that stands unless another is typed."""
        self.value = text
        self.selection = Selection(len(text), 0)

    def on_focus(self) -> None:
        """Select what is there, and show its beginning."""
        self.selection = Selection(len(self.value), 0)


def _pages(screen: Screen[object]) -> list[Widget]:
    """Give what can be read on in: the facts, then the choices at hand."""
    return [*screen.query(".card-facts.elastic"), *(w for w in screen.query(Numbered) if w.display)]


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
    table.add_column(ratio=1)
    shade = "dim" if choice.barred else ""
    sign = Text.assemble("▸ " if at_hand else "", (digit, shade))
    title = Text(plain(choice.title), style=shade or "bold")
    said = [plain(line) for line in (choice.say, *choice.more) if line]
    if choice.barred:
        said.append(f"× {plain(choice.barred)}")
    if said and cell_len(choice.title) <= WIDEST_TITLE + 1:
        table.columns[-1].ratio, table.columns[-1].width = None, cell_len(choice.title)
        table.add_column(ratio=1)
        for at, line in enumerate(said):
            table.add_row(*(("", "") if at else (sign, title)), Text(line, shade))
        return table
    if said:
        title.append(f"  {said.pop(0)}", style="not bold")
    table.add_row(sign, title)
    for line in said:
        table.add_row("", Text(line, shade))
    return table


def _added(before: str, after: str) -> str:
    """Give what a text has that it had not before: the part between what both begin and what both end with."""
    start = _alike(before, after)
    end = _alike(before[start:][::-1], after[start:][::-1])
    return after[start : len(after) - end]


def _alike(one: str, other: str) -> int:
    """Count the characters with which both begin."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


class ChoiceCard(Card[Answer]):
    """A card with numbered choices, none at hand at first, and one line for the reason; Enter on the line settles it.

    Args:
        title: what is asked.
        choices: what may be chosen.
        answer: gives the answer for a choice (numbered from 0) and its reason.
        settles: what Enter on the line does, as `decides`.
    """

    KEYS: ClassVar[tuple[Key, ...]] = CHOICES
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(CHOICES)]

    def __init__(
        self, title: str, choices: Sequence[Choice], answer: Callable[[int, str], Answer], settles: str
    ) -> None:
        super().__init__(title)
        self._choices = tuple(choices)
        self._answer = answer
        self._settles = settles

    def above(self) -> Iterator[Widget]:
        """Give what stands above the choices."""
        yield from ()

    def body(self) -> Iterator[Widget]:
        """Give what the choice is about, the choices, and the line for the reason."""
        yield from self.above()
        yield Numbered(self._choices, decides=True)
        with Horizontal(classes="card-line"):
            yield Static("Reason", classes="card-label")
            yield Reason()

    def on_mount(self) -> None:
        """Begin at the choices, none of them at hand."""
        self.query_one(Numbered).focus()

    def on_descendant_focus(self) -> None:
        """Show the keys of what the hand is on."""
        self.query_one(KeyLine).show(REASON if isinstance(self.focused, Input) else CHOICES)

    @on(OptionList.OptionHighlighted)
    def _follow(self, event: OptionList.OptionHighlighted) -> None:
        # The list tells of its first line as it is made, before any is at hand.
        if event.option_list.highlighted == event.option_index:
            self.query_one(Reason).offer(self._reason(event.option_index))
            self.say("")

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        choice = self._choices[event.option_index]
        if choice.barred:
            self.say(f"Not open to you: {choice.barred}")
            return
        self.query_one(Input).focus()
        if choice.reason:
            self.say(f"{choice.title}: Enter {self._settles} with these words, or with yours typed over them.")
        else:
            self.say(f"{choice.title}: say why in your own words, then Enter {self._settles}.")

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        if self.query_one(Numbered).highlighted is None:
            self.query_one(Reason).offer("")
        self.say(event.text)

    @on(Input.Submitted)
    def _settle(self, event: Input.Submitted) -> None:
        line = self.query_one(Reason)
        number = self.query_one(Numbered).highlighted
        if number is None:
            self.query_one(Numbered).focus()
            self.say(CHOOSE)
            return
        reason = plain(event.value).strip()
        barred = self._choices[number].barred
        if barred:
            self.say(f"Not open to you: {barred}")
        elif like_a_reading(_added(self._reason(number), reason)):
            line.offer(self._reason(number))
            self.say(FROM_A_GAUGE)
        elif not reason:
            self.say("A reason is expected: say why, in your own words.")
        else:
            self.settle(self._answer(number, reason))

    def _reason(self, number: int) -> str:
        choice = self._choices[number]
        return "" if choice.barred else plain(choice.reason, LONGEST_REASON)

    def action_card_further(self) -> None:
        """Read on from the line for the reason too."""
        self.query_one(Numbered).action_page_down()

    def action_card_number(self) -> None:
        """Go to the choices."""
        self.query_one(Numbered).focus()

    async def action_card_settle(self) -> None:
        """Take the choice, or settle it with its reason."""
        line = self.query_one(Input)
        if line.has_focus:
            await line.action_submit()
        else:
            self.query_one(Numbered).action_select()

    def action_card_leave(self) -> None:
        """Go from the reason back to the choices; from there, leave everything as it is."""
        if self.query_one(Input).has_focus:
            self.query_one(Numbered).focus()
            self.say("")
        else:
            self.dismiss(None)
