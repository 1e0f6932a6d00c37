"""Family values as one application has them, and whether every position that needs one finds it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from headwright.procedure.plan import Kind, Level, Spec, SpecEntry
from headwright.procedure.problems import listed, nearest
from headwright.procedure.scope import first_quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.procedure.family import EndsDef, FamilyDef, SpecDef
    from headwright.procedure.library import Entry
    from headwright.procedure.problems import Problem
    from headwright.procedure.scope import Member

RANGE = "range"
"""The part that a limit asks for: either end, or both."""


@dataclass
class Wants:
    """Who asked for which family value: by name, the operation, where in it, and the part."""

    _asked: dict[str, list[tuple[Member, str, str]]] = field(default_factory=dict)

    def add(self, name: str, member: Member, where: str, part: str) -> None:
        """Note that a formula or limit of the operation uses the value."""
        self._asked.setdefault(name, []).append((member, where, part))

    def names(self) -> Iterable[str]:
        """Give every value that was asked for."""
        return self._asked

    def of(self, name: str) -> list[tuple[Member, str, str]]:
        """Give who asked for a value."""
        return self._asked.get(name, [])


def spec_at(name: str, spec: SpecDef, application: str) -> Spec:
    """Give a family value as one application has it."""
    applied = spec.application.get(application)
    base = applied or spec
    entries = [_entry(ends, kind, "") for kind, ends in base.entries]
    for repair, values in spec.repair.items():
        entries += [_entry(ends, kind, repair) for kind, ends in values.entries]
    first = first_quantity(spec)
    source, confirmed = spec.source, spec.confirmed
    if applied is not None and applied.source is not None:
        source, confirmed = applied.source, applied.confirmed
    return Spec(name, spec.label, first.unit, first.dimension, tuple(entries), source, confirmed)


def _entry(ends: EndsDef, kind: str, repair: str) -> SpecEntry:
    value, low, high = (end.value if end is not None else None for end in (ends.value, ends.low, ends.high))
    return SpecEntry(kind, repair, value, low, high)


def lacking(spec: SpecDef, part: str) -> str:
    """Say why a value cannot be used as asked, or nothing where it can."""
    ends = next(
        ends for values in (spec, *spec.application.values(), *spec.repair.values()) for _, ends in values.entries
    )
    if part == RANGE:
        return "is a single value; a limit needs low or high" if ends.value is not None else ""
    if part:
        return "" if getattr(ends, part) is not None else f"has no {part}"
    return "" if ends.value is not None else "is a range; pick .low or .high"


def problems(
    family: str,
    entry: Entry[FamilyDef],
    wants: Wants,
    *,
    specs: Iterable[Spec],
    decided: Iterable[str],
    repairs: tuple[str, ...],
) -> Iterator[Problem]:
    """Find the values that an operation needs and the family does not have, or not for every position.

    Args:
        family: id of the family.
        entry: the family.
        wants: what the operations ask for.
        specs: the values that the family has, for one application.
        decided: ids of the operations at whose turn every position has its repair.
        repairs: the repairs of the route.
    """
    known = {spec.name: spec for spec in specs}
    late = frozenset(decided)
    for name in wants.names():
        asked = wants.of(name)
        if name not in known:
            near = nearest(name, entry.definition.spec)
            yield entry.table.problem(
                ("spec",), f"family '{family}' has no value '{name}', which {_needs(asked)}{near}"
            )
            continue
        for member, where, _part in asked:
            for kind, repair in _meetings(member, repairs, decided=member.id in late):
                if known[name].at(kind, repair) is None:
                    yield entry.table.problem(
                        ("spec", name), f"no value {_meeting(kind, repair)}, which {_needs([(member, where, '')])}"
                    )
                    break


def _needs(asked: list[tuple[Member, str, str]]) -> str:
    every = dict.fromkeys(f"operation '{member.id}' needs ({where})" for member, where, _ in asked)
    return listed(every, "and")


def _meeting(kind: str, repair: str) -> str:
    for_kind = f"for {kind}" if kind else "for all kinds"
    return f"{for_kind} on repair '{repair}'" if repair else for_kind


def _meetings(member: Member, repairs: tuple[str, ...], *, decided: bool) -> Iterator[tuple[str, str]]:
    """Give every kind and repair under which the operation may ask for a value."""
    if member.definition.per is not Level.POSITION:
        yield "", ""
        return
    ways = member.repairs or repairs
    for repair in ways if decided or member.repairs else ("", *ways):
        for kind in Kind:
            yield kind.value, repair
