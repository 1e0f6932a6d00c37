"""What is drawn goes to the terminal at once where it takes it, and waits in a thread where it does not."""

from __future__ import annotations

import os
import select
from threading import get_ident
from typing import TYPE_CHECKING

from textual.drivers._writer_thread import WriterThread

if TYPE_CHECKING:
    from typing import TextIO

SHORT = 4096
"""Bytes that are written at once: a frame after a key has some 2,000."""


class Outlet(WriterThread):
    """Textual's writer, without its thread where nothing waits: to hand over and wake up costs more than to write.

    What is drawn is written in order, whichever way it goes. A terminal that does not read keeps only the thread.

    Args:
        file: the terminal.
    """

    def __init__(self, file: TextIO) -> None:
        super().__init__(file)
        self._waiting = 0
        self._written = 0
        self._owner = get_ident()
        self._terminal = file.fileno()
        self._coding = file.encoding, file.errors or "strict"
        self._room = select.poll() if hasattr(select, "poll") and os.isatty(self._terminal) else None
        if self._room is not None:
            self._room.register(self._terminal, select.POLLOUT)

    def write(self, text: str) -> None:
        """Write text, now or as soon as the terminal takes it."""
        data = text.encode(*self._coding)
        if len(data) > SHORT or not self.is_free or not self._at_once(data):
            self._waiting += 1
            super().write(text)

    def _at_once(self, data: bytes) -> bool:
        try:
            while data:
                data = data[os.write(self._terminal, data) :]
        except OSError:
            # The terminal is gone; the thread meets that as it always would.
            return False
        return True

    @property
    def is_free(self) -> bool:
        """Whether nothing waits and the terminal has room, for the thread that made this: no other one draws."""
        return (
            self._room is not None
            and self._waiting == self._written
            and get_ident() == self._owner
            and bool(self._room.poll(0))
        )

    def run(self) -> None:
        """Write what waits."""
        while (text := self._queue.get()) is not None:
            self._file.write(text)
            self._file.flush()
            self._written += 1
