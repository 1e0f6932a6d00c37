"""What it costs to keep one reading, against the disk itself, measured in turn on the same disk.

    python tests/bench/store.py [--readings 500] [--folder FOLDER] [--pause 0]

A plain file that 84 bytes are appended to and synchronised with the disk is the unit. SQLite alone, one insert of the
same bytes with the same care, is the least that a store on it could take. Then the store as the bench uses it: the
entry with its hash and the job's summary; the same with the sizings of a job of 32 positions written anew; and a whole
answer at the desk, from what is wanted to what is on disk. Medians and 99th percentiles.
"""

from __future__ import annotations

import argparse
import os
import sqlite3
import sys
import tempfile
import time
from pathlib import Path
from statistics import median, quantiles
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).parents[2]))

from msgspec.structs import replace
from tests.store.small import Job, reading, small_plan

from headwright.job.events import CameOn
from headwright.job.sizing import Sized, Stratum
from headwright.procedure.plan import Role
from headwright.store.desk import Desk, Done
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from collections.abc import Callable

LINE = b"x" * 84
POSITIONS = 32


def plain_file(folder: Path) -> Callable[[int], object]:
    """Append a line to a file and synchronise it."""
    file = (folder / "plain").open("ab", buffering=0)

    def append(_: int) -> None:
        file.write(LINE)
        os.fdatasync(file.fileno())

    return append


def plain_sqlite(folder: Path) -> Callable[[int], object]:
    """Insert one row into a table, as durably as the store does."""
    connection = sqlite3.connect(folder / "plain.db", isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("CREATE TABLE lines (number INTEGER PRIMARY KEY, line BLOB)")
    return lambda _: connection.execute("INSERT INTO lines (line) VALUES (?)", (LINE,))


def store(folder: Path, count: int, sizings: tuple[Sized, ...] | None) -> Callable[[int], object]:
    """Append entries that were made beforehand to a job."""
    job = Job()
    kept = open_sqlite(folder / f"store-{'sizings' if sizings else 'readings'}.db")
    job.keep(kept)
    summary = job.summary
    entries = [job.add(reading()) for _ in range(count)]
    return lambda number: kept.append("1001", entries[number], summary, sizings)


def desk(folder: Path) -> Callable[[int], object]:
    """Submit one reading after another at a desk."""
    at = Desk.create(open_sqlite(folder / "desk.db"), small_plan(), "1001", terminal="bench-1")
    at.submit(CameOn("07", "Ana Ruiz", Role.LEAD), "07")

    def submit(number: int) -> None:
        last = at.state.attempt("size", "1I").readings.get(("bore", "top", None))
        figure = reading("1I", "top", 0.344 + number % 2 * 1e-4)
        answer = at.submit(replace(figure, over=last.number if last else 0), "07")
        if not isinstance(answer, Done):
            raise SystemExit(f"refused: {answer}")

    return submit


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--readings", type=int, default=500, help="readings of each kind")
    parser.add_argument("--folder", type=Path, default=Path.cwd(), help="a folder on the disk to measure")
    parser.add_argument("--pause", type=float, default=0.0, help="seconds before each, as of a person who types")
    chosen = parser.parse_args()
    alike = Stratum("iron", "bronze", "8 mm", "wax", later=False)
    pushes = tuple(Sized(f"{n}I", n, "", alike, 7.88, 7.97, 7.96) for n in range(POSITIONS))
    with tempfile.TemporaryDirectory(dir=chosen.folder) as name:
        folder = Path(name)
        ways = {
            "plain file": plain_file(folder),
            "SQLite alone": plain_sqlite(folder),
            "store: entry, summary": store(folder, chosen.readings, None),
            f"store: and {POSITIONS} sizings": store(folder, chosen.readings, pushes),
            "desk: a whole answer": desk(folder),
        }
        taken: dict[str, list[float]] = {way: [] for way in ways}
        for number in range(chosen.readings):
            for way, once in ways.items():
                time.sleep(chosen.pause)
                start = time.perf_counter()
                once(number)
                taken[way].append((time.perf_counter() - start) * 1000)
    unit = median(taken["plain file"])
    say = sys.stdout.write
    say(f"{'':24}{'median ms':>12}{'99 % ms':>12}{'x plain file':>15}\n")
    for way, times in taken.items():
        say(f"{way:24}{median(times):12.3f}{quantiles(times, n=100)[98]:12.3f}{median(times) / unit:15.2f}\n")


if __name__ == "__main__":
    main()
