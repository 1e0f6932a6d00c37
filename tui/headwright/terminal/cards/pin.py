"""The PIN card: what only a lead decides is signed with his PIN, which nobody reads over his shoulder."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, Static

from headwright.store.pins import LONGEST, SHORTEST, PinRefused, chosen, wait_words
from headwright.terminal.cards.card import Card, facts
from headwright.terminal.cards.words import like_a_reading
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import LINE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.binding import BindingType
    from textual.widget import Widget

    Wait = Callable[[], float]

FIRST = (
    "Nobody has set a PIN on the shop's list yet: what is typed here becomes the PIN of {who}, who signs with it "
    "whatever only a lead decides. Whoever knows it signs in that name. Are you somebody else? Esc leaves it unset, "
    f"and {{who}} comes to the key. {SHORTEST} to {LONGEST} characters that nobody would try first."
)
ONCE_MORE = "The same once more, then Enter."


class PinCard(Card[str]):
    """Ask for a PIN; the answer is what was typed.

    Args:
        who: whose, as initials and name.
        what: what is signed with it.
        wait: gives the seconds for which none is taken, after wrong ones.
        first: whether it is chosen now: it is typed twice.
    """

    KEYS: ClassVar[tuple[Key, ...]] = LINE
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(LINE)]

    def __init__(self, who: str, what: str, wait: Wait, *, first: bool = False) -> None:
        super().__init__("Choose a PIN" if first else "PIN")
        self._who = who
        self._what = what
        self._wait = wait
        self._first = first
        self._fault = ""

    def waits_for(self) -> str:
        """Say that the PIN comes first."""
        return "the PIN is wanted first"

    def body(self) -> Iterator[Widget]:
        """Give what it is for, and the line, or two."""
        with VerticalScroll(classes="card-facts elastic"):
            yield Static(
                facts(
                    (
                        ("Who", self._who),
                        ("For", self._what),
                        ("First", FIRST.format(who=self._who) if self._first else ""),
                    )
                )
            )
        yield from _line("New PIN" if self._first else "PIN", "pin")
        if self._first:
            yield from _line("Once more", "again")

    def on_mount(self) -> None:
        """Begin on the line, and tell how long there is to wait."""
        self.query(Input).first().focus()
        self.set_interval(1.0, self._tell_wait)
        self._tell_wait()

    def miss(self, fault: str) -> None:
        """Tell what is wrong with the PIN that was given, and ask for it again."""
        self._fault = fault
        for line in self.query(Input):
            line.value = ""
        self.query(Input).first().focus()
        self.say(fault)

    def _tell_wait(self) -> None:
        left = self._wait()
        if left > 0:
            self._fault = f"After wrong PINs nobody may try for another {wait_words(left)}."
            self.say(self._fault)
        elif self._fault.startswith("After wrong PINs"):
            self._fault = ""
            self.say("Type the PIN again.")

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        lines = list(self.query(Input))
        if self._wait() > 0:
            event.input.value = ""
            self._tell_wait()
        elif not event.value.strip():
            self.say("The PIN is expected.")
        elif like_a_reading(event.value) and not event.value.strip().isdecimal():
            event.input.value = ""
            self.say("That came from a gauge, it seems: it was not taken for a PIN.")
        elif self._first and (fault := self._too_easy(event.value)):
            self.miss(fault)
        elif event.input is not lines[-1]:
            lines[-1].focus()
            self.say(ONCE_MORE)
        elif lines[0].value != event.value:
            self.miss("The two are not the same: type the PIN again.")
        else:
            self.settle(event.value)

    def _too_easy(self, pin: str) -> str:
        """Say what is wrong with a newly chosen PIN before it is typed again; empty where nothing is."""
        initials, _, name = self._who.partition(" ")
        try:
            chosen(pin, initials, name)
        except PinRefused as refused:
            return f"{refused.message[:1].upper()}{refused.message[1:]}. {refused.hint}"
        return ""

    async def action_card_settle(self) -> None:
        """Give what stands on the line."""
        if isinstance(self.focused, Input):
            await self.focused.action_submit()


def _line(label: str, name: str) -> Iterator[Widget]:
    with Horizontal(classes="card-line"):
        yield Static(label, classes="card-label")
        yield Input(compact=True, max_length=LONGEST, password=True, name=name)
