"""What is under the hand at the bench: where it is, what is typed there, and what came of it. No screen in here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.errors import HeadwrightError
from headwright.job.agenda import Next, Now, next_up
from headwright.job.blocks import BlockKind
from headwright.job.decide import Refused
from headwright.job.entry import Entered, Misread, entered
from headwright.job.events import CameOn, ReadingTaken, StepTicked
from headwright.job.figures import Bench
from headwright.job.holds import Hold, hold_at, holds
from headwright.job.index import place_words
from headwright.job.slips import Doubt, question
from headwright.store.desk import Overtaken
from headwright.store.news import in_words
from headwright.terminal.bench.digits import short
from headwright.terminal.bench.spots import Spot, grid, reading_of, spot_of, step_of

if TYPE_CHECKING:
    from headwright.job.blocks import Block
    from headwright.job.events import Entry, Event
    from headwright.job.figures import Figure
    from headwright.job.state import State
    from headwright.procedure.plan import Operation, Reading
    from headwright.store.desk import Desk
    from headwright.terminal.bench.counsel import Counsel

LONGEST = 200
"""Characters that may be typed in one entry."""


class Live(NamedTuple):
    """What the typed text would mean and come to, before it is entered."""

    read: Entered | Misread | None
    figures: tuple[Figure, ...]


class Came(NamedTuple):
    """What came of something that was wanted: the entries recorded, and what now wants an answer."""

    entries: tuple[Entry, ...] = ()
    hold: Hold | None = None
    cautions: tuple[str, ...] = ()


NOTHING = Came()


class Hand:
    """The hand at the bench: an operation, a spot in it, the text being typed, and one line of talk."""

    def __init__(self, desk: Desk, terminal: str, counsel: Counsel) -> None:
        self.desk = desk
        self.counsel = counsel
        self.terminal = terminal
        self.operator = ""
        self.typed = ""
        self.doubt: Doubt | None = None
        self.say = ""
        self.bad = False
        self.blocks: tuple[Block, ...] = ()
        self.operation_id = self.state.plan.operations[0].id
        self.spot: Spot | None = None
        self.rows: tuple[tuple[Spot, ...], ...] = ()
        self.next = Next(Now.LOCKED, "")
        self.last_saved = ""
        self.take_over()
        self.ask()

    @property
    def state(self) -> State:
        """The job as it stands on disk."""
        return self.desk.state

    @property
    def operation(self) -> Operation:
        """The operation looked at."""
        return self.state.index.operations[self.operation_id]

    @property
    def reading(self) -> Reading | None:
        """The reading at hand, None at a step or nowhere."""
        return reading_of(self.state, self.operation_id, self.spot) if self.spot else None

    @property
    def is_next(self) -> bool:
        """Tell whether the spot at hand is the one to be done next."""
        return self.spot is not None and spot_of(self.next) == self.spot and self.next.operation == self.operation_id

    def take_over(self) -> None:
        """Take whoever came on last at this terminal, and is still on, for the operator."""
        if self.state.is_on(self.operator):
            return
        here = [p for p in self.state.people.values() if p.on and p.terminal == self.terminal]
        self.operator = max(here, key=lambda p: p.since).operator if here else ""

    def ask(self) -> Next:
        """Ask the job what is to be done next, staying here while there is something to do."""
        prefer = None
        if self.spot is not None and self.spot.place in self.state.index.places_of(self.operation):
            prefer = (self.operation_id, self.spot.place)
        self.next = next_up(self.state, self.operator, prefer)
        self.rows = grid(self.state, self.operation)
        return self.next

    def follow(self) -> bool:
        """Go where the next thing is to be done; tell whether another operation is looked at now."""
        found = self.ask()
        before = self.operation_id
        if found.operation:
            self.operation_id = found.operation
            self.rows = grid(self.state, self.operation)
        self.spot = self._where(found)
        return self.operation_id != before

    def _where(self, found: Next) -> Spot | None:
        """Give the spot to go to: what is to be done next, else what it is about, else where the hand is already."""
        spots = [spot for row in self.rows for spot in row]
        there = [spot for spot in spots if spot.place == found.place]
        wanted = [spot_of(found), *(s for s in there if s.item == found.subject)]
        if found.operation and (self.spot is None or self.spot.place != found.place):
            wanted += there
        return next((s for s in (*wanted, self.spot, *spots) if s is not None and s in spots), None)

    def look_at(self, operation: str) -> None:
        """Look at another operation, at the first thing in it that is not written down yet."""
        self.operation_id = operation
        self.rows = grid(self.state, self.operation)
        spots = [s for row in self.rows for s in row]
        due = (s for s in spots if self.state.is_due(self.operation, s.place) and not self.is_written(s))
        in_table = (s for s in spots if s.point is not None or len(self.rows) == 1)
        self.spot = next((s for found in (due, in_table, spots) for s in found), None)
        self.clear()

    def turn(self, by: int) -> None:
        """Look at an operation so many further along the route, or back; it stops at the ends."""
        ids = [o.id for o in self.state.plan.operations]
        self.look_at(ids[max(0, min(len(ids) - 1, ids.index(self.operation_id) + by))])

    def is_written(self, spot: Spot) -> bool:
        """Tell whether a spot has its reading or tick in the attempt that counts now."""
        attempt = self.state.writing(self.operation_id, spot.place)
        return spot.point in attempt.readings if spot.point is not None else spot.item in attempt.ticks

    def move(self, down: int, right: int) -> None:
        """Move over the spots: down and up between rows, right and left in a row and on to the next one."""
        if not self.rows:
            return
        at = next(((r, row.index(self.spot)) for r, row in enumerate(self.rows) if self.spot in row), (0, 0))
        row, column = at[0] + down, at[1] + right
        row = max(0, min(row, len(self.rows) - 1))
        if column >= len(self.rows[row]) and right:
            row, column = (row + 1, 0) if row + 1 < len(self.rows) else (row, column)
        elif column < 0:
            row, column = (row - 1, len(self.rows[row - 1]) - 1) if row else (0, 0)
        self.spot = self.rows[row][min(column, len(self.rows[row]) - 1)]
        self.clear()

    def pick(self, spot: Spot) -> None:
        """Take a spot in hand."""
        self.spot = spot
        self.clear()

    def type(self, text: str) -> None:
        """Add to what is typed."""
        self.typed = (self.typed + text)[:LONGEST]
        self.tell("")

    def rub(self) -> None:
        """Rub out the last character."""
        self.typed = self.typed[:-1]
        self.tell("")

    def clear(self) -> None:
        """Clear what is typed."""
        self.typed = ""
        self.tell("")

    def tell(self, say: str, *, bad: bool = False, blocks: tuple[Block, ...] = ()) -> None:
        """Say something on the line of talk; a doubt that was open is gone with it."""
        self.say, self.bad, self.blocks = say, bad, blocks
        self.doubt = None

    def choices(self) -> tuple[str, ...]:
        """Give the words that the reading at hand may be answered with."""
        reading = self.reading
        return self.state.index.words(reading) if reading is not None else ()

    def live(self) -> Live:
        """Work out what the typed text would mean and come to."""
        spot, reading = self.spot, self.reading
        if spot is None or reading is None or spot.point is None:
            return Live(None, ())
        read = self._read(spot, reading) if self.typed else None
        typed = {spot.point: read.value} if isinstance(read, Entered) and read.value is not None else None
        return Live(read, Bench(self.state, self.operation, spot.place, typed).figures())

    def window(self) -> tuple[float, float] | None:
        """Give the span in which the reading at hand is expected, None when nothing is expected (yet)."""
        reading = self.reading
        if reading is None or self.spot is None:
            return None
        return Bench(self.state, self.operation, self.spot.place).window(reading)

    def _read(self, spot: Spot, reading: Reading) -> Entered | Misread:
        window = Bench(self.state, self.operation, spot.place).window(reading)
        return entered(self.typed, reading, self.state.plan, window=window, choices=self.choices())

    def enter(self) -> Came:
        """Enter what is typed, or tick the step at hand."""
        spot, reading = self.spot, self.reading
        if spot is None:
            return NOTHING
        if reading is None:
            return self._tick(spot)
        if spot.point is None:
            return NOTHING
        read = self._read(spot, reading)
        if isinstance(read, Misread):
            self.tell(read.say, bad=True)
            return NOTHING
        doubt = self.doubt
        wanted = ReadingTaken(
            self.operation_id,
            spot.place,
            reading.name,
            read.typed,
            unit=read.unit,
            value=read.value,
            word=read.word,
            station=spot.point[1],
            angle=spot.point[2],
            questioned=doubt.slip if doubt else "",
        )
        return self._take(wanted, read.value)

    def take_offer(self) -> Came:
        """Take the figure that is offered in place of a doubtful one."""
        doubt, spot, reading = self.doubt, self.spot, self.reading
        if doubt is None or doubt.offer is None or spot is None or reading is None or spot.point is None:
            return NOTHING
        wanted = ReadingTaken(
            self.operation_id,
            spot.place,
            reading.name,
            short(self.state.plan, reading, doubt.offer),
            unit=reading.unit,
            value=doubt.offer,
            station=spot.point[1],
            angle=spot.point[2],
        )
        return self._take(wanted, doubt.offer)

    def _tick(self, spot: Spot) -> Came:
        step = step_of(self.operation, spot)
        if step is None or self.is_written(spot):
            return NOTHING
        return self.submit(StepTicked(self.operation_id, spot.place, step.name))

    def _take(self, wanted: ReadingTaken, value: float | None) -> Came:
        place, reading, typed = wanted.place, self.reading, self.typed
        came = self.submit(wanted)
        if not came.entries:
            self.typed = typed
            if value is not None and reading is not None and any(b.kind is BlockKind.QUESTION for b in self.blocks):
                self._doubt(value, reading)
            return came
        self.typed = ""
        return came._replace(hold=hold_at(self.state, (self.operation_id, place)))

    def _doubt(self, value: float, reading: Reading) -> None:
        """Keep the doubt with the figure that it offers, to be taken or overruled."""
        window = self.window()
        doubt = question(value, window, reading, self.state.plan) if window else None
        if doubt is None:
            return
        kept = short(self.state.plan, reading, value)
        keys = f"Enter keeps {kept}."
        if doubt.offer is not None:
            keys = f"Space takes {short(self.state.plan, reading, doubt.offer)}, {keys}"
        self.tell(f"{doubt.say} {keys}", bad=True)
        self.doubt = doubt

    def submit(self, wanted: Event, operator: str = "") -> Came:
        """Hand the job something that is wanted; what comes of it is on disk when this returns."""
        try:
            answer = self.desk.submit(wanted, operator or self.operator)
        except HeadwrightError as error:
            self.tell(f"Not saved: {error.message}. {error.hint}".strip(), bad=True)
            return NOTHING
        if isinstance(answer, Refused):
            news = f"Meanwhile {'; '.join(answer.news)}. " if isinstance(answer, Overtaken) else ""
            # Where something else is in the way too, reading the caution would not help: that is said instead.
            only = all(b.kind is BlockKind.CAUTION for b in answer.blocks)
            cautions = tuple(b.subject for b in answer.blocks if only)
            more = f" (and {len(answer.blocks) - 1} more: ?)" if len(answer.blocks) > 1 else ""
            first = str(answer.blocks[0]) if answer.blocks else ""
            self.tell(f"{news}{first}{more}", bad=True, blocks=answer.blocks)
            return Came(cautions=cautions)
        if isinstance(wanted, CameOn):
            self.operator = wanted.operator
        self.last_saved = answer.entries[-1].time
        self.tell("; ".join(in_words(entry, self.state.index) for entry in answer.news[-1:]))
        return Came((*answer.news, *answer.entries))

    def refresh(self) -> tuple[Entry, ...]:
        """Take in what others recorded; what is typed here stays."""
        try:
            found = self.desk.refresh()
        except HeadwrightError as error:
            self.say, self.bad = f"{error.message}. {error.hint}".strip(), True
            return ()
        if found:
            words = [in_words(entry, self.state.index) for entry in found]
            self.say, self.bad = words[-1] + (f" (and {len(words) - 1} before)" if len(words) > 1 else ""), False
            self.take_over()
            self.ask()
        return found

    def hold_here(self) -> Hold | None:
        """Give the hold at the place at hand, else the first of this operation, else the first of the job."""
        place = self.spot.place if self.spot else self.next.place
        if place in self.state.index.places_of(self.operation):
            here = hold_at(self.state, (self.operation_id, place))
            if here is not None:
                return here
        waiting = holds(self.state)
        here = next((hold for hold in waiting if hold.operation == self.operation_id), None)
        return here or next(iter(waiting), None)

    def place_at_hand(self) -> str:
        """Give the place at hand, the head where there is none."""
        return self.spot.place if self.spot else self.state.index.heads[0].id

    def where(self) -> str:
        """Give the place at hand in words."""
        return place_words(self.state.index.places[self.place_at_hand()])
