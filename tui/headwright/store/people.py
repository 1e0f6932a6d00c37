"""The shop's people: initials, name, role, and for leads a PIN; who changed what in the list is kept beside it.

A lead on the list has a PIN, and nobody else has one. The first lead of a shop chooses his; after that a new lead, and
any change to somebody on the list, takes the PIN of a lead who is there. Nothing here follows from the jobs.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from headwright.errors import Outdated, UsageError
from headwright.procedure.plan import Role
from headwright.store import pins
from headwright.store.people_list import PeopleList, found, taken
from headwright.store.person import LONGEST_INITIALS, WITHOUT_PIN, Operator, fitting_initials, fitting_name, tidy
from headwright.store.pins import PinRefused
from headwright.store.tables import PEOPLE, PEOPLE_CHANGES
from headwright.store.times import later, seconds_between

if TYPE_CHECKING:
    import sqlite3

    from headwright.store.people_list import Transaction
    from headwright.store.person import Approval


class People(PeopleList):
    """The list, to be looked at and changed; `now` is always the time, UTC as records have it.

    Every method raises StoreError when the store cannot be read or written.

    Args:
        reading: gives a connection, to read with one statement.
        writing: gives one in a transaction in which nobody else writes; kept at its end, or undone by an exception.
    """

    def __init__(self, reading: Transaction, writing: Transaction) -> None:
        super().__init__(reading)
        self._writing = writing

    def add(
        self, initials: str, name: str, role: Role, *, now: str, pin: str = "", by: Approval | None = None
    ) -> Operator:
        """Put somebody on the list.

        Args:
            initials: how the shop knows them, 1 to 12 characters.
            name: 1 to 80 characters.
            role: what they may do.
            now: the time.
            pin: for a lead, the PIN that he chose.
            by: for a lead, the lead who approves; not needed for the first.

        Raises:
            UsageError: initials or name cannot be kept, or the initials are taken.
            PinRefused: the chosen PIN cannot be one, or the approval is missing or wrong.
        """
        person = Operator(fitting_initials(initials), fitting_name(name), role, now, role is Role.LEAD)
        self.see_free(person.initials)
        kept = self._new_pin(person, pin) if person.pin else ""
        self._approve(by, now)
        with self._writing() as connection:
            if person.pin:
                _demand(connection, by, "a new lead")
            if found(connection, person.initials) is not None:
                raise taken(person.initials)
            connection.execute(PEOPLE.insert, (person.initials, person.name, role.value, kept, 0, "", now))
            _note(connection, now, person.initials, f"added as {role.value}: {person.name}", by)
        return person

    def change(
        self, initials: str, *, now: str, name: str = "", role: Role | None = None, pin: str = "",
        by: Approval | None = None,
    ) -> Operator:  # fmt: skip
        """Change the name or the role of somebody; a lead approves, once there is one.

        Args:
            initials: whose.
            now: the time.
            name: the new one; empty to leave it.
            role: the new one; None to leave it.
            pin: the PIN that a new lead chose.
            by: the lead who approves.

        Raises:
            UsageError: there is nobody of these initials, the name cannot be kept, or the last lead would be none.
            PinRefused: the chosen PIN cannot be one, or the approval is missing or wrong.
        """
        before = self.known(initials)
        name = fitting_name(name) if name else before.name
        role = role or before.role
        values: dict[str, Any] = {"name": name}
        if role is not before.role:
            kept = self._new_pin(before, pin) if role is Role.LEAD else ""
            values |= {"role": role.value, "pin": kept, "misses": 0, "not_before": ""}
        self._approve(by, now)
        with self._writing() as connection:
            _demand(connection, by, "a change to the list")
            _see_unchanged(connection, before)
            if before.role is Role.LEAD and role is not Role.LEAD:
                _keep_a_lead(connection, before)
            _update(connection, before.initials, values)
            if role is not before.role:
                _note(connection, now, before.initials, f"role {role.value}, was {before.role.value}", by)
            if name != before.name:
                _note(connection, now, before.initials, f"name {name}, was {before.name}", by)
        return self.known(before.initials)

    def set_pin(self, initials: str, pin: str, *, now: str, by: Approval | None) -> None:
        """Set a lead's PIN anew, and let no misses stand against it.

        Args:
            initials: whose.
            pin: the PIN that he chose.
            now: the time.
            by: a lead: himself with the PIN that he had, or another.

        Raises:
            UsageError: there is nobody of these initials, or he is no lead.
            PinRefused: the chosen PIN cannot be one, or the approval is wrong.
        """
        person = self.known_lead(initials)
        kept = self._new_pin(person, pin)
        self._approve(by, now)
        with self._writing() as connection:
            _demand(connection, by, "a new PIN")
            _see_unchanged(connection, person)
            _update(connection, person.initials, {"pin": kept, "misses": 0, "not_before": ""})
            _note(connection, now, person.initials, "PIN set", by)

    def forget(self, initials: str, *, now: str, by: Approval | None = None, keeper: bool = False) -> None:
        """Take somebody off the list; what he did stays in the jobs, and that he was on it in the changes.

        Args:
            initials: who.
            now: the time.
            by: the lead who approves.
            keeper: whoever keeps the machine, and could change the store's file by hand, does it without a PIN.

        Raises:
            UsageError: there is nobody of these initials, or he is the last lead and a lead approves.
            PinRefused: the approval is missing or wrong.
        """
        person = self.known(initials)
        self._approve(by, now)
        with self._writing() as connection:
            _see_unchanged(connection, person)
            if not keeper:
                _demand(connection, by, "taking somebody off the list")
                if person.role is Role.LEAD:
                    _keep_a_lead(connection, person)
            connection.execute("DELETE FROM people WHERE initials = ?", (person.initials,))
            how = WITHOUT_PIN if keeper else "taken off the list"
            _note(connection, now, person.initials, f"{how}: {person.name}, {person.role.value}", by)

    def check(self, initials: str, pin: str, now: str) -> None:
        """See that a PIN is that of a lead; every miss counts, here and for every terminal at this store.

        The miss is counted before the PIN is looked at, and taken back when it was right: so neither a second terminal
        nor a program that is ended in the middle gets a try for nothing.

        Raises:
            PinRefused: it is wrong, comes too soon after a miss, or there is none to hold it to.
        """
        initials, pin = tidy(initials), pins.typed(pin)
        if not pin:
            raise PinRefused(f"the PIN of {initials} is expected", "Type it, then Enter.")
        kept, misses, wait = self._counted(initials, now)
        if wait:
            hint = f"Wait {pins.wait_words(wait)}, then try again."
            raise PinRefused(f"too soon after {misses} wrong PINs of {initials}", hint, wait)
        if not (pins.can_be(pin) and pins.matches(kept, pin)):
            wait = pins.wait_after(misses)
            raise PinRefused(f"this is not the PIN of {initials}", self._after_a_miss(initials, wait), wait)
        fresh = pins.hashed(pin) if pins.is_old(kept) else kept
        with self._writing() as connection:
            connection.execute(
                "UPDATE people SET pin = ?, misses = 0, not_before = '' WHERE initials = ? AND pin = ?",
                (fresh, initials, kept),
            )

    def _counted(self, initials: str, now: str) -> tuple[str, int, int]:
        """Count a miss, unless it is too soon for another try; give the hash, the misses, and how long to wait, s."""
        with self._writing() as connection:
            person = found(connection, initials)
            if person is None or not person.pin:
                raise PinRefused(
                    f"there is no PIN for {initials[:LONGEST_INITIALS]} on this machine",
                    "Leads have one: come on as lead, or look at 'headwright operator'.",
                )
            (kept,) = connection.execute("SELECT pin FROM people WHERE initials = ?", (initials,)).fetchone()
            misses, not_before = person.misses, person.not_before
            left = seconds_between(now, not_before) if not_before else 0.0
            most = pins.wait_after(misses)
            if left > most:
                # The clock was set back: the wait begins again, and does not last until the old time comes round.
                left = most
                _update(connection, initials, {"not_before": later(now, most)})
            if left > 0:
                return kept, misses, math.ceil(left)
            misses += 1
            wait = pins.wait_after(misses)
            _update(connection, initials, {"misses": misses, "not_before": later(now, wait) if wait else ""})
        return kept, misses, 0

    def _after_a_miss(self, initials: str, wait: int) -> str:
        if not wait:
            return "Try again."
        if len(self.leads()) > 1:
            way = f"another lead sets a new one with 'headwright operator pin {initials}'."
        else:
            way = "'headwright operator --help' tells what a shop with one lead can do."
        return f"Wait {pins.wait_words(wait)}. Forgotten? Then {way}"

    def _new_pin(self, person: Operator, pin: str) -> str:
        if not pin:
            raise PinRefused(f"{person.initials} needs a PIN as lead", "Choose one of 4 to 12 digits, or some words.")
        return pins.hashed(pins.chosen(pin, person.initials, person.name))

    def _approve(self, by: Approval | None, now: str) -> None:
        if by is not None:
            self.check(by.initials, by.pin, now)


def _update(connection: sqlite3.Connection, initials: str, values: dict[str, Any]) -> None:
    sets = ", ".join(f"{name} = ?" for name in values)
    connection.execute(f"UPDATE people SET {sets} WHERE initials = ?", (*values.values(), initials))  # noqa: S608 - our own names


def _note(connection: sqlite3.Connection, now: str, initials: str, what: str, by: Approval | None) -> None:
    (last,) = connection.execute("SELECT max(number) FROM people_changes").fetchone()
    approver = tidy(by.initials) if by else ""
    connection.execute(PEOPLE_CHANGES.insert, ((last or 0) + 1, now, initials, what, approver))


def _demand(connection: sqlite3.Connection, by: Approval | None, what: str) -> None:
    """See that a lead approves, once there is one; looked at again in the transaction that makes the change."""
    leads = _leads(connection)
    if leads and (by is None or tidy(by.initials) not in leads):
        raise PinRefused(f"{what} takes the PIN of a lead", f"Leads are {', '.join(leads)}.")


def _see_unchanged(connection: sqlite3.Connection, before: Operator) -> None:
    now = found(connection, before.initials)
    if now is None or (now.name, now.role, now.since) != (before.name, before.role, before.since):
        raise Outdated(f"somebody else changed {before.initials} on the list first; nothing was written", "Look again.")


def _keep_a_lead(connection: sqlite3.Connection, person: Operator) -> None:
    if len(_leads(connection)) < 2:
        raise UsageError(f"{person.initials} is the only lead on the list", "Make somebody else a lead first.")


def _leads(connection: sqlite3.Connection) -> list[str]:
    rows = connection.execute("SELECT initials FROM people WHERE role = ? ORDER BY initials", (Role.LEAD.value,))
    return [initials for (initials,) in rows]
