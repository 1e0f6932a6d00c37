"""The gauge card: a gauge from the kit is taken in hand, and one that only compares is zeroed on a ring."""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from msgspec.structs import replace
from textual import on
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, OptionList, Static

from headwright.job.entry import Misread, entered
from headwright.job.events import GaugeChecked, GaugeTaken
from headwright.job.gauges import GaugeNow, has_drifted, in_doubt, in_hand, mastering_of
from headwright.job.verdict import SLACK
from headwright.terminal.bench.gauging import (
    FARTHEST,
    GaugeLine,
    RingLine,
    gauge_lines,
    off_words,
    reading_with,
    rests_on,
    ring_lines,
    shown_in_ring,
    size_words,
    zero_words,
)
from headwright.terminal.cards.card import Card, facts
from headwright.terminal.cards.choices import Choice, Numbered
from headwright.terminal.cards.words import like_a_reading, plain
from headwright.terminal.keys import Key, bindings
from headwright.terminal.outer_keys import GAUGE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.binding import BindingType
    from textual.widget import Widget

    from headwright.job.state import State
    from headwright.procedure.kit import Kit

LONGEST = 40
"""Characters of a gauge's or ring's name, and of a figure."""
DO = (
    "Wipe ring and gauge; both have the room's temperature. Type what the gauge shows in the ring, set its zero, Enter."
)
BY_HAND = Choice("Another one", "named by hand: nobody can tell when it is due")
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


class _Stage(Enum):
    GAUGES = auto()
    GAUGE_NAME = auto()
    RINGS = auto()
    RING_NAME = auto()
    RING_SIZE = auto()
    SHOWS = auto()


_LABELS = {
    _Stage.GAUGE_NAME: "Its name",
    _Stage.RING_NAME: "Ring",
    _Stage.RING_SIZE: "Its size",
    _Stage.SHOWS: "It shows",
}


