"""Which ball to push next, in words: asked of what the shop has sized so far, once the kit is loaded."""

from __future__ import annotations

from threading import Thread
from typing import TYPE_CHECKING

from headwright.errors import HeadwrightError
from headwright.job.sizing import BALL

if TYPE_CHECKING:
    from headwright.job.state import At, State
    from headwright.procedure.kit import Kit
    from headwright.store import JobStore


class Counsel:
    """The ball advice at one terminal.

    The kit is loaded in the background, the first time that a ball is asked for: checking its quantities takes half a
    second that nobody should wait for. Leaving the program waits for it, because a library that is being loaded while
    Python shuts down takes the process with it. Until then, and where nothing can be advised, the words are empty.
    """

    def __init__(self, store: JobStore) -> None:
        self._store = store
        self._kit: Kit | None = None
        self._fault = ""
        self._loader: Thread | None = None
        self._said: tuple[int, At, str] = (0, ("", ""), "")

    def words(self, state: State, at: At) -> str:
        """Say which ball to push next at a position; empty where no ball is asked for or nothing is known yet."""
        if all(reading.role != BALL for reading in state.index.operations[at[0]].readings):
            return ""
        if self._kit is None:
            self._load()
            return self._fault
        if self._said[:2] != (state.number, at):
            self._said = (state.number, at, self._advise(state, at, self._kit))
        return self._said[2]

    def _advise(self, state: State, at: At, kit: Kit) -> str:
        from headwright.store.advice import ball_words  # noqa: PLC0415 - wanted where a ball is pushed only
        from headwright.store.desk import utc_now  # noqa: PLC0415

        try:
            return ball_words(self._store, state, at, kit, utc_now())
        except HeadwrightError as error:
            return error.message

    def _load(self) -> None:
        if self._loader is None:
            self._loader = Thread(target=self._read, name="kit")
            self._loader.start()

    def _read(self) -> None:
        from headwright.procedure.kit import load_kit  # noqa: PLC0415 - loads pint
        from headwright.store import kit_file  # noqa: PLC0415

        try:
            self._kit = load_kit(kit_file())
        except HeadwrightError as error:
            self._fault = f"No ball can be named: {error.message.splitlines()[0]}"

    def wait(self) -> None:
        """Wait until the kit is loaded, or is found faulty."""
        if self._loader is not None:
            self._loader.join()
