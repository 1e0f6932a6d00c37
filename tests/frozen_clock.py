"""A clock for tests: it stands still until it is told to go on."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

START = datetime(2025, 3, 4, 8, 0, tzinfo=UTC)


class FrozenClock:
    """Tells the same time each time it is asked, in the way that records have it."""

    def __init__(self, now: datetime = START) -> None:
        self.now = now

    def __call__(self) -> str:
        return self.now.strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def forward(self, *, minutes: float = 0, seconds: float = 0) -> None:
        """Go on by so much."""
        self.now += timedelta(minutes=minutes, seconds=seconds)
