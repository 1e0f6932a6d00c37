"""Route × family × application, resolved into the plan of one job."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright import units
from headwright.errors import DefinitionsFaulty, UsageError
from headwright.procedure import specs as family_specs
from headwright.procedure.building import OperationBuilder
from headwright.procedure.library import OPTIONAL, SHARED
from headwright.procedure.places import places_of
from headwright.procedure.plan import (
    PLAN_FORMAT,
    Caution,
    Condition,
    Operation,
    Plan,
    Repair,
    Sort,
    Text,
)
from headwright.procedure.problems import Problem, listed, nearest
from headwright.procedure.rules import rules_of
from headwright.procedure.scope import Member
from headwright.procedure.specs import Wants

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.procedure.definitions import OperationDef
    from headwright.procedure.library import Entry, Library


def build_plan(library: Library, route: str, family: str, application: str = "") -> Plan:
    """Resolve the plan of one job.

    Args:
        library: sound procedures.
        route: id of a route that the family goes.
        family: id of the family.
        application: id of an application of the family; empty: its first.

    Raises:
        UsageError: there is no such family, route or application.
        DefinitionsFaulty: with every problem there is.
    """
    entry = library.families.get(family)
    if entry is None:
        raise UsageError(f"no family '{family}'{nearest(family, library.families)}", _offer(library.families))
    routes = entry.definition.routes
    if route not in routes:
        raise UsageError(f"family '{family}' has no route '{route}'{nearest(route, routes)}", _offer(routes))
    applications = entry.definition.application
    if application and application not in applications:
        near = nearest(application, applications)
        raise UsageError(f"family '{family}' has no application '{application}'{near}", _offer(applications))
    plan, problems = resolve(library, route, family, application or next(iter(applications)))
    if plan is None or problems:
        raise DefinitionsFaulty([str(problem) for problem in sorted(set(problems))])
    return plan


def _offer(names: Iterable[str]) -> str:
    return f"There is {listed(names, 'and')}."


def resolve(library: Library, route: str, family: str, application: str) -> tuple[Plan | None, list[Problem]]:
    """Resolve a plan as far as it goes; no plan where a definition that it needs is not sound in itself."""
    way = library.routes.get(route)
    base = library.families.get(family)
    if way is None or base is None:
        return None, []
    entries = {name: library.operation(family, name) for name in way.definition.operations}
    sound = {name: entry for name, entry in entries.items() if entry is not None}
    if len(sound) < len(entries):
        return None, []
    resolver = Resolver(library, Names(route, family, application), sound)
    plan = resolver.plan()
    return plan, resolver.problems


class Names(NamedTuple):
    """What the plan is for."""

    route: str
    family: str
    application: str


class Resolver:
    """One plan in the making: what its operations share."""

    def __init__(self, library: Library, names: Names, operations: dict[str, Entry[OperationDef]]) -> None:
        self.library = library
        self.names = names
        self.operations = operations
        self.route = library.routes[names.route]
        self.family = library.families[names.family]
        self.repairs = self.route.definition.repairs
        self.problems: list[Problem] = []
        self.wants = Wants()
        self.dimensions: dict[str, None] = {}
        self.members = [self._member(number, name, entry) for number, (name, entry) in enumerate(operations.items())]

    def _member(self, number: int, name: str, entry: Entry[OperationDef]) -> Member:
        wanted = entry.definition.for_
        repairs = tuple(repair for repair in wanted if repair in self.repairs)
        if wanted and not repairs:
            self.problems.append(
                self.route.table.problem(
                    ("operations", number),
                    f"operation '{name}' is for {listed(wanted, 'and')}, and the route has no such repair",
                )
            )
        return Member(name, entry.definition, repairs)

    def plan(self) -> Plan:
        """Resolve the plan as far as it goes; what is wrong is in `problems`."""
        deciding = self._deciding()
        operations = tuple(OperationBuilder(self, number).build() for number in range(len(self.members)))
        known = self.family.definition.spec
        specs = tuple(
            family_specs.spec_at(name, spec, self.names.application)
            for name, spec in known.items()
            if name in self.wants.names()
        )
        decided = [member.id for member in self.members[deciding + 1 :]] if deciding is not None else []
        self.problems += family_specs.problems(
            self.names.family, self.family, self.wants, specs=specs, decided=decided, repairs=self.repairs
        )
        for spec in specs:
            self.dimensions.setdefault(spec.dimension)
        family, route = self.family.definition, self.route.definition
        places, _ = places_of(family)
        received = tuple(dict.fromkeys((*route.received, *family.received)))
        return Plan(
            format=PLAN_FORMAT,
            route=self.names.route,
            route_title=route.title,
            family=self.names.family,
            family_title=family.title,
            application=self.names.application,
            application_title=family.application[self.names.application],
            places=places,
            conditions=self._conditions(operations, received),
            cautions=self._cautions(operations),
            repairs=tuple(
                Repair(name, entry.definition.label, entry.definition.why)
                for name in self.repairs
                if (entry := self.library.repairs.get(name))
            ),
            operations=operations,
            specs=specs,
            units=tuple(unit for dimension in self.dimensions for unit in units.units_of(dimension)),
            received=received,
            facts={**({"head": family.material} if family.material else {}), **family.facts},
            texts=self._texts(),
            rules=rules_of(self.library.shop.definition if self.library.shop else None, route.mastering),
        )

    def _deciding(self) -> int | None:
        """Find the operation that decides the repair of each position; there must be one where paths part."""
        found = [
            number
            for number, member in enumerate(self.members)
            if any(reading.sort is Sort.REPAIR for reading in member.definition.reading)
        ]
        if len(found) > 1:
            ids = listed((f"'{self.members[number].id}'" for number in found), "and")
            message = f"{ids} each decide the repair; one operation of a route may have a reading of sort repair"
            self.problems.append(self.route.table.problem(("operations", found[1]), message))
        parting = next((number for number, member in enumerate(self.members) if member.definition.for_), None)
        if not found and parting is not None:
            self.problems.append(
                self.route.table.problem(
                    ("operations", parting),
                    f"operation '{self.members[parting].id}' is for some repairs, but no operation decides them; "
                    "one needs a reading of sort repair",
                )
            )
        return found[0] if found else None

    def _conditions(self, operations: Iterable[Operation], received: Iterable[str]) -> tuple[Condition, ...]:
        used = {*received}
        for operation in operations:
            used |= {*operation.needs, *operation.makes, *operation.breaks}
        return tuple(
            Condition(name, entry.definition.label, entry.definition.sort, entry.definition.why)
            for name, entry in self.library.conditions.items()
            if name in used
        )

    def _cautions(self, operations: Iterable[Operation]) -> tuple[Caution, ...]:
        used = {name for operation in operations for name in operation.cautions}
        return tuple(
            Caution(name, each.title, each.hazard, each.protection, each.defer, each.qualified, each.source)
            for name, entry in self.library.cautions.items()
            if name in used and (each := entry.definition)
        )

    def _texts(self) -> tuple[Text, ...]:
        tables = [self.route.table, self.family.table, *(entry.table for entry in self.operations.values())]
        used = {source.name: source for table in tables for source in table.sources}
        shared = (f"{name}.toml" for name in (*SHARED, *OPTIONAL))
        used |= {name: self.library.sources[name] for name in shared if name in self.library.sources}
        return tuple(Text(name, used[name].sha256, used[name].text) for name in sorted(used))
