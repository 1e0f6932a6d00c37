"""The tool card: which tool is in use, and its size as measured."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace
from textual import on
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, OptionList, Static

from headwright.job.entry import Misread, entered
from headwright.job.events import ToolChosen
from headwright.job.index import place_words
from headwright.job.show import unit_words
from headwright.procedure.plan import Reading, Sort
from headwright.terminal.bench.digits import with_unit
from headwright.terminal.cards.card import Card, facts
from headwright.terminal.cards.choices import NONE_OF_THESE, Choice, Numbered
from headwright.terminal.cards.words import plain
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import TOOL, TOOL_LINE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.job.state import State, Tool
    from headwright.procedure.plan import Operation

LONGEST = 60
"""Characters of a tool's name, and of its size."""
INCH_GRADUATION, METRIC_GRADUATION = 0.0001 * 25.4, 0.001
"""mm: how finely a tool's size is taken where no reading of the operation tells (our choice: a micrometer's)."""
NAMED = "its name or number"
MEASURED = "as measured, in {unit} or with its unit; may be left out"
FIRST = (
    "{place} is the first piece made with it: the others wait until a machinist or lead has looked at its figures and "
    "lets them follow."
)


class ToolCard(Card[ToolChosen]):
    """Ask which tool is in use; the answer is the event that names it.

    Args:
        state: the job.
        operation: what it is used for.
        place: where the first piece is made with it.
        before: tools of this sort that the job has used.
    """

    KEYS: ClassVar[tuple[Key, ...]] = TOOL
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(TOOL)]

    def __init__(self, state: State, operation: Operation, place: str, before: Sequence[Tool]) -> None:
        super().__init__(f"{operation.title}: which {operation.tool}?")
        self._state = state
        self._operation = operation
        self._place = place
        self._before = tuple(before)
        self._like = _size_reading(state, operation)

    def body(self) -> Iterator[Widget]:
        """Give what follows from it, the tools used before, and the two lines."""
        first = FIRST.format(place=place_words(self._state.index.places[self._place]))
        with VerticalScroll(classes="card-facts elastic"):
            yield Static(facts((("First piece", first),)))
        if self._before:
            used = [Choice(tool.item, self._size_words(tool.size)) for tool in self._before]
            yield Numbered([*used, Choice("Another one", "its name and size are typed", number=NONE_OF_THESE)])
        for label, name in (("Which one", "item"), ("Size", "size")):
            with Horizontal(classes="card-line"):
                yield Static(label, classes="card-label")
                yield Input(
                    compact=True,
                    max_length=LONGEST,
                    name=name,
                    placeholder=MEASURED.format(unit=unit_words(self._like.unit)) if name == "size" else NAMED,
                )

    def _size_words(self, size: float | None) -> str:
        if size is None:
            return "not measured"
        return with_unit(self._state.plan, self._like, size)

    def on_mount(self) -> None:
        """Begin with the tools used before, or with the line where there are none."""
        if self._before:
            self._show_lines(shown=False)
            self.query_one(Numbered).highlighted = 0
            self.query_one(Numbered).focus()
        else:
            self._show_lines(shown=True)

    def _show_lines(self, *, shown: bool) -> None:
        for line in self.query(".card-line"):
            line.display = shown
        for options in self.query(Numbered):
            options.display = not shown
        self.show_keys(TOOL_LINE if shown else TOOL)
        if shown:
            self._field("item").focus()
        self.fit()

    def _field(self, name: str) -> Input:
        return next(each for each in self.query(Input) if each.name == name)

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        if event.option_index == len(self._before):
            self._show_lines(shown=True)
            return
        tool = self._before[event.option_index]
        self._give(tool.item, tool.size)

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    @on(Input.Changed)
    def _follow(self) -> None:
        self.say("")

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        item = plain(self._field("item").value).strip()
        if not item:
            self._field("item").focus()
            self.say(f"Which {self._operation.tool} it is, is expected: its name or number.")
        elif event.input.name == "item":
            self._field("size").focus()
            self.say("Its size as measured, or nothing; then Enter.")
        else:
            self._take(item, plain(event.value).strip())

    def _take(self, item: str, text: str) -> None:
        if not text:
            self._give(item, None)
            return
        read = entered(text, self._like, self._state.plan)
        if isinstance(read, Misread):
            self.say(read.say)
        elif read.value is None or read.value <= 0:
            self.say("A size above zero is expected.")
        else:
            self._give(item, read.value)

    def _give(self, item: str, size: float | None) -> None:
        self.settle(ToolChosen(self._operation.id, self._place, self._operation.tool, item, size))

    def action_card_number(self) -> None:
        """Go to the list."""
        for options in self.query(Numbered):
            options.focus()

    async def action_card_settle(self) -> None:
        """Take the line at hand, or what is typed."""
        if isinstance(self.focused, Input):
            await self.focused.action_submit()
        else:
            self.query_one(Numbered).action_select()


def used_before(state: State, operation: Operation) -> tuple[Tool, ...]:
    """Give the tools of the sort that an operation names which the job has in use, the latest first, each once."""
    found = sorted((t for t in state.tools.values() if t.tool == operation.tool), key=lambda t: -t.number)
    return tuple({tool.item: tool for tool in reversed(found)}.values())[::-1]


def _size_reading(state: State, operation: Operation) -> Reading:
    """Give the reading that a tool's size is typed as: in the unit of the operation's own lengths."""
    readings = [*operation.readings, *(r for each in state.plan.operations for r in each.readings)]
    like = next((r for r in readings if r.sort is Sort.NUMBER and r.dimension == "length"), None)
    if like is not None:
        return replace(like, name="size", label="Size", expect=None, within=None, limit=None)
    metric = all(unit.name != "in" for unit in state.plan.units)
    return Reading(
        "size",
        "Size",
        unit="mm" if metric else "in",
        dimension="length",
        resolution=METRIC_GRADUATION if metric else INCH_GRADUATION,
    )
