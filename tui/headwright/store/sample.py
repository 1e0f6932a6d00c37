"""The job that comes with the program, to look round in: kept like any other, as it stood before sizing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.data import shipped
from headwright.errors import UsageError
from headwright.store.record import Record, import_job, read_record

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.store.contract import JobStore

SAMPLE = "1001.toml"
STOPS_BEFORE = "size"
"""The operation at which the sample is handed over: the first whose clearances are seen as they are typed."""


def bring_sample(store: JobStore, progress: Callable[[int, int], None] | None = None) -> tuple[str, bool]:
    """See that the sample job is in a store: bring it in as far as before sizing, or leave it as it has gone on since.

    Args:
        store: where it is to be.
        progress: is told how much is done, and of how much; what it raises ends it with nothing brought in.

    Returns:
        Its number, and whether it was brought in just now.

    Raises:
        UsageError: the store has another job of that number, or the installation has no sample.
        RecordBroken: the sample does not verify.
    """
    record = _sample(progress)
    until = events_before(record, STOPS_BEFORE)
    if store.last(record.job) is None:
        import_job(store, record, until, progress)
        return record.job, True
    if store.entries(record.job)[:until] != record.entries[:until]:
        raise UsageError(
            f"job '{record.job}' in {store.where} is not the sample job, which has the same number",
            "Look at the sample with another data folder: set HEADWRIGHT_HOME.",
        )
    return record.job, False


def events_before(record: Record, operation: str) -> int:
    """Count the events before the first that belongs to an operation; all of them where none does."""
    for entry in record.entries:
        if getattr(entry.event, "operation", "") == operation:
            return entry.number - 1
    return len(record.entries)


def _sample(progress: Callable[[int, int], None] | None) -> Record:
    path = shipped("sample_jobs") / SAMPLE
    if not path.is_file():
        raise UsageError("the sample job that comes with headwright is missing", "Install headwright again.")
    return read_record(path, progress)
