"""A card with numbered choices, what the one at hand means, and the reason for the one that is taken."""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, OptionList, Static

from headwright.terminal.cards.card import Answer, Card, facts
from headwright.terminal.cards.choices import CHOOSE, FROM_A_GAUGE, Numbered
from headwright.terminal.cards.words import like_a_reading, plain
from headwright.terminal.cards.words_line import LONGEST, WordsLine
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import CHOICES, REASON

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rich.table import Table
    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.terminal.cards.choices import Choice

NONE_YET = "Go to one by its number or with the arrows: what it undoes stands here then."


class ChoiceCard(Card[Answer]):
    """A card with numbered choices, none at hand at first, and a line for the reason once one of them is taken.

    What the choice at hand means stands under the choices; Enter on the line for the reason settles it.

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
        """Give what the choice is about, the choices, what the one at hand means, and the line for the reason."""
        yield from self.above()
        choices = Numbered(self._choices, decides=True)
        choices.add_class("-whole")
        yield choices
        if any(choice.details for choice in self._choices):
            with VerticalScroll(classes="card-details elastic -whole", can_focus=False):
                yield Static(Text(NONE_YET, "italic"))
        with Horizontal(classes="card-line") as line:
            line.display = False
            yield Static("Reason", classes="card-label")
            yield WordsLine("in your own words")

    def on_mount(self) -> None:
        """Begin at the choices, none of them at hand."""
        self.query_one(Numbered).focus()

    def on_resize(self) -> None:
        """Keep the room that the longest of the details takes, so that nothing moves from choice to choice."""
        for part in self.query(".card-details"):
            width = max(1, part.scrollable_content_region.width)
            options = self.app.console_options.update(width=width, height=None)
            each = (self._details(number) for number in range(len(self._choices)))
            lines = (self.app.console.render_lines(details, options) for details in each)
            self.reserve(part, max(map(len, lines)))
        super().on_resize()

    @property
    def _line(self) -> WordsLine:
        return self.query_one(WordsLine)

    @property
    def _gives_reason(self) -> bool:
        """Tell whether a choice was taken, and its reason is asked for."""
        return self.query_one(".card-line").display

    def on_descendant_focus(self) -> None:
        """Show the keys of what the hand is on, and give it its room."""
        self.show_keys(REASON if self._gives_reason else CHOICES)
        super().on_descendant_focus()

    @on(OptionList.OptionHighlighted)
    def _follow(self, event: OptionList.OptionHighlighted) -> None:
        # The list tells of its first line as it is made, before any is at hand.
        if event.option_list.highlighted == event.option_index:
            self._to_choices()
            self.say("")

    def _tell(self, number: int | None) -> None:
        """Say what a choice means; none where it is None."""
        for part in self.query(".card-details"):
            part.query_one(Static).update(Text(NONE_YET, "italic") if number is None else self._details(number))
            part.scroll_home(animate=False)
        self.fit()

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        choice = self._choices[event.option_index]
        if choice.barred:
            self.say(f"Not open to you: {choice.barred}")
            return
        self.query_one(".card-line").display = True
        self._line.offer(self._reason(event.option_index))
        self._line.focus()
        self._tell(event.option_index)
        then = f"; {choice.then}" if choice.then else ""
        if choice.reason:
            self.say(f"{choice.title}: Enter {self._settles} with these words, or with yours typed over them{then}.")
        else:
            self.say(f"{choice.title}: say why in your own words, then Enter {self._settles}{then}.")

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        if self.query_one(Numbered).highlighted is None:
            self._tell(None)
        self.say(event.text)

    @on(Input.Submitted)
    def _settle(self, event: Input.Submitted) -> None:
        number = self.query_one(Numbered).highlighted
        if number is None or not self._gives_reason:
            self._to_choices()
            self.say(CHOOSE)
            return
        reason = plain(event.value).strip()
        if like_a_reading(_added(self._reason(number), reason)):
            self._line.offer(self._reason(number))
            self.say(FROM_A_GAUGE)
        elif not reason:
            self.say("A reason is expected: say why, in your own words.")
        else:
            self.settle(self._answer(number, reason))

    def _details(self, number: int) -> Table:
        """Give what a choice means; words that stand on the line for the reason are not said twice."""
        choice = self._choices[number]
        offered = self._gives_reason and choice.reason
        told = [(label, text) for label, text in choice.details if not offered or text != offered]
        return facts((*told, ("Not open", f"× {choice.barred}" if choice.barred else "")))

    def _reason(self, number: int) -> str:
        return plain(self._choices[number].reason, LONGEST)

    def _to_choices(self) -> None:
        """Go to the choices; what was typed as a reason was meant for another."""
        self.query_one(".card-line").display = False
        self._tell(self.query_one(Numbered).highlighted)
        self.query_one(Numbered).focus()

    def action_card_number(self) -> None:
        """Go to the choices."""
        self._to_choices()

    async def action_card_settle(self) -> None:
        """Take the choice, or settle it with its reason."""
        if self._gives_reason:
            await self._line.action_submit()
        else:
            self.query_one(Numbered).action_select()

    def action_card_leave(self) -> None:
        """Go from the reason back to the choices; from there, leave everything as it is."""
        if self._gives_reason:
            self._to_choices()
            self.say("")
        else:
            self.dismiss(None)


def _added(before: str, after: str) -> str:
    """Give what a text has that it had not before: the part between what both begin and what both end with."""
    start = _alike(before, after)
    end = _alike(before[start:][::-1], after[start:][::-1])
    return after[start : len(after) - end]


def _alike(one: str, other: str) -> int:
    """Count the characters with which both begin."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))
