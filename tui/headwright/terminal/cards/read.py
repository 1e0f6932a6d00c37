"""Cards that are read to their end, and acknowledged with a key by itself."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll

from headwright.terminal.cards.card import TextCard
from headwright.terminal.keys import Key, bindings, in_use
from headwright.terminal.outer_keys import CAUTION

if TYPE_CHECKING:
    from textual import events
    from textual.binding import BindingType
    from textual.timer import Timer

ALONE = 0.3
"""Seconds before and after the key that acknowledges in which no other may come: words and bar codes do not count."""
BY_ITSELF = "{key} counts only by itself: press it when you have read this."


class ReadCard(TextCard[bool]):
    """Show a text until it is acknowledged (True) or left (None); unread text must be scrolled past first.

    What was typed for the screen below, a word or a bar code, acknowledges nothing: its key counts only alone.
    """

    KEYS: ClassVar[tuple[Key, ...]] = CAUTION
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(CAUTION)]

    def __init__(self, title: str) -> None:
        super().__init__(title)
        self._typed_at = monotonic()
        self._coming: Timer | None = None

    def on_mount(self) -> None:
        """Keys typed before the card was seen are on their way still."""
        self._typed_at = monotonic()

    def on_key(self, event: events.Key) -> None:
        """Wait whether another key comes with the one that acknowledges."""
        mine = event.key in self._key.keys.split(",")
        if not mine and not event.is_printable and event.key not in {"enter", "ctrl+j"}:
            return
        before, self._typed_at = self._typed_at, monotonic()
        crowded = self._coming is not None or self._typed_at - before < ALONE
        if self._coming is not None:
            self._coming.stop()
            self._coming = None
            self._say_alone()
        if mine:
            event.stop()
            if crowded:
                self._say_alone()
            else:
                self._coming = self.set_timer(ALONE, self._read)
        elif not crowded and (event.is_printable or event.key in {"enter", "ctrl+j"}) and event.key != "space":
            self._say_alone()

    def _say_alone(self) -> None:
        self.say(BY_ITSELF.format(key=self._key.sign))

    @property
    def _key(self) -> Key:
        """The key that acknowledges, as it is in use."""
        return next(in_use(key) for key in self.KEYS if key.id == "card_read")

    def _read(self) -> None:
        self._coming = None
        self.action_card_read()

    def action_card_read(self) -> None:
        """Acknowledge the text, once its end has been on screen."""
        text = self.query_one(VerticalScroll)
        if text.scroll_offset.y < text.max_scroll_y:
            text.scroll_page_down(animate=False)
            self.say(f"There was more below: read on, then press {self._key.sign}.")
        else:
            self.settle(True)  # noqa: FBT003 - the answer
