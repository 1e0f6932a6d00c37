"""The invented Alder 107 head for tests at the bench: a job worked up to an operation, and what is then measured."""

from __future__ import annotations

import re
import sys
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.agenda import Next, Now, next_up
from headwright.job.chain import chained
from headwright.job.entry import Entered, entered
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    FirstPieceReleased,
    Opened,
    ReadingTaken,
    StepTicked,
    ToolChosen,
)
from headwright.job.figures import Bench
from headwright.job.gauges import in_hand, is_traced
from headwright.job.holds import hold_at
from headwright.procedure.library import load
from headwright.procedure.plan import Rules, Sort, Tick, plan_bytes, plan_sha256
from headwright.procedure.resolve import build_plan
from headwright.store import open_store
from headwright.store.desk import Desk, Done, utc_now
from headwright.store.record import Record, import_job
from headwright.store.times import stamp
from tests.stories import tray
from tests.stories.alder_1001 import MARA, OWEN, answer, decision, tool_at
from tests.stories.write import ROOT
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.job.events import Entry, Event
    from headwright.procedure.plan import Operation, Plan
    from headwright.store import JobStore
    from headwright.store.desk import Clock
    from tests.stories.driver import Person

HEADWRIGHT = (sys.executable, "-m", "headwright")
"""The program as it is started from a command line."""

FIRST_BALL = {
    "1I": (".31395", (".3133", ".3134", ".3133", ".3132", ".3133", ".3133")),
    "2I": (".31300", (".3125", ".3124", ".3123", ".3122", ".3124", ".3124")),
    "3I": (".31395", (".3134", ".3134", ".3133", ".3132", ".3133", ".3132")),
    "4I": (".31395", (".3134", ".3133", ".3133", ".3132", ".3133", ".3133")),
    "1E": (".31390", (".3134", ".3133", ".3133", ".3132", ".3133", ".3132")),
    "2E": (".31390", (".3133", ".3133", ".3133", ".3132", ".3133", ".3132")),
    "3E": (".31390", (".3134", ".3134", ".3132", ".3132", ".3133", ".3133")),
    "4E": (".31390", (".3137", ".3132", ".3134", ".3132", ".3135", ".3134")),
}
"""Ball and finished sizes (in) after the first ball: top, middle, bottom, each at 0° and 90°."""
SECOND_BALL = {
    "2I": (".31400", (".3133", ".3133", ".3132", ".3132", ".3133", ".3133")),
    "4E": (".31395", (".3134", ".3133", ".3133", ".3133", ".3135", ".3134")),
}
"""The same after 2I was undersize and 4E out of round."""
CLEARANCES = {
    "1I": ".0014–.0016",
    "3I": ".0014–.0016",
    "4I": ".0014–.0016",
    "1E": ".0019–.0021",
    "2E": ".0019–.0020",
    "3E": ".0019–.0021",
}
"""Worked out by hand: least and greatest size less the stem, 0.3118 in for an intake, 0.3113 in for an exhaust."""
SECOND_CLEARANCES = {"2I": ".0014–.0015", "4E": ".0020–.0022"}
POINTS = tuple(f"{station}, {angle}°" for station in ("top", "middle", "bottom") for angle in (0, 90))


@cache
def alder() -> Plan:
    """Give the plan of a liner rebuild of the Alder 107, without what a shop asks about gauges, tools and people."""
    plan = build_plan(load(ROOT / "procedures"), "liner", "alder-107", "durability")
    return replace(plan, rules=Rules(), operations=tuple(map(_plain, plan.operations)))


def _plain(operation: Operation) -> Operation:
    return replace(operation, tool="", readings=tuple(replace(each, agree=None) for each in operation.readings))


