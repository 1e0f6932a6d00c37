"""The card of who is at the bench: come on, take over, go off."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual import on
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, OptionList, Static

from headwright.terminal.cards.card import SEEN, Card
from headwright.terminal.cards.choices import NONE_OF_THESE, Choice, Numbered
from headwright.terminal.cards.words import like_a_reading, moment, plain
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import WHO, WHO_FORM

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual import events
    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.store.front import Somebody

LONGEST_INITIALS = 12
LONGEST_NAME = 80

_ROLES = (
    ("machinist", "takes readings and decides rework"),
    ("trainee", "takes readings; a machinist or a lead decides holds"),
    ("lead", "decides everything, confirms values and signs the release"),
)


class Comes(NamedTuple):
    """Somebody is at the bench now; `on` tells that they were on already, at this terminal or another."""

    operator: str
    name: str
    role: str
    on: bool = False


class Goes(NamedTuple):
    """Somebody goes off."""

    operator: str


class WhoCard(Card[Comes | Goes]):
    """Ask who is at the bench, with nothing of the job but the names of its people.

    Args:
        people: who may be at the bench.
        leaving: the initials of somebody who hands the bench over, and is not offered.
        here: the initials of whoever is at this terminal; empty for nobody.
        first: the initials of whoever the list begins at; empty for who is here.
    """

    KEYS: ClassVar[tuple[Key, ...]] = WHO
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(WHO)]

    def __init__(self, people: Sequence[Somebody] = (), leaving: str = "", here: str = "", first: str = "") -> None:
        super().__init__("Who takes over?" if leaving else "Who is at the bench?")
        self._leaving = leaving
        self._here = here
        self._first = first or here
        self._is_new = True
        self._people = tuple(person for person in people if person.operator != leaving)

    def waits_for(self) -> str:
        """Say that somebody comes first."""
        return "say who is at the bench first"

    def body(self) -> Iterator[Widget]:
        """Give the people of this job; the form for somebody else follows where there are any."""
        yield Numbered(self._choices(), name="people")
        if not self._people:
            yield _form()

    def on_mount(self) -> None:
        """Begin with the people who are known, or with the form when there are none."""
        if self._people:
            self._to_people()
            self.call_after_refresh(self.set_timer, SEEN, self._add_form)
        else:
            self._show_form()

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """Take the styles as they were made a moment ago, the first time that it is seen."""
        if self._is_new:
            self._is_new = event.refresh_styles = False

    async def _add_form(self) -> None:
        """Add the form once the people are seen: it takes as long as all of the card before it."""
        if not self.query(".who-form"):
            form = _form()
            form.display = False
            await self.query_one(".card").mount(form, after=self._list("people"))

    def _choices(self) -> list[Choice]:
        people = (_line(person, here=person.operator == self._here) for person in self._people)
        return [*people, Choice("Somebody else", "initials, name and role", number=NONE_OF_THESE)]

    def learn(self, people: Sequence[Somebody]) -> bool:
        """Offer other people, where they are others; what is typed stays. Tell whether they were others."""
        others = self._people != tuple(people)
        if others:
            self._people = tuple(people)
            self._list("people").change(self._choices())
        return others

    def _list(self, name: str) -> Numbered:
        return next(each for each in self.query(Numbered) if each.name == name)

    def _field(self, name: str) -> Input:
        return next(each for each in self.query(Input) if each.name == name)

    def _to_people(self) -> None:
        self._list("people").display = True
        self.query(".who-form").set(display=False)
        at_bench = (i for i, p in enumerate(self._people) if p.on and p.operator == self._first)
        self._list("people").highlighted = next(at_bench, 0)
        self._list("people").focus()
        self.show_keys(WHO)
        self.say("")

    async def _to_form(self) -> None:
        await self._add_form()
        self._show_form()

    def _show_form(self) -> None:
        self._list("people").display = False
        self.query_one(".who-form").display = True
        self._field("initials").focus()
        self.show_keys(WHO_FORM)
        self.say("Your initials or number, as the shop knows you; then Enter.")

    @on(OptionList.OptionSelected)
    async def _choose(self, event: OptionList.OptionSelected) -> None:
        if event.option_list.name == "role":
            self._come_on(_ROLES[event.option_index][0])
        elif event.option_index == len(self._people):
            await self._to_form()
        else:
            person = self._people[event.option_index]
            self.settle(Comes(person.operator, person.name, person.role, person.on))

    @on(Input.Submitted)
    def _next(self, event: Input.Submitted) -> None:
        text = plain(event.value).strip()
        if not text:
            self.say(f"{event.input.name} expected.".capitalize())
        elif event.input.name == "initials" and text == self._leaving:
            self.say(f"{text} hands the bench over: whoever takes it is expected.")
        elif event.input.name == "initials":
            self._recall(text)
            self._field("name").focus()
            self.say("Your name; then Enter.")
        elif like_a_reading(text):
            event.input.value = ""
            self.say(f"'{text}' looks like a reading from a gauge, not a name.")
        else:
            self._list("role").focus()
            self.say("Your role by its number; then Enter.")

    def _recall(self, initials: str) -> None:
        """Put down the name and role of somebody who was at this head before."""
        known = next((p for p in self._people if p.operator == initials), None)
        if known is not None:
            self._field("name").value = plain(known.name, LONGEST_NAME)
            self._list("role").highlighted = next(i for i, (role, _) in enumerate(_ROLES) if role == known.role)

    def _come_on(self, role: str) -> None:
        texts = {name: plain(self._field(name).value).strip() for name in ("initials", "name")}
        missing = next((name for name, text in texts.items() if not text), None)
        taken = next((p for p in self._people if p.on and p.operator == texts["initials"]), None)
        if missing:
            self._field(missing).focus()
            self.say(f"{missing} expected.".capitalize())
        elif taken is not None and taken.name != texts["name"]:
            self._field("initials").focus()
            self.say(f"{taken.operator} is {taken.name}, who is on now: type other initials, or that name.")
        else:
            self.settle(Comes(texts["initials"], texts["name"], role))

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    def action_card_number(self) -> None:
        """Go to the list that is shown."""
        self._shown().focus()

    async def action_card_settle(self) -> None:
        """Take the line, or go to the next field."""
        if isinstance(self.focused, Input):
            await self.focused.action_submit()
        else:
            self._shown().action_select()

    def _shown(self) -> Numbered:
        return self._list("people" if self._list("people").display else "role")

    def action_card_off(self) -> None:
        """Let the person of the line go off."""
        at = self._list("people").highlighted
        if not self._list("people").display or at is None or at >= len(self._people):
            self.say("Go to the line of somebody who is on, then press g.")
        elif not self._people[at].on:
            self.say(f"{self._people[at].name} is not on.")
        else:
            self.settle(Goes(self._people[at].operator))

    def action_card_leave(self) -> None:
        """Go from the form back to the people; from there, leave everything as it is."""
        if self._people and not self._list("people").display:
            self._to_people()
        else:
            self.dismiss(None)


def _form() -> Vertical:
    return Vertical(
        Horizontal(
            Static("Initials", classes="card-label"),
            Input(compact=True, max_length=LONGEST_INITIALS, name="initials"),
            classes="card-line",
        ),
        Horizontal(
            Static("Name", classes="card-label"),
            Input(compact=True, max_length=LONGEST_NAME, name="name"),
            classes="card-line",
        ),
        Horizontal(
            Static("Role", classes="card-label"),
            Numbered([Choice(role, may) for role, may in _ROLES], name="role"),
            classes="who-role",
        ),
        classes="who-form",
    )


def _line(person: Somebody, *, here: bool) -> Choice:
    title = f"{plain(person.operator, LONGEST_INITIALS)}  {plain(person.name, LONGEST_NAME)}"
    if person.on and here:
        return Choice(title, f"{person.role}, at this bench now, on since {moment(person.since)}")
    if person.on:
        return Choice(title, f"{person.role}, on since {moment(person.since)} at {plain(person.terminal, 40)}")
    return Choice(title, f"{person.role}, not on; comes on{' again' if person.since else ''}")
