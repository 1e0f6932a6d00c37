"""Long work tells how far it is where somebody sees it, and Ctrl+C stops it with nothing half done."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from headwright.cli import progress
from headwright.job.chain import chained
from headwright.job.events import CameOn, Noted, Opened
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.procedure.plan import Role, plan_bytes, plan_sha256
from headwright.store import open_store
from headwright.store.record import Record, record_text
from headwright.store.replay import folded
from tests.job.small import MACHINIST, plan
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.events import Event
    from headwright.store import JobStore

EVENTS = 12_000
"""Enough that reading them takes seconds on any machine."""
HEADWRIGHT = [sys.executable, "-m", "headwright"]


@pytest.fixture(scope="module")
def long_job() -> Record:
    """A job with a great many notes."""
    small = plan()
    wanted: tuple[Event, ...] = (
        Opened("1", plan_sha256(small)),
        CameOn(MACHINIST, "Mara", Role.MACHINIST),
        *(Noted(f"note {number}") for number in range(EVENTS)),
    )
    entries = chained("1", None, wanted, time="2025-03-04T08:00:00.000000Z", operator=MACHINIST, terminal="bench 1")
    return Record("1", plan_bytes(small), small, entries)


@pytest.fixture
def kept(long_job: Record, home: Path) -> JobStore:
    """The store with that job in it."""
    store = open_store(home / "headwright.db")
    store.create(long_job.plan_json, long_job.entries, summary(folded(begin(long_job.plan), long_job.entries, "it")))
    store.close()
    return store


@pytest.fixture
def record(long_job: Record, tmp_path: Path) -> Path:
    """The job as a record's file."""
    path = tmp_path / "1.toml"
    path.write_text(record_text(long_job), encoding="utf-8")
    return path


def test_import_tells_how_far_it_is_and_ctrl_c_brings_nothing_in(record: Path, home: Path) -> None:
    with PtyApp([*HEADWRIGHT, "import", str(record)], 100, 24) as app:
        app.wait_for("Checking the record", "(Ctrl+C stops)")
        app.press("ctrl+c")
        assert app.ended() == 130
        assert "Traceback" not in app.text
        assert "Checking" not in app.text.replace("^C", "")
    store = open_store(home / "headwright.db")
    assert store.jobs() == ()
    store.close()


def test_the_line_is_wiped_when_the_work_is_done(record: Path) -> None:
    with PtyApp([*HEADWRIGHT, "import", str(record)], 100, 24) as app:
        app.wait_for(f" of {EVENTS + 2} events (Ctrl+C stops)")
        assert app.ended() == 0
        assert app.lines[:3] == ["1", f"{EVENTS + 2} events brought in.", ""]


@pytest.mark.parametrize("after", [0.2, 0.3, 0.4, 0.5, 0.7])
def test_an_export_stopped_at_any_moment_leaves_the_whole_file_or_none(
    kept: JobStore, tmp_path: Path, long_job: Record, after: float
) -> None:
    assert kept.where
    target = tmp_path / "out" / "1.toml"
    target.parent.mkdir()
    running = subprocess.Popen([*HEADWRIGHT, "export", "1", str(target)], stderr=subprocess.PIPE)
    time.sleep(after)
    running.send_signal(signal.SIGINT)
    running.communicate(timeout=60)
    assert running.returncode in {0, 130, -signal.SIGINT}
    assert list(target.parent.iterdir()) in ([], [target])
    if running.returncode == 0:
        assert target.read_text(encoding="utf-8") == record_text(long_job)


def test_ctrl_c_in_a_replay_leaves_the_terminal_clean(record: Path) -> None:
    with PtyApp([*HEADWRIGHT, "replay", str(record)], 100, 24) as app:
        app.wait_for(" events (Ctrl+C stops)")
        app.press("ctrl+c")
        assert app.ended() == 130
        assert "Ctrl+C" not in app.text
        assert "Traceback" not in app.text


@pytest.mark.parametrize("after", [0.3, 0.6, 0.9, 1.2, 1.6, 2.0])
def test_an_import_stopped_at_any_moment_is_there_whole_or_not_at_all(record: Path, home: Path, after: float) -> None:
    running = subprocess.Popen(
        [*HEADWRIGHT, "import", str(record)],
        env={**os.environ, "HEADWRIGHT_HOME": str(home)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(after)
    running.send_signal(signal.SIGINT)
    out, said = running.communicate(timeout=60)
    assert "(Ctrl+C stops)" not in said
    store = open_store(home / "headwright.db")
    kept = [job.number for job in store.jobs()]
    store.close()
    assert kept in ([], [EVENTS + 2])
    if running.returncode == 0:
        assert (out, kept) == ("1\n", [EVENTS + 2])
    else:
        assert running.returncode in {130, -signal.SIGINT}


def test_what_is_quick_says_nothing_of_how_far_it_is(home: Path) -> None:
    with PtyApp([*HEADWRIGHT, "jobs"], 100, 24, {"HEADWRIGHT_HOME": str(home)}) as app:
        assert app.ended() == 0
        assert "Ctrl+C" not in bytes(app.raw).decode()


def test_lists_of_another_version_that_are_stopped_half_way_are_begun_again_at_the_next_start(
    kept: JobStore, home: Path
) -> None:
    assert kept.where
    with closing(sqlite3.connect(home / "headwright.db")) as raw, raw:
        raw.execute("UPDATE meta SET value = 0 WHERE key = 'read-models'")
        raw.execute("UPDATE summaries SET json = x'7b7d'")

    def stopped(done: int, of: int) -> None:
        assert (done, of) == (1, 1)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        open_store(home / "headwright.db", stopped)
    with closing(sqlite3.connect(home / "headwright.db")) as raw:
        assert raw.execute("SELECT value FROM meta WHERE key = 'read-models'").fetchone() == (0,)
    store = open_store(home / "headwright.db")
    assert [job.number for job in store.jobs()] == [EVENTS + 2]
    store.close()


@pytest.mark.parametrize("columns", [20, 60, 80, 200])
@pytest.mark.parametrize("far", [(0, 0), (3, 10), (99_999, 100_000)])
def test_the_line_never_wraps_for_then_it_could_not_be_written_over(
    monkeypatch: pytest.MonkeyPatch, columns: int, far: tuple[int, int]
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    told = progress.Told()
    told(*far)
    text = progress._Line("Working the lists out again", "jobs", told)._text()
    assert len(text) < columns
    if columns >= 80:
        assert text.endswith("(Ctrl+C stops)")
