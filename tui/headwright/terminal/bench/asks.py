"""The cards that the bench asks its questions with, and what is done with the answers."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING

from textual.screen import Screen

from headwright.job.agenda import Now, point_words
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Noted,
    ReadingStruck,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    Stopped,
    WentOff,
)
from headwright.job.holds import hold_at
from headwright.terminal.bench.digits import where
from headwright.terminal.bench.why import why
from headwright.terminal.keys import BENCH

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from headwright.job.events import Entry, Event
    from headwright.job.holds import Hold
    from headwright.job.state import Taken
    from headwright.terminal.bench.hand import Came, Hand

    Wanted = Callable[[str], Event]


class AskingScreen(Screen[None]):
    """A bench that asks with cards and goes on from the answers. Cards are imported when they are first wanted."""

    def __init__(self, hand: Hand) -> None:
        super().__init__()
        self.hand = hand

    @abstractmethod
    def paint(self) -> None:
        """Show everything as it stands now."""

    @abstractmethod
    def took(self, entries: Sequence[Entry]) -> None:
        """Take in entries that were recorded, here or elsewhere."""

    def came(self, came: Came) -> None:
        """Go on from what came of something that was wanted: to a card that it asks for, else to the next thing."""
        if came.entries:
            self.took(came.entries)
            if came.hold is not None:
                self.hand.ask()
                self.paint()
                self.ask_hold(came.hold)
                return
            self.go_on()
        elif came.cautions:
            self.paint()
            self.ask_caution(came.cautions[0])
        else:
            self.paint()

    def go_on(self) -> None:
        """Go where the next thing is to be done; text that is typed and not saved keeps its place."""
        hand = self.hand
        if hand.typed:
            hand.ask()
        else:
            say, bad = hand.say, hand.bad
            hand.follow()
            hand.say, hand.bad = say, bad
        self.paint()
        if hand.next.now is Now.CAUTION:
            self.ask_caution(hand.next.subject)

    def answer_what_is_next(self) -> bool:
        """Open the card for what is to be done next; tell whether there is one."""
        found = self.hand.next
        match found.now:
            case Now.COME_ON:
                self.action_who()
            case Now.CAUTION:
                self.ask_caution(found.subject)
            case Now.HOLD:
                self.action_hold()
            case Now.STOP:
                self.action_stop()
            case Now.CONFIRM:
                self.ask_confirm(found.subject)
            case Now.RELEASE:
                self._ask_release()
            case Now.RELEASED:
                self._ask_reopen()
            case _:
                return False
        return True

    def ask_caution(self, caution: str) -> None:
        """Show a caution; acknowledged, it is recorded and the work goes on."""
        from headwright.terminal.cards.caution import CautionCard  # noqa: PLC0415 - on first use

        def answered(read: bool | None) -> None:  # noqa: FBT001 - the card's answer
            if read:
                self.came(self.hand.submit(CautionAcknowledged(caution)))
            else:
                self.paint()

        person = self.hand.state.people.get(self.hand.operator)
        name = person.name if person else ""
        self.app.push_screen(CautionCard(self.hand.state.index.cautions[caution], name), answered)

    def ask_hold(self, hold: Hold) -> None:
        """Show a hold and its ways out; left, the place stays held and the work goes on elsewhere."""
        from headwright.terminal.cards.hold import HoldCard, set_aside  # noqa: PLC0415 - on first use

        def answered(wanted: Disposed | Stopped | None) -> None:
            if wanted is None:
                self.hand.tell(f"{where(self.hand.state, hold.place)} stays held; F4 shows the ways out again.")
                self.go_on()
                return
            aside = set_aside(self.hand.state, wanted)
            came = self.hand.submit(wanted)
            self.came(came)
            if came.entries:
                self.hand.tell(_decided(self.hand, hold, wanted, aside))
                self.paint()

        state, at = self.hand.state, (hold.operation, hold.place)
        advice = self.hand.counsel.words(state, at) if any(way.advise for way in hold.ways) else ""
        self.app.push_screen(HoldCard(state, hold, self.hand.operator, advice), answered)

    def action_hold(self) -> None:
        """Show the hold at the place at hand, or the first that waits for a decision."""
        hold = self.hand.hold_here()
        if hold is None:
            self.hand.tell("Nothing is held.")
            self.paint()
        else:
            self.ask_hold(hold)

    def action_who(self) -> None:
        """Ask who is at the bench."""
        from headwright.terminal.cards.who import WhoCard  # noqa: PLC0415 - on first use

        def answered(answer: CameOn | WentOff | str | None) -> None:
            if isinstance(answer, CameOn | WentOff):
                came = self.hand.submit(answer, answer.operator)
                self.hand.take_over()
                self.came(came)
            elif answer:
                self.hand.operator = answer
                self.go_on()

        self.app.push_screen(WhoCard(self.hand.state), answered)

    def action_why(self) -> None:
        """Explain what is at hand."""
        from headwright.terminal.cards.why import WhyCard  # noqa: PLC0415 - on first use

        self.app.push_screen(WhyCard(*why(self.hand)))

    def action_help(self) -> None:
        """Show the keys."""
        from headwright.terminal.cards.help import HelpScreen  # noqa: PLC0415 - on first use

        self.app.push_screen(HelpScreen(BENCH))

    def action_note(self) -> None:
        """Write a note about the place at hand."""
        from headwright.terminal.cards.note import NoteCard  # noqa: PLC0415 - on first use

        place = self.hand.place_at_hand()

        def answered(text: str | None) -> None:
            if text:
                self.came(self.hand.submit(Noted(text, place)))
                self.hand.tell(f"Noted about {where(self.hand.state, place)}.")
                self.paint()

        self.app.push_screen(NoteCard(where(self.hand.state, place)), answered)

    def action_strike(self) -> None:
        """Take back the reading at hand, or the last one that counts."""
        from headwright.terminal.cards.strike import StrikeCard  # noqa: PLC0415 - on first use

        taken = self._to_strike()
        if taken is None:
            self.hand.tell("There is no reading to strike.")
            self.paint()
            return
        event = taken.event
        label = self.hand.state.index.readings[event.operation, event.reading].label
        point = (event.reading, event.station, event.angle)
        words = f"{where(self.hand.state, event.place)}: {point_words(label, point)}"

        def answered(reason: str | None) -> None:
            if reason:
                came = self.hand.submit(ReadingStruck(taken.number, reason))
                self.came(came)
                if came.entries:
                    self.hand.tell(f"Struck: {words}. It stays on record.")
                    self.paint()

        self.app.push_screen(StrikeCard(taken, words), answered)

    def _to_strike(self) -> Taken | None:
        hand = self.hand
        if hand.spot is not None and hand.spot.point is not None:
            here = hand.state.attempt(hand.operation_id, hand.spot.place).readings.get(hand.spot.point)
            if here is not None:
                return here
        for number in reversed(hand.state.where):
            at, point = hand.state.where[number]
            taken = hand.state.attempt(*at).readings.get(point)
            if taken is not None and taken.number == number:
                return taken
        return None

    def action_stop(self) -> None:
        """Stop the head, or let a stopped one go on."""
        state = self.hand.state
        head = state.index.head_of(self.hand.place_at_hand())
        name = where(state, head)
        if head in state.stopped:
            body = f"It was stopped: {state.stopped[head]}\n\nA lead says what was found and done, and work goes on."
            self._ask_reason(f"Resume {name}", body, "Reason", lambda reason: Resumed(head, reason), f"{name} goes on")
        else:
            body = "Nothing more is done on it until a lead resumes it. Everything recorded stays."
            self._ask_reason(f"Stop {name}", body, "Reason", lambda reason: Stopped(head, reason))

    def ask_confirm(self, spec: str) -> None:
        """Ask for the source that confirms a default for this head."""
        found = self.hand.state.index.specs[spec]
        body = (
            f"'{found.label}' rests on {found.source}.\n\nA lead looks it up for this head and names the source: "
            "the maker's sheet, a drawing, the customer's order."
        )
        self._ask_reason(f"Confirm '{found.label}'", body, "Source", lambda source: SpecConfirmed(spec, source))

    def _ask_release(self) -> None:
        body = "Everything is done and nothing is in the way. A lead signs for the head; the words go on the sheet."
        self._ask_reason("Release", body, "Sign-off", Released)

    def _ask_reopen(self) -> None:
        body = "The job is released. A lead may open it again, with the reason."
        self._ask_reason("Reopen", body, "Reason", Reopened)

    def _ask_reason(self, title: str, body: str, label: str, wanted: Wanted, done: str = "") -> None:
        """Ask for the words of something that is wanted; what would be refused whatever they are is told at once.

        `done` is said with the words when it is done.
        """
        from headwright.terminal.cards.confirm import ReasonCard  # noqa: PLC0415 - on first use

        hand = self.hand
        answer = decide(hand.state, wanted(label), hand.operator, hand.terminal)
        if isinstance(answer, Refused):
            hand.tell(str(answer.blocks[0]), bad=True, blocks=answer.blocks)
            self.paint()
            return

        def answered(text: str | None) -> None:
            if not text:
                self.paint()
                return
            came = hand.submit(wanted(text))
            self.came(came)
            if came.entries and done:
                hand.tell(f"{done}: {text}")
                self.paint()

        self.app.push_screen(ReasonCard(title, body, label), answered)

    def action_jobs(self) -> None:
        """Go to the list of jobs."""
        if self._may_leave():
            self.dismiss(None)

    def action_leave(self) -> None:
        """Leave the program."""
        if self._may_leave():
            self.app.exit()

    def _may_leave(self) -> bool:
        hand = self.hand
        if hand.typed and not hand.say.endswith("leaves without it."):
            enter = "Enter saves it; " if hand.reading else ""
            hand.tell(f"'{hand.typed}' is not saved: {enter}the same key again leaves without it.", bad=True)
            self.paint()
            return False
        return True


def _decided(hand: Hand, hold: Hold, wanted: Disposed | Stopped, aside: int) -> str:
    """Say in one line what a decision did; `aside` are the readings that it set aside."""
    place = where(hand.state, hold.place)
    if isinstance(wanted, Stopped):
        return f"{place}: stopped. {wanted.reason}"
    way = next((w for w in hold.ways if (w.disposition, w.redo) == (wanted.disposition, wanted.redo)), None)
    text = f"{place}: {wanted.disposition.value}"
    if wanted.redo:
        text += f", back to '{hand.state.index.operations[wanted.redo].title}'"
    if aside:
        text += f"; {aside} {'reading' if aside == 1 else 'readings'} set aside"
    if way is not None and way.undoes:
        titles = ", ".join(hand.state.index.operations[op].title for op in way.undoes)
        places = ", ".join(dict.fromkeys(p for spots in way.undoes.values() for p in spots))
        text += f"; undone at {places}: {titles}"
    if hold_at(hand.state, (hold.operation, hold.place)) is not None:
        text += "; still held by another figure"
    return text + "."
