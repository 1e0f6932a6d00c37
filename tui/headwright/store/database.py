"""The connection that a jobs store works on: what it promises, whatever database is behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import sqlite3
    from contextlib import AbstractContextManager


class Conflict(Exception):
    """A row is there already, or one that it names is not; nothing was written."""


class Database(Protocol):
    """A connection that is held while the store is open, by one thread at a time; its failures are StoreErrors."""

    @property
    def where(self) -> str:
        """Name the place, for messages."""

    def reading(self) -> AbstractContextManager[sqlite3.Connection]:
        """Give the connection, to read with one statement."""

    def writing(self) -> AbstractContextManager[sqlite3.Connection]:
        """Give the connection in a transaction in which nobody else writes, kept at its end or undone.

        Raises:
            Conflict: a statement would have broken a key.
        """

    def close(self) -> None:
        """Close the connection."""
