"""A small job to keep: one head, four positions, one reading at two stations, and a clock that can be set."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from headwright.job.chain import chained
from headwright.job.events import CameOn, Entry, Event, Noted, Opened, ReadingTaken
from headwright.job.evolve import fold
from headwright.job.sizing import Sized, sizings
from headwright.job.state import State, begin
from headwright.job.summary import summary
from headwright.procedure.plan import (
    PLAN_FORMAT,
    Caution,
    Condition,
    ConditionSort,
    Formula,
    Kind,
    Level,
    Limit,
    Operation,
    Place,
    Plan,
    Reading,
    Repair,
    Role,
    Spec,
    SpecEntry,
    Step,
    Tick,
    Unit,
    plan_bytes,
    plan_sha256,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.job.listed import Summary
    from headwright.store import JobStore

INCH = 25.4
"""mm in an inch, by definition."""


def small_plan(title: str = "Size the guides") -> Plan:
    """Make a plan with one operation; `title` is its route's, to make plans that differ."""
    head = Place("head:A", Level.HEAD, "A", ("job",))
    positions = tuple(
        Place(name, Level.POSITION, name, ("job", "head:A"), Kind.INTAKE if name.endswith("I") else Kind.EXHAUST)
        for name in ("1I", "1E", "2I", "2E")
    )
    bore = Reading(
        "bore",
        "Bore",
        unit="in",
        dimension="length",
        resolution=0.00254,
        stations=("top", "bottom"),
        limit=Limit(Formula("0.343 in", 0.343 * INCH), Formula("0.345 in", 0.345 * INCH), "ours"),
    )
    return Plan(
        format=PLAN_FORMAT,
        route="small",
        route_title=title,
        family="tern",
        family_title="Tern 40",
        application="road",
        application_title="Road",
        places=(Place("job", Level.JOB, "job"), head, *positions),
        conditions=(Condition("sized", "sized", ConditionSort.WORK, "A sized guide holds its oil."),),
        cautions=(Caution("dust", "Bronze dust", "It irritates.", "Wear a mask.", "The safety data sheet."),),
        repairs=(Repair("liner", "Liner"),),
        operations=(
            Operation(
                "size",
                "Size",
                "It sets the clearance.",
                Level.POSITION,
                makes=("sized",),
                steps=(Step("oil", "Oil the guide", tick=Tick.EACH),),
                readings=(bore,),
            ),
        ),
        specs=(Spec("stem", "Stem", "in", "length", (SpecEntry(value=8.0),), "ours"),),
        units=(Unit("mm", "length", 1.0), Unit("in", "length", INCH)),
    )


def reading(place: str = "1I", station: str = "top", inches: float = 0.344) -> ReadingTaken:
    """Make a reading of the bore, typed in inches."""
    return ReadingTaken("size", place, "bore", f"{inches:.4f}"[1:], "in", inches * INCH, station=station)


def at(seconds: float) -> str:
    """Give the time so many seconds after the job was opened, as records have it."""
    moment = datetime(2025, 3, 4, 8, 12, 9, 120000) + timedelta(seconds=seconds)  # noqa: DTZ001 - written as UTC below
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class HandClock:
    """A clock that is set by hand; it stands still in between."""

    def __init__(self) -> None:
        self.seconds = 0.0

    def __call__(self) -> str:
        return at(self.seconds)


class Job:
    """A job as it grows, before any store has it."""

    def __init__(self, job: str = "1001", plan: Plan | None = None) -> None:
        self.job = job
        self.plan = plan or small_plan()
        self.plan_json = plan_bytes(self.plan)
        self.entries: tuple[Entry, ...] = ()
        self.add(Opened(job, plan_sha256(self.plan), tag="T-17"), CameOn("07", "Ana Ruiz", Role.LEAD), seconds=0)

    @property
    def state(self) -> State:
        """The job as its entries make it."""
        return fold(begin(self.plan), self.entries)

    @property
    def summary(self) -> Summary:
        """The job in one line."""
        return summary(self.state)

    @property
    def sizings(self) -> tuple[Sized, ...]:
        """The pushes that the job teaches."""
        return sizings(self.state)

    def next(self, *events: Event, seconds: float = 60) -> tuple[Entry, ...]:
        """Make the entries that events would be, without adding them."""
        last = self.entries[-1] if self.entries else None
        return chained(self.job, last, events, time=at(seconds), operator="07", terminal="bench-1")

    def add(self, *events: Event, seconds: float = 60) -> tuple[Entry, ...]:
        """Let events happen; give their entries."""
        entries = self.next(*events, seconds=seconds)
        self.entries += entries
        return entries

    def keep(self, store: JobStore) -> Job:
        """Create the job in a store, as it is now."""
        store.create(self.plan_json, self.entries, self.summary, self.sizings)
        return self

    def keep_more(self, store: JobStore, *events: Event, seconds: float = 60) -> tuple[Entry, ...]:
        """Let events happen and append them to a store."""
        entries = self.add(*events, seconds=seconds)
        store.append(self.job, entries, self.summary, self.sizings)
        return entries


def notes(texts: Sequence[str]) -> tuple[Noted, ...]:
    """Make a note of each text."""
    return tuple(Noted(text) for text in texts)
