"""The card of who is at the bench: come on, take over, go off."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace
from textual import on
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, OptionList, Static

from headwright.job.events import CameOn, WentOff
from headwright.job.state import Person
from headwright.procedure.plan import Role
from headwright.terminal.cards.card import Card
from headwright.terminal.cards.choices import Choice, Numbered
from headwright.terminal.cards.words import like_a_reading, moment, plain
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import WHO, WHO_FORM

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.job.state import State
    from headwright.store.person import Operator

LONGEST_INITIALS = 12
LONGEST_NAME = 80

_ROLES = (
    (Role.MACHINIST, "takes readings and decides rework"),
    (Role.TRAINEE, "takes readings; a machinist or a lead decides holds"),
    (Role.LEAD, "decides everything, confirms values and signs the release"),
)


class WhoCard(Card[CameOn | WentOff | str]):
    """Ask who is at the bench.

    The answer is the event of somebody coming on or going off, or the initials of somebody who is on already and now
    takes over this terminal.

    Args:
        state: the job.
        shop: the people on the shop's list, who are offered too.
        leaving: the initials of somebody who hands the bench over, and is not offered.
        here: the initials of whoever is at this terminal, where the list begins; empty for nobody.
    """

    KEYS: ClassVar[tuple[Key, ...]] = WHO
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(WHO)]

    def __init__(self, state: State, shop: Sequence[Operator] = (), leaving: str = "", here: str = "") -> None:
        super().__init__("Who takes over?" if leaving else "Who is at the bench?")
        self._leaving = leaving
        self._here = here
        self._pins = state.plan.rules.pins and not leaving
        self._listed = {each.initials for each in shop}
        self._people: tuple[Person, ...] = tuple(p for p in _everybody(state, shop) if p.operator != leaving)

    def body(self) -> Iterator[Widget]:
        """Give the people of this job, and the form for somebody else."""
        yield Numbered(
            [
                *(_line(p, here=p.operator == self._here) for p in self._people),
                Choice("Somebody else", "initials, name and role"),
            ],
            name="people",
        )
        with Vertical(classes="who-form"):
            with Horizontal(classes="card-line"):
                yield Static("Initials", classes="card-label")
                yield Input(compact=True, max_length=LONGEST_INITIALS, name="initials")
            with Horizontal(classes="card-line"):
                yield Static("Name", classes="card-label")
                yield Input(compact=True, max_length=LONGEST_NAME, name="name")
            yield Static("Role", classes="card-label")
            yield Numbered([Choice(role.value, may) for role, may in _ROLES], name="role")

    def on_mount(self) -> None:
        """Begin with the people who are known, or with the form when there are none."""
        if self._people:
            self._to_people()
        else:
            self._to_form()

    def _list(self, name: str) -> Numbered:
        return next(each for each in self.query(Numbered) if each.name == name)

    def _field(self, name: str) -> Input:
        return next(each for each in self.query(Input) if each.name == name)

    def _to_people(self) -> None:
        self._list("people").display = True
        self.query_one(".who-form").display = False
        at_bench = (i for i, p in enumerate(self._people) if p.on and p.operator == self._here)
        self._list("people").highlighted = next(at_bench, 0)
        self._list("people").focus()
        self.query_one(KeyLine).show(WHO)
        self.say("")

    def _to_form(self) -> None:
        self._list("people").display = False
        self.query_one(".who-form").display = True
        self._field("initials").focus()
        self.query_one(KeyLine).show(WHO_FORM)
        self.say("Your initials or number, as the shop knows you; then Enter.")

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        if event.option_list.name == "role":
            self._come_on(_ROLES[event.option_index][0])
        elif event.option_index == len(self._people):
            self._to_form()
        else:
            person = self._people[event.option_index]
            # A lead of whom the shop has no PIN, as in a job from elsewhere, comes on anew: that is where it is set.
            there = person.on and not (self._pins and person.role is Role.LEAD and person.operator not in self._listed)
            self.settle(person.operator if there else CameOn(person.operator, person.name, person.role))

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
            self._list("role").highlighted = next(i for i, (role, _) in enumerate(_ROLES) if role is known.role)

    def _come_on(self, role: Role) -> None:
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
            self.settle(CameOn(texts["initials"], texts["name"], role))

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
            self.settle(WentOff(self._people[at].operator))

    def action_card_leave(self) -> None:
        """Go from the form back to the people; from there, leave everything as it is."""
        if self._people and not self._list("people").display:
            self._to_people()
        else:
            self.dismiss(None)


def _line(person: Person, *, here: bool) -> Choice:
    title = f"{plain(person.operator, LONGEST_INITIALS)}  {plain(person.name, LONGEST_NAME)}"
    if person.on and here:
        return Choice(title, f"{person.role.value}, at this bench now, on since {moment(person.since)}")
    if person.on:
        return Choice(title, f"{person.role.value}, on since {moment(person.since)} at {plain(person.terminal, 40)}")
    return Choice(title, f"{person.role.value}, not on; comes on{' again' if person.since else ''}")


def _everybody(state: State, shop: Sequence[Operator]) -> list[Person]:
    """Give the people of the job, those who are on first, as the shop's list has them now; then the others on it."""
    listed = {each.initials: each for each in shop}
    found = []
    for person in sorted(state.people.values(), key=lambda p: not p.on):
        known = listed.pop(person.operator, None)
        if known is None or person.on:
            found.append(person)
        else:
            found.append(replace(person, name=known.name, role=known.role))
    return [*found, *(Person(each.initials, each.name, each.role, "", on=False, since="") for each in listed.values())]
