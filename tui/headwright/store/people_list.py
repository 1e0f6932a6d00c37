"""Looking at the shop's people: who is on the list, and what was changed in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from headwright.errors import UsageError
from headwright.nearest import nearest
from headwright.procedure.plan import Role
from headwright.store.person import LONGEST_INITIALS, Change, Operator, tidy
from headwright.store.tables import people, people_changes

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager

    from sqlalchemy import Connection

    Transaction = Callable[[], AbstractContextManager[Connection]]

_SHOWN = tuple(people.c[name] for name in ("initials", "name", "role", "since", "pin", "misses", "not_before"))


class PeopleList:
    """The list in a database, to be looked at; every method raises StoreError when the store cannot be read.

    Args:
        reading: gives a connection in a transaction that only reads.
    """

    def __init__(self, reading: Transaction) -> None:
        self._reading = reading

    def all(self) -> tuple[Operator, ...]:
        """Give everybody, by initials."""
        with self._reading() as connection:
            rows = connection.execute(select(*_SHOWN).order_by(people.c.initials)).all()
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
        wanted = (people_changes.c[name] for name in Change.__struct_fields__)
        with self._reading() as connection:
            rows = connection.execute(select(*wanted).order_by(people_changes.c.number)).all()
        return tuple(Change(*row) for row in rows)


def taken(initials: str) -> UsageError:
    """Say that somebody has these initials."""
    return UsageError(f"'{initials}' is on the list already", "'headwright operator' shows who that is.")


def _operator(row: Any) -> Operator:
    initials, name, role, since, pin, misses, not_before = row
    return Operator(initials, name, Role(role), since, bool(pin), misses, not_before)


def found(connection: Connection, initials: str) -> Operator | None:
    """Look for somebody by tidy initials."""
    if not initials.isprintable():
        return None  # half a sign, which no database takes, and nobody has
    row = connection.execute(select(*_SHOWN).where(people.c.initials == initials)).one_or_none()
    return None if row is None else _operator(row)
