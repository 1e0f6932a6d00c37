"""Looking at the shop's people: who is on the list, and what was changed in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.errors import UsageError
from headwright.nearest import nearest
from headwright.procedure.plan import Role
from headwright.store.person import LONGEST_INITIALS, Change, Operator, tidy

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable
    from contextlib import AbstractContextManager

    Transaction = Callable[[], AbstractContextManager[sqlite3.Connection]]

_SHOWN = "SELECT initials, name, role, since, pin, misses, not_before FROM people"


class PeopleList:
    """The list in a database, to be looked at; every method raises StoreError when the store cannot be read.

    Args:
        reading: gives a connection, to read with one statement.
    """

    def __init__(self, reading: Transaction) -> None:
        self._reading = reading

    def all(self) -> tuple[Operator, ...]:
        """Give everybody, by initials."""
        with self._reading() as connection:
            rows = connection.execute(f"{_SHOWN} ORDER BY initials").fetchall()
        return tuple(map(_operator, rows))

    def leads(self) -> tuple[Operator, ...]:
        """Give the leads, by initials."""
        return tuple(each for each in self.all() if each.role is Role.LEAD)

    def find(self, initials: str) -> Operator | None:
        """Give the one with these initials, None where there is nobody."""
        with self._reading() as connection:
            return found(connection, tidy(initials))

    def known(self, initials: str) -> Operator:
        """Give the one with these initials.

        Raises:
            UsageError: there is nobody; with the nearest that somebody has.
        """
        person = self.find(initials)
        if person is None:
            near = nearest(tidy(initials), [each.initials for each in self.all()])
            raise UsageError(
                f"'{initials[:LONGEST_INITIALS]}' is not on the list of people",
                f"Nearest: '{near}'." if near else "'headwright operator' lists them.",
            )
        return person

    def known_lead(self, initials: str) -> Operator:
        """Give the lead with these initials.

        Raises:
            UsageError: there is nobody, or he is no lead.
        """
        person = self.known(initials)
        if not person.pin:
            raise UsageError(
                f"{person.initials} is on the list as {person.role.value}, and PINs are for leads",
                f"'headwright operator role {person.initials} lead' makes a lead of them, with a PIN.",
            )
        return person

    def see_free(self, initials: str) -> None:
        """See that initials can be given to somebody new.

        Raises:
            UsageError: somebody has them, or some that look the same.
        """
        initials = tidy(initials)
        alike = next((each for each in self.all() if each.initials.casefold() == initials.casefold()), None)
        if alike is not None and alike.initials != initials:
            raise UsageError(
                f"'{initials}' looks like '{alike.initials}', who is {alike.name}", "Choose initials that differ."
            )
        if alike is not None:
            raise taken(initials)

    def changes(self) -> tuple[Change, ...]:
        """Give every change to the list since the store was made, the oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT time, initials, what, approver FROM people_changes ORDER BY number"
            ).fetchall()
        return tuple(Change(*row) for row in rows)


def taken(initials: str) -> UsageError:
    """Say that somebody has these initials."""
    return UsageError(f"'{initials}' is on the list already", "'headwright operator' shows who that is.")


def _operator(row: Any) -> Operator:
    initials, name, role, since, pin, misses, not_before = row
    return Operator(initials, name, Role(role), since, bool(pin), misses, not_before)


def found(connection: sqlite3.Connection, initials: str) -> Operator | None:
    """Look for somebody by tidy initials."""
    if not initials.isprintable():
        return None  # half a sign, which no database takes, and nobody has
    row = connection.execute(f"{_SHOWN} WHERE initials = ?", (initials,)).fetchone()
    return None if row is None else _operator(row)
