"""What the tests of the screens share: how they wait, a store, and a job at the sizing of its liners."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
import textual.app
import textual.pilot
from textual.driver import Driver
from textual.events import Key

from headwright.store import open_store
from headwright.store.sample import bring_sample
from tests.terminal.alder_bench import opened
from tests.terminal.idle import Hand, wait_for_idle

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.message import Message

    from headwright.store import JobStore


@pytest.fixture(autouse=True)
def _by_hand_and_no_slower(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let pilots wait for what is left to be done, and for no time besides."""
    for module in (textual.app, textual.pilot):
        monkeypatch.setattr(module, "wait_for_idle", wait_for_idle)
    hand, send = Hand(), Driver.send_message

    def sent(driver: Driver, message: Message) -> None:
        if isinstance(message, Key):
            message.time = hand.presses(message.time)
        send(driver, message)

    monkeypatch.setattr(Driver, "send_message", sent)


@pytest.fixture
def store(home: Path) -> Iterator[JobStore]:
    """Open the store of the data folder."""
    home.mkdir()
    found = open_store(home / "headwright.db")
    yield found
    found.close()


@pytest.fixture
def sampled(home: Path) -> Path:
    """Give a data folder with the sample job."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    bring_sample(store)
    store.close()
    return home


@pytest.fixture
def sizing(home: Path) -> Path:
    """Give a data folder with job 2001 at the sizing of its liners, whose people are on at another terminal."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    opened(store, job="2001", up_to="size", ticked=True, terminal="office")
    store.close()
    return home
