"""List the shop's people, and keep roles and the leads' PINs.

  operator                      the list
  operator add INITIALS NAME    put somebody on it, with --role
  operator name INITIALS NAME   change a name
  operator role INITIALS ROLE   change a role: trainee, machinist or lead
  operator pin INITIALS         set a lead's PIN anew
  operator forget INITIALS      take somebody off the list
  operator log                  what was changed, when, and who approved

The first lead chooses a PIN. After that a new lead, and any change to somebody
on the list, takes the PIN of a lead: --by says which. PINs are asked for and
not shown; from a script they come on standard input, a line each: first that of
the lead who approves, then the new one. After two wrong ones there is a wait.

A PIN that was forgotten cannot be read back. Another lead sets a new one with
'operator pin'. Where there is no other, whoever keeps this machine takes the
lead off the list with 'operator forget INITIALS --i-keep-this-machine', which
stays in the log; the next lead to come on is then the first again.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, NamedTuple

from headwright.cli import say
from headwright.cli.parser import Parser
from headwright.cli.typed_pin import chosen, typed
from headwright.cli.where import opened_store
from headwright.errors import UsageError
from headwright.nearest import nearest
from headwright.procedure.plan import Role
from headwright.sheet.plain import columns, counted, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from msgspec import Struct

    from headwright.store.people import People
    from headwright.store.person import Approval, Operator

_HEADINGS = ("initials", "name", "role", "PIN", "since")
_LOG_HEADINGS = ("when", "who", "what", "approved by")


class _Action(NamedTuple):
    """What can be done to the list: its purpose, the words that it takes, and what does it."""

    purpose: str
    words: tuple[str, ...]
    run: Callable[[People, argparse.Namespace, str], None]


def arguments(parser: argparse.ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.usage = "headwright operator [-h] [--json] [ACTION …]"
    parser.add_argument("action", nargs="?", metavar="ACTION", help="one of those above; 'ACTION --help' tells more")
    parser.add_argument("words", nargs=argparse.REMAINDER, metavar="…", help="what it takes")
    parser.add_argument("--json", action="store_true", help="the list as JSON, for another program")


def run(asked: argparse.Namespace) -> int:
    """List the people, or do what is asked."""
    if asked.action is None:
        with opened_store() as store:
            _list(store.people, as_json=asked.json)
        return 0
    action = _ACTIONS.get(asked.action)
    if action is None:
        near = nearest(asked.action, _ACTIONS)
        hint = f"Nearest: 'headwright operator {near}'." if near else "'headwright operator --help' lists them."
        raise UsageError(f"operator: there is no action '{asked.action}'", hint)
    if asked.json:
        raise UsageError("operator: --json before an action is for the list", "Leave it out.")
    further = _parser(asked.action, action).taken(asked.words)
    from headwright.store.desk import utc_now  # noqa: PLC0415 - not for --help

    with opened_store() as store:
        action.run(store.people, further, utc_now())
    return 0


def _parser(name: str, action: _Action) -> Parser:
    parser = Parser(f"headwright operator {name}", action.purpose)
    for word in action.words:
        match word:
            case "--json":
                parser.add_argument(word, action="store_true", help="as JSON, for another program")
            case "--by":
                parser.add_argument(word, metavar="LEAD", default="", help="the initials of the lead who approves")
            case "--role":
                parser.add_argument(word, default="machinist", metavar="ROLE", help=f"{_roles()}; {Role.MACHINIST}")
            case "ROLE":
                parser.add_argument("role", metavar=word, help=_roles())
            case "--i-keep-this-machine":
                parser.add_argument(word, dest="keeper", action="store_true", help="without a PIN; stays in the log")
            case _:
                parser.add_argument(word.lower(), metavar=word)
    return parser


def _roles() -> str:
    return ", ".join(Role)


def _role(word: str) -> Role:
    try:
        return Role(word.casefold())
    except ValueError as error:
        near = nearest(word, Role)
        hint = f"Nearest: {near}." if near else f"Roles are {_roles()}."
        raise UsageError(f"'{word}' is not a role", hint) from error


def _approval(people: People, asked: argparse.Namespace, about: Operator | None = None) -> Approval | None:
    """Ask the lead who approves for his PIN: the one who is named, the one it is about, or the only one."""
    from headwright.store.person import Approval  # noqa: PLC0415 - not for --help

    leads = [each.initials for each in people.leads()]
    if not leads:
        return None
    own = about.initials if about is not None and about.initials in leads else ""
    initials = asked.by or own or (leads[0] if len(leads) == 1 else "")
    if not initials:
        raise UsageError("a lead has to approve this", f"Say which with --by: {', '.join(leads)}.")
    if initials not in leads:
        raise UsageError(f"'{initials}' is not a lead on the list", f"Leads are {', '.join(leads)}.")
    return Approval(initials, typed(f"PIN of {initials}"))


def _list(people: People, *, as_json: bool) -> None:
    listed = people.all()
    if as_json:
        _as_json(listed)
    elif listed:
        rows = [(each.initials, each.name, each.role.value, _pin_words(each), each.since[:10]) for each in listed]
        say.data("\n".join(_table(_HEADINGS, rows)))
    else:
        say.talk("Nobody is on the list yet: who comes on at the bench is added, or 'headwright operator add' does it.")
    for change in people.changes():
        if change.unsigned:
            say.talk(f"{change.time[:10]}, {change.initials}: {change.what}.")


def _log(people: People, asked: argparse.Namespace, now: str) -> None:
    del now
    changes = people.changes()
    if asked.json:
        _as_json(changes)
    elif changes:
        rows = [(each.time[:16].replace("T", " "), each.initials, each.what, each.approver or "-") for each in changes]
        say.data("\n".join(_table(_LOG_HEADINGS, rows)))
    else:
        say.talk("Nothing was changed yet.")


def _add(people: People, asked: argparse.Namespace, now: str) -> None:
    role = _role(asked.role)
    people.see_free(asked.initials)
    by = _approval(people, asked) if role is Role.LEAD or asked.by else None
    pin = chosen(asked.initials) if role is Role.LEAD else ""
    person = people.add(asked.initials, asked.name, role, now=now, pin=pin, by=by)
    say.talk(f"{plain(person.name)} ({person.initials}) is on the list as {person.role.value}.")


def _name(people: People, asked: argparse.Namespace, now: str) -> None:
    before = people.known(asked.initials)
    person = people.change(asked.initials, now=now, name=asked.name, by=_approval(people, asked, before))
    say.talk(f"{person.initials} is on the list as {person.name}, {person.role.value}.")


def _change_role(people: People, asked: argparse.Namespace, now: str) -> None:
    before, role = people.known(asked.initials), _role(asked.role)
    if role is before.role:
        say.talk(f"{before.name} ({before.initials}) is {role.value} already.")
        return
    by = _approval(people, asked, before)
    pin = chosen(before.initials) if role is Role.LEAD else ""
    person = people.change(before.initials, now=now, role=role, pin=pin, by=by)
    say.talk(f"{person.name} ({person.initials}) is on the list as {person.role.value}.")


def _pin(people: People, asked: argparse.Namespace, now: str) -> None:
    person = people.known_lead(asked.initials)
    by = _approval(people, asked, person)
    people.set_pin(person.initials, chosen(person.initials), now=now, by=by)
    say.talk(f"{person.name} ({person.initials}) has a new PIN.")


def _forget(people: People, asked: argparse.Namespace, now: str) -> None:
    person = people.known(asked.initials)
    by = None if asked.keeper else _approval(people, asked, person)
    people.forget(person.initials, now=now, by=by, keeper=asked.keeper)
    say.talk(f"{person.name} ({person.initials}) is off the list; what they did stays in the jobs.")


def _table(headings: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> list[str]:
    return columns([headings, *(tuple(map(plain, row)) for row in rows)])


def _as_json(found: Sequence[Struct]) -> None:
    import msgspec  # noqa: PLC0415 - not for --help

    say.json(msgspec.json.format(msgspec.json.encode(found)).decode())


def _pin_words(person: Operator) -> str:
    if not person.pin:
        return "-"
    return f"set, {counted(person.misses, 'wrong PIN')}" if person.misses else "set"


_ACTIONS = {
    "add": _Action("Put somebody on the list.", ("INITIALS", "NAME", "--role", "--by"), _add),
    "name": _Action("Change a name.", ("INITIALS", "NAME", "--by"), _name),
    "role": _Action("Change a role; a new lead chooses a PIN.", ("INITIALS", "ROLE", "--by"), _change_role),
    "pin": _Action("Set a lead's PIN anew.", ("INITIALS", "--by"), _pin),
    "forget": _Action("Take somebody off the list.", ("INITIALS", "--by", "--i-keep-this-machine"), _forget),
    "log": _Action("Tell what was changed in the list, when, and who approved.", ("--json",), _log),
}
