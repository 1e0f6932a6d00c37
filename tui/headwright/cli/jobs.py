"""List the jobs, the one that was last worked on first.

Times are UTC. 'done' counts operations at their places: 41/120 is 41 done of
120 that apply.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.cli import say
from headwright.cli.where import opened_store
from headwright.sheet.plain import columns, plain

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Sequence

    from headwright.job.listed import Summary
    from headwright.store import JobStore

_HEADINGS = ("job", "status", "done", "held", "at", "on", "engine", "tag", "last event")


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("--json", action="store_true", help="as JSON, for another program")


def run(asked: Namespace) -> int:
    """List them."""
    with opened_store() as store:
        _bring_in_doubts(store)
        found = store.jobs()
    if asked.json:
        import msgspec  # noqa: PLC0415 - not for --help

        say.json(msgspec.json.format(msgspec.json.encode(found)).decode())
    elif found:
        say.data("\n".join(_table(found)))
    else:
        say.talk("There is no job yet. 'headwright new' opens one, 'headwright open --sample' shows one.")
    return 0


def _bring_in_doubts(store: JobStore) -> None:
    if store.waiting():
        from headwright.store.desk import utc_now  # noqa: PLC0415 - 0.1 s that only a doubt is worth
        from headwright.store.quarantine import bring_in  # noqa: PLC0415

        bring_in(store, utc_now)


def _table(found: Sequence[Summary]) -> list[str]:
    return columns([_HEADINGS, *map(_row, found)])


def _row(job: Summary) -> tuple[str, ...]:
    cells = (
        job.job,
        f"{job.status}, {job.doubted} in doubt" if job.doubted else job.status,
        f"{job.done}/{job.due}",
        str(job.held or "-"),
        job.at or "-",
        " ".join(job.on) or "-",
        job.family,
        job.tag or "-",
        job.time[:16].replace("T", " "),
    )
    return tuple(map(plain, cells))
