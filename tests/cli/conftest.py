"""What the tests of the commands share: a command run in this process, and jobs in the user's own store."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import pytest

from headwright.cli import main
from headwright.store import open_store
from tests.at_desk import DeskShop

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from headwright.store import JobStore
    from tests.frozen_clock import FrozenClock


class Outcome(NamedTuple):
    """What a command left behind."""

    code: int
    out: str
    err: str


@pytest.fixture
def headwright(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Outcome]:
    """Give `headwright` as a function of its words."""
    monkeypatch.setenv("COLUMNS", "80")  # argparse wraps its usage at the width of the terminal

    def run(*words: str) -> Outcome:
        capsys.readouterr()
        code = main(words)
        said = capsys.readouterr()
        return Outcome(code, said.out, said.err)

    return run


@pytest.fixture
def store() -> Iterator[JobStore]:
    """Give the store that the commands find."""
    opened = open_store()
    yield opened
    opened.close()


@pytest.fixture
def shop(store: JobStore, clock: FrozenClock) -> DeskShop:
    """Give a job of number 1, just opened, with three people at the bench."""
    return DeskShop(store, clock)
