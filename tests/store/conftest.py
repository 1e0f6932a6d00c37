"""What the tests of the store share: a store in a file of its own, closed at the end, and a clock that can be set."""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING

import pytest
from tests.store.small import HandClock

from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Name the file of the store."""
    return tmp_path / "headwright.db"


@pytest.fixture
def opened() -> Iterator[ExitStack]:
    """Keep what is to be closed at the end of the test."""
    with ExitStack() as stack:
        yield stack


@pytest.fixture
def store(path: Path, opened: ExitStack) -> JobStore:
    """Open the store; where another holds it, the wait is short."""
    store = open_sqlite(path, wait=0.05)
    opened.callback(store.close)
    return store


@pytest.fixture
def clock() -> HandClock:
    """Give a clock that is set by hand."""
    return HandClock()
