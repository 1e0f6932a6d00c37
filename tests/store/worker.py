"""Another process at the same store: started by tests as `python worker.py WHAT STORE …`, told what to do on stdin."""

from __future__ import annotations

import os
import resource
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from headwright.errors import HeadwrightError, Outdated
from headwright.job.chain import chained
from headwright.job.events import Entry, Noted
from headwright.job.evolve import fold
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.procedure.plan import plan_from
from headwright.store import open_store

if TYPE_CHECKING:
    from headwright.store import JobStore

JOB = "1001"


def say(*words: object) -> None:
    """Answer the test, at once."""
    sys.stdout.write(" ".join(str(word) for word in words) + "\n")
    sys.stdout.flush()


def note(store: JobStore, entries: tuple[Entry, ...], text: str) -> tuple[Entry, ...]:
    """Append a note to what this process knows of the job; give what it then knows."""
    new = chained(JOB, entries[-1], (Noted(text),), time=entries[-1].time, operator="07", terminal=str(os.getpid()))
    entries += new
    store.append(JOB, new, summary(fold(begin(plan_from(store.plan_json(JOB))), entries)))
    return entries


def rounds(store: JobStore) -> None:
    """At each line on stdin append one note, knowing the job as it was before; answer `kept` or `outdated`."""
    entries = store.entries(JOB)
    say("ready")
    for _ in sys.stdin:
        try:
            entries = note(store, entries, "one of two")
            say("kept", entries[-1].number)
        except Outdated:
            say("outdated")
            entries = store.entries(JOB)
        say("ready")


def many(store: JobStore) -> None:
    """Append notes for ever, saying the number and hash of each once it is kept."""
    entries = store.entries(JOB)
    while True:
        entries = note(store, entries, "x" * 50)
        say(entries[-1].number, entries[-1].hash)


def small_disk(store: JobStore) -> None:
    """Append with a limit on the size of files until it is refused, then lift the limit and append again."""
    entries = store.entries(JOB)
    used = max(file.stat().st_size for file in Path(store.where).parent.iterdir())
    _, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (used + 200_000, most))
    try:
        while True:
            entries = note(store, entries, "x" * 2000)
    except HeadwrightError as error:
        say("refused", entries[-1].number, error.message)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    entries = note(store, store.entries(JOB), "there is room again")
    say("kept", entries[-1].number)


def count(store: JobStore) -> None:
    """Say how many jobs there are."""
    say(len(store.jobs()))


def unprivileged(path: Path) -> None:
    """Open a store as somebody whom folder permissions hold back; answer `open` or the message and hint."""
    if os.geteuid() == 0:
        os.seteuid(65534)
    try:
        open_store(path).close()
        say("open")
    except HeadwrightError as error:
        say(error.message)
        say(error.hint)


def main(what: str, path: Path) -> None:
    """Do what the test asks."""
    if what == "unprivileged":
        open_store(path.with_name("warm")).close()  # loads every module while they can still be read
        unprivileged(path)
        return
    store = open_store(path)
    try:
        {"rounds": rounds, "many": many, "small-disk": small_disk, "open": count}[what](store)
    finally:
        store.close()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
