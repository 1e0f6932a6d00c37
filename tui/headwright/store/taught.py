"""What an answer at the desk changes in what the job teaches of sizing: looked at only where it can."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.events import Disposed, ReadingStruck, ReadingTaken
from headwright.job.sizing import Sized, sizings, teaches

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.job.events import Entry
    from headwright.job.state import State


class Taught:
    """The pushes that a store has of one job, as far as this terminal knows; nothing is known at first."""

    def __init__(self, state: State) -> None:
        self._teaches = teaches(state)
        self._kept: tuple[Sized, ...] | None = None

    def changed(self, state: State, entries: Iterable[Entry]) -> tuple[Sized, ...] | None:
        """Give every push of the job after new entries, None where the store has just these already."""
        if not (self._teaches and may_teach(state, entries)):
            return None
        found = sizings(state)
        return None if found == self._kept else found

    def keep(self, found: tuple[Sized, ...] | None) -> None:
        """Take it that the store has these pushes; None where nothing was written."""
        if found is not None:
            self._kept = found

    def forget(self) -> None:
        """Know nothing any more, because another terminal wrote."""
        self._kept = None


def may_teach(state: State, entries: Iterable[Entry]) -> bool:
    """Tell whether entries can change the pushes of a job; `state` is the job after them.

    Closing and ticking change none: a push is told by its readings, and counts unless they are struck or doubted.
    """
    return any(_may(state, entry) for entry in entries)


def _may(state: State, entry: Entry) -> bool:
    match entry.event:
        case ReadingTaken(operation=operation, reading=reading):
            return bool(state.index.readings[operation, reading].role)
        case ReadingStruck(number=number):
            (operation, _), point = state.where[number]
            return bool(state.index.readings[operation, point[0]].role)
        case Disposed():
            return True
        case _:
            return False
