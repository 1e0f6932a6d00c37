"""The half of the gauge card that is about a ring: which one, and what the gauge shows in it."""

from __future__ import annotations

from abc import abstractmethod
from enum import Enum, auto
from typing import TYPE_CHECKING, NamedTuple

from textual import on
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, Static

from headwright.job.entry import Misread, entered
from headwright.job.events import GaugeChecked, GaugeTaken
from headwright.job.gauges import GaugeNow, has_drifted, in_doubt, is_too_far, mastering_of
from headwright.terminal.bench.gauging import (
    FARTHEST,
    RingLine,
    reading_with,
    ring_lines,
    shown_in_ring,
    size_words,
    zero_words,
)
from headwright.terminal.cards.card import Card, facts
from headwright.terminal.cards.choices import CHOOSE, NONE_OF_THESE, Choice, Numbered
from headwright.terminal.cards.figure_line import FigureLine
from headwright.terminal.cards.ring_words import InRing
from headwright.terminal.cards.words import plain
from headwright.terminal.outer_keys import GAUGE, GAUGE_LINE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.widget import Widget

    from headwright.job.state import State
    from headwright.procedure.kit import Kit
    from headwright.terminal.keys import Key

DO = (
    "Wipe ring and gauge; both have the room's temperature. Type what the gauge shows in the ring, set its zero, Enter."
)
MOST_BARRED = 2
"""Rings that are listed though they do not serve, the nearest of them; the others are counted."""
TOO_EARLY = "Keys that came as this card opened are not taken: they were typed for the bench."
UNKNOWN_DUE = "It is not in the kit: no date on which it is due is known, and none is looked at."


class Asked(NamedTuple):
    """What a gauge is asked for.

    Attributes:
        state: the job.
        operator: who takes it in hand.
        sort: the sort of gauge.
        what: what is to be read with it, in words; empty where nothing is.
        operation: where that is; empty where nothing is.
        expected: the size expected there, mm; None where it is not known.
        why: why it is asked for, in one line.
    """

    state: State
    operator: str
    sort: str
    what: str = ""
    operation: str = ""
    expected: float | None = None
    why: str = ""


class Stage(Enum):
    """What the card asks for: a choice from a list, or something to type."""

    GAUGES = auto()
    GAUGE_NAME = auto()
    RINGS = auto()
    RING_NAME = auto()
    RING_SIZE = auto()
    SHOWS = auto()
    STRIKE = auto()


_LABELS = {
    Stage.GAUGE_NAME: "Its name",
    Stage.RING_NAME: "Ring",
    Stage.RING_SIZE: "Its size",
    Stage.SHOWS: "It shows",
}


