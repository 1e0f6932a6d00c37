"""What the bench asks of those who measure and change over: who is there, gauges, tools, first pieces, the shift."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.errors import HeadwrightError
from headwright.job.agenda import Now, point_words
from headwright.job.events import (
    CameOn,
    FirstPieceReleased,
    GaugeChecked,
    GaugeTaken,
    HandedOver,
    TookBench,
    ToolChosen,
    WentOff,
)
from headwright.procedure.plan import Role
from headwright.store.front import who_may
from headwright.terminal.bench.asks import AskingScreen
from headwright.terminal.bench.digits import where
from headwright.terminal.bench.gauging import expected_at, reading_words
from headwright.terminal.bench.why import why
from headwright.terminal.cards.who import Comes, Goes, WhoCard
from headwright.terminal.keys import BENCH

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from headwright.job.events import Event
    from headwright.store.front import Somebody
    from headwright.terminal.bench.hand import Came
    from headwright.terminal.cards.ring import Asked


class MeasuringScreen(AskingScreen):
    """A bench that asks who is there, what is measured with, and what is worked with."""

    def action_who(self) -> None:
        """Ask who is at the bench."""
        self.ask_who()

    def ask_who(
        self,
        then: Callable[[], None] | None = None,
        left: Callable[[], None] | None = None,
        card: WhoCard | None = None,
    ) -> None:
        """Ask who is at the bench; `then` is done once somebody is, `left` where nobody says.

        `card` is one that was shown already, before the job was read, and has the same people.
        """
        hand = self.hand
        card = card or WhoCard(self.people(), here=hand.operator, first=hand.gives_back())

        def wanted(answer: Comes | Goes) -> Sequence[Event]:
            event = self._as_event(answer)
            return () if event is None else (event,)

        def done(came: Came) -> None:
            if not came.entries:
                self.go_on()
            if then is not None and hand.state.is_on(hand.operator):
                then()
            elif left is not None:
                left()

        self.ask_with(card, wanted, done, left)

    def people(self) -> tuple[Somebody, ...]:
        """Give who may be at this bench."""
        return who_may(self.hand.state.people.values(), self._listed())

    def _listed(self) -> tuple[Somebody, ...]:
        """Give the people on the shop's list; nobody where it cannot be read, for a name may be typed too."""
        try:
            return self.hand.counsel.store.listed()
        except HeadwrightError:
            return ()

    def _as_event(self, answer: Comes | Goes) -> CameOn | TookBench | WentOff | None:
        """Give what is to be recorded; None where whoever is at the bench says so once more."""
        if not isinstance(answer, Comes):
            return WentOff(answer.operator)
        state = self.hand.state
        rules = state.plan.rules
        # A lead of whom the shop has no PIN, as in a job from elsewhere, comes on anew: that is where it is set.
        anew = rules.pins and answer.role == Role.LEAD and answer.operator not in {p.operator for p in self._listed()}
        if anew or not state.is_on(answer.operator):
            return CameOn(answer.operator, answer.name, Role(answer.role))
        if answer.operator == self.hand.operator:
            return None
        return TookBench(answer.operator, state.people[answer.operator].role)

    def action_why(self) -> None:
        """Explain what is at hand."""
        from headwright.terminal.cards.why import WhyCard  # noqa: PLC0415 - on first use
        from headwright.terminal.views.where import where_of  # noqa: PLC0415
        from headwright.terminal.views.where_panel import WherePanel  # noqa: PLC0415

        spot, reading = self.hand.spot, self.hand.reading
        drawing = None
        if spot is not None and reading is not None and where_of(reading, spot.point) is not None:
            drawing = WherePanel(reading, spot.point)
        self.app.push_screen(WhyCard(*why(self.hand), drawing))

    def action_help(self) -> None:
        """Show the keys."""
        from headwright.terminal.cards.help import HelpScreen  # noqa: PLC0415 - on first use

        self.app.push_screen(HelpScreen(BENCH))

    def action_gauge(self) -> None:
        """Change the gauge, or check now the one in hand."""
        hand = self.hand
        sort = hand.reading.gauge if hand.reading is not None else ""
        if hand.next.now is Now.GAUGE:
            sort = sort or hand.next.subject
        rules = hand.state.plan.rules
        known = (*rules.gauges, *(rules.mastering.gauges if rules.mastering else ()))
        if sort in known:
            self.ask_gauge(sort, choose=True)
        elif known:
            self._ask_sort(tuple(dict.fromkeys(known)))
        else:
            self.hand.tell("Readings of this job name no gauge.")
            self.paint()

    def _ask_sort(self, sorts: tuple[str, ...]) -> None:
        """Ask which sort of gauge is meant, where what is at hand does not tell."""
        from headwright.terminal.cards.pick import PickCard  # noqa: PLC0415 - on first use

        def answered(number: int | None) -> None:
            if number is not None:
                self.ask_gauge(sorts[number], choose=True)

        self.app.push_screen(PickCard("Which gauge?", sorts), answered)

    def ask_gauge(self, sort: str, *, choose: bool = False) -> None:
        """Ask for a gauge of a sort and its zero; once it is there, work goes on."""
        from headwright.terminal.cards.gauge import GaugeCard  # noqa: PLC0415 - on first use

        hand = self.hand
        shop = hand.counsel.shop
        card = GaugeCard(self._asked(sort), shop.wanted(), shop.fault, hand.clock, choose=choose)

        def then(came: Came) -> None:
            events = [entry.event for entry in came.entries]
            checked = next((e for e in reversed(events) if isinstance(e, GaugeChecked)), None)
            taken = next((e for e in events if isinstance(e, GaugeTaken)), None)
            if checked is not None:
                hand.tell(f"{checked.gauge} is zeroed on {checked.ring}.")
            elif taken is not None:
                hand.tell(f"{taken.gauge} is in hand.")
            self.paint()
            if any(isinstance(e, GaugeChecked) for e in events):
                self._tell_drift(came)

        self.ask_with(card, lambda events: events, then)

    def _asked(self, sort: str) -> Asked:
        from headwright.terminal.cards.ring import Asked  # noqa: PLC0415 - on first use

        hand, reading, spot = self.hand, self.hand.reading, self.hand.spot
        why_not = next((str(b.why) for b in (*hand.blocks, *hand.next.blocks) if b.subject == sort), "")
        if reading is None or spot is None or spot.point is None or reading.gauge != sort:
            return Asked(hand.state, hand.operator, sort, why=why_not)
        return Asked(
            hand.state,
            hand.operator,
            sort,
            f"{where(hand.state, spot.place)}: {point_words(reading.label, spot.point)}",
            hand.operation_id,
            expected_at(hand.state, hand.operation, spot.place, reading),
            why_not,
        )

    def _tell_drift(self, came: Came) -> None:
        """List what was struck because a zero had not held, here and in other jobs."""
        state = self.hand.state
        checks = {entry.number for entry in came.entries if isinstance(entry.event, GaugeChecked)}
        doubts = [doubt for doubt in state.doubts if doubt.number in checks]
        if not doubts and not came.elsewhere:
            return
        from headwright.terminal.cards.drift import DriftCard  # noqa: PLC0415 - on first use

        gauge = doubts[0].gauge if doubts else ""
        here = [reading_words(state, number) for doubt in doubts for number in doubt.readings]
        self.app.push_screen(DriftCard(gauge, here, came.elsewhere), lambda _: self.go_on())

    def action_tool(self) -> None:
        """Name a tool that was changed."""
        hand = self.hand
        if not hand.operation.tool:
            hand.tell(f"'{hand.operation.title}' names no tool.")
            self.paint()
            return
        self.ask_tool()

    def ask_tool(self) -> None:
        """Ask which tool is in use, and its size."""
        from headwright.terminal.cards.tool import ToolCard, used_before  # noqa: PLC0415 - on first use

        hand = self.hand
        found = hand.next
        operation = hand.state.index.operations[found.operation] if found.now is Now.TOOL else hand.operation
        places = hand.state.index.places_of(operation)
        likely = (found.place if found.now is Now.TOOL else hand.place_at_hand(), found.place, *places)
        place = next((p for p in likely if p in places and hand.state.is_due(operation, p)), "")
        if not place:
            hand.tell(f"Nothing is to be done in '{operation.title}': a tool is named where it is used next.")
            self.paint()
            return

        def then(came: Came) -> None:
            tool = next((e.event for e in came.entries if isinstance(e.event, ToolChosen)), None)
            if tool is not None:
                hand.tell(f"The {tool.tool} is {tool.item}; {where(hand.state, tool.place)} is the first piece.")
                self.paint()

        card = ToolCard(hand.state, operation, place, used_before(hand.state, operation))
        self.ask_with(card, lambda tool: (tool,), then)

    def ask_first(self, operation: str, place: str) -> None:
        """Show the figures of a first piece, and let the others follow."""
        from headwright.terminal.cards.first import FirstPieceCard  # noqa: PLC0415 - on first use

        hand = self.hand
        wanted = FirstPieceReleased(operation, place)

        def then(_: Came) -> None:
            hand.tell(f"The first piece, {where(hand.state, place)}, is released: the others follow.")
            self.paint()

        card = FirstPieceCard(hand.state, wanted, hand.operator, hand.terminal)
        self.ask_with(card, lambda _: (wanted,), then)

    def action_history(self) -> None:
        """Show everything that was read at the place at hand, what was struck and set aside too."""
        from headwright.terminal.cards.history import HistoryCard  # noqa: PLC0415 - on first use

        hand = self.hand
        self.app.push_screen(HistoryCard(hand.state, hand.operation_id, hand.place_at_hand()))

    def action_handover(self) -> None:
        """Hand the bench over: whoever leaves shows how the job stands, whoever comes takes it on."""
        from headwright.terminal.cards.handover import HandoverCard  # noqa: PLC0415 - on first use

        hand = self.hand
        leaver = hand.state.people.get(hand.operator)
        if leaver is None or not leaver.on:
            self.action_who()
            return

        def shown(read: bool | None) -> None:  # noqa: FBT001 - the card's answer
            if read:
                self._take_over_from(leaver.operator)
            else:
                self.paint()

        at = (hand.next.operation, hand.next.place)
        card = HandoverCard(
            hand.state, leaver.operator, hand.clock(), leaver.name, at=at, entries=hand.desk.entries, typed=hand.typed
        )
        self.app.push_screen(card, shown)

    def _take_over_from(self, leaver: str) -> None:
        """Ask who comes; whoever it is takes the job on as it stands."""
        state = self.hand.state

        def chosen(answer: Comes | Goes | None) -> None:
            if not isinstance(answer, Comes):
                self.hand.tell("The bench was not handed over.")
                self.paint()
            elif answer.on:
                person = state.people[answer.operator]
                # Whoever takes over is at the bench by that; a lead gives his PIN for it.
                lead = (TookBench(person.operator, person.role),) if person.role is Role.LEAD else ()
                self._acknowledge(leaver, answer.operator, person.name, lead)
            else:
                comes = CameOn(answer.operator, answer.name, Role(answer.role))
                self._acknowledge(leaver, answer.operator, answer.name, (comes,))

        self.app.push_screen(WhoCard(self.people(), leaving=leaver), chosen)

    def _acknowledge(self, leaver: str, comer: str, name: str, first: tuple[Event, ...]) -> None:
        from headwright.terminal.cards.handover import HandoverCard  # noqa: PLC0415 - on first use

        hand = self.hand

        def then(_: Came) -> None:
            self.go_on()
            hand.tell(f"{name} ({comer}) has taken over from {leaver}. {hand.say}".strip())
            self.paint()

        at = (hand.next.operation, hand.next.place)
        card = HandoverCard(
            hand.state, leaver, hand.clock(), name, at=at, comes=True, entries=hand.desk.entries, typed=hand.typed
        )
        self.ask_with(card, lambda _: (*first, HandedOver(leaver, comer)), then)
