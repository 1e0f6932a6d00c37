"""The shop's kit, loaded beside the screen."""

from __future__ import annotations

from threading import Thread
from typing import TYPE_CHECKING

from headwright.errors import HeadwrightError

if TYPE_CHECKING:
    from headwright.procedure.kit import Kit


class ShopKit:
    """The kit at one terminal, loaded in the background when it is first asked for.

    Checking its quantities takes half a second that nobody should wait for. Leaving the program waits for it, because
    a library that is being loaded while Python shuts down takes the process with it.

    Attributes:
        kit: None until it is loaded, and where it cannot be.
        fault: why there is none, in one line; empty where there is one, or nobody knows yet.
        tags: what stands on the tags of what it has, so that a scanned one is no figure.
    """

    def __init__(self) -> None:
        self.kit: Kit | None = None
        self.fault = ""
        self.tags: frozenset[str] = frozenset()
        self._loader: Thread | None = None

    def load(self) -> None:
        """Begin to load it, once."""
        if self._loader is None:
            self._loader = Thread(target=self._read, name="kit")
            self._loader.start()

    def _read(self) -> None:
        from headwright.procedure.kit import load_kit  # noqa: PLC0415 - loads pint
        from headwright.store import kit_file  # noqa: PLC0415

        try:
            kit = load_kit(kit_file())
        except HeadwrightError as error:
            self.fault = error.message.splitlines()[0]
            return
        named = [part for parts in (kit.gauges, kit.rings, kit.balls, kit.cones, kit.pilots) for part in parts]
        self.tags = frozenset(part.id for part in named)
        self.kit = kit

    def wanted(self) -> Kit | None:
        """Give the kit now: what is left of loading it is waited for; None where it cannot be loaded."""
        self.load()
        self.wait()
        return self.kit

    def wait(self) -> None:
        """Wait until the kit is loaded, or is found faulty."""
        if self._loader is not None:
            self._loader.join()
