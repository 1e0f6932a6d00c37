"""Another process that finds a drift, or brings doubts in: `python quarantine_worker.py WHAT STORE JOB`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.store.gauged import GAUGE, OFF, RING

from headwright.job.events import GaugeChecked
from headwright.store.desk import Desk
from headwright.store.quarantine import bring_in
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from headwright.store import JobStore

LATER = "2025-03-04T09:00:00.000000Z"


class Halting:
    """A store at which the process stands still before it writes to any job but one."""

    def __init__(self, store: JobStore, job: str) -> None:
        self._store = store
        self._job = job

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    def append(self, job: str, *rest: Any) -> None:
        """Write to the one job; at another say so, and wait for ever."""
        if job != self._job:
            sys.stdout.write("between\n")
            sys.stdout.flush()
            sys.stdin.read()
        self._store.append(job, *rest)


def main(what: str, path: Path, job: str) -> None:
    """Do what the test asks."""
    store = open_sqlite(path)
    if what == "drift":
        halting: Any = Halting(store, job)
        Desk.open(halting, job, "bench-9", lambda: LATER).submit(GaugeChecked(GAUGE, "R-344", RING, OFF), "07")
        return
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    told = bring_in(store, lambda: LATER)
    sys.stdout.write(f"{len(told)} {sum(bool(each.waiting) for each in told)}\n")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), sys.argv[3])
