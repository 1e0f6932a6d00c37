"""The sums: one is picked from a list, and answers while its figures are typed."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Input, Static
from textual.worker import Worker, WorkerState

from headwright.sums.catalogue import SUMS
from headwright.sums.dimensions import DIMENSIONS
from headwright.sums.evaluate import SumFault, evaluate
from headwright.sums.written import scales, with_unit
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.drawn import Drawn
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import bindings
from headwright.terminal.outer_keys import SUMS_KEYS
from headwright.terminal.small import TooSmall
from headwright.terminal.sum_lines import about, answer_lines, label_line, said, unit_word
from headwright.terminal.sum_list import SumList

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.sums.evaluate import Worked
    from headwright.sums.model import Sum, System

_MOST = max(len(each.inputs) for each in SUMS.values())
_LONGEST = 200
_PAUSE = 0.15
"""Seconds of quiet before a file is read: it is not read at every letter of its name."""
_ROOMY = 75
"""Columns from which on the keys stand beside the labels, as the formula has them."""
_LEAST_ENTRY = 24
"""Columns that an entry and its unit take at least."""
_READING = "One moment: the units are being read."


@dataclass
class Kept:
    """What stays from one look at the sums to the next: the sum, what was typed for each, whose units."""

    sum: str = "clearance"
    texts: dict[str, dict[str, str]] = field(default_factory=dict)
    system: System = "in"


class SumsScreen(Screen[None]):
    """Pick a sum, type its figures, see its answers.

    Args:
        kept: what was typed before; it is brought up to date.
    """

    CSS_PATH = "sums.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(SUMS_KEYS)]
    AUTO_FOCUS = "#sums-find"

    def __init__(self, kept: Kept | None = None) -> None:
        super().__init__()
        self._kept = kept or Kept()
        self._sum: Sum = SUMS[self._kept.sum]
        self._ready = False
        self._worked: Worked | None = None
        self._fault: SumFault | None = None
        self._say = ""
        self._keys_width = self._about_lines = 0
        self._width = 20

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Drawn(id="sums-head")
        with Horizontal(id="sums-body"):
            with Vertical(id="sums-pick"):
                yield Input(compact=True, max_length=40, id="sums-find", placeholder="find", select_on_focus=False)
                yield SumList(id="sums-list")
            with Vertical(id="sums-work"):
                yield Static(Text(""), id="sums-purpose")
                with Horizontal(id="sums-fields"):
                    yield Drawn(id="sums-labels")
                    with Vertical(id="sums-entries"):
                        for number in range(_MOST):
                            yield Input(compact=True, max_length=_LONGEST, name=str(number))
                    yield Drawn(id="sums-units")
                yield Drawn(id="sums-answers")
                yield Static(Text(""), id="sums-say")
                yield Static(Text(""), id="sums-about")
        yield KeyLine(SUMS_KEYS)
        yield TooSmall()

    def on_mount(self) -> None:
        """Show the sum that was at hand, and read the units meanwhile."""
        listed = self.query_one(SumList)
        listed.move(list(SUMS).index(self._sum.name))
        self._turn_to(self._sum)
        self._read_units()

    @work(exit_on_error=False)
    async def _read_units(self) -> None:
        await asyncio.to_thread(lambda: [scales(each) for each in DIMENSIONS])
        self._ready = True
        self._work_it()

    # ---- the sum at hand

    def _turn_to(self, chosen: Sum) -> None:
        self._sum = chosen
        self._kept.sum = chosen.name
        texts = self._kept.texts.get(chosen.name, {})
        with self.prevent(Input.Changed):
            for number, entry in enumerate(self._entries):
                entry.display = number < len(chosen.inputs)
                entry.value = texts.get(chosen.inputs[number].key, "") if number < len(chosen.inputs) else ""
        self.query_one("#sums-purpose", Static).update(Text(f"{chosen.purpose[:1].upper()}{chosen.purpose[1:]}"))
        self.query_one("#sums-fields").scroll_home(animate=False)
        self._work_it()

    @property
    def _entries(self) -> list[Input]:
        return [*self.query("#sums-entries > Input").results(Input)]

    @property
    def _texts(self) -> dict[str, str]:
        return {
            each.key: entry.value
            for each, entry in zip(self._sum.inputs, self._entries, strict=False)
            if entry.value.strip()
        }

    def _work_it(self) -> None:
        texts = self._texts
        self._kept.texts[self._sum.name] = texts
        self._worked, self._fault, self._say = None, None, ""
        if not self._ready:
            self._say = _READING
        elif self._sum.slow or any(each.columns and each.key in texts for each in self._sum.inputs):
            self._work_file(self._sum, texts)
        else:
            self._worked, self._fault = _worked(self._sum, texts, self._kept.system)
        self._paint()

    @work(exclusive=True, group="file", exit_on_error=False)
    async def _work_file(self, chosen: Sum, texts: dict[str, str]) -> None:
        await asyncio.sleep(_PAUSE)
        found = await asyncio.to_thread(_worked, chosen, texts, self._kept.system)
        if chosen is self._sum and texts == self._texts:
            self._worked, self._fault = found
            self._paint()

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Show a fault of the program in place of ending it."""
        if event.state is WorkerState.ERROR:
            self._say = f"This is a fault of the program: {event.worker.error!r}"
            self._paint()

    # ---- what is shown

    def on_resize(self) -> None:
        """Lay out for the new size."""
        self.call_after_refresh(self._paint)

    def _paint(self) -> None:
        system, fault = self._kept.system, self._fault
        told = said(self._sum, self._worked, fault, system) or self._say
        self._share(told)
        taken = "in, psi, lbf, °F" if system == "in" else "mm, MPa, N, °C"
        self.query_one("#sums-head", Drawn).put([((" Sums", "strong"), (f"   without a unit: {taken}", "quiet"))])
        labels = self.query_one("#sums-labels", Drawn)
        width = int(labels.styles.width.value) if labels.styles.width else 0
        texts, wrong = self._texts, fault.key if fault else ""
        labels.put(
            [
                label_line(each, given=each.key in texts, wrong=each.key == wrong, width=width, keys=self._keys_width)
                for each in self._sum.inputs
            ]
        )
        units = self.query_one("#sums-units", Drawn)
        units.put([((f" {unit_word(each, system)}", "quiet"),) for each in self._sum.inputs])
        self.query_one("#sums-answers", Drawn).put(answer_lines(self._sum, self._worked, system))
        say = self.query_one("#sums-say", Static)
        say.set_class(fault is not None and not fault.missing, "wrong")
        say.update(Text(told))
        self.query_one("#sums-about", Static).update(self._about())

    def say(self, text: str) -> None:
        """Show one line in place of what is said of the answers, until something is typed."""
        self._say = text
        line = self.query_one("#sums-say", Static)
        line.add_class("wrong")
        line.update(Text(text))

    def on_descendant_focus(self) -> None:
        """Show where the keys move."""
        self.query_one(SumList).lead(led=self._in_list)

    def _about(self) -> Text:
        """Give what the sum is about, as much of it as there is room for, whole texts only."""
        told = Text()
        for part in about(self._sum):
            more = Text.assemble(told, "\n" if told else "", part)
            if len(more.wrap(self.app.console, self._width)) <= self._about_lines:
                told = more
        return told

    def _share(self, told: str) -> None:
        """Share the lines there are: figures and answers first, then what is said, then what the sum is about."""
        width = max(20, self.query_one("#sums-work").size.width)
        self._width = width - 2
        room = self.size.height - 3
        fields, answers = len(self._sum.inputs), len(self._sum.results) + 1
        needed = max(1, len(Text(told).wrap(self.app.console, self._width)))
        say = max(1, min(needed, room - fields - answers))
        fields = min(fields, max(3, room - answers - say))
        self._about_lines = max(0, room - fields - answers - say - 1)
        label = max(len(each.label) for each in self._sum.inputs) + 5
        self._keys_width = max(len(each.key) for each in self._sum.inputs) + 2 if width >= _ROOMY else 0
        for name, height in (("fields", fields), ("answers", answers), ("say", say)):
            _set_height(self.query_one(f"#sums-{name}"), height)
        _set_height(self.query_one("#sums-labels"), len(self._sum.inputs))
        _set_height(self.query_one("#sums-units"), len(self._sum.inputs))
        labels = self.query_one("#sums-labels")
        labels.styles.width = self._keys_width + min(label, width - _LEAST_ENTRY)

    # ---- keys

    @on(Input.Changed, "#sums-find")
    def _narrow(self, event: Input.Changed) -> None:
        listed = self.query_one(SumList)
        listed.narrow(event.value)
        self._follow(listed)

    @on(Input.Changed, "#sums-entries > Input")
    def _changed(self) -> None:
        self._work_it()

    @on(SumList.Clicked)
    def _clicked(self) -> None:
        self._follow(self.query_one(SumList))
        self._entries[0].focus()

    def _follow(self, listed: SumList) -> None:
        if listed.at_hand is not None and listed.at_hand is not self._sum:
            self._turn_to(listed.at_hand)

    @on(Input.Submitted)
    def _submitted(self) -> None:
        self.action_next_figure(from_list=True)

    @property
    def _in_list(self) -> bool:
        return self.focused is None or self.focused.id == "sums-find"

    def action_next_figure(self, *, from_list: bool = False) -> None:
        """Go to the next figure; over the list, Enter goes to the first and ↓ to the next sum."""
        if self._in_list and not from_list:
            self.action_sum_after()
        elif self._in_list:
            self._entries[0].focus()
        else:
            self._step(1)

    def action_last_figure(self) -> None:
        """Go to the figure above; in the list, to the sum above."""
        if self._in_list:
            self.action_sum_before()
        else:
            self._step(-1)

    def _step(self, step: int) -> None:
        shown = self._entries[: len(self._sum.inputs)]
        at = next((number for number, entry in enumerate(shown) if entry is self.focused), 0)
        shown[(at + step) % len(shown)].focus()

    def action_sum_after(self) -> None:
        """Take the next sum in hand."""
        self._move(1)

    def action_sum_before(self) -> None:
        """Take the sum above in hand."""
        self._move(-1)

    def _move(self, step: int) -> None:
        listed = self.query_one(SumList)
        listed.move(step)
        self._follow(listed)
        if not self._in_list:
            self._entries[0].focus()

    def action_other_system(self) -> None:
        """Answer in the other system; bare numbers keep their meaning by the unit that they were typed in."""
        system = self._kept.system
        for name, texts in self._kept.texts.items():
            for key, text in texts.items():
                texts[key] = with_unit(text, SUMS[name].input(key).dimension, system)
        self._kept.system = "mm" if system == "in" else "in"
        self._turn_to(self._sum)

    def action_example(self) -> None:
        """Fill empty figures in with those of an example, but for files, which it does not have."""
        texts = {key: text for key, text in self._sum.example.items() if not self._sum.input(key).columns}
        self._kept.texts[self._sum.name] = texts | self._texts
        self._turn_to(self._sum)

    def action_clear_figures(self) -> None:
        """Clear the figures of this sum."""
        self._kept.texts[self._sum.name] = {}
        self._turn_to(self._sum)

    def action_help(self) -> None:
        """Show the help."""
        self.app.push_screen(HelpScreen(SUMS_KEYS))

    def action_back(self) -> None:
        """Go from the figures to the list; in the list clear what is looked for, then leave."""
        find = self.query_one("#sums-find", Input)
        if not self._in_list:
            find.focus()
        elif find.value:
            find.value = ""
        else:
            self.dismiss(None)

    def on_key(self, event: events.Key) -> None:
        """Take the point of a keypad that has no character of its own."""
        if event.key == "decimal" and isinstance(self.focused, Input):
            event.stop()
            self.focused.insert_text_at_cursor(".")


def _worked(chosen: Sum, texts: dict[str, str], system: System) -> tuple[Worked | None, SumFault | None]:
    try:
        return evaluate(chosen, texts, system=system), None
    except SumFault as fault:
        return None, fault


def _set_height(widget: Widget, height: int) -> None:
    if widget.styles.height is None or widget.styles.height.value != height:
        widget.styles.height = height
