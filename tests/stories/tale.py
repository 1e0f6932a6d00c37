"""A story told from tables: what is typed at each point, and what was decided on each hold.

People come on in the morning and go off at six; every entry goes through the rules of the job.
"""

from __future__ import annotations

import csv
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from headwright.job.events import Disposed, Disposition, Noted
from headwright.procedure.plan import Level, Role, Sort
from tests.stories.driver import Person, Play, Teller

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from headwright.job.agenda import Next
    from headwright.job.holds import Hold
    from headwright.job.index import PointKey
    from headwright.procedure.plan import Plan
    from tests.stories.tray import Tool

MARA = Person("07", "Mara Quill", Role.MACHINIST)
ILSE = Person("12", "Ilse Varn", Role.MACHINIST)
OWEN = Person("02", "Owen Hale", Role.LEAD)

POINTS = tuple((station, angle) for station in ("top", "middle", "bottom") for angle in (0, 90))
Sizes = dict[tuple[str, str, str, int], str]
"""(position, reading, station or empty, angle) → the figure as typed."""


class Way(NamedTuple):
    """What was decided on a hold, and why."""

    reason: str
    redo: str = ""
    repair: str = ""
    disposition: Disposition = Disposition.REWORK


def again(reason: str) -> Way:
    """Decide that the readings are taken again."""
    return Way(reason, disposition=Disposition.REMEASURE)


def stands(reason: str) -> Way:
    """Decide that it stays as it is; only a lead may."""
    return Way(reason, disposition=Disposition.CONCESSION)


def measured(name: str) -> Sizes:
    """Give the figures of a table beside the stories."""
    with (Path(__file__).parent / name).open(encoding="utf-8", newline="") as file:
        return {
            (row["position"], row["reading"], row["station"], int(row["angle"] or 0)): row["value"]
            for row in csv.DictReader(file)
        }


def six(figures: str) -> dict[tuple[str, int], str]:
    """Give six figures, in the order of their stations and angles, each at its point."""
    return dict(zip(POINTS, figures.split(), strict=True))


