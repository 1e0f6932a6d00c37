"""What is under the hand at the bench is handed in: entered, ticked, decided. No screen in here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from headwright.errors import HeadwrightError
from headwright.job.arrivals import Arrival, twice
from headwright.job.blocks import BlockKind
from headwright.job.decide import Refused
from headwright.job.entry import Entered, Misread, Scanned
from headwright.job.events import CameOn, HandedOver, ReadingTaken, StepBegun, StepTicked, TookBench
from headwright.job.gauges import in_hand, is_traced
from headwright.job.holds import Hold, hold_at
from headwright.job.nearby import doubt_of
from headwright.job.show import unit_sign
from headwright.store.desk import Overtaken
from headwright.store.front import last_here
from headwright.store.news import in_words
from headwright.terminal.bench.digits import short
from headwright.terminal.bench.gauging import only_one
from headwright.terminal.bench.typed import Typing
from headwright.terminal.bench.waits import about, step_words, to_go
from headwright.terminal.cards.words import error_words
from headwright.terminal.keys import BENCH, sign_in

if TYPE_CHECKING:
    from headwright.job.events import Entry, Event
    from headwright.job.state import Person, State
    from headwright.store.desk import Clock, Desk
    from headwright.store.quarantine import Elsewhere
    from headwright.terminal.bench.counsel import Counsel


class Came(NamedTuple):
    """What came of something that was wanted: the entries recorded, and what now wants an answer.

    `gauge` is the sort of gauge that is wanted first, empty where none is; `elsewhere` tells what a gauge that was
    found off means for other jobs. `others` tells of a refusal that others recorded something first, which is in the
    state by now and on no screen yet.
    """

    entries: tuple[Entry, ...] = ()
    hold: Hold | None = None
    cautions: tuple[str, ...] = ()
    gauge: str = ""
    elsewhere: tuple[Elsewhere, ...] = ()
    others: bool = False


NOTHING = Came()


class Hand(Typing):
    """The hand at the bench: where it is, the text being typed, and one line of talk.

    Args:
        desk: the job.
        terminal: the name of this terminal, for the record.
        counsel: names the next ball.
        was: who was last at this terminal, as another job or an earlier visit knew them.
        clock: tells the time, for steps that have to last.
    """

    def __init__(
        self, desk: Desk, terminal: str, counsel: Counsel, was: Person | None = None, clock: Clock | None = None
    ) -> None:
        super().__init__(desk, counsel, clock or desk.now)
        self.terminal = terminal
        self.last_saved = ""
        self._before = ""
        self.decided = False
        """Whether whoever is at the bench has decided something there as a lead."""
        self.operator = last_here(self.state.people.values(), terminal, pins=self.state.plan.rules.pins, was=was)
        self.ask()

    def at_bench(self, operator: str) -> str:
        """Take somebody for who is at the bench, empty for nobody: what was said and typed goes with who it was of.

        What was typed before anybody was there stays. What comes back says what is gone.
        """
        gone = ""
        if operator != self.operator:
            if self.operator and self.typed:
                gone = f"'{self.typed[:40].strip()}' was not saved by {self.operator} and is cleared."
                self.clear()
            self.tell("")
            self._before, self.operator = self.operator or self._before, operator
            self.decided = False
        return gone

    def gives_back(self) -> str:
        """Give the initials of whoever was at the bench before a lead came and decided, empty where nobody waits."""
        return self._before if self.decided and self.state.is_on(self._before) else ""

    def enter(self, at: float | None = None) -> Came:
        """Enter what is typed; a step takes no figure, and says so. `at` is when Enter came (monotonic s).

        A figure that is questioned is not kept by it: gauges send Enter, keys bounce, and a hand presses it by habit.
        """
        spot, reading = self.spot, self.reading
        arrival = Arrival() if at is None else self.arrivals.enter(at)
        if self.doubt is not None:
            self.say = f"{sign_in(BENCH, 'enter')} does not answer this. {self._answers(self.doubt)} {self.doubt.say}"
            return NOTHING
        if self.step is not None:
            self.tell(self.in_the_way() or f"{self.at_step()}.", bad=bool(self.typed))
            return NOTHING
        if spot is None or reading is None or spot.point is None:
            return NOTHING
        read = self._read(reading)
        if isinstance(read, Misread):
            if isinstance(read, Scanned):
                self.clear()
            self.tell(read.say, bad=True)
            self._refused = True
            return NOTHING
        wanted = self._wanted(read.typed, read.unit, read.value, read.word)
        # A slip tells more than that it came twice, and is asked about when the figure is handed in.
        if wanted is not None and arrival.second and read.value is not None and doubt_of(self.state, wanted) is None:
            self._question(twice(short(self.state.plan, reading, read.value), unit_sign(reading.unit)))
            return NOTHING
        return self._take(wanted)

    def take_offer(self) -> Came:
        """Take the figure that is offered in place of a doubtful one."""
        doubt, reading = self.doubt, self.reading
        if doubt is None or doubt.offer is None or reading is None:
            return NOTHING
        return self._take(self._wanted(short(self.state.plan, reading, doubt.offer), reading.unit, doubt.offer))

    def keep(self) -> Came:
        """Keep the figure that is questioned; that it was is recorded with it."""
        doubt, reading = self.doubt, self.reading
        read = self._read(reading) if doubt is not None and reading is not None else None
        if doubt is None or not isinstance(read, Entered):
            return NOTHING
        wanted = self._wanted(read.typed, read.unit, read.value)
        return NOTHING if wanted is None else self._take(replace(wanted, questioned=doubt.slip))

    def tick(self) -> Came:
        """Tick the step at hand; one that has to last is begun first, and cut short only after one line about it."""
        spot, step = self.spot, self.step
        if spot is None or step is None or self.is_written(spot):
            return NOTHING
        left = self.to_go()
        if step.wait and left is None:
            return self.submit(StepBegun(self.operation_id, spot.place, step.name))
        if left and not self._warned:
            self.tell(f"{about(left)} to go; Space again ticks it all the same.")
            self._warned = True
            return NOTHING
        return self.submit(StepTicked(self.operation_id, spot.place, step.name))

    def to_go(self) -> float | None:
        """Give the seconds that the step at hand still has to last, None where it is not begun or need not."""
        spot, step = self.spot, self.step
        if spot is None or step is None or self.is_written(spot):
            return None
        return to_go(self.state, self.operation, spot, step, self.clock())

    def at_step(self) -> str:
        """Say what Space does at the step at hand, or that it is ticked."""
        step = self.step
        if step is None or (self.spot is not None and self.is_written(self.spot)):
            return "ticked"
        return step_words(step, self.to_go())

    def in_the_way(self) -> str:
        """Say that what is typed at a step is not taken, and is in the way of its tick; empty where nothing is."""
        if self.step is None or not self.typed:
            return ""
        clear = sign_in(BENCH, "clear")
        if self.spot is not None and self.is_written(self.spot):
            return f"This step is ticked: '{self.typed[:40].strip()}' is not taken; {clear} clears it."
        return f"A step is at hand: {self.at_step()}. '{self.typed[:40].strip()}' is not taken; {clear} clears it."

    def _take(self, wanted: ReadingTaken | None) -> Came:
        if wanted is None:
            return NOTHING
        place, typed = wanted.place, self.typed
        reading = self.reading
        if reading is not None and is_traced(self.state, reading):
            self.take_only_gauge(reading.gauge)
        wanted = self._beside(wanted)
        came = self.submit(wanted)
        if not came.entries:
            self.typed = typed
            # It stays, to be entered once nothing is in its way; what is typed then is another figure.
            self._refused = True
            if any(b.kind is BlockKind.QUESTION for b in self.blocks):
                self._doubt(wanted)
            clash = next((b for b in self.blocks if b.kind is BlockKind.CLASH), None)
            if clash is not None:
                self.over = int(clash.subject)
            return came
        self.typed = ""
        return came._replace(hold=hold_at(self.state, (self.operation_id, place)))

    def work_ahead(self) -> State | None:
        """Work out what entering the figure that is typed would come to, while it rests: Enter is the quicker.

        What comes back is the job as it would be then, None where nothing would be recorded.
        """
        reading = self.reading
        read = self._read(reading) if reading is not None and self.typed and self.doubt is None else None
        if isinstance(read, Entered) and read.value is not None:
            wanted = self._wanted(read.typed, read.unit, read.value, read.word)
            if wanted is not None:
                return self.desk.work_ahead(self._beside(wanted), self.operator)
        return None

    def take_only_gauge(self, sort: str) -> tuple[Entry, ...]:
        """Take the one gauge that there is of a sort in hand, where it needs no zero; tell what was recorded."""
        if in_hand(self.state, self.operator, sort) is not None:
            return ()
        kit = self.counsel.shop.wanted()
        wanted = only_one(self.state, self.operator, sort, kit, self.clock())
        if wanted is None:
            return ()
        said = (self.say, self.bad, self.blocks)
        doubt = self.doubt
        came = self.submit(wanted)
        if came.entries:
            self.say, self.bad, self.blocks = said
            self.doubt = doubt
        return came.entries

    def _doubt(self, wanted: ReadingTaken) -> None:
        """Keep the doubt with the figure that it offers, to be taken or overruled."""
        doubt = doubt_of(self.state, wanted, tags=self.counsel.shop.tags)
        if doubt is not None:
            self._question(doubt)

    def submit(self, wanted: Event, operator: str = "", pin: str = "", *, stays: bool = False) -> Came:
        """Hand the job something that is wanted; what comes of it is on disk when this returns.

        `stays` tells that whoever is at the bench stays there, though somebody else comes on.
        """
        before = self.state.number
        try:
            answer = self.desk.submit(wanted, operator or self.operator, pin)
        except HeadwrightError as error:
            self.tell(error_words(error, "Not saved: "), bad=True)
            return Came(others=self.state.number > before)
        if isinstance(answer, Refused):
            news = f"Meanwhile {'; '.join(answer.news)}. " if isinstance(answer, Overtaken) else ""
            # Where something else is in the way too, reading the caution would not help: that is said instead.
            only = all(b.kind is BlockKind.CAUTION for b in answer.blocks)
            cautions = tuple(b.subject for b in answer.blocks if only)
            more = f" (and {len(answer.blocks) - 1} more: ?)" if len(answer.blocks) > 1 else ""
            first = str(answer.blocks[0]) if answer.blocks else ""
            self.tell(f"{news}{first}{more}", bad=True, blocks=answer.blocks)
            gauge = next((b.subject for b in answer.blocks if b.kind is BlockKind.GAUGE and b.subject), "")
            others = self.state.number > before
            return Came(cautions=cautions, gauge=gauge if len(answer.blocks) == 1 else "", others=others)
        gone = ""
        if isinstance(wanted, CameOn | TookBench | HandedOver) and not stays:
            gone = self.at_bench(wanted.to if isinstance(wanted, HandedOver) else wanted.operator)
        elif not self.state.is_on(self.operator):
            gone = self.at_bench("")
        self.last_saved = answer.entries[-1].time
        said = "; ".join(in_words(entry, self.state.index) for entry in answer.news[-1:])
        self.tell(said or gone or self.desk.clock_words())
        return Came((*answer.news, *answer.entries), elsewhere=answer.elsewhere)

    def refresh(self) -> tuple[Entry, ...]:
        """Take in what others recorded; what is typed here stays."""
        try:
            found = self.desk.refresh()
        except HeadwrightError as error:
            self.say, self.bad = error_words(error), True
            return ()
        if found:
            words = [in_words(entry, self.state.index) for entry in found]
            self.say, self.bad = words[-1] + (f" (and {len(words) - 1} before)" if len(words) > 1 else ""), False
            self._warned = False
            if not self.state.is_on(self.operator):
                said = self.say
                self.say = f"{said} {self.at_bench('')}".strip()
            self.ask()
        return found
