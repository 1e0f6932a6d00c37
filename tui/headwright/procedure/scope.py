"""What a name means in a formula of one operation of a route, for one family."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from headwright import units
from headwright.procedure import formula
from headwright.procedure.dimensions import Dim, DimensionFault, Operand, dim, dimension_of
from headwright.procedure.plan import Level, Ref, Sort
from headwright.procedure.problems import listed, nearest
from headwright.procedure.values import station_handle

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from headwright.procedure.definitions import OperationDef, ReadingDef, ResultDef
    from headwright.procedure.family import SpecDef
    from headwright.procedure.formula import Name

_WIDTH = {level: width for width, level in enumerate(Level)}


@dataclass(frozen=True)
class Member:
    """An operation of the route: its definition, and the repairs whose positions pass here."""

    id: str
    definition: OperationDef
    repairs: tuple[str, ...]

    @property
    def handle(self) -> str:
        """Give its name in formulas."""
        return self.id.replace("-", "_")


@dataclass
class Scope:
    """The names that formulas of `members[here]` can use. `wants` collects the family values asked for."""

    route: str
    family: str
    repairs: tuple[str, ...]
    members: Sequence[Member]
    here: int
    specs: Mapping[str, SpecDef]
    want: Callable[[str, str], None]
    """Called with a family value and its part (low, high or empty) whenever a formula uses one."""
    _results: dict[str, Dim] = field(default_factory=dict)
    _working: list[str] = field(default_factory=list)

    @property
    def member(self) -> Member:
        """Give the operation itself."""
        return self.members[self.here]

    def resolved(self, text: str) -> tuple[Dim, dict[str, Ref]]:
        """Give the dimension of a formula and what its names stand for.

        Raises:
            DimensionFault: a name is not known, or the parts do not go together.
        """
        refs: dict[str, Ref] = {}

        def look(name: Name) -> Operand:
            refs[name.text], operand = self.find(name.text)
            return operand

        return dimension_of(formula.parse(text), look), refs

    def find(self, text: str) -> tuple[Ref, Operand]:
        """Give what a name stands for.

        Raises:
            DimensionFault: it is not known here, or more than one thing.
        """
        first, *rest = text.split(".")
        if first == "spec":
            return self._spec(text, rest)
        if not rest or len(rest) == 1:
            for result in self.member.definition.result:
                if result.name == first:
                    return self._result(result, rest)
            found = self._bare(first)
            if found is not None:
                return self._reading(found, first, rest)
        operation = next((number for number, each in enumerate(self.members) if each.handle == first), None)
        if operation is None or not rest:
            raise DimensionFault(f"unknown name '{text}'{nearest(text, self._names())}")
        if operation > self.here:
            raise DimensionFault(f"'{text}' is read in '{self.members[operation].id}', later in the route")
        known = [reading.name for reading in self.members[operation].definition.reading]
        if rest[0] not in known or len(rest) > 2:
            near = nearest(text, (f"{first}.{name}" for name in known))
            raise DimensionFault(f"unknown name '{text}'{near}")
        return self._reading(operation, rest[0], rest[1:])

    def _spec(self, text: str, rest: list[str]) -> tuple[Ref, Operand]:
        if not 1 <= len(rest) <= 2 or (len(rest) == 2 and rest[1] not in ("low", "high")):
            raise DimensionFault(f"unknown name '{text}'; expected spec.NAME, spec.NAME.low or spec.NAME.high")
        name, part = rest[0], rest[1] if len(rest) == 2 else ""
        self.want(name, part)
        return Ref("spec", name, part=part), Operand(self.spec_dim(name))

    def spec_dim(self, name: str) -> Dim:
        """Give the dimension of a family value.

        Raises:
            MissingSpec: the family has none of that name.
        """
        if name not in self.specs:
            raise MissingSpec(name)
        return dim(spec_dimension(self.specs[name]))

    def _result(self, result: ResultDef, rest: list[str]) -> tuple[Ref, Operand]:
        pair = result.value is None
        part = rest[0] if rest else ""
        if pair != bool(rest) or (rest and part not in ("least", "most")):
            expected = f"{result.name}.least or {result.name}.most" if pair else result.name
            raise DimensionFault(f"unknown name '{'.'.join([result.name, *rest])}'; expected {expected}")
        return Ref("result", result.name, self.member.id, part), Operand(self.result_dim(result))

    def result_dim(self, result: ResultDef) -> Dim:
        """Give the dimension of a result, of a difference where its formula takes temperatures from one another.

        Raises:
            DimensionFault: the result is worked out from itself.
        """
        if result.name in self._results:
            return self._results[result.name]
        if result.name in self._working:
            way = [*self._working[self._working.index(result.name) :], result.name]
            raise Circle(" → ".join(way), frozenset(way))
        declared = dim(units.unit(result.unit).dimension)
        self._working.append(result.name)
        try:
            for text in (result.value, result.least, result.most):
                if text is not None and not units.looks_like_quantity(text):
                    declared = self._temperature(text, declared)
        finally:
            self._working.pop()
        self._results[result.name] = declared
        return declared

    def _temperature(self, text: str, declared: Dim) -> Dim:
        try:
            found, _ = self.resolved(text)
        except Circle:
            raise
        except DimensionFault:
            return declared  # told where the result itself is looked at
        return found if declared.point and found.unit == declared.unit else declared

    def _bare(self, name: str) -> int | None:
        def reads(member: Member) -> bool:
            return any(reading.name == name for reading in member.definition.reading)

        if reads(self.member):
            return self.here
        earlier = [number for number in range(self.here) if reads(self.members[number])]
        if len(earlier) > 1:
            choices = listed(f"{self.members[number].handle}.{name}" for number in earlier)
            raise DimensionFault(f"'{name}' is read more than once before; write {choices}")
        if earlier:
            return earlier[0]
        for member in self.members[self.here + 1 :]:
            if reads(member):
                raise DimensionFault(f"'{name}' is read in '{member.id}', later in the route '{self.route}'")
        return None

    def _reading(self, operation: int, name: str, rest: list[str]) -> tuple[Ref, Operand]:
        member = self.members[operation]
        reading = next(each for each in member.definition.reading if each.name == name)
        if reading.sort is not Sort.NUMBER or reading.unit is None:
            raise DimensionFault(f"'{name}' is a reading of sort {reading.sort}, not a number")
        self._passes_there(member, name)
        station = self._station(reading, rest[0]) if rest else ""
        points = (1 if station else max(1, len(reading.stations))) * max(1, len(reading.angles))
        narrower = _WIDTH[member.definition.per] > _WIDTH[self.member.definition.per]
        operand = Operand(dim(units.unit(reading.unit).dimension), 0 if narrower else points, is_reading=True)
        return Ref("reading", name, member.id, station), operand

    def _station(self, reading: ReadingDef, wanted: str) -> str:
        handles = {station_handle(station): station for station in reading.stations}
        if wanted not in handles:
            known = f"; expected {listed(f'{reading.name}.{handle}' for handle in handles)}" if handles else ""
            raise DimensionFault(f"'{reading.name}' has no station '{wanted}'{known}")
        return handles[wanted]

    def _passes_there(self, member: Member, name: str) -> None:
        if not member.repairs or self.member.definition.per is not Level.POSITION:
            return
        ours = self.member.repairs or self.repairs
        left_out = [repair for repair in ours if repair not in member.repairs]
        if left_out:
            raise DimensionFault(
                f"'{name}' is read in '{member.id}' for {listed(member.repairs, 'and')} only, "
                f"but '{self.member.id}' is also for {listed(left_out, 'and')}"
            )

    def _names(self) -> Iterable[str]:
        yield from (reading.name for reading in self.member.definition.reading)
        for result in self.member.definition.result:
            yield from (result.name,) if result.value is not None else (f"{result.name}.least", f"{result.name}.most")
        for member in self.members[: self.here]:
            yield from (reading.name for reading in member.definition.reading)
            yield from (f"{member.handle}.{reading.name}" for reading in member.definition.reading)
        yield from (f"spec.{name}" for name in self.specs)


class MissingSpec(DimensionFault):
    """The family has no such value; `name` is the value."""

    def __init__(self, name: str) -> None:
        super().__init__(f"the family has no value spec.{name}")
        self.name = name


class Circle(DimensionFault):
    """Results are worked out from one another; `members` are their names."""

    def __init__(self, way: str, members: frozenset[str]) -> None:
        super().__init__(f"goes round in a circle: {way}")
        self.members = members


def spec_dimension(spec: SpecDef) -> str:
    """Give the dimension of a family value."""
    return first_quantity(spec).dimension


def first_quantity(spec: SpecDef) -> units.Quantity:
    """Give the quantity of a family value that stands first; its unit is the value's unit."""
    every = (spec, *spec.application.values(), *spec.repair.values())
    return next(quantity for values in every for _, ends in values.entries for quantity in ends.quantities)