def opened(
    store: JobStore,
    plan: Plan | None = None,
    job: str = "7",
    *,
    by: Iterable[Person] = (OWEN, MARA),
    read: Iterable[Person] = (OWEN, MARA),
    up_to: str = "",
    ticked: bool = False,
    terminal: str = "this bench",
    tag: str = "",
    clock: Clock = utc_now,
) -> Desk:
    """Open a job and bring it to where a test begins.

    What is done for that is done once; where the same is asked for again it is told again, to end at the present.

    Args:
        store: where it is kept.
        plan: what is to be done; left out, that of `alder`.
        job: its number.
        by: who is on; whoever comes on last is taken for the one at the terminal.
        read: who of them has read the cautions.
        up_to: the operation that is next; empty for the first.
        ticked: whether the steps that come once before that operation's readings are ticked.
        terminal: where they are.
        tag: what the head is known by.
        clock: tells the time.
    """
    plan, by, read = plan or alder(), tuple(by), tuple(read)
    if clock is not utc_now or plan.rules.pins:
        desk = Desk.create(store, plan, job, terminal=terminal, tag=tag, clock=clock)
        _work(desk, by, read, up_to, ticked=ticked)
        return desk
    key = (plan_sha256(plan), by, read, up_to, ticked)
    if key not in _WORKED:
        with TemporaryDirectory() as folder:
            there = open_store(Path(folder) / "headwright.db")
            desk = Desk.create(there, plan, "7", terminal="this bench")
            _work(desk, by, read, up_to, ticked=ticked)
            there.close()
        _WORKED[key] = desk.entries
    import_job(store, _told_again(plan, _WORKED[key], job, tag, terminal))
    return Desk.open(store, job, terminal)


_WORKED: dict[tuple[object, ...], tuple[Entry, ...]] = {}
"""What was done for a plan, by whom, and up to where."""


def _told_again(plan: Plan, entries: Sequence[Entry], job: str, tag: str, terminal: str) -> Record:
    """Give the record of a job in which the same was done at another terminal, the last of it just now."""
    later = datetime.now(UTC) - datetime.fromisoformat(entries[-1].time)
    told: list[Entry] = []
    for entry in entries:
        event = replace(entry.event, job=job, tag=tag) if isinstance(entry.event, Opened) else entry.event
        time = stamp(datetime.fromisoformat(entry.time) + later)
        before = told[-1] if told else None
        told += chained(job, before, (event,), time=time, operator=entry.operator, terminal=terminal)
    return Record(job, plan_bytes(plan), plan, tuple(told))


def _work(desk: Desk, by: Iterable[Person], read: Iterable[Person], up_to: str, *, ticked: bool) -> None:
    for person in by:
        do(desk, CameOn(person.operator, person.name, person.role), person.operator)
    for person in read:
        for caution in desk.state.index.cautions:
            do(desk, CautionAcknowledged(caution), person.operator)
    if up_to:
        work_up_to(desk, up_to)
    for step in desk.state.index.operations[up_to].steps if ticked else ():
        if step.tick is Tick.ONCE and not step.last:
            do(desk, StepTicked(up_to, desk.state.index.heads[0].id, step.name), MARA.operator)


def at_bench(
    home: Path,
    job: str,
    size: tuple[int, int] = (80, 24),
    *,
    name: str = MARA.name,
    command: Sequence[str] = (*HEADWRIGHT, "open"),
    **env: str,
) -> PtyApp:
    """Start the program on a job of a data folder, and say that somebody is at this terminal.

    Args:
        home: the data folder.
        job: the job's number.
        size: columns and lines of the terminal.
        name: who it is.
        command: what is started; the job's number follows.
        env: added to the environment.
    """
    app = PtyApp((*command, job), *size, env={"HEADWRIGHT_HOME": str(home), **env})
    come_on(app, name)
    return app


def come_on(app: PtyApp, name: str) -> None:
    """Say on the card that comes up who is at the bench; there is none where that was last said at this terminal."""
    app.wait_for(name)
    if "Who is at the bench?" not in app.text:
        return
    number = re.search(rf"(\d) \S+ +{re.escape(name)}", app.line_with(name))
    assert number is not None, app.text
    app.press(number[1], "enter")
    app.wait_for("Who is at the bench?", gone=True)


def desk_at(home: Path, job: str, terminal: str = "office") -> Desk:
    """Open a job of a data folder from another terminal."""
    return Desk.open(open_store(home / "headwright.db"), job, terminal)


