"""A pause after a key: what may be wanted next is worked out in it, and not while somebody waits."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

PAUSE = 0.02
"""Seconds without a key: what was drawn is on the terminal by then, and a hand needs longer to the next key."""


class Rest:
    """Does something once no key has come for a moment.

    Args:
        then: what is done; it changes nothing that is shown.
    """

    def __init__(self, then: Callable[[], None]) -> None:
        self._then = then
        self._waits: asyncio.TimerHandle | None = None

    def begin(self) -> None:
        """Begin the pause, anew where one had begun."""
        if self._waits is not None:
            self._waits.cancel()
        # Not a timer of Textual's, which is a task of its own and costs a tenth of what a key may take.
        self._waits = asyncio.get_running_loop().call_later(PAUSE, self._then)
