"""Where the hand is at the bench: an operation, a spot in it, and what is to be done next. No screen in here."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING

from headwright.job.agenda import Next, Now, next_up
from headwright.job.figures import Bench
from headwright.job.gauges import GaugeNow, in_hand, is_traced
from headwright.job.holds import Hold, hold_at, holds
from headwright.job.hole import rulings
from headwright.job.index import place_words
from headwright.job.progress import standings
from headwright.procedure.plan import Sort
from headwright.terminal.bench.spots import Spot, grid, places_here, reading_of, spot_of, step_of

if TYPE_CHECKING:
    from headwright.job.hole import Ruling
    from headwright.job.state import State, Taken
    from headwright.procedure.plan import Operation, Reading, Step
    from headwright.store.desk import Clock, Desk


class Looking(ABC):
    """What is looked at and what is at hand in it; moving about."""

    def __init__(self, desk: Desk, clock: Clock) -> None:
        self.desk = desk
        self.clock = clock
        self.operator = ""
        self.operation_id = self.state.plan.operations[0].id
        self.spot: Spot | None = None
        self.rows: tuple[tuple[Spot, ...], ...] = ()
        self._rows_of: tuple[str, tuple[str, ...]] = ("", ())
        self.next = Next(Now.LOCKED, "")
        self._held: tuple[tuple[int, str, str, str], tuple[Ruling, ...]] = ((0, "", "", ""), ())
        self._came_to: tuple[str, Spot | None, Next] = ("", None, self.next)

    @abstractmethod
    def clear(self) -> None:
        """Clear what is typed."""

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
    def step(self) -> Step | None:
        """The step at hand, None at a reading or nowhere."""
        return step_of(self.operation, self.spot) if self.spot else None

    @property
    def gauge(self) -> GaugeNow | None:
        """The gauge in hand that the reading at hand has to be traced to; None where there is none, or it need not."""
        reading = self.reading
        if reading is None or not is_traced(self.state, reading):
            return None
        return in_hand(self.state, self.operator, reading.gauge)

    def repeated(self) -> Taken | None:
        """Give the figure at the spot at hand beside which a further one is wanted; None where none is."""
        spot, reading = self.spot, self.reading
        if spot is None or reading is None or spot.point is None:
            return None
        taken = self.state.writing(self.operation_id, spot.place).readings.get(spot.point)
        return None if taken is None or taken.is_settled(reading.agree) else taken

    @property
    def is_next(self) -> bool:
        """Tell whether the spot at hand is the one to be done next."""
        return self.spot is not None and spot_of(self.next) == self.spot and self.next.operation == self.operation_id

    @property
    def is_away(self) -> bool:
        """Tell whether the hand went elsewhere since it was brought to what is to be done next."""
        return self._came_to != (self.operation_id, self.spot, self.next)

    def ask(self) -> Next:
        """Ask the job what is to be done next, staying here while there is something to do."""
        prefer = None
        if self.spot is not None and self.spot.place in self.state.index.places_of(self.operation):
            prefer = (self.operation_id, self.spot.place)
        self.next = next_up(self.state, self.operator, prefer, self.clock())
        self._lay_out()
        return self.next

    def _lay_out(self) -> None:
        """Give the spots of the operation looked at their rows, where they are not those of before."""
        of = (self.operation_id, places_here(self.state, self.operation))
        if of != self._rows_of:
            self._rows_of = of
            self.rows = grid(self.state, self.operation)

    def follow(self) -> bool:
        """Go where the next thing is to be done; tell whether another operation is looked at now."""
        found = self.ask()
        before = self.operation_id
        if found.now is Now.COME_ON and self.spot is None:
            self._look_ahead()
            self._came_to = (self.operation_id, self.spot, found)
        else:
            self._go_to(found)
        return self.operation_id != before

    def let_go(self) -> None:
        """Stay nowhere: what is to be done next is asked for along the route, as after a reading that was struck."""
        self.spot = None

    def _go_to(self, found: Next) -> None:
        if found.operation:
            self.operation_id = found.operation
            self._lay_out()
        elif found.now is Now.STOP and self.spot is None:
            self.look_at(self._first_due())
        self.spot = self._where(found)
        self._came_to = (self.operation_id, self.spot, found)

    def go_home(self) -> None:
        """Go to what was said to be next, where the hand is elsewhere; else to what is next along the route."""
        if self.is_away and self.next.operation:
            self._go_to(self.next)
        else:
            self.spot = None
            self.follow()

    def _look_ahead(self) -> None:
        """Look at what will be next once somebody has come on."""
        on = next((p.operator for p in self.state.people.values() if p.on), "")
        found = next_up(self.state, on, now=self.clock())
        self.look_at(found.operation or self._first_due())
        if found.operation:
            self.spot = self._where(found)

    def _first_due(self) -> str:
        """Give the first operation of the route with anything to do, where one has; else the one looked at."""
        return next((s.operation for s in standings(self.state) if s.due), self.operation_id)

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
        self._lay_out()
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
        """Tell whether a spot wants no further figure, or has its tick, in the attempt that counts now."""
        attempt = self.state.writing(self.operation_id, spot.place)
        if spot.point is None:
            return spot.item in attempt.ticks
        return attempt.has(self.state.index.readings[self.operation_id, spot.item], spot.point)

    def move(self, down: int, right: int) -> None:
        """Move over the spots: down and up between rows, right and left in a row and no farther than its ends."""
        if not self.rows:
            return
        at = next(((r, row.index(self.spot)) for r, row in enumerate(self.rows) if self.spot in row), (0, 0))
        row = self.rows[max(0, min(at[0] + down, len(self.rows) - 1))]
        self.spot = row[max(0, min(at[1] + right, len(row) - 1))]
        self.clear()

    def pick(self, spot: Spot) -> None:
        """Take a spot in hand."""
        self.spot = spot
        self.clear()

    def choices(self) -> tuple[str, ...]:
        """Give the words that the reading at hand may be answered with."""
        reading = self.reading
        return self.state.index.words(reading) if reading is not None else ()

    def window(self) -> tuple[float, float] | None:
        """Give the span in which the reading at hand is expected, None when nothing is expected (yet)."""
        reading = self.reading
        if reading is None or self.spot is None:
            return None
        state = self.state.written(self.operation_id, self.spot.place)
        return Bench(state, self.operation, self.spot.place).window(reading)

    def held(self) -> tuple[Ruling, ...]:
        """Give what holds the diameter at hand by results, where it has no limits of its own; kept for the place."""
        reading = self.reading
        if reading is None or self.spot is None or reading.limit is not None:
            return ()
        if reading.sort is not Sort.NUMBER or reading.dimension != "length":
            return ()
        key = (self.state.number, self.operation_id, self.spot.place, reading.name)
        if self._held[0] != key:
            state = self.state.written(self.operation_id, self.spot.place)
            self._held = (key, rulings(state, self.operation, self.spot.place, reading))
        return self._held[1]

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
