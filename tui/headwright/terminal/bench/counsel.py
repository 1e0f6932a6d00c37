"""Which ball to push next, in words: asked of what the shop has sized so far, once the kit is loaded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.errors import HeadwrightError
from headwright.job.sizing import BALL
from headwright.job.temperature import soak_words, soaking
from headwright.terminal.bench.shop_kit import ShopKit

if TYPE_CHECKING:
    from headwright.job.state import At, State
    from headwright.procedure.kit import Kit
    from headwright.store import JobStore
    from headwright.store.people import People


class Counsel:
    """What the shop owns and knows, at one terminal: its kit, and the ball advice.

    Until the kit is loaded, and where nothing can be advised, the words are empty.
    """

    def __init__(self, store: JobStore) -> None:
        self.store = store
        self.shop = ShopKit()
        self._said: tuple[int, At, str] = (0, ("", ""), "")

    @property
    def people(self) -> People:
        """The shop's list of people."""
        return self.store.people

    def words(self, state: State, at: At) -> str:
        """Say which ball to push next, or how long a head still soaks; empty where neither is asked or known yet."""
        if soaking(state.index.operations[at[0]]) is not None:
            from headwright.store.desk import utc_now  # noqa: PLC0415

            return soak_words(state, at, utc_now())
        if all(reading.role != BALL for reading in state.index.operations[at[0]].readings):
            return ""
        if self.shop.kit is None:
            self.shop.load()
            return f"No ball can be named: {self.shop.fault}" if self.shop.fault else ""
        if self._said[:2] != (state.number, at):
            self._said = (state.number, at, self._advise(state, at, self.shop.kit))
        return self._said[2]

    def _advise(self, state: State, at: At, kit: Kit) -> str:
        from headwright.store.advice import ball_words  # noqa: PLC0415 - wanted where a ball is pushed only
        from headwright.store.desk import utc_now  # noqa: PLC0415

        try:
            return ball_words(self.store, state, at, kit, utc_now())
        except HeadwrightError as error:
            return error.message

    def wait(self) -> None:
        """Wait until the kit is loaded, or is found faulty."""
        self.shop.wait()