class RingCheck(Card[tuple[GaugeTaken | GaugeChecked, ...]]):
    """Ask which ring a gauge is zeroed on, and what it shows there before its zero is set.

    Args:
        asked: what the gauge is asked for.
        kit: what the shop owns; None where that is not known.
        clock: tells the time, UTC as records have it.
    """

    ABOUT = (
        "Every reading is traced to a gauge. One that only compares shows how far a size is off its ring: it is "
        "read in the ring first, so that a zero that moved is found, and then set there anew."
    )

    def __init__(self, asked: Asked, kit: Kit | None, clock: Callable[[], str]) -> None:
        self._named = asked.sort[:1].upper() + asked.sort[1:]
        super().__init__(self._named)
        self._asked = asked
        self._kit = kit
        self._clock = clock
        self._reading = reading_with(asked.state, asked.sort, asked.operation)
        self._stage = Stage.GAUGES
        self._known: GaugeNow | None = None
        self._rings: list[RingLine] = []
        self._ring: RingLine | None = None
        self._then: RingLine | None = None
        self._left_out = 0
        self._checks: list[GaugeChecked] = []
        self._off = 0.0

    @abstractmethod
    def done(self) -> None:
        """Give what was found out: the gauge is there, and zeroed where that is wanted."""

    def body(self) -> Iterator[Widget]:
        """Give what it is for, the gauges or rings, and the line to type on."""
        with VerticalScroll(classes="card-facts elastic"):
            yield Static(id="gauge-facts")
        yield Numbered((), name="gauges")
        with Horizontal(classes="card-line"):
            yield Static("", classes="card-label")
            yield FigureLine()
        yield Static("", classes="card-live")

    def zero(self, known: GaugeNow) -> None:
        """Go on with a gauge that the job knows or has just been told of: to its ring, or to a choice of rings."""
        self._known = known
        if mastering_of(self._asked.state, self._asked.sort) is None:
            self.done()
            return
        ring = self._ring_of(known)
        if ring is None or ring.barred:
            self.to_rings()
        else:
            self._to_line(ring)

    def forget_ring(self) -> None:
        """Forget the ring and what was shown in it."""
        self._ring, self._then, self._checks = None, None, []

    def _ring_of(self, known: GaugeNow) -> RingLine | None:
        """Give the ring on which a gauge was zeroed last, None where it was on none."""
        check = known.check
        if check is None:
            return None
        lines = ring_lines(self._asked.state, self._asked.sort, self._kit, self._asked.expected, self._clock())
        found = next((line for line in lines if line.ring == check.ring), None)
        if found is not None:
            return found
        rule, expected = mastering_of(self._asked.state, self._asked.sort), self._asked.expected
        barred = "too far from what is expected." if is_too_far(rule, check.size, expected) else ""
        return RingLine(check.ring, check.size, check.uncertainty, "named by hand", barred)

    def to_rings(self) -> None:
        """Offer the rings."""
        asked = self._asked
        found = ring_lines(asked.state, asked.sort, self._kit, asked.expected, self._clock())
        barred = [line for line in found if line.barred]
        self._rings = [line for line in found if not line.barred] + barred[:MOST_BARRED]
        self._left_out = len(barred[MOST_BARRED:])
        choices = [Choice(line.ring, line.say, barred=line.barred) for line in self._rings]
        self.show_list(
            Stage.RINGS, [*choices, Choice("Another one", "its name and size are typed", number=NONE_OF_THESE)]
        )
        if all(line.barred for line in found):
            self.say("The kit has no ring for this: one is named by hand, with its size." if self._kit else "")

    def _title_now(self) -> None:
        """Say in the title, and by the frame, that it is the ring that is measured now, and not the work."""
        shows, known = self._stage in {Stage.SHOWS, Stage.STRIKE}, self._known
        gauge = known.gauge if known else ""
        title = {
            Stage.GAUGES: f"Which {self._named.lower()}?",
            Stage.RINGS: f"Which ring for {gauge}?",
            Stage.RING_NAME: f"Which ring for {gauge}?",
            Stage.RING_SIZE: f"Which ring for {gauge}?",
        }.get(self._stage, self._named)
        ring = f"ZERO ON THE RING: {self._named.lower()} {gauge}".rstrip()
        self.query_one(".card-title", Static).update(plain(ring if shows else title))
        self.query_one(".card").set_class(shows, "-near")

    def show_list(self, stage: Stage, choices: list[Choice]) -> None:
        """Show a list to choose from, the first that is open at hand unless a choice strikes readings."""
        self._stage = stage
        self._title_now()
        options = self.query_one(Numbered)
        options.decides = stage is Stage.STRIKE
        self.query_one(FigureLine).end()
        options.display = True
        self.query_one(".card-line").display = False
        self._live("")
        options.change(choices)
        first = next((i for i, choice in enumerate(choices) if not choice.barred), 0)
        options.highlighted = None if options.decides else first
        options.focus()
        back = {Stage.RINGS: "gauges", Stage.STRIKE: "rings"}.get(stage, "")
        self.show_keys(_back_to(GAUGE, back))
        self._say_facts()
        self.say("")

    def show_line(self, stage: Stage, say: str = "") -> None:
        """Show the line to type on, empty."""
        self._stage = stage
        self._title_now()
        self.query_one(Numbered).display = False
        line = self.query_one(".card-line")
        line.display = True
        self.query_one(".card-label", Static).update(_LABELS[stage])
        field = self.query_one(Input)
        field.value = ""
        field.focus()
        back = "gauges" if stage is Stage.GAUGE_NAME or self._known is None else "rings"
        self.show_keys(_back_to(GAUGE_LINE, back))
        self._live(self._in_the_ring())
        self._say_facts()
        self.say(say)

    def _in_the_ring(self) -> str:
        ring, reading = self._ring, self._reading
        if self._stage is not Stage.SHOWS or ring is None or reading is None:
            return ""
        return f"In the ring {ring.ring} ({size_words(self._asked.state, reading, ring.size)}), not in the bore."

    @on(FigureLine.Why)
    def _tell_why(self) -> None:
        self.key_question_mark()

    @on(FigureLine.Early)
    def _tell_early(self) -> None:
        self.say(TOO_EARLY)

    def _to_line(self, ring: RingLine) -> None:
        """Go to the line for what the gauge shows in a ring, first in that which its readings rest on."""
        known = self._known
        before = self._ring_of(known) if known is not None else None
        if before is not None and known is not None and before.ring != ring.ring and not self._checks:
            rests = in_doubt(self._asked.state, known.gauge)
            if rests:
                self._ring, self._then = before, ring
                self.show_line(
                    Stage.SHOWS, f"First once more in {before.ring}: {len(rests)} readings rest on its zero there."
                )
                return
        self._ring, self._then = ring, None
        self.show_line(Stage.SHOWS)

    def _say_facts(self) -> None:
        asked, known, ring = self._asked, self._known, self._ring
        state, reading = asked.state, self._reading
        pairs = [("For", asked.what)]
        if known is None:
            pairs.append(("Why", asked.why))
        else:
            age = zero_words(state, known, self._clock())
            due = f"due {known.due}" if known.due else UNKNOWN_DUE
            pairs.append(("Gauge", f"{known.gauge}; {f'{age}; ' if age and known.check else ''}{due}"))
        if self._stage is Stage.RINGS and asked.expected is not None and reading is not None:
            more = f"; {self._left_out} more rings do not serve for that" if self._left_out else ""
            pairs.append(("Expected", f"{size_words(state, reading, asked.expected)}{more}"))
        if self._stage is Stage.SHOWS and ring is not None and reading is not None:
            unsure = f" ±{size_words(state, reading, ring.uncertainty)}" if ring.uncertainty else ""
            pairs += [("Ring", f"{ring.ring}, {size_words(state, reading, ring.size)}{unsure}"), ("Do", DO)]
        self.query_one("#gauge-facts", Static).update(facts(pairs))
        self.fit()

    def _live(self, text: str) -> None:
        line = self.query_one(".card-live", Static)
        line.update(plain(text))
        line.display = bool(text)
        self.fit()

    def choose_ring(self, number: int) -> None:
        """Take the ring of a line, or ask for one that is in no line."""
        if number == len(self._rings):
            self.show_line(Stage.RING_NAME, "The ring's name or number, then Enter.")
            return
        ring = self._rings[number]
        if ring.barred:
            self.say(f"{ring.ring} does not serve here: {ring.barred}")
        else:
            self._to_line(ring)

    @on(Input.Changed)
    def _follow(self, event: Input.Changed) -> None:
        """Say what the figure being typed would mean."""
        ring, reading = self._ring, self._reading
        if self._stage is not Stage.SHOWS or ring is None or reading is None:
            return
        text = event.value.strip()
        off = shown_in_ring(self._asked.state, reading, ring.ring, ring.size, text) if text else None
        self.say("")
        shown = self._shown
        self._live(
            self._in_the_ring()
            if off is None or (shown is not None and shown.is_begun(text, off))
            else off.say
            if isinstance(off, Misread)
            else self._off_words(off, whole=text[0] not in "+-")
        )

    @property
    def _shown(self) -> InRing | None:
        asked, ring, reading, known = self._asked, self._ring, self._reading, self._known
        if ring is None or reading is None or known is None:
            return None
        return InRing(asked.state, asked.sort, asked.expected, reading, known, ring)

    def _off_words(self, off: float, *, whole: bool = False) -> str:
        shown = self._shown
        return shown.say(off, whole=whole) if shown is not None else ""

    def name_ring(self, text: str) -> None:
        """Take a ring's name as typed."""
        if not text:
            self.say("The name or number that is on the ring is expected.")
            return
        self._ring = RingLine(text, 0.0, 0.0, "")
        self.show_line(Stage.RING_SIZE, "The size on its certificate, then Enter.")

    def size_ring(self, text: str) -> None:
        """Take a ring's size as typed."""
        ring, reading = self._ring, self._reading
        if ring is None or reading is None:
            return
        read = entered(text, reading, self._asked.state.plan)
        if isinstance(read, Misread) or not read.value or read.value <= FARTHEST:
            self.say(read.say if isinstance(read, Misread) else "The size of the ring is expected.")
            return
        self._to_line(ring._replace(size=read.value))

    def check(self, text: str) -> None:
        """Take what the gauge shows in its ring as typed; what would be struck is asked about first."""
        state, ring, reading, known = self._asked.state, self._ring, self._reading, self._known
        if ring is None or reading is None or known is None:
            return
        off = shown_in_ring(state, reading, ring.ring, ring.size, text)
        if isinstance(off, Misread):
            self._live("")
            self.say(off.say)
            return
        lost = in_doubt(state, known.gauge) if has_drifted(state, known, off) and not self._checks else ()
        if lost:
            self._ask_strike(text, off, len(lost))
        else:
            self._checked(off)

    def _ask_strike(self, text: str, off: float, lost: int) -> None:
        """Ask before readings are struck: Enter alone does not do it."""
        self._off = off
        count = f"{lost} {'reading' if lost == 1 else 'readings'}"
        again = Choice("Look again", "nothing is struck; the gauge is read in the ring once more")
        self.show_list(Stage.STRIKE, [Choice("Strike", f"{count}; they stay on record as struck"), again])
        self._live(self._off_words(off))
        slip = self._shown.slip(text, off) if self._shown is not None else ""
        self.say(f"{slip}{count} would be struck. {CHOOSE}")

    def choose_strike(self, number: int) -> None:
        """Strike what rests on a zero that had moved, or go back to the line."""
        if number == 0:
            self._checked(self._off)
        else:
            self.show_line(Stage.SHOWS)

    def _checked(self, off: float) -> None:
        known, ring = self._known, self._ring
        if known is None or ring is None:
            return
        self._checks.append(GaugeChecked(known.gauge, ring.ring, ring.size, off, 0.0, ring.uncertainty))
        if self._then is not None:
            self._to_line(self._then)
        else:
            self.done()


def _back_to(keys: tuple[Key, ...], label: str) -> tuple[Key, ...]:
    """Give the keys with the one that goes back named after where it goes; without it where there is no way back."""
    return tuple(
        key._replace(label=label) if key.id == "card_other" else key for key in keys if label or key.id != "card_other"
    )