class GaugeCard(Card["tuple[GaugeTaken | GaugeChecked, ...]"]):
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
        super().__init__(asked.sort[:1].upper() + asked.sort[1:])
        self._asked = asked
        self._kit = kit
        self._fault = fault
        self._clock = clock
        self._choose = choose
        self._reading = reading_with(asked.state, asked.sort, asked.operation)
        self._stage = _Stage.GAUGES
        self._gauges: list[GaugeLine] = []
        self._rings: list[RingLine] = []
        self._taken: GaugeTaken | None = None
        self._known: GaugeNow | None = None
        self._ring: RingLine | None = None
        self._then: RingLine | None = None
        self._checks: list[GaugeChecked] = []
        self._sure = ""

    def body(self) -> Iterator[Widget]:
        """Give what it is for, the gauges or rings, and the line to type on."""
        with VerticalScroll(classes="card-facts elastic"):
            yield Static(id="gauge-facts")
        yield Numbered((), name="gauges")
        with Horizontal(classes="card-line"):
            yield Static("", classes="card-label")
            yield Input(compact=True, max_length=LONGEST)
        yield Static("", classes="card-live")

    def on_mount(self) -> None:
        """Begin at what is missing: the gauge, the ring, or only the zero."""
        asked = self._asked
        at_hand = in_hand(asked.state, asked.operator, asked.sort)
        if self._choose or at_hand is None or at_hand.is_overdue(self._clock()):
            self._to_gauges()
        else:
            self._take(at_hand)

    def _needs_zero(self) -> bool:
        return mastering_of(self._asked.state, self._asked.sort) is not None

    def _take(self, known: GaugeNow) -> None:
        """Go on with a gauge that the job knows or has just been told of: to its ring, or to a choice of rings."""
        self._known = known
        if not self._needs_zero():
            self._done()
            return
        ring = self._ring_of(known)
        if ring is None or ring.barred:
            self._to_rings()
        else:
            self._to_line(ring)

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
        far = rule is not None and expected is not None and abs(expected - check.size) > rule.within + SLACK
        barred = "too far from what is expected." if far else ""
        return RingLine(check.ring, check.size, check.uncertainty, "named by hand", barred)

    def _to_gauges(self) -> None:
        asked = self._asked
        self._taken, self._known, self._ring, self._then, self._checks = None, None, None, None, []
        self._gauges = gauge_lines(asked.state, asked.operator, asked.sort, self._kit, self._clock())
        choices = [self._gauge_choice(line) for line in self._gauges]
        self._show_list(_Stage.GAUGES, [*choices, BY_HAND])
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

    def _to_rings(self) -> None:
        asked = self._asked
        self._rings = ring_lines(asked.state, asked.sort, self._kit, asked.expected, self._clock())
        choices = [Choice(line.ring, line.say, barred=line.barred) for line in self._rings]
        self._show_list(_Stage.RINGS, [*choices, Choice("Another one", "its name and size are typed")])
        if all(line.barred for line in self._rings):
            self.say("The kit has no ring for this: one is named by hand, with its size." if self._kit else "")

    def _show_list(self, stage: _Stage, choices: list[Choice]) -> None:
        self._stage = stage
        options = self.query_one(Numbered)
        options.display = True
        self.query_one(".card-line").display = False
        self._live("")
        options.change(choices)
        options.highlighted = next((i for i, choice in enumerate(choices) if not choice.barred), 0)
        options.focus()
        self._say_facts()
        self.say("")

    def _show_line(self, stage: _Stage, say: str = "") -> None:
        self._stage, self._sure = stage, ""
        self.query_one(Numbered).display = False
        line = self.query_one(".card-line")
        line.display = True
        self.query_one(".card-label", Static).update(_LABELS[stage])
        field = self.query_one(Input)
        field.value = ""
        field.focus()
        self._live("")
        self._say_facts()
        self.say(say)

    def _to_line(self, ring: RingLine) -> None:
        """Go to the line for what the gauge shows in a ring, first in that which its readings rest on."""
        known = self._known
        before = self._ring_of(known) if known is not None else None
        if before is not None and known is not None and before.ring != ring.ring and not self._checks:
            rests = in_doubt(self._asked.state, known.gauge)
            if rests:
                self._ring, self._then = before, ring
                self._show_line(
                    _Stage.SHOWS, f"First once more in {before.ring}: {len(rests)} readings rest on its zero there."
                )
                return
        self._ring, self._then = ring, None
        self._show_line(_Stage.SHOWS)

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
        if self._stage is _Stage.RINGS and asked.expected is not None and reading is not None:
            pairs.append(("Expected", size_words(state, reading, asked.expected)))
        if self._stage is _Stage.SHOWS and ring is not None and reading is not None:
            unsure = f" ±{size_words(state, reading, ring.uncertainty)}" if ring.uncertainty else ""
            pairs += [("Ring", f"{ring.ring}, {size_words(state, reading, ring.size)}{unsure}"), ("Do", DO)]
        self.query_one("#gauge-facts", Static).update(facts(pairs))
        self.fit()

    def _live(self, text: str) -> None:
        line = self.query_one(".card-live", Static)
        line.update(plain(text))
        line.display = bool(text)
        self.fit()

    @on(OptionList.OptionSelected)
    def _choose_line(self, event: OptionList.OptionSelected) -> None:
        if self._stage is _Stage.GAUGES:
            self._choose_gauge(event.option_index)
        else:
            self._choose_ring(event.option_index)

    def _choose_gauge(self, number: int) -> None:
        if number == len(self._gauges):
            self._show_line(_Stage.GAUGE_NAME, f"{UNKNOWN_DUE} Type its name or number, then Enter.")
            return
        line = self._gauges[number]
        if line.barred:
            self.say(f"{line.taken.gauge} cannot be taken. {line.barred}")
            return
        self._taken = None if line.at_hand else line.taken
        self._take(self._known_as(line.taken))

    def _known_as(self, taken: GaugeTaken) -> GaugeNow:
        known = self._asked.state.gauges.get(taken.gauge, GaugeNow(taken.gauge, taken.sort))
        return replace(known, resolution=taken.resolution, uncertainty=taken.uncertainty, due=taken.due)

    def _choose_ring(self, number: int) -> None:
        if number == len(self._rings):
            self._show_line(_Stage.RING_NAME, "The ring's name or number, then Enter.")
            return
        ring = self._rings[number]
        if ring.barred:
            self.say(f"{ring.ring} does not serve here: {ring.barred}")
        else:
            self._to_line(ring)

    @on(Numbered.Complaint)
    def _complain(self, event: Numbered.Complaint) -> None:
        self.say(event.text)

    @on(Input.Changed)
    def _follow(self, event: Input.Changed) -> None:
        """Say what the figure being typed would mean."""
        ring, reading = self._ring, self._reading
        if self._stage is not _Stage.SHOWS or ring is None or reading is None:
            return
        text = event.value.strip()
        if text != self._sure:
            self._sure = ""
        off = shown_in_ring(self._asked.state, reading, ring.ring, ring.size, text) if text else None
        self.say("")
        self._live("" if off is None else off.say if isinstance(off, Misread) else self._off_words(off))

    def _off_words(self, off: float) -> str:
        """Say whether a zero held, and what is struck where it did not."""
        state, reading, known = self._asked.state, self._reading, self._known
        rule = mastering_of(state, self._asked.sort)
        if reading is None or known is None or rule is None:
            return ""
        least = size_words(state, reading, rule.drift)
        words = f"Off by {off_words(state, reading, off)}"
        if not has_drifted(state, known, off):
            return f"{words}: in the {least} that it may drift. Set the zero; what was read with it stands."
        rests = rests_on(state, known.gauge)
        if not rests:
            return f"{words}: beyond {least}. Nothing in this job rests on it; other jobs read with it since are told."
        return (
            f"{words}: beyond the {least} that it may drift. Struck in this job: {'; '.join(rests)}. Other jobs that "
            "read with it since are told too."
        )

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        text = plain(event.value).strip()
        match self._stage:
            case _Stage.GAUGE_NAME:
                self._name_gauge(text)
            case _Stage.RING_NAME:
                self._name_ring(text)
            case _Stage.RING_SIZE:
                self._size_ring(text)
            case _:
                self._check(text)

    def _name_gauge(self, text: str) -> None:
        if not text or like_a_reading(text):
            self.query_one(Input).value = ""
            self.say("The name or number that is on it is expected, with a letter in it.")
            return
        same = [n for n, line in enumerate(self._gauges) if line.taken.gauge.casefold() == text.casefold()]
        other = [g for g in (self._kit.gauges if self._kit else ()) if g.id.casefold() == text.casefold()]
        if same:
            self._choose_gauge(same[0])
        elif other:
            self.say(f"{other[0].id} is a {other[0].sort} of the kit; a {self._asked.sort} is wanted here.")
        else:
            self._taken = GaugeTaken(text, self._asked.sort)
            self._take(self._known_as(self._taken))

    def _name_ring(self, text: str) -> None:
        if not text:
            self.say("The name or number that is on the ring is expected.")
            return
        self._ring = RingLine(text, 0.0, 0.0, "")
        self._show_line(_Stage.RING_SIZE, "The size on its certificate, then Enter.")

    def _size_ring(self, text: str) -> None:
        ring, reading = self._ring, self._reading
        if ring is None or reading is None:
            return
        read = entered(text, reading, self._asked.state.plan)
        if isinstance(read, Misread) or not read.value or read.value <= FARTHEST:
            self.say(read.say if isinstance(read, Misread) else "The size of the ring is expected.")
            return
        self._to_line(ring._replace(size=read.value))

    def _check(self, text: str) -> None:
        state, ring, reading, known = self._asked.state, self._ring, self._reading, self._known
        if ring is None or reading is None or known is None:
            return
        off = shown_in_ring(state, reading, ring.ring, ring.size, text)
        if isinstance(off, Misread):
            self.say(off.say)
            return
        lost = in_doubt(state, known.gauge) if has_drifted(state, known, off) and not self._checks else ()
        if lost and self._sure != text:
            self._sure = text
            count = f"{len(lost)} {'reading' if len(lost) == 1 else 'readings'}"
            self.say(f"{count} will be struck, and stay on record so. Enter once more does it; Esc leaves.")
            return
        self._checks.append(GaugeChecked(known.gauge, ring.ring, ring.size, off, 0.0, ring.uncertainty))
        if self._then is not None:
            self._to_line(self._then)
        else:
            self._done()

    def _done(self) -> None:
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
        if self._stage in {_Stage.SHOWS, _Stage.RING_NAME, _Stage.RING_SIZE} and self._known is not None:
            self._ring, self._then, self._checks = None, None, []
            self._to_rings()
        else:
            self._to_gauges()
