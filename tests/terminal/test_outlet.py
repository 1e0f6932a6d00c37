"""What is drawn reaches the terminal in order and at once; a terminal that does not read holds nobody up."""

from __future__ import annotations

import os
import pty
import threading
import time
import tty
from typing import TYPE_CHECKING

import pytest

from headwright.terminal.outlet import SHORT, Outlet

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import TextIO

LIMIT = 10.0


@pytest.fixture
def terminal() -> Iterator[tuple[int, TextIO]]:
    """A pseudo-terminal: the end that shows, and the one that a program writes to."""
    shows, writes = pty.openpty()
    tty.setraw(writes)
    with os.fdopen(writes, "w", encoding="utf-8", errors="backslashreplace") as file:
        yield shows, file
    os.close(shows)


def shown(shows: int, count: int) -> str:
    """Give what a terminal was sent, so many bytes of it."""
    found = b""
    while len(found) < count:
        found += os.read(shows, 1 << 16)
    return found.decode()


def test_a_frame_is_there_without_the_thread(terminal: tuple[int, TextIO]) -> None:
    shows, file = terminal
    outlet = Outlet(file)
    outlet.write("a ✓ ")
    outlet.write("and b")
    assert shown(shows, 11) == "a ✓ and b"


def test_what_is_long_goes_by_the_thread_and_what_follows_stays_behind_it(terminal: tuple[int, TextIO]) -> None:
    shows, file = terminal
    outlet = Outlet(file)
    texts = ["1" * (SHORT + 1), "2", "3" * (SHORT + 1), "4"]
    for text in texts:
        outlet.write(text)
    outlet.start()
    assert shown(shows, sum(map(len, texts))) == "".join(texts)
    outlet.stop()
    outlet = Outlet(file)
    outlet.write("5")
    assert shown(shows, 1) == "5"


def test_a_terminal_that_does_not_read_holds_nobody_up(terminal: tuple[int, TextIO]) -> None:
    shows, file = terminal
    texts = ["x" * 200_000, *(f"<{number}>" for number in range(20)), "end"]
    outlets: list[Outlet] = []

    def draw() -> None:
        outlet = Outlet(file)
        outlets.append(outlet)
        outlet.start()
        for text in texts:
            outlet.write(text)

    drawing = threading.Thread(target=draw, daemon=True)
    drawing.start()
    drawing.join(LIMIT)
    assert not drawing.is_alive()
    expected = "".join(texts)
    assert shown(shows, len(expected)) == expected
    outlets[0].stop()


def test_what_is_drawn_again_after_a_wait_is_written_at_once(terminal: tuple[int, TextIO]) -> None:
    shows, file = terminal
    outlet = Outlet(file)
    outlet.start()
    outlet.write("y" * (SHORT + 1))
    shown(shows, SHORT + 1)
    until = time.monotonic() + LIMIT
    while not outlet.is_free and time.monotonic() < until:
        time.sleep(0.001)
    outlet.stop()
    outlet.write("z")
    assert shown(shows, 1) == "z"


def test_a_file_takes_it_by_the_thread(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("out") / "drawn"
    with path.open("w", encoding="utf-8") as file:
        outlet = Outlet(file)
        outlet.write("a")
        assert path.read_text() == ""
        outlet.start()
        outlet.stop()
    assert path.read_text() == "a"