class Tale:
    """A job told from tables. Subclasses fill the tables and add what goes beyond them.

    `figures` by reading, or by "operation.reading"; `kinds` by (kind, reading); `places` by (place, reading);
    `goes` by (operation, place, reading, attempt); `grids` by (operation, place, attempt) for the six-point reading
    of an operation; `ways` by (operation, place, item), the decisions in order.
    """

    job = ""
    tag = ""
    customer = ""
    start: datetime
    agreed = ""
    figures: Mapping[str, str] = {}
    kinds: Mapping[tuple[str, str], str] = {}
    places: Mapping[tuple[str, str], str] = {}
    goes: Mapping[tuple[str, str, str, int], str] = {}
    grids: Mapping[tuple[str, str, int], Mapping[tuple[str, int], str]] = {}
    ways: Mapping[tuple[str, str, str], Sequence[Way]] = {}
    tools: Mapping[tuple[str, str], Tool] = {}
    """The tools, by (operation, repair) or (operation, kind)."""
    repeats: Mapping[tuple[str, str, str], Sequence[str]] = {}
    """Further figures at the point of a reading that are not those of the first, by (operation, place, reading)."""
    waits: Mapping[str, float] = {}
    """Minutes that an operation on a whole head takes, where they are not those of its procedure."""

    def __init__(self, plan: Plan) -> None:
        self.teller = Teller(plan, self.job, tag=self.tag, customer=self.customer, start=self.start, terminal="bench 1")
        self.play = Play(
            self.teller, (MARA, OWEN), answer=self.answer, decision=self.decide, before=self.before, tool=self.tool
        )
        self.play.again = self.again
        self.decided: dict[tuple[str, str, str], int] = {}
        self.at = ("", "")
        self.staff: tuple[Person, ...] = (MARA, OWEN)
        self.quoted = False

    def tell(self) -> Tale:
        """Tell it to its end."""
        for person in self.staff:
            self.teller.comes_on(person)
        self.play.to_release()
        return self

    def grid(self, operation: str, place: str, reading: str, attempt: int) -> Mapping[tuple[str, int], str] | None:
        """Give the six figures of a reading, where it is one of six points."""
        del reading
        return self.grids.get((operation, place, attempt))

    def answer(self, operation: str, place: str, point: PointKey, attempt: int) -> str:
        """Give what is typed at a point, in the given attempt at it."""
        reading, station, angle = point
        index = self.teller.state.index
        kind = index.places[place].kind or ""
        whole = len(index.points(operation, reading)) == len(POINTS)
        grid = self.grid(operation, place, reading, attempt) if whole and angle is not None else None
        if grid is not None:
            return grid[station, angle or 0]
        found = (
            self.goes.get((operation, place, reading, attempt))
            or self.places.get((place, reading))
            or self.kinds.get((str(kind), reading))
            or self.figures.get(f"{operation}.{reading}")
            or self.figures.get(reading)
        )
        if found is None and index.readings[operation, reading].sort is Sort.YES_NO:
            return "yes"
        assert found is not None, f"the story has no {operation}.{reading} at {place}, {station} {angle}"
        asked = index.readings[operation, reading]
        return _of_station(found, station, asked.stations) if asked.sort is Sort.NUMBER else found

    def again(self, operation: str, place: str, point: PointKey, number: int, typed: str) -> str:
        """Give a further figure at a point: as the first, where the story does not say otherwise."""
        others = self.repeats.get((operation, place, point[0]), ())
        return others[number - 1] if number <= len(others) else typed

    def tool(self, operation: str, place: str) -> Tool:
        """Give the tool for an operation at a place."""
        state = self.teller.state
        own = self.tools.get((operation, state.repair_at(place)))
        return own or self.tools[operation, str(state.index.places[place].kind)]

    def decide(self, hold: Hold) -> Disposed:
        """Decide a hold as the story tells."""
        at = (hold.operation, hold.place, hold.figure.item)
        number = self.decided.get(at, 0)
        self.decided[at] = number + 1
        assert number < len(self.ways.get(at, ())), f"nobody knows what to do: {at} {hold.figure}"
        way = self.ways[at][number]
        offered = [(w.disposition, w.redo, w.repair) for w in hold.ways]
        assert (way.disposition, way.redo, way.repair) in offered, f"{at}: {way} is not among {offered}"
        return Disposed(hold.operation, hold.place, hold.figure.item, way.disposition, way.reason, way.redo, way.repair)

    def before(self, following: Next) -> bool:
        """Let time pass, change shifts, have the quote agreed; what the story adds comes in `adds`."""
        if self.go_home():
            return True
        self._takes_its_time(following)
        if following.operation == "decide" and not self.quoted:
            self.quoted = True
            self.play.confirm_all()
            self.teller.record(Noted(self.agreed, self.teller.state.index.heads[0].id), OWEN.operator)
        return self.adds(following)

    def _takes_its_time(self, following: Next) -> None:
        """Let an operation on a whole head take as long as its procedure says, and a change of operation a little."""
        at = (following.operation, following.place)
        if not following.operation or at == self.at:
            return
        operation = self.teller.state.index.operations[following.operation]
        if following.operation != self.at[0]:
            self.teller.wait(6)
        if operation.per is Level.HEAD:
            self.teller.wait(self.waits.get(operation.id, operation.minutes))
        self.at = at

    def adds(self, following: Next) -> bool:
        """Add what goes beyond the tables; true when the next thing has to be looked up again."""
        del following
        return False

    def go_home(self) -> bool:
        """End the shift at six in the evening and tell so; the next begins at half past seven."""
        if self.teller.time.hour < 18:
            return False
        self.morning()
        return True

    def morning(self) -> None:
        """Have everybody go off, and come on again the next morning."""
        for person in self.staff:
            self.teller.goes_off(person)
        self.teller.time = self.teller.time.replace(hour=7, minute=30, second=0) + timedelta(days=1)
        for person in self.staff:
            self.teller.comes_on(person)


def _of_station(found: str, station: str, stations: Sequence[str]) -> str:
    """Give the figure of a station: there is one for each, or one for all."""
    figures = found.split()
    return figures[stations.index(station)] if len(figures) == len(stations) > 1 else figures[0]
