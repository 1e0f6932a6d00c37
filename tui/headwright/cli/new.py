"""Open a new job for a head.

Its plan is made from the procedures and kept with the job, so that a later
change of them does not change what this head is held to. What there is only one
of need not be named: family, and route of the family. Without --application it
is the family's first. The number of the job goes to standard output.
--list opens none: it shows every family with its routes and applications.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from headwright.cli import say
from headwright.cli.where import opened_store
from headwright.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterator, Sequence

    from headwright.procedure.library import Library


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("job", metavar="JOB", nargs="?", default="", help="its number, as the shop counts")
    parser.add_argument("--list", action="store_true", help="show families, routes and applications")
    parser.add_argument("--family", metavar="ID", default="", help="the engine family")
    parser.add_argument("--route", metavar="ID", default="", help="which operations, in which order")
    parser.add_argument("--application", metavar="ID", default="", help="what the engine is for")
    parser.add_argument("--tag", metavar="TEXT", default="", help="what is written on the head")
    parser.add_argument("--customer", metavar="TEXT", default="", help="whose it is")
    parser.add_argument("--by", metavar="INITIALS", default="", help="who opens it")
    parser.add_argument("--procedures", metavar="FOLDER", help="the shop's own procedures")


def run(asked: Namespace) -> int:
    """Open the job."""
    from headwright.data import shipped  # noqa: PLC0415 - not for --help
    from headwright.procedure.library import load  # noqa: PLC0415
    from headwright.procedure.resolve import build_plan  # noqa: PLC0415
    from headwright.store.desk import Desk  # noqa: PLC0415
    from headwright.terminal.run import terminal_name  # noqa: PLC0415

    library = load(Path(asked.procedures) if asked.procedures else shipped("procedures"))
    if asked.list:
        for line in _listed(library):
            say.data(line)
        return 0
    if not asked.job:
        raise UsageError("new: a number for the job is expected", "'headwright new --help' shows how; --list what for.")
    family = asked.family or _only("family", "families", list(library.families))
    known = library.families.get(family)
    route = asked.route or (_only("route", "routes", known.definition.routes) if known else "")
    plan = build_plan(library, route, family, asked.application)
    with opened_store() as store:
        Desk.create(
            store,
            plan,
            asked.job,
            terminal=terminal_name(),
            tag=asked.tag,
            customer=asked.customer,
            operator=asked.by,
        )
    say.data(asked.job)
    say.talk(f"{plan.family_title}; {plan.route_title}; {plan.application_title}.")
    say.talk(f"'headwright open {asked.job}' goes to the bench with it.")
    return 0


def _listed(library: Library) -> Iterator[str]:
    """Give every family, and under it its routes and applications, each by its id and title."""
    for name, entry in library.families.items():
        family = entry.definition
        yield f"{name}  {family.title}"
        for route in family.routes:
            yield f"  --route {route}  {library.routes[route].definition.title}"
        for application, title in family.application.items():
            yield f"  --application {application}  {title}"


def _only(one: str, many: str, names: Sequence[str]) -> str:
    if len(names) == 1:
        return names[0]
    if not names:
        raise UsageError(f"the procedures have no {many}", "'headwright check' looks them over.")
    raise UsageError(f"there are several {many}: {', '.join(names)}", f"Name one: --{one} {names[0]}.")
