"""One operation on its way into the plan: its formulas, limits and remedies resolved."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import UNSET

from headwright import units
from headwright.procedure import specs as family_specs
from headwright.procedure.dimensions import Dim, DimensionFault, dim, named
from headwright.procedure.plan import Formula, Limit, Operation, Reading, Ref, Remedy, Result, Sort, Step
from headwright.procedure.problems import listed
from headwright.procedure.scope import Circle, MissingSpec, Scope
from headwright.procedure.specs import RANGE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.procedure.definitions import Held, OperationDef, ReadingDef, RemedyDef, ResultDef
    from headwright.procedure.problems import KeyPath
    from headwright.procedure.resolve import Resolver
    from headwright.procedure.sources import Sourced


class OperationBuilder:
    """One operation on its way into the plan."""

    def __init__(self, resolver: Resolver, here: int) -> None:
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
        """Give the operation as the plan has it; what is wrong goes to the resolver's problems."""
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
                Step(
                    step.name or f"step-{number}",
                    step.do,
                    step.why,
                    step.tick,
                    step.wait.value if step.wait else 0.0,
                    step.last,
                    step.readings or UNSET,
                )
                for number, step in enumerate(definition.step, start=1)
            ),
            readings=tuple(self._reading(number, each) for number, each in enumerate(definition.reading)),
            results=tuple(self._result(number, each) for number, each in enumerate(definition.result)),
            tool=definition.tool,
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
            self._span(path, "agree", reading.agree, kind)
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
            role=reading.role,
            firm=reading.firm,
            agree=reading.agree.value if reading.agree else None,
            proof=self._is_proved(reading),
        )

    def _is_proved(self, item: Held) -> bool:
        """Tell whether an item's limit has to be proved: by its own rule, else by that of the family."""
        return item.is_held and (item.rule or self.resolver.family.definition.rule) == "proof"

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
            limit=self._limit(path, result, kind) if any(formulas.values()) else None,
            remedies=self._remedies(path, result.remedy),
            firm=result.firm,
            proof=self._is_proved(result),
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
            as_unit = f"gives {found}, but the unit '{unit}' is of {kind}"
            self._complain(at, as_unit if unit else f"{kind} compared with {found} ({text})")
            return None
        return Formula(text, constant, refs)

    def _limit(self, path: KeyPath, held: Held, kind: Dim) -> Limit | None:
        if held.limit is None:
            if not held.is_held:
                return None
            low, high = (self._formula(path, key, getattr(held, key), kind) for key in ("low", "high"))
            ends = [end.constant for end in (low, high) if end is not None and end.constant is not None]
            if len(ends) == 2 and ends[0] > ends[1]:
                self._complain((*path, "low"), f"{held.low} is above high {held.high}")
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
