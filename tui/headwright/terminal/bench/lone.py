"""A sign that is a key of its own: Space for a tick, K to keep. What a gauge or a scanner sends may begin with one."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.timer import Timer

    from headwright.terminal.bench.asks import AskingScreen
    from headwright.terminal.bench.hand import Came

ALONE = 0.04
"""Seconds without another key after which a sign was a key of its own, and not the first of what a gauge sends."""


class Lone:
    """Does what a sign stands for once it is plain that nothing is sent behind it; else it is typed like the rest."""

    def __init__(self, bench: AskingScreen) -> None:
        self._bench = bench
        self._waits: tuple[Timer, str, Callable[[], Came]] | None = None

    def begin(self, sign: str, then: Callable[[], Came]) -> None:
        """Begin to wait with a sign and what it does."""
        self.end()
        self._waits = (self._bench.set_timer(ALONE, self.end), sign, then)

    def end(self, *, typed_on: bool = False) -> None:
        """Take the sign for what it was: a key of its own, or the first of what is `typed_on`."""
        if self._waits is None:
            return
        timer, sign, then = self._waits
        timer.stop()
        self._waits = None
        if typed_on:
            self._bench.hand.type(sign)
        else:
            self._bench.came(then())
