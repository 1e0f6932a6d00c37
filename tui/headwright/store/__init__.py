"""Where jobs are kept: the store, the desk at which one job is worked on, and the portable record.

Nothing here loads a database until `open_store` is called.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.store.contract import JobStore
from headwright.store.place import kit_file, store_file

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from headwright.store.front import SqlFront

__all__ = ["JobStore", "kit_file", "open_front", "open_store", "store_file"]


def open_store(path: Path | None = None, progress: Callable[[int, int], None] | None = None) -> JobStore:
    """Open the jobs store, and make it where there is none.

    Args:
        path: the store's file; None for the one in the user's data folder or in HEADWRIGHT_HOME.
        progress: is told how far it is where the lists of another version are worked out again.

    Raises:
        StoreError: the file cannot be made, read or written, is not a jobs store, or is of a newer version.
    """
    from headwright.store.sqlite import open_sqlite  # noqa: PLC0415 - loads the database, which --help does not need

    return open_sqlite(path or store_file(), progress=progress)


def open_front(path: Path | None = None, progress: Callable[[int, int], None] | None = None) -> SqlFront:
    """Open the jobs store as `open_store` does, for a look before all that works on jobs is loaded."""
    from headwright.store import sqlite  # noqa: PLC0415 - loads the database, which --help does not need

    return sqlite.open_front(path or store_file(), progress=progress)
