"""`headwright audit`: every job fits, or the first event that does not is named."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path  # noqa: TC003
from typing import TYPE_CHECKING

from headwright.job.events import Noted
from tests.at_desk import DeskShop

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.store import JobStore
    from tests.cli.conftest import Outcome
    from tests.frozen_clock import FrozenClock


def change(home: Path) -> None:
    connection = sqlite3.connect(home / "headwright.db", isolation_level=None)
    connection.execute("DROP TRIGGER events_stay")
    connection.execute("UPDATE events SET operator = '08' WHERE job = '1' AND number = 3")
    connection.close()


def test_a_store_that_fits_is_exit_code_0_with_the_last_hash_of_every_job(
    shop: DeskShop, store: JobStore, clock: FrozenClock, headwright: Callable[..., Outcome]
) -> None:
    DeskShop(store, clock, "2")
    told = headwright("audit")
    one, two = store.entries("1")[-1].hash, store.entries("2")[-1].hash
    assert told == (
        0,
        f"job 1: 4 events, every one fits; the last has the hash {one}\n"  # noqa: ISC004
        f"job 2: 4 events, every one fits; the last has the hash {two}\n",
        "2 jobs, 8 events: everything fits.\n",
    )
    assert headwright("audit", "2").out == told.out.splitlines(keepends=True)[1]
    assert shop.entries[-1].hash == one


def test_a_changed_event_is_exit_code_1_with_its_number_and_time(
    shop: DeskShop, store: JobStore, clock: FrozenClock, home: Path, headwright: Callable[..., Outcome]
) -> None:
    DeskShop(store, clock, "2")
    change(home)
    time = shop.entries[2].time
    told = headwright("audit")
    assert told.code == 1
    assert told.out.splitlines()[0] == (
        f"job 1: event 3 of {time} does not fit: it was changed, or something before it is missing"
    )
    assert told.err == "1 of 2 jobs does not fit.\n"
    assert headwright("audit", "2").code == 0
    said = headwright("audit", "--json")
    assert said.code == 1
    found = json.loads(said.out)
    assert found["lists_compared"] is True
    assert [(job["job"], job["events"], [f["event"] for f in job["findings"]]) for job in found["jobs"]] == [
        ("1", 4, [3]),
        ("2", 4, []),
    ]


def test_a_job_that_is_not_there_is_exit_code_2(shop: DeskShop, home: Path, headwright: Callable[..., Outcome]) -> None:
    assert headwright("audit", "10") == (
        2,
        "",
        f"headwright: there is no job '10' in {home}/headwright.db\nNearest: '{shop.desk.job}'.\n",
    )


def test_a_store_that_cannot_be_opened_is_exit_code_3(home: Path, headwright: Callable[..., Outcome]) -> None:
    told = headwright("audit")
    assert (told.code, told.out) == (3, "")
    assert told.err.startswith(f"headwright: there is no jobs store at {home}/headwright.db\n")
    home.mkdir(parents=True, exist_ok=True)
    (home / "headwright.db").write_text("a shopping list\n" * 10)
    assert headwright("audit").code == 3
    assert (home / "headwright.db").read_text() == "a shopping list\n" * 10


def test_ctrl_c_leaves_cleanly(shop: DeskShop, store: JobStore, clock: FrozenClock, home: Path) -> None:
    for number in range(2, 40):
        DeskShop(store, clock, str(number)).do(Noted("x"))
    running = subprocess.Popen(
        [sys.executable, "-u", "-m", "headwright", "audit"],
        env={**os.environ, "HEADWRIGHT_HOME": str(home)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert running.stdout is not None
    assert running.stdout.readline().startswith("job 1: ")
    running.send_signal(signal.SIGINT)
    _, said = running.communicate(timeout=30)
    assert (running.returncode, said) == (130, "")
    assert shop.desk.submit(Noted("goes on"), "07") is not None
