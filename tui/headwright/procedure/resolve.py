"""Route × family × application, resolved into the plan of one job."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright import units
from headwright.errors import DefinitionsFaulty, UsageError
from headwright.procedure import specs as family_specs
from headwright.procedure.dimensions import Dim, DimensionFault, dim, named
from headwright.procedure.places import places_of
from headwright.procedure.plan import (
    PLAN_FORMAT,
    Caution,
    Condition,
    Formula,
    Limit,
    Operation,
    Plan,
    Reading,
    Ref,
    Remedy,
    Repair,
    Result,
    Sort,
    Step,
    Text,
)
from headwright.procedure.problems import Problem, listed, nearest
from headwright.procedure.scope import Circle, Member, MissingSpec, Scope
from headwright.procedure.specs import RANGE, Wants

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.procedure.definitions import Held, OperationDef, ReadingDef, RemedyDef, ResultDef
    from headwright.procedure.library import Entry, Library
    from headwright.procedure.problems import KeyPath
    from headwright.procedure.sources import Sourced


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
    resolver = _Resolver(library, _Names(route, family, application), sound)
    plan = resolver.plan()
    return plan, resolver.problems


class _Names(NamedTuple):
    route: str
    family: str
    application: str


class _Resolver:
    def __init__(self, library: Library, names: _Names, operations: dict[str, Entry[OperationDef]]) -> None:
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
        deciding = self._deciding()
        operations = tuple(_Operation(self, number).build() for number in range(len(self.members)))
        known = self.family.definition.spec
        specs = tuple(
            family_specs.spec_at(name, spec, self.names.application)
            for name, spec in known.items()
            if name in self.wants.names()
        )
        decided = [member.id for member in self.members[deciding + 1 :]] if deciding is not None else []
        self.problems += family_specs.problems(self.names.family, self.family, self.wants, specs, decided, self.repairs)
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
            texts=self._texts(),
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
        shared = (f"{name}.toml" for name in ("conditions", "cautions", "repairs"))
        used |= {name: self.library.sources[name] for name in shared if name in self.library.sources}
        return tuple(Text(name, used[name].sha256, used[name].text) for name in sorted(used))


class _Operation:
    """One operation on its way into the plan."""

    def __init__(self, resolver: _Resolver, here: int) -> None:
        self.resolver = resolver
        self.member = resolver.members[here]
        self.table: Sourced = resolver.operations[self.member.id].table
        self.here = here
        self.where = ""
        self.scope = Scope(
            resolver.names.route,
            resolver.names.family,
            resolver.repairs,
            resolver.members,
            here,
            resolver.family.definition.spec,
            self._want,
        )

    def build(self) -> Operation:
        definition = self.member.definition
        return Operation(
            id=self.member.id,
            title=definition.title,
            why=definition.why,
            per=definition.per,
            makes=definition.makes,
            needs=definition.needs,
            breaks=definition.breaks,
            repairs=self.member.repairs,
            batch=definition.batch,
            minutes=float(definition.minutes),
            who=definition.who,
            cautions=definition.cautions,
            steps=tuple(
                Step(step.name or f"step-{number}", step.do, step.why, step.tick)
                for number, step in enumerate(definition.step, start=1)
            ),
            readings=tuple(self._reading(number, each) for number, each in enumerate(definition.reading)),
            results=tuple(self._result(number, each) for number, each in enumerate(definition.result)),
        )

    def _complain(self, path: KeyPath, message: str) -> None:
        self.resolver.problems.append(self.table.problem(path, message))

    def _want(self, name: str, part: str) -> None:
        self.resolver.wants.add(name, self.member, self.where, part)
        spec = self.resolver.family.definition.spec.get(name)
        reason = family_specs.lacking(spec, part) if spec is not None else ""
        if reason:
            raise DimensionFault(f"spec.{name} {reason} (family '{self.resolver.names.family}')")

    def _reading(self, number: int, reading: ReadingDef) -> Reading:
        path: KeyPath = ("reading", number)
        dimension, limit, expect = "", None, None
        if reading.unit is not None and reading.resolution is not None:
            dimension = units.unit(reading.unit).dimension
            self.resolver.dimensions.setdefault(dimension)
            kind = dim(dimension)
            self._span(path, "resolution", reading.resolution, kind)
            self._span(path, "within", reading.within, kind)
            expect = self._formula(path, "expect", reading.expect, kind)
            limit = self._limit(path, reading, kind)
        choices = reading.choices
        if reading.sort is Sort.REPAIR:
            choices = tuple(each for each in choices if each in self.resolver.repairs) or self.resolver.repairs
        return Reading(
            name=reading.name,
            label=reading.label,
            sort=reading.sort,
            unit=reading.unit or "",
            dimension=dimension,
            resolution=reading.resolution.value if reading.resolution else 0.0,
            stations=reading.stations,
            angles=reading.angles,
            gauge=reading.gauge,
            how=reading.how,
            why=reading.why,
            expect=expect,
            within=reading.within.value if reading.within else None,
            choices=choices,
            accept=reading.accept,
            limit=limit,
            remedies=self._remedies(path, reading.remedy),
        )

    def _result(self, number: int, result: ResultDef) -> Result:
        path: KeyPath = ("result", number)
        declared = dim(units.unit(result.unit).dimension)
        kind = declared
        try:
            kind = self.scope.result_dim(result)
        except Circle as error:
            first = next(each.name for each in self.member.definition.result if each.name in error.members)
            if result.name == first:
                self._complain(path, str(error))
            formulas = dict.fromkeys(("value", "least", "most"))
        else:
            formulas = {key: self._value(path, key, result, kind) for key in ("value", "least", "most")}
        dimension = named(kind) or ""
        self.resolver.dimensions.setdefault(dimension)
        self._span(path, "resolution", result.resolution, kind)
        return Result(
            name=result.name,
            label=result.label,
            unit=result.unit,
            dimension=dimension,
            resolution=result.resolution.value,
            value=formulas["value"],
            least=formulas["least"],
            most=formulas["most"],
            why=result.why,
            limit=self._limit(path, result, kind),
            remedies=self._remedies(path, result.remedy),
        )

    def _span(self, path: KeyPath, key: str, span: units.Quantity | None, kind: Dim) -> None:
        if span is not None and dim(span.dimension) != kind.span:
            self._complain((*path, key), f"{span.dimension} ({span.text}) where {kind.span} belongs")

    def _value(self, path: KeyPath, key: str, result: ResultDef, kind: Dim) -> Formula | None:
        text = getattr(result, key)
        return self._formula(path, key, text, kind, unit=result.unit) if text is not None else None

    def _formula(self, path: KeyPath, key: str, text: str | None, kind: Dim, unit: str = "") -> Formula | None:
        """Read a formula that must have a dimension; `unit` where it is the value of a result with that unit."""
        if text is None:
            return None
        at = (*path, key)
        self.where = _element(path, self.member.definition, key)
        refs: dict[str, Ref] = {}
        constant = None
        if units.looks_like_quantity(text):
            quantity = units.quantity(text, difference=kind == dim(units.DIFFERENCE))
            found = dim(quantity.dimension)
            constant = quantity.value
        else:
            try:
                found, refs = self.scope.resolved(text)
            except (MissingSpec, Circle):
                return Formula(text)
            except DimensionFault as error:
                self._complain(at, str(error))
                return None
        if not found.fits(kind):
            shown = f"gives {found}, but the unit '{unit}' is of {kind}" if unit else f"{kind} compared with {found}"
            self._complain(at, shown if unit else f"{shown} ({text})")
        return Formula(text, constant, refs)

    def _limit(self, path: KeyPath, held: Held, kind: Dim) -> Limit | None:
        if held.limit is None:
            if not held.is_held:
                return None
            low, high = (self._formula(path, key, getattr(held, key), kind) for key in ("low", "high"))
            return Limit(low, high, held.source)
        name = held.limit.removeprefix("spec.")
        self.where = _element(path, self.member.definition, "limit")
        spec = self.resolver.family.definition.spec.get(name)
        try:
            self._want(name, RANGE)
        except DimensionFault as error:
            self._complain((*path, "limit"), str(error))
            return None
        if spec is None:
            return None
        found = self.scope.spec_dim(name)
        if not found.fits(kind):
            self._complain((*path, "limit"), f"{kind} compared with {found} ({held.limit})")
        low, high = (
            Formula(f"{held.limit}.{end}", refs={f"{held.limit}.{end}": Ref("spec", name, part=end)})
            if not family_specs.lacking(spec, end)
            else None
            for end in ("low", "high")
        )
        return Limit(low, high, spec.source, name)

    def _remedies(self, path: KeyPath, remedies: Sequence[RemedyDef]) -> tuple[Remedy, ...]:
        """Take the remedies over; one that needs an operation or a repair that this route has not is left out."""
        index = {member.id: number for number, member in enumerate(self.resolver.members)}
        kept = []
        for number, remedy in enumerate(remedies):
            at = (*path, "remedy", number)
            if remedy.redo and remedy.redo not in index:
                continue
            if remedy.repair and remedy.repair not in self.resolver.repairs:
                continue
            if remedy.redo:
                self._goes_back(at, remedy, index[remedy.redo])
            kept.append(
                Remedy(
                    remedy.when,
                    remedy.say,
                    remedy.redo or "",
                    remedy.repair or "",
                    remedy.advise,
                    remedy.stop,
                    remedy.remeasure,
                )
            )
        return tuple(kept)

    def _goes_back(self, at: KeyPath, remedy: RemedyDef, target: int) -> None:
        redone = self.resolver.members[target]
        if target > self.here:
            self._complain(
                (*at, "redo"),
                f"'{redone.id}' comes later in the route '{self.resolver.names.route}' than '{self.member.id}'; "
                "a remedy goes back",
            )
        ways = (remedy.repair,) if remedy.repair else self.member.repairs
        if redone.repairs and ways and not set(ways) & set(redone.repairs):
            self._complain(
                (*at, "redo"),
                f"'{redone.id}' is for {listed(redone.repairs, 'and')}, never for {listed(filter(None, ways), 'and')}",
            )


def _element(path: KeyPath, definition: OperationDef, key: str) -> str:
    number = int(path[1])
    name = definition.reading[number].name if path[0] == "reading" else definition.result[number].name
    return f"{path[0]} '{name}' {key}"
