"""An engine family as it stands in TOML: its positions, its values with their sources, what it changes."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from headwright.procedure.problems import listed
from headwright.procedure.values import Decision, Definition, Handle, Id, Ids, Measure, Text, Texts, fault, once_each

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.units import Quantity


def _plain_value(value: object) -> object:
    return value if isinstance(value, dict) else {"value": value}


class EndsDef(Definition):
    """A single value, or a range with either end."""

    value: Measure | None = None
    low: Measure | None = None
    high: Measure | None = None

    @model_validator(mode="after")
    def _ends(self) -> EndsDef:
        if self.value is not None and (self.low is not None or self.high is not None):
            raise fault("has both a value and a range; keep one")
        if self.low and self.high and self.low.dimension == self.high.dimension and self.low.value > self.high.value:
            raise fault(f"low {self.low.text} is above high {self.high.text}")
        return self

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        """Give what is there."""
        return tuple(each for each in (self.value, self.low, self.high) if each is not None)


Ends = Annotated[EndsDef, BeforeValidator(_plain_value)]


class ValuesDef(EndsDef):
    """A value or range for all positions, or one for each kind."""

    intake: Ends | None = None
    exhaust: Ends | None = None

    @model_validator(mode="after")
    def _kinds(self) -> ValuesDef:
        if (self.intake is None) != (self.exhaust is None):
            given, other = ("intake", "exhaust") if self.intake is not None else ("exhaust", "intake")
            raise fault(f"has {given} but not {other}")
        if self.intake is not None and (self.value or self.low or self.high):
            raise fault("has intake and exhaust beside a value for all; keep one")
        return self

    @property
    def entries(self) -> tuple[tuple[str, EndsDef], ...]:
        """Give each kind (empty: all) with its value or range."""
        if self.intake is not None and self.exhaust is not None:
            return (("intake", self.intake), ("exhaust", self.exhaust))
        return (("", self),) if self.quantities else ()


class AppliedDef(ValuesDef):
    """What a value is for one application; its own source where that is another one."""

    source: Text | None = None
    confirmed: bool = False

    @model_validator(mode="after")
    def _own_source(self) -> AppliedDef:
        if self.confirmed and self.source is None:
            raise fault("confirmed needs the source of this application's value")
        return self


class SpecDef(ValuesDef):
    """A value of the family, with its source."""

    label: Text
    source: Text
    confirmed: bool = False
    application: dict[str, AppliedDef] = Field(default_factory=dict)
    repair: dict[str, ValuesDef] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _one_form(self) -> SpecDef:
        ends = list(self._everywhere())
        if not ends:
            raise fault("has no value: expected value, low and high, or intake and exhaust")
        _same_dimension(ends)
        shape = _shape(ends[0][1])
        for path, end in ends:
            if _shape(end) != shape:
                raise fault(f"one entry has {shape}, another {_shape(end)}; all must have the same", path)
        return self

    def _everywhere(self) -> Iterator[tuple[tuple[str, ...], EndsDef]]:
        """Give every value or range, with the keys that lead to it."""
        for path, values in (
            ((), self),
            *((("application", name), each) for name, each in self.application.items()),
            *((("repair", name), each) for name, each in self.repair.items()),
        ):
            for kind, ends in values.entries:
                yield ((*path, kind) if kind else path), ends


def _same_dimension(ends: Iterable[tuple[tuple[str, ...], EndsDef]]) -> None:
    """Refuse a quantity of another dimension than most of them."""
    found = [
        ((*path, key), quantity)
        for path, end in ends
        for key in ("value", "low", "high")
        if (quantity := getattr(end, key)) is not None
    ]
    usual = Counter(quantity.dimension for _, quantity in found).most_common(1)[0][0]
    other = next(quantity for _, quantity in found if quantity.dimension == usual)
    for path, quantity in found:
        if quantity.dimension != usual:
            raise fault(f"{quantity.dimension} ({quantity.text}) beside {usual} ({other.text})", path)


def _shape(ends: EndsDef) -> str:
    return listed((key for key in ("value", "low", "high") if getattr(ends, key) is not None), "and")


class PositionsDef(Definition):
    """How positions are named."""

    template: Text = "{cylinder}{kind}"
    intake: Text = "I"
    exhaust: Text = "E"


class HeadDef(Definition):
    """One head of the job with its positions as they stand, front to rear."""

    name: Text
    stand: Texts


class FamilyDef(Definition):
    """An engine family."""

    title: Text
    extends: Id | None = None
    about: Text = Field(default="")
    material: Text = Field(default="")
    facts: dict[Handle, Text] = Field(default_factory=dict)
    routes: Ids
    received: Ids = ()
    rule: Decision = "plain"
    application: dict[str, Text]
    positions: PositionsDef
    head: Annotated[tuple[HeadDef, ...], Field(strict=False)]
    spec: dict[Handle, SpecDef] = Field(default_factory=dict)
    change: dict[str, dict[str, Any]] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _consistent(self) -> FamilyDef:
        if not self.routes:
            raise fault("routes is empty")
        if not self.application:
            raise fault("application is empty; name at least one")
        if not self.head:
            raise fault("there is no head")
        once_each("route", self.routes)
        once_each("head", (head.name for head in self.head))
        return self
