"""Whether every name that a definition mentions is defined."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.procedure.places import places_of
from headwright.procedure.plan import ConditionSort, Sort
from headwright.procedure.problems import close_to, listed, nearest
from headwright.procedure.rules import not_lengths, unused

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.procedure.definitions import OperationDef, RouteDef
    from headwright.procedure.family import FamilyDef
    from headwright.procedure.library import Entry, Library
    from headwright.procedure.problems import KeyPath, Problem
    from headwright.procedure.rules import ShopDef
    from headwright.procedure.sources import Sourced

_WORDS = {
    "conditions": "condition",
    "cautions": "caution",
    "repairs": "repair",
    "operations": "operation",
    "routes": "route",
}


def problems(library: Library) -> Iterator[Problem]:
    """Find every mention of something that is not defined, and what follows from definitions taken together."""
    check = _References(library)
    for operation in library.operations.values():
        yield from check.operation(operation)
    for changes in library.changes.values():
        for operation in changes.values():
            yield from check.operation(operation)
    for route in library.routes.values():
        yield from check.route(route)
    for family in library.families.values():
        yield from check.family(family)
    if library.shop is not None:
        yield from check.shop(library.shop)


class _References:
    def __init__(self, library: Library) -> None:
        self.library = library

    def unknown(self, table: Sourced, kind: str, path: KeyPath, names: Iterable[str]) -> Iterator[Problem]:
        known = self.library.known.get(kind, frozenset())
        for number, name in enumerate(names):
            if name not in known:
                yield table.problem((*path, number), f"unknown {_WORDS[kind]} '{name}'{nearest(name, sorted(known))}")

    def one(self, table: Sourced, kind: str, path: KeyPath, name: str | None) -> Iterator[Problem]:
        if name is not None:
            yield from self.unknown(table, kind, path, (name,))

    def operation(self, entry: Entry[OperationDef]) -> Iterator[Problem]:
        operation, table = entry.definition, entry.table
        for key in ("needs", "makes", "breaks"):
            yield from self.unknown(table, "conditions", (key,), getattr(operation, key))
        yield from self.unknown(table, "repairs", ("for",), operation.for_)
        yield from self.unknown(table, "cautions", ("cautions",), operation.cautions)
        yield from self._makes_work(entry)
        yield from self._leads_to(entry)
        for number, reading in enumerate(operation.reading):
            path: KeyPath = ("reading", number)
            if reading.sort is Sort.REPAIR:
                yield from self.unknown(table, "repairs", (*path, "choices"), reading.choices)
            for index, remedy in enumerate(reading.remedy):
                yield from self.one(table, "operations", (*path, "remedy", index, "redo"), remedy.redo)
                yield from self.one(table, "repairs", (*path, "remedy", index, "repair"), remedy.repair)
        for number, result in enumerate(operation.result):
            for index, remedy in enumerate(result.remedy):
                at: KeyPath = ("result", number, "remedy", index)
                yield from self.one(table, "operations", (*at, "redo"), remedy.redo)
                yield from self.one(table, "repairs", (*at, "repair"), remedy.repair)

    def _leads_to(self, entry: Entry[OperationDef]) -> Iterator[Problem]:
        known = [reading.name for reading in entry.definition.reading]
        for number, step in enumerate(entry.definition.step):
            for index, name in enumerate(step.readings):
                if name not in known:
                    end = nearest(name, known) or f"; expected {listed(known)}" if known else "; there is none here"
                    yield entry.table.problem(("step", number, "readings", index), f"unknown reading '{name}'{end}")

    def _makes_work(self, entry: Entry[OperationDef]) -> Iterator[Problem]:
        conditions = self.library.conditions
        makes = entry.definition.makes
        if any(name not in conditions for name in makes):
            return
        if not any(conditions[name].definition.sort is ConditionSort.WORK for name in makes):
            yield entry.table.problem(
                ("makes",), "makes no condition of sort work, so it would never be done; add one to makes"
            )

    def shop(self, entry: Entry[ShopDef]) -> Iterator[Problem]:
        found = unused(entry.definition.gauges, list(self._as_changed(self.library.operations)), "of any operation")
        yield from (entry.table.problem(path, message) for path, message in found)

    def _as_changed(self, names: Iterable[str]) -> Iterator[OperationDef]:
        """Give operations as they are defined, and as each family changes them."""
        sources = (self.library.operations, *self.library.changes.values())
        for name in names:
            yield from (source[name].definition for source in sources if name in source)

    def _mastering(self, entry: Entry[RouteDef]) -> Iterator[Problem]:
        mastering = entry.definition.mastering
        if mastering is not None:
            operations = list(self._as_changed(entry.definition.operations))
            found = (*unused(mastering.gauges, operations, "of this route"), *not_lengths(mastering.gauges, operations))
            yield from (entry.table.problem(("mastering", *path), message) for path, message in found)

    def route(self, entry: Entry[RouteDef]) -> Iterator[Problem]:
        for kind in ("operations", "repairs"):
            yield from self.unknown(entry.table, kind, (kind,), getattr(entry.definition, kind))
        yield from self.unknown(entry.table, "conditions", ("received",), entry.definition.received)
        yield from self._mastering(entry)

    def family(self, entry: Entry[FamilyDef]) -> Iterator[Problem]:
        family, table = entry.definition, entry.table
        yield from self.unknown(table, "routes", ("routes",), family.routes)
        yield from self.unknown(table, "conditions", ("received",), family.received)
        for name in family.change:
            yield from self.one(table, "operations", ("change", name), name)
        for name, spec in family.spec.items():
            for repair in spec.repair:
                yield from self.one(table, "repairs", ("spec", name, "repair", repair), repair)
            for application in spec.application:
                if application not in family.application:
                    near = close_to(application, family.application)
                    end = f"did you mean '{near}'?" if near else f"expected {listed(family.application)}"
                    yield table.problem(
                        ("spec", name, "application", application), f"unknown application '{application}'; {end}"
                    )
        for path, message in places_of(family)[1]:
            yield table.problem(path, message)