def do(desk: Desk, wanted: Event, operator: str, pin: str = "") -> None:
    """Have something recorded that must be possible."""
    done = desk.submit(wanted, operator, pin)
    assert isinstance(done, Done), str(done)


def typed_reading(desk: Desk, found: Next, typed: str, operator: str = MARA.operator) -> ReadingTaken:
    """Give the reading that a typed text is at a point, with the gauge in hand, and beside one that it repeats."""
    assert found.point is not None
    index = desk.state.index
    reading = index.readings[found.operation, found.subject]
    window = Bench(desk.state, index.operations[found.operation], found.place).window(reading)
    read = entered(typed, reading, index.plan, window=window, choices=index.words(reading))
    assert isinstance(read, Entered), read
    unit = read.unit if reading.sort is Sort.NUMBER else ""
    _, station, angle = found.point
    taken = ReadingTaken(
        found.operation, found.place, found.subject, typed, unit, read.value, read.word, station, angle
    )
    if is_traced(desk.state, reading):
        gauge = in_hand(desk.state, operator, reading.gauge)
        taken = replace(taken, gauge=gauge.gauge if gauge is not None else "")
    old = desk.state.writing(found.operation, found.place).readings.get(found.point)
    return taken if old is None or reading.agree is None else replace(taken, over=old.number, repeat=True)


def measured(desk: Desk, place: str, count: int = 1 + len(POINTS)) -> None:
    """Take the first ball of a place and the sizes after it, so many figures in all."""
    ball, sizes = FIRST_BALL[place]
    for figure in (ball, *sizes)[:count]:
        found = next_up(desk.state, MARA.operator, ("size", place))
        do(desk, typed_reading(desk, found, figure), MARA.operator)


def work_up_to(desk: Desk, operation: str) -> None:
    """Do everything before an operation, as the two people of the invented shop who are on."""
    for _ in range(2000):
        found = next_up(desk.state, MARA.operator)
        person = MARA
        if found.now is Now.LOCKED:
            person = OWEN
            found = next_up(desk.state, OWEN.operator, (found.operation, found.place))
        if found.operation == operation:
            return
        do(desk, _wanted(desk, found, person.operator), person.operator)
    raise AssertionError(f"'{operation}' is never reached")


def go_on(desk: Desk) -> None:
    """Do the one thing that is next."""
    do(desk, _wanted(desk, next_up(desk.state, MARA.operator), MARA.operator), MARA.operator)


def work_to_hold(desk: Desk) -> None:
    """Do everything until nothing is left to do but to decide on a hold."""
    for _ in range(2000):
        found = next_up(desk.state, MARA.operator)
        if found.now is Now.HOLD:
            return
        do(desk, _wanted(desk, found, MARA.operator), MARA.operator)
    raise AssertionError("nothing is ever held")


def _wanted(desk: Desk, found: Next, operator: str) -> Event:
    wanted = _about_tools(desk, found, operator)
    if wanted is not None:
        return wanted
    match found.now:
        case Now.CAUTION:
            return CautionAcknowledged(found.subject)
        case Now.STEP:
            return StepTicked(found.operation, found.place, found.subject)
        case Now.READING:
            assert found.point is not None
            number = desk.state.writing(found.operation, found.place).number
            return typed_reading(desk, found, answer(found.operation, found.place, found.point, number), operator)
        case Now.HOLD:
            return _decided(desk, found)
        case _:
            raise AssertionError(f"nobody knows what to do: {found}")


def _about_tools(desk: Desk, found: Next, operator: str) -> Event | None:
    match found.now:
        case Now.GAUGE:
            return tray.wanted(desk.state, found, operator, desk.state.time[:10])
        case Now.TOOL:
            tool = tool_at(desk.state, found.operation, found.place)
            return ToolChosen(found.operation, found.place, found.subject, tool.item, tool.size)
        case Now.FIRST:
            return FirstPieceReleased(found.operation, found.place)
        case _:
            return None


def _decided(desk: Desk, found: Next) -> Disposed:
    hold = hold_at(desk.state, (found.operation, found.place))
    assert hold is not None
    return decision(hold)
