"""A desk in another process that is told by lines on stdin what to enter, and how far files may grow."""

from __future__ import annotations

import os
import resource
import sys
from pathlib import Path

from tests.faults.bench_job import depth

from headwright.errors import HeadwrightError
from headwright.store import open_store
from headwright.store.desk import Desk, Done


def _limit(room: int) -> None:
    """Let no file grow by more than so many bytes past what the log has now; below zero: without a limit."""
    _, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    log = Path(os.environ["HEADWRIGHT_HOME"]) / "headwright.db-wal"
    size = log.stat().st_size + room if room >= 0 and log.exists() else most
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, most))


def main(job: str) -> None:
    """Open the job, then do as told: `limit BYTES`, `take PLACE STATION FIGURE`; answer each in one line."""
    desk = Desk.open(open_store(), job, "worker")
    print("ready", flush=True)  # noqa: T201
    for line in sys.stdin:
        what, *rest = line.split()
        if what == "limit":
            _limit(int(rest[0]))
            answer = "limited"
        else:
            try:
                done = desk.submit(depth(*rest), "07")
                answer = "kept" if isinstance(done, Done) else f"refused {done}"
            except HeadwrightError as error:
                answer = f"fault {error.message}. {error.hint}"
        print(answer.replace("\n", " "), flush=True)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1])
