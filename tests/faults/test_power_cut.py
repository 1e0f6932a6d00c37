"""The power goes while the log is being written: what opens afterwards is a beginning of the history that verifies."""

from __future__ import annotations

import random
import shutil
import sqlite3
from typing import TYPE_CHECKING

from tests.faults.bench_job import POINTS, depth, new_job

from headwright.store import open_store
from headwright.store.desk import Desk, Done
from headwright.store.record import record_of

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.events import Entry

CUTS = 150
JOB = "cut"


def _worked(home: Path) -> tuple[Entry, ...]:
    """Let a log fill up behind a file that has the job's opening only, and leave it as a power cut would."""
    new_job(home, JOB)
    store = open_store()
    desk = Desk.open(store, JOB, "here")
    for number, (place, station) in enumerate(POINTS[:40]):
        assert isinstance(desk.submit(depth(place, station, f"8.{number:03}"), "07"), Done)
    left = home / "left"
    left.mkdir()
    for name in ("headwright.db", "headwright.db-wal"):
        shutil.copy(home / name, left / name)
    store.close()
    return desk.entries


def _after(left: Path, log: bytes, number: int) -> tuple[Entry, ...]:
    """Open what a cut left; see that it is whole, that the chain verifies and that the job goes on."""
    there = left.with_name(f"cut-{number}")
    there.mkdir()
    shutil.copy(left / "headwright.db", there)
    (there / "headwright.db-wal").write_bytes(log)
    store = open_store(there / "headwright.db")
    entries = record_of(store, JOB).entries
    desk = Desk.open(store, JOB, "here")
    point = POINTS[len(entries) - 3]
    assert isinstance(desk.submit(depth(*point, "9.999"), "07"), Done)
    store.close()
    connection = sqlite3.connect(there / "headwright.db")
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()
    shutil.rmtree(there)
    return entries


def test_a_log_cut_off_anywhere_leaves_a_beginning_of_the_history(home: Path) -> None:
    entries = _worked(home)
    whole = (home / "left" / "headwright.db-wal").read_bytes()
    chance = random.Random(7)  # noqa: S311 - places to cut, not secrets
    found: dict[int, int] = {}
    for number in range(CUTS):
        at = chance.randrange(len(whole) + 1)
        kept = _after(home / "left", whole[:at], number)
        assert kept == entries[: len(kept)]
        found[at] = len(kept)
    counts = [count for _, count in sorted(found.items())]
    assert counts == sorted(counts), "a longer log never has less"
    assert len(set(counts)) > 20
    assert _after(home / "left", whole, CUTS) == entries


def test_a_log_whose_tail_is_garbage_leaves_a_beginning_of_the_history(home: Path) -> None:
    """Blocks that the disk had not written yet hold zeros, or whatever lay there before."""
    entries = _worked(home)
    whole = (home / "left" / "headwright.db-wal").read_bytes()
    chance = random.Random(8)  # noqa: S311
    lengths = set()
    for number in range(CUTS // 2):
        at = chance.randrange(0, len(whole), 512)
        tail = chance.randbytes(len(whole) - at) if number % 2 else bytes(len(whole) - at)
        kept = _after(home / "left", whole[:at] + tail, number)
        assert kept == entries[: len(kept)]
        lengths.add(len(kept))
    assert len(lengths) > 10
