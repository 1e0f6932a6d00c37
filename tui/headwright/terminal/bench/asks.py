"""How the bench asks with cards and records the answers: with a PIN where that takes one; nothing typed is lost."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, TypeVar

from textual.screen import Screen

from headwright.errors import HeadwrightError
from headwright.job.again import again_words
from headwright.job.agenda import Now, waits_for_lead
from headwright.job.blocks import BlockKind
from headwright.job.decide import Refused, decide
from headwright.job.events import CameOn, HandedOver, TookBench, WentOff
from headwright.job.signing import as_signed, takes_pin, wants_only_lead, was_for_leads
from headwright.procedure.plan import Role
from headwright.terminal.bench.hand import Came
from headwright.terminal.bench.repaint import Repaint
from headwright.terminal.bench.signed import beside, leads_of, signed_words
from headwright.terminal.cards.card import Card
from headwright.terminal.cards.words import error_words
from headwright.terminal.keys import BENCH, sign_in

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from headwright.job.blocks import Block
    from headwright.job.events import Entry, Event
    from headwright.job.state import State
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.cards.pin import PinCard

    Wanted = Callable[[str], Event]
    Then = Callable[[Came], None]

Answer = TypeVar("Answer")


class AskingScreen(Screen[None]):
    """A bench that asks with cards and goes on from the answers. Cards are imported when they are first wanted."""

    def __init__(self, hand: Hand) -> None:
        super().__init__()
        self._compositor = Repaint()
        self.hand = hand

    @abstractmethod
    def paint(self) -> None:
        """Show everything as it stands now."""

    @abstractmethod
    def took(self, entries: Sequence[Entry]) -> None:
        """Take in entries that were recorded, here or elsewhere."""

    def came(self, came: Came) -> None:
        """Go on from what came of something that was wanted at the bench itself."""
        self.go_on_from(came)
        self._offer_back(came)

    @abstractmethod
    def go_on_from(self, came: Came) -> None:
        """Go on from what came of something that was wanted: to a card that it asks for, else to the next thing."""

    @abstractmethod
    def answer_what_is_next(self) -> bool:
        """Open the card for what is to be done next; tell whether there is one."""

    def go_on(self, *, ask: bool = True, measuring: bool = False) -> None:
        """Go where the next thing is to be done; text that is typed and not saved keeps its place.

        Without `ask`, a card that this wants is not shown by itself. `measuring` tells that whoever is at the bench
        has begun to measure: a gauge is wanted of nobody else.
        """
        hand = self.hand
        if hand.typed:
            hand.ask()
        else:
            say, bad = hand.say, hand.bad
            moved = hand.follow()
            hand.say, hand.bad = say, bad
            again = again_words(hand.state, hand.operation, hand.place_at_hand()) if moved else ""
            if again:
                hand.tell(again)
        self.take_only_gauge(measuring=measuring)
        self.paint()
        wanted = hand.next.now in _AT_ONCE and (measuring or hand.next.now is not Now.GAUGE)
        # A card that is still open, with a stop over it, stays as it is.
        if ask and self.is_current and wanted and hand.next.operation:
            self.answer_what_is_next()

    def take_only_gauge(self, *, measuring: bool = False) -> bool:
        """Take the gauge that is wanted next in hand where there is only one; tell whether it was.

        A lead has often come to decide, and takes none before measuring.
        """
        hand = self.hand
        person = hand.state.people.get(hand.operator)
        decides = person is not None and person.role is Role.LEAD
        if hand.next.now is not Now.GAUGE or not hand.next.operation:
            return False
        if decides and not (measuring or hand.typed):
            return False
        entries = hand.take_only_gauge(hand.next.subject)
        if entries:
            self.took(entries)
            hand.ask()
        return bool(entries)

    def tell(self, say: str, blocks: tuple[Block, ...] = ()) -> None:
        """Tell why something is not done: on the card that is open, else at the bench."""
        top = self.app.screen
        if isinstance(top, Card):
            top.say(say)
            return
        self.hand.tell(say, bad=True, blocks=blocks)
        self.paint()

    def ask_with(
        self,
        card: Card[Answer],
        wanted: Callable[[Answer], Sequence[Event]],
        then: Then | None = None,
        left: Callable[[], None] | None = None,
    ) -> None:
        """Show a card and record what its answer wants, in order; the card goes once all of it is on disk.

        Where it cannot be kept or may not be, the card says so and stays as it is, with what was typed.

        Args:
            card: the card.
            wanted: gives the events for its answer; none where nothing is to be recorded.
            then: is told what came of it once the bench has gone on from it.
            left: is told when the card is left as it is; without it the bench is painted anew.
        """
        pending = _Pending()

        def given(answer: Answer) -> None:
            events = tuple(wanted(answer))
            signing = next((event for event in events if takes_pin(self.hand.state, event)), None)
            if signing is None:
                fault, _ = self._record(events, "", pending)
                if fault:
                    card.say(fault)
                else:
                    card.dismiss(answer)
            elif len(events) == 1 and self.signs_beside(signing):
                self._ask_lead(card, signing, pending, answer)
            else:
                self._ask_pin(card, events, pending, answer)

        def gone(answer: Answer | None) -> None:
            self.hand.arrivals.forget()
            if pending.came.entries:
                self.go_on_from(pending.came)
            if answer is None:
                (left or self.paint)()
            elif then is not None:
                then(pending.came)
            self._offer_back(pending.came)
            self._tell_typed()

        card.give = given
        self.app.push_screen(card, gone)

    def _offer_back(self, came: Came) -> None:
        """Tell a lead who came to the bench and has decided all there was how to give it back to whoever was there."""
        hand = self.hand
        if not any(e.operator == hand.operator and was_for_leads(hand.state, e.event) for e in came.entries):
            return
        hand.decided = True
        person = hand.state.people.get(hand.gives_back())
        if person is not None and hand.next.now not in _OVER and not waits_for_lead(hand.state, hand.next):
            words = f"{sign_in(BENCH, 'who')} and Enter give the bench back to {person.name}."
            hand.say = f"{hand.say.rstrip('. ')}. {words}" if hand.say else words
            self.paint()

    def _tell_typed(self) -> None:
        """Tell of what was typed before a card came up that it is not saved."""
        hand = self.hand
        if hand.typed and hand.step is None and hand.doubt is None:
            words = hand.unsaved()
            hand.say = f"{hand.say.removesuffix(words).strip()} {words}".strip()
            self.paint()

    def signs_beside(self, event: Event) -> bool:
        """Tell whether a lead may sign for something at this bench, while whoever is there stays."""
        hand = self.hand
        refused = refusal(hand.state, event, hand.operator, hand.terminal)
        wants = refused is not None and wants_only_lead(hand.state, event, refused)
        return wants and bool(leads_of(hand.counsel.people))

    def _ask_lead(self, card: Card[Answer], signing: Event, pending: _Pending, answer: Answer) -> None:
        """Ask which lead signs, where there are several, and for the PIN; whoever is at the bench stays there."""
        from headwright.terminal.cards.pick import PickCard  # noqa: PLC0415 - on first use

        hand, leads = self.hand, leads_of(self.hand.counsel.people)

        def chosen(number: int | None) -> None:
            if number is None:
                return
            events = beside(hand.state, signing, leads[number], hand.operator, hand.terminal)
            if isinstance(events, Refused):
                card.say(str(events.blocks[0]))
            else:
                self._ask_pin(card, events, pending, answer, leads[number].initials)

        if len(leads) == 1:
            chosen(0)
        else:
            names = tuple(f"{lead.initials} {lead.name}" for lead in leads)
            self.app.push_screen(PickCard("Which lead signs?", names), chosen)

    def _record(self, events: Sequence[Event], pin: str, pending: _Pending, lead: str = "") -> tuple[str, bool]:
        """Record events one after the other; give what is against one in words, and whether that is its PIN.

        `lead` are the initials of a lead who signs beside whoever is at the bench; empty where nobody does.
        """
        hand = self.hand
        for event in events[pending.count :]:
            signs = takes_pin(hand.state, event)
            who = _whose(event, lead if lead and signs else hand.operator)
            came = hand.submit(event, who, pin if signs else "", stays=bool(lead))
            if came.others:
                self.took(())
            if not came.entries:
                only_pin = bool(hand.blocks) and all(block.kind is BlockKind.PIN for block in hand.blocks)
                return hand.say, only_pin
            pending.add(came)
        pending.count = 0
        return "", False

    def _ask_pin(
        self, card: Card[Answer], events: Sequence[Event], pending: _Pending, answer: Answer, lead: str = ""
    ) -> None:
        """Ask for the PIN that an event takes, over its card; a wrong one is told, and asked for again."""
        signing = next(e for e in events if takes_pin(self.hand.state, e) and not (lead and isinstance(e, CameOn)))
        pin_card = self._pin_card(signing, lead or _whose(signing, self.hand.operator))
        if pin_card is None:
            return

        def given(pin: str) -> None:
            fault, is_pin = self._record(events, pin, pending, lead)
            if fault and is_pin:
                pin_card.miss(fault)
            else:
                pin_card.dismiss(fault)

        def left(fault: str | None) -> None:
            if fault:
                card.say(fault)
            elif fault is not None:
                card.dismiss(answer)

        pin_card.give = given
        self.app.push_screen(pin_card, left)

    def _pin_card(self, signing: Event, initials: str) -> PinCard | None:
        from headwright.terminal.cards.pin import PinCard  # noqa: PLC0415 - on first use

        hand = self.hand
        try:
            person = hand.state.people.get(initials) or hand.counsel.people.find(initials)
            name = signing.name if isinstance(signing, CameOn) else person.name if person else ""
            first = isinstance(signing, CameOn) and not hand.counsel.people.leads()
        except HeadwrightError as error:
            self.tell(error_words(error))
            return None
        return PinCard(
            f"{initials} {name}", signed_words(hand.state, signing), lambda: self._wait(initials), first=first
        )

    def _wait(self, initials: str) -> float:
        """Give the seconds for which no PIN of somebody's is taken, after wrong ones."""
        from headwright.store.times import seconds_between  # noqa: PLC0415 - where a PIN is asked for only

        try:
            person = self.hand.counsel.people.find(initials)
        except HeadwrightError:
            return 0.0
        if person is None or not person.not_before:
            return 0.0
        return max(0.0, seconds_between(self.hand.clock(), person.not_before))

    def ask_reason(
        self,
        title: str,
        body: str,
        label: str,
        wanted: Wanted,
        *,
        done: str = "",
        without: str = "",
        left: Callable[[], None] | None = None,
    ) -> bool:
        """Ask for the words of something that is wanted; what would be refused whatever they are is told at once.

        `done` is said with the words when it is done, `without` stands for an empty line, and `left` is told when the
        card is gone, either way. What comes back tells whether there is a card.
        """
        from headwright.terminal.cards.confirm import ReasonCard  # noqa: PLC0415 - on first use

        hand = self.hand
        refused = refusal(hand.state, wanted(label), hand.operator, hand.terminal)
        if refused is not None and not self.signs_beside(wanted(label)):
            self.tell(str(refused.blocks[0]), refused.blocks)
            return False
        said = ""

        def events(text: str) -> tuple[Event, ...]:
            nonlocal said
            said = text
            return (wanted(text),)

        def then(_: Came) -> None:
            if left is not None:
                left()
            if done:
                hand.tell(f"{done}: {said}")
            self.paint()

        def gone() -> None:
            if left is not None:
                left()
            self.paint()

        self.ask_with(ReasonCard(title, body, label, without=without), events, then, gone)
        return True


class _Pending:
    """What was recorded so far of a card's answer; what failed on the way is not recorded twice."""

    def __init__(self) -> None:
        self.count = 0
        self.came = Came()

    def add(self, came: Came) -> None:
        """Take in what came of one event."""
        self.count += 1
        self.came = came._replace(
            entries=(*self.came.entries, *came.entries), elsewhere=(*self.came.elsewhere, *came.elsewhere)
        )


_OVER = {Now.RELEASED, Now.SCRAPPED}
"""Where nobody is wanted at the bench any more."""
_AT_ONCE = {Now.CAUTION, Now.GAUGE, Now.TOOL, Now.FIRST}
"""What the bench asks for by itself, so that work goes on."""


def _whose(event: Event, operator: str) -> str:
    """Give who has to want an event: whoever comes or takes over, else whoever is at the bench."""
    if isinstance(event, CameOn | TookBench | WentOff):
        return event.operator
    return event.to if isinstance(event, HandedOver) else operator


def refusal(state: State, wanted: Event, operator: str, terminal: str) -> Refused | None:
    """Give why something would be refused, whatever PIN is given for it; None where it would not be."""
    answer = decide(state, as_signed(wanted), operator, terminal)
    return answer if isinstance(answer, Refused) else None
