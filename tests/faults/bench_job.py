"""A job of nothing but figures, for faults: 80 points at eight places, each typed with a figure of its own."""

from __future__ import annotations

import re
import sqlite3
import sys
from typing import TYPE_CHECKING

from tests.terminal.pty_app import PtyApp

from headwright.job.chain import first_misfit
from headwright.job.events import CameOn, ReadingTaken
from headwright.procedure.plan import (
    PLAN_FORMAT,
    Condition,
    ConditionSort,
    Kind,
    Level,
    Operation,
    Place,
    Plan,
    Reading,
    Role,
    Unit,
)
from headwright.store import open_store
from headwright.store.desk import Desk, Done
from headwright.store.record import record_of

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.events import Entry

HEADWRIGHT = (sys.executable, "-m", "headwright")
MARA, OWEN = ("07", "Mara Quill"), ("02", "Owen Hale")
STATIONS = tuple("abcdefghij")
PLACES = ("1I", "2I", "3I", "4I", "1E", "2E", "3E", "4E")
POINTS = [(place, station) for place in PLACES for station in STATIONS]
COLUMNS = 138
"""Room for the ten figures of a place, and none for a drawing of the head beside them."""
FIGURE = re.compile(r"(?<![\d.])\d\.\d{3}(?![\d▏])")
"""A figure of three decimals in a cell, but not the one that the caret stands behind: that is still being typed."""


def figures_plan() -> Plan:
    """Make a plan of one operation that takes ten depths at each of eight places; sizes and head are invented."""
    positions = tuple(
        Place(name, Level.POSITION, name, ("job", "head:A"), Kind.INTAKE if name[1] == "I" else Kind.EXHAUST)
        for name in PLACES
    )
    depth = Reading("depth", "Depth", unit="mm", dimension="length", resolution=0.001, stations=STATIONS)
    return Plan(
        format=PLAN_FORMAT,
        route="depths",
        route_title="Depths",
        family="tern",
        family_title="Tern 40",
        application="road",
        application_title="Road",
        places=(Place("job", Level.JOB, "job"), Place("head:A", Level.HEAD, "A", ("job",)), *positions),
        conditions=(Condition("measured", "measured", ConditionSort.WORK, "What is not measured is not known."),),
        cautions=(),
        repairs=(),
        operations=(
            Operation("depths", "Depths", "It tells the wear.", Level.POSITION, makes=("measured",), readings=(depth,)),
        ),
        specs=(),
        units=(Unit("mm", "length", 1.0), Unit("in", "length", 25.4)),
    )


def new_job(home: Path, job: str) -> None:
    """Put down a fresh job with Mara on, in the data folder's store."""
    home.mkdir(exist_ok=True)
    store = open_store(home / "headwright.db")
    desk = Desk.create(store, figures_plan(), job, terminal="office")
    for initials, name in (MARA, OWEN):
        assert isinstance(desk.submit(CameOn(initials, name, Role.MACHINIST), initials), Done)
    store.close()


def at_bench(home: Path, job: str, *, command: tuple[str, ...] = HEADWRIGHT, who: str = "1", **env: str) -> PtyApp:
    """Start the program on a job and say who of the people is at this terminal, where that is asked."""
    app = PtyApp((*command, "open", job), COLUMNS, 40, env={"HEADWRIGHT_HOME": str(home), **env})
    try:
        app.wait_for("Mara Quill", "▸")
        if "Who is at the bench?" in app.text:
            app.press(who, "enter")
            app.wait_for("Who is at the bench?", gone=True)
        app.wait_for("▸")
    except BaseException:
        app.__exit__(None, None, None)
        raise
    return app


def depth(place: str, station: str, typed: str, over: int = 0) -> ReadingTaken:
    """Give a reading as the bench would submit it."""
    return ReadingTaken("depths", place, "depth", typed, "mm", float(typed), station=station, over=over)


def shown_figures(app: PtyApp) -> set[str]:
    """Give the figures in the cells of the table, those drawn as saved."""
    rows = [line for line in app.lines if re.match(r".*[·▸✓]\s*[1-4][IE]\s", line)]
    return {figure for row in rows for figure in FIGURE.findall(row)}


def sound(home: Path, job: str) -> tuple[Entry, ...]:
    """See that the file is whole and the job's chain verifies; give its entries."""
    path = home / "headwright.db"
    store = open_store(path)
    try:
        record = record_of(store, job)
        assert first_misfit(job, record.entries) is None
        times = [entry.time for entry in record.entries]
        assert times == sorted(times), "times on record never go back"
    finally:
        store.close()
    connection = sqlite3.connect(path)
    try:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    finally:
        connection.close()
    return record.entries


def typed_in(entries: tuple[Entry, ...]) -> list[str]:
    """Give the figures on record, as they were typed."""
    return [entry.event.typed for entry in entries if isinstance(entry.event, ReadingTaken)]


def said_on(app: PtyApp) -> str:
    """Give what is right of the route in one line, so that it does not matter where a text was broken."""
    return " ".join(line.split("│")[-1].strip() for line in app.lines)


def wait_said(app: PtyApp, text: str) -> None:
    """Wait until something is said, however it is broken into lines."""
    for _ in range(200):
        if text in said_on(app):
            return
        app.read(0.05)
    raise AssertionError(f"not said: {text}\n{app.text}")
