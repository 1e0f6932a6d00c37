"""The gauge card: a gauge from the kit is taken in hand, and one that only compares is zeroed on a ring."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace
from textual import on
from textual.widgets import Input, OptionList

from headwright.job.by_hand import named_by_hand
from headwright.job.gauges import GaugeNow, in_hand
from headwright.job.refusal import Refused
from headwright.terminal.bench.gauging import GaugeLine, gauge_lines, zero_words
from headwright.terminal.cards.choices import NONE_OF_THESE, Choice, Numbered
from headwright.terminal.cards.figure_line import FigureLine
from headwright.terminal.cards.ring import UNKNOWN_DUE, Asked, RingCheck, Stage
from headwright.terminal.cards.words import like_a_reading, plain
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import GAUGE

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.binding import BindingType

    from headwright.job.events import GaugeTaken
    from headwright.procedure.kit import Kit

SEEN = 0.4
"""s before which an Enter is no answer to what the one before it asked: nobody has read it sooner (our choice)."""
BY_HAND = Choice("Another one", "named by hand: nobody can tell when it is due", number=NONE_OF_THESE)


class GaugeCard(RingCheck):
    """Ask for a gauge and for its zero; the answer is what is to be recorded, in order.

    Args:
        asked: what it is asked for.
        kit: what the shop owns; None where that is not known.
        fault: why it is not known.
        clock: tells the time, UTC as records have it.
        choose: whether to begin with the list of gauges though one is in hand.
    """

    KEYS: ClassVar[tuple[Key, ...]] = GAUGE
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(GAUGE)]

    def __init__(
        self, asked: Asked, kit: Kit | None, fault: str, clock: Callable[[], str], *, choose: bool = False
    ) -> None:
        super().__init__(asked, kit, clock)
        self._fault = fault
        self._choose = choose
        self._gauges: list[GaugeLine] = []
        self._taken: GaugeTaken | None = None
        self._named_once = ""
        self._asked_at = 0.0

    def on_mount(self) -> None:
        """Begin at what is missing: the gauge, the ring, or only the zero."""
        asked = self._asked
        at_hand = in_hand(asked.state, asked.operator, asked.sort)
        if self._choose or at_hand is None or at_hand.is_overdue(self._clock()):
            self._to_gauges()
        else:
            self.zero(at_hand)
            if self._stage is Stage.SHOWS:
                self.query_one(FigureLine).begin()

    def _to_gauges(self) -> None:
        asked = self._asked
        self._taken, self._known, self._named_once = None, None, ""
        self.forget_ring()
        self._gauges = gauge_lines(asked.state, asked.operator, asked.sort, self._kit, self._clock())
        self.show_list(Stage.GAUGES, [*map(self._gauge_choice, self._gauges), BY_HAND])
        if self._kit is None:
            self.say(f"The kit cannot be read: {self._fault}. A gauge is named by hand." if self._fault else "")
        elif not self._gauges:
            self.say(f"The kit has no {asked.sort}: it is named by hand.")

    def _gauge_choice(self, line: GaugeLine) -> Choice:
        say = line.say
        known = self._asked.state.gauges.get(line.taken.gauge)
        if line.at_hand and known is not None:
            age = zero_words(self._asked.state, known, self._clock())
            say = f"in hand{', ' if age else ''}{age}; {say}"
        return Choice(line.taken.gauge, say, barred=line.barred)

    @on(OptionList.OptionSelected)
    def _choose_line(self, event: OptionList.OptionSelected) -> None:
        if self._stage is Stage.GAUGES:
            self._choose_gauge(event.option_index)
        elif self._stage is Stage.STRIKE:
            self.choose_strike(event.option_index)
        else:
            self.choose_ring(event.option_index)

    def _choose_gauge(self, number: int) -> None:
        if number == len(self._gauges):
            self.show_line(Stage.GAUGE_NAME, f"{UNKNOWN_DUE} Type its name or number, then Enter.")
            return
        line = self._gauges[number]
        if line.barred:
            self.say(f"{line.taken.gauge} cannot be taken. {line.barred}")
            return
        self._taken = None if line.at_hand else line.taken
        self.zero(self._known_as(line.taken))

    def _known_as(self, taken: GaugeTaken) -> GaugeNow:
        known = self._asked.state.gauges.get(taken.gauge, GaugeNow(taken.gauge, taken.sort))
        return replace(known, resolution=taken.resolution, uncertainty=taken.uncertainty, due=taken.due)

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        text = plain(event.value).strip()
        match self._stage:
            case Stage.GAUGE_NAME:
                self._name_gauge(text)
            case Stage.RING_NAME:
                self.name_ring(text)
            case Stage.RING_SIZE:
                self.size_ring(text)
            case _:
                self.check(text)

    def _name_gauge(self, text: str) -> None:
        if not text or like_a_reading(text):
            self.query_one(Input).value = ""
            self.say("The name or number that is on it is expected, with a letter in it.")
            return
        wanted = named_by_hand(self._asked.state, self._kit.gauges if self._kit else (), self._asked.sort, text)
        if isinstance(wanted, Refused):
            self.say(str(wanted))
            return
        listed = next((n for n, line in enumerate(self._gauges) if line.taken == wanted), None)
        if listed is not None:
            self._choose_gauge(listed)
        elif text != self._named_once:
            self._named_once, self._asked_at = text, monotonic()
            self.say(
                f"The kit has no '{text}'. Enter once more takes it in hand as a {self._asked.sort}; type over it if "
                "that is no gauge."
            )
        elif monotonic() - self._asked_at >= SEEN:
            self._taken = wanted
            self.zero(self._known_as(wanted))

    def waits_for(self) -> str:
        """Say what the stage at hand wants."""
        return {
            Stage.GAUGES: f"choose a {self._asked.sort} first",
            Stage.GAUGE_NAME: f"name the {self._asked.sort} first",
            Stage.SHOWS: "type what the gauge shows in the ring first",
        }.get(self._stage, "choose the ring first")

    def done(self) -> None:
        """Give the gauge, where it was not in hand, and its checks."""
        taken = () if self._taken is None else (self._taken,)
        checks, self._checks = tuple(self._checks), self._checks[:-1]
        self.settle((*taken, *checks))

    def action_card_number(self) -> None:
        """Go to the list."""
        if self.query_one(Numbered).display:
            self.query_one(Numbered).focus()

    async def action_card_settle(self) -> None:
        """Take the line at hand, or what is typed."""
        if self.query_one(Numbered).display:
            self.query_one(Numbered).action_select()
        else:
            await self.query_one(Input).action_submit()

    def action_card_other(self) -> None:
        """Go back to the choice before: from the zero to the rings, from the rings to the gauges."""
        if self._stage in {Stage.SHOWS, Stage.STRIKE, Stage.RING_NAME, Stage.RING_SIZE} and self._known is not None:
            self.forget_ring()
            self.to_rings()
        else:
            self._to_gauges()
