"""What the tests of the screens share: the store of the data folder, and a job at the sizing of its liners."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.store import open_store
from tests.terminal.alder_bench import opened

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore


@pytest.fixture
def store(home: Path) -> Iterator[JobStore]:
    """Open the store of the data folder."""
    home.mkdir()
    found = open_store(home / "headwright.db")
    yield found
    found.close()


@pytest.fixture
def sizing(home: Path) -> Path:
    """Give a data folder with job 2001 at the sizing of its liners, whose people are on at another terminal."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    opened(store, job="2001", up_to="size", ticked=True, terminal="office")
    store.close()
    return home
