"""Who comes on fits the shop's list, and what only a lead decides carries the truth about his PIN.

Under a plan without PINs nobody is refused here: the list only learns who machinists and trainees are.
"""

from __future__ import annotations

from contextlib import suppress
from enum import Enum, auto
from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.errors import UsageError
from headwright.job.blocks import Block, BlockKind
from headwright.job.events import CameOn, Disposed, Released, Reopened, Resumed, SpecConfirmed, TookBench
from headwright.job.refusal import Refused, refuse
from headwright.procedure.plan import Role
from headwright.store.person import fitting_initials, fitting_name
from headwright.store.pins import PinRefused

if TYPE_CHECKING:
    from headwright.store.people import People

Signable = CameOn | TookBench | Disposed | Resumed | SpecConfirmed | Released | Reopened
"""The events that tell whether a PIN was given for them."""


class Ask(Enum):
    """What to ask of somebody who comes on, besides initials, name and role."""

    NOTHING = auto()
    PIN = auto()
    FIRST_PIN = auto()
    """The shop has no lead yet: the first chooses a PIN, best typed twice."""


def asked_of(people: People, wanted: CameOn, *, pins: bool) -> Ask:
    """Tell what to ask of somebody who comes on.

    Args:
        people: the shop's list.
        wanted: who, and as what.
        pins: whether the plan of the job asks for PINs.
    """
    if not pins or wanted.role is not Role.LEAD:
        return Ask.NOTHING
    return Ask.PIN if people.leads() else Ask.FIRST_PIN


def fitting(people: People, wanted: CameOn, *, pins: bool) -> CameOn | Refused:
    """Hold somebody who comes on to the list: give the event with the name as it stands there, or why it may not be.

    Raises:
        StoreError: the list cannot be read.
    """
    if not pins or not (wanted.operator.strip() and wanted.name.strip()):
        return wanted
    try:
        initials, name = fitting_initials(wanted.operator), fitting_name(wanted.name)
    except UsageError as error:
        return _refuse(f"{error.message}.", error.hint)
    listed = people.all()
    alike = next((each for each in listed if each.initials.casefold() == initials.casefold()), None)
    if alike is not None and (alike.name, alike.role) != (name, wanted.role):
        return _refuse(
            f"the list has {alike.initials} as {alike.name}, {alike.role.value}.",
            "Come on as that; a lead changes the list with 'headwright operator'.",
        )
    right = alike.initials if alike else initials
    if right != wanted.operator:
        return _refuse(f"'{wanted.operator}' is '{right}' on the list.", f"Come on as '{right}'.")
    if alike is None and wanted.role is Role.LEAD and any(each.role is Role.LEAD for each in listed):
        return _refuse(
            f"{initials} is not on the list, and a new lead is put there by one who is.",
            "That is done with 'headwright operator add', and takes the PIN of a lead.",
            Role.LEAD,
        )
    return replace(wanted, name=name)


def _refuse(why: str, clears: str, who: Role = Role.TRAINEE) -> Refused:
    return refuse(BlockKind.ENTRY, "Coming on", why, clears, who)


def sign(people: People, wanted: Signable, operator: str, pin: str, now: str) -> Refused | None:
    """See that whoever signs gave the right PIN; the first lead of a shop comes on the list with the one he chose.

    Args:
        people: the shop's list.
        wanted: what is signed.
        operator: who wants it.
        pin: as it was typed.
        now: the time, UTC as records have it.

    Returns:
        Why it is not signed; None when it is.

    Raises:
        StoreError: the list cannot be read or written.
    """
    try:
        if isinstance(wanted, CameOn) and not people.leads():
            people.add(wanted.operator, wanted.name, Role.LEAD, now=now, pin=pin)
        else:
            people.check(wanted.operator if isinstance(wanted, CameOn) else operator, pin, now)
    except PinRefused as error:
        return Refused((Block(BlockKind.PIN, "Signing", f"{error.message}.", error.hint, Role.LEAD, subject=operator),))
    except UsageError as error:
        return _refuse(f"{error.message}.", error.hint)
    return None


def learn(people: People, wanted: CameOn, now: str) -> None:
    """Put somebody on the list who comes on as machinist or trainee for the first time.

    A lead is never learned: he is on the list with a PIN or not at all. Nor are initials or a name that the list does
    not take, which only a plan without PINs lets come on.

    Raises:
        StoreError: the list cannot be read or written.
    """
    if wanted.role is not Role.LEAD and people.find(wanted.operator) is None:
        with suppress(UsageError):
            people.add(wanted.operator, wanted.name, wanted.role, now=now)
