"""What the bench asks of those who work and decide: cautions, holds, notes, strikes, stops, the release."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from headwright.job.agenda import Now, point_words, waits_for_person
from headwright.job.events import (
    CautionAcknowledged,
    Disposed,
    Disposition,
    FirstPieceReleased,
    GaugeChecked,
    GaugeTaken,
    Noted,
    ReadingStruck,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepTicked,
    Stopped,
    ToolChosen,
)
from headwright.job.holds import hold_at
from headwright.job.sent_back import sent_back
from headwright.terminal.bench.digits import where
from headwright.terminal.bench.measuring import MeasuringScreen
from headwright.terminal.bench.signed import leads_of
from headwright.terminal.bench.struck import sent_back_words
from headwright.terminal.cards.card import Card
from headwright.terminal.keys import BENCH, in_use, sign_in
from headwright.terminal.outer_keys import LEAVE

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from headwright.job.events import Event
    from headwright.job.holds import Hold
    from headwright.job.state import Taken
    from headwright.terminal.bench.hand import Came, Hand


_MEASURES = {ReadingTaken, ReadingStruck, StepTicked, GaugeTaken, GaugeChecked, ToolChosen, FirstPieceReleased}
"""What only somebody records who works at a place; whoever comes on or decides need not measure there."""

STOPPED = "{head} is stopped. A lead lets it go on from the bench; {key} leaves this card."
"""Said on a card over a bench whose head is stopped."""


class DecidingScreen(MeasuringScreen):
    """A bench that asks for decisions, and goes on from what came of anything."""

    _stopping = False

    def go_on_from(self, came: Came) -> None:
        """Go on from what came of something that was wanted: to a card that it asks for, else to the next thing."""
        if came.others:
            self.took(())
        if came.entries:
            self.took(came.entries)
            if came.hold is not None:
                self.hand.ask()
                self.paint()
                self.ask_hold(came.hold)
                return
            # What a strike did is read before a card comes up over it: Enter opens that.
            kinds = {type(entry.event) for entry in came.entries}
            ask = ReadingStruck not in kinds or not kinds.isdisjoint({ReadingTaken, GaugeChecked})
            back = ReadingStruck in kinds and ReadingTaken not in kinds
            if (back or Disposed in kinds) and not self.hand.typed:
                self.hand.let_go()
            self.go_on(ask=ask, measuring=not kinds.isdisjoint(_MEASURES))
            top = self.app.screen
            if Stopped in kinds and isinstance(top, Card):
                top.say(self.stopped_words)
        elif came.cautions:
            self.paint()
            self.ask_caution(came.cautions[0])
        elif came.gauge:
            self.paint()
            self.ask_gauge(came.gauge)
        else:
            self.paint()

    def answer_what_is_next(self) -> bool:
        """Open the card for what is to be done next; tell whether there is one."""
        found = self.hand.next
        cards: dict[Now, Callable[[], object]] = {
            Now.COME_ON: self.action_who,
            Now.CAUTION: partial(self.ask_caution, found.subject),
            Now.GAUGE: partial(self.ask_gauge, found.subject),
            Now.TOOL: self.ask_tool,
            Now.FIRST: partial(self.ask_first, found.operation, found.subject),
            Now.HOLD: self.action_hold,
            Now.STOP: self.action_stop,
            Now.CONFIRM: partial(self.ask_confirm, found.subject),
            Now.RELEASE: self._ask_release,
            Now.RELEASED: self._ask_reopen,
        }
        card = self.action_who if waits_for_person(found) else cards.get(found.now)
        if card is None:
            return False
        card()
        return True

    def ask_caution(self, caution: str) -> None:
        """Show a caution; acknowledged, it is recorded and the work goes on."""
        from headwright.terminal.cards.caution import CautionCard  # noqa: PLC0415 - on first use

        person = self.hand.state.people.get(self.hand.operator)
        card = CautionCard(self.hand.state.index.cautions[caution], person.name if person else "")
        self.ask_with(card, lambda _: (CautionAcknowledged(caution),))

    def ask_hold(self, hold: Hold) -> None:
        """Show a hold and its ways out; left, the place stays held and the work goes on elsewhere."""
        from headwright.terminal.cards.hold import HoldCard, set_aside  # noqa: PLC0415 - on first use

        hand = self.hand
        decided: list[tuple[Disposed | Stopped, int]] = []

        def wanted(answer: Disposed | Stopped) -> Sequence[Event]:
            decided[:] = [(answer, set_aside(hand.state, answer))]
            return (answer,)

        def then(_: Came) -> None:
            hand.tell(_decided(hand, hold, *decided[0]))
            self.paint()

        def left() -> None:
            place, key = where(hand.state, hold.place), sign_in(BENCH, "hold")
            hand.tell(f"{place} stays held; {key} shows the ways out again.")
            self.go_on()

        at = (hold.operation, hold.place)
        advice = hand.counsel.words(hand.state, at) if any(way.advise for way in hold.ways) else ""
        leads = bool(leads_of(hand.counsel.people))
        self.ask_with(HoldCard(hand.state, hold, hand.operator, advice, leads=leads), wanted, then, left)

    def action_hold(self) -> None:
        """Show the hold at the place at hand, or the first that waits for a decision."""
        hold = self.hand.hold_here()
        if hold is None:
            key = sign_in(BENCH, "stop")
            stopped = f" {self.stopped} is stopped; {key} is where a lead lets it go on." if self.stopped else ""
            self.hand.tell(f"Nothing is held.{stopped}")
            self.paint()
        else:
            self.ask_hold(hold)

    def action_note(self) -> None:
        """Write a note about the place at hand."""
        from headwright.terminal.cards.note import NoteCard  # noqa: PLC0415 - on first use

        place = self.hand.place_at_hand()

        def then(_: Came) -> None:
            self.hand.tell(f"Noted about {where(self.hand.state, place)}.")
            self.paint()

        self.ask_with(NoteCard(where(self.hand.state, place)), lambda text: (Noted(text, place),), then)

    def action_strike(self) -> None:
        """Strike the reading at hand, else the last one that counts, and tell where the work goes from there."""
        from headwright.terminal.cards.strike import StrikeCard  # noqa: PLC0415 - on first use

        taken = self._to_strike()
        if taken is None:
            self.hand.tell("There is no reading to strike.")
            self.paint()
            return
        event = taken.event
        label = self.hand.state.index.readings[event.operation, event.reading].label
        point = (event.reading, event.station, event.angle)
        place, words = where(self.hand.state, event.place), point_words(label, point)
        at, before, looked_at = (event.operation, event.place), self.hand.state, self.hand.operation_id

        def then(_: Came) -> None:
            after = self.hand.state
            back = sent_back_words(after, at, sent_back(before, after, at), looked_at)
            self.hand.tell(f"Struck: {place}, {words}. It stays on record. {back}".strip())
            self.paint()

        self.ask_with(
            StrikeCard(taken, f"{place}: {words}"), lambda reason: (ReadingStruck(taken.number, reason),), then
        )

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
        """Stop the head, or let a stopped one go on; where nobody is at the bench, whoever does it says who it is."""
        hand = self.hand
        if self._stopping:
            return
        if hand.state.is_on(hand.operator) or hand.state.released:
            self._ask_stop()
        else:
            self._stopping = True
            self.ask_who(then=self._ask_stop, left=self._stop_left)

    @property
    def stopped(self) -> str:
        """The head at hand where it is stopped, as it is spoken of; empty where it is not."""
        state = self.hand.state
        head = state.index.head_of(self.hand.place_at_hand())
        return where(state, head) if head in state.stopped else ""

    @property
    def stopped_words(self) -> str:
        """What is said of that on a card over the bench."""
        words = STOPPED.format(head=self.stopped, key=in_use(LEAVE).sign)
        return words[:1].upper() + words[1:]

    def _ask_stop(self) -> None:
        state = self.hand.state
        head = state.index.head_of(self.hand.place_at_hand())
        name = f"{where(state, head)} of job {state.job}"
        if head in state.stopped:
            why = state.stopped[head]
            body = f"It was stopped: {why}\n\nA lead says what was found and done, and work goes on."
            self._stopping = self.ask_reason(
                f"Resume {name}",
                body,
                "Reason",
                lambda reason: Resumed(head, reason),
                done=f"{where(state, head)} goes on",
                left=self._stop_left,
            )
        else:
            body = (
                "Nothing more is done on it until a lead resumes it. Everything recorded stays. Enter alone stops it; "
                "a reason can follow in a note."
            )
            self._stopping = self.ask_reason(
                f"Stop {name}",
                body,
                "Reason",
                lambda reason: Stopped(head, reason),
                without="no reason given yet",
                left=self._stop_left,
            )

    def _stop_left(self) -> None:
        self._stopping = False

    def ask_confirm(self, spec: str) -> None:
        """Ask for the source that confirms a default for this head."""
        found = self.hand.state.index.specs[spec]
        body = (
            f"'{found.label}' rests on {found.source}.\n\nA lead looks it up for this head and names the source: "
            "the maker's sheet, a drawing, the customer's order."
        )
        self.ask_reason(f"Confirm '{found.label}'", body, "Source", lambda source: SpecConfirmed(spec, source))

    def _ask_release(self) -> None:
        body = "Everything is done and nothing is in the way. A lead signs for the head; the words go on the sheet."
        self.ask_reason("Release", body, "Sign-off", Released)

    def _ask_reopen(self) -> None:
        body = "The job is released. A lead may open it again, with the reason."
        self.ask_reason("Reopen", body, "Reason", Reopened)

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
    if wanted.disposition is Disposition.SCRAP:
        head = where(hand.state, hand.state.index.head_of(hold.place))
        return f"{head[:1].upper()}{head[1:]} given up: {wanted.reason}"
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
