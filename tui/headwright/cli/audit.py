"""Recompute everything that is kept, and name the first event that does not fit.

Every hash and every plan's SHA-256 is computed anew, every event read and every
job gone through; the lists of jobs, sizings and gauges are compared with what
follows from the events. Nothing is written. The hash of a job's last event is
told, to be compared with the one on its sheet: a record that was cut short
together with its lists shows there alone. The shop's people are no part of it.
Exit code 1 when something does not fit.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from headwright.cli import progress, say
from headwright.cli.where import known
from headwright.errors import HeadwrightError, UsageError
from headwright.nearest import nearest
from headwright.sheet.plain import counted
from headwright.store import store_file

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterator

    from headwright.store.audit import Audited
    from headwright.store.kept import KeptStore


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("job", nargs="*", metavar="JOB", help="the number of a job; all jobs where none is named")
    parser.add_argument("--json", action="store_true", help="as JSON, for another program")


def run(asked: Namespace) -> int:
    """Audit, and give 0 where everything fits, else 1."""
    from headwright.store.kept import KeptStore  # noqa: PLC0415 - not for --help

    store = KeptStore(store_file())
    try:
        found = []
        for job in _gone_through(store, asked):
            found.append(job)
            if not asked.json:
                say.data("\n".join(_lines(job)))
    finally:
        store.close()
    if asked.json:
        _say_json(store, found)
    return _summed_up(store, found)


def _gone_through(store: KeptStore, asked: Namespace) -> Iterator[Audited]:
    from headwright.store.audit import audited  # noqa: PLC0415 - not for --help

    names = store.jobs()
    for job in asked.job:
        if known(job) not in names:
            near = nearest(job, names)
            hint = f"Nearest: '{near}'." if near else "'headwright jobs' lists those there are."
            raise UsageError(f"there is no job '{job}' in {store.where}", hint)
    wanted = tuple(dict.fromkeys(asked.job)) or names
    # Where the lines themselves come to the terminal, they tell how far it is.
    with progress.shown("Auditing", "jobs", wanted=asked.json or not sys.stdout.isatty()) as told:
        for number, job in enumerate(wanted, start=1):
            yield audited(store.job(job))
            told(number, len(wanted))


def _lines(job: Audited) -> Iterator[str]:
    events = counted(job.events, "event")
    if not job.findings:
        yield f"job {job.job}: {events}, every one fits; the last has the hash {job.hash}"
    for finding in job.findings:
        if finding.event:
            of = f" of {finding.time}" if finding.time else ""
            yield f"job {job.job}: event {finding.event}{of} does not fit: {finding.what}"
        else:
            yield f"job {job.job}: {finding.what}"


def _say_json(store: KeptStore, found: list[Audited]) -> None:
    import msgspec  # noqa: PLC0415 - not for --help

    told = {"store": store.where, "lists_compared": store.is_current, "jobs": found}
    say.json(msgspec.json.format(msgspec.json.encode(told)).decode())


def _summed_up(store: KeptStore, found: list[Audited]) -> int:
    bad = sum(bool(job.findings) for job in found)
    jobs, events = counted(len(found), "job"), counted(sum(job.events for job in found), "event")
    if not store.is_current:
        say.talk("The lists beside the events are of another version, and were not compared.")
    waiting = sum(job.waiting for job in found)
    if waiting:
        say.talk(f"{counted(waiting, 'doubt')} about gauges will be taken in when the jobs are next listed or opened.")
    if bad:
        say.talk(f"{bad} of {jobs} {'does' if bad == 1 else 'do'} not fit.")
        return HeadwrightError.exit_code
    say.talk(f"{jobs}, {events}: everything fits.")
    return 0
