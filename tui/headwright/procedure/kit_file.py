"""The kit as it stands in its file, and how each fault in it is told."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated, Self

from pydantic import Field, PlainValidator, model_validator

from headwright.procedure.kit import Ball, Cone, Gauge, Kit, Liner, Pilot, Ring, Shim
from headwright.procedure.values import NAME_LENGTH, Definition, Span, fault, once_each, shown
from headwright.units import Quantity, UnitFault, quantity

if TYPE_CHECKING:
    from collections.abc import Callable

_EXAMPLES = {"length": "0.3130 in", "angle": "60 deg"}

FURTHEST = 0.05
"""mm that a ball can have worn off its nominal size; more is another ball in the tray, or a slip (our choice)."""


def _name(value: object) -> str:
    if not isinstance(value, str):
        raise fault(f"expected text in quotes, found {shown(value)}")
    if not value.strip() or len(value) > NAME_LENGTH or not value.isprintable():
        raise fault(f"{shown(value)}: expected a name of one line, of 1 to {NAME_LENGTH} characters")
    return value


def _day(value: object) -> str:
    if not isinstance(value, date) or isinstance(value, datetime):
        raise fault(f"expected a date without quotes, as 2025-03-04, found {shown(value)}")
    return value.isoformat()


def _above_zero(dimension: str) -> Callable[[object], Quantity]:
    def check(value: object) -> Quantity:
        if not isinstance(value, str):
            raise fault(f'expected {dimension} in quotes, as "{_EXAMPLES[dimension]}", found {shown(value)}')
        try:
            found = quantity(value)
        except UnitFault as error:
            raise fault(str(error)) from error
        if found.dimension != dimension:
            raise fault(f"expected {dimension}, found {found.dimension} ({found.text})")
        if found.value <= 0:
            raise fault(f"{found.text} is not above zero")
        return found

    return check


Name = Annotated[str, PlainValidator(_name)]
Day = Annotated[str, PlainValidator(_day)]
Length = Annotated[Quantity, PlainValidator(_above_zero("length"))]
Count = Annotated[int, Field(ge=0, le=10_000)]
Angle = Annotated[Quantity, PlainValidator(_above_zero("angle"))]


class CheckedDef(Definition):
    """Something that is checked, and is due for it again on a day."""

    id: Name
    last_check: Day
    due: Day

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.due < self.last_check:
            raise fault(f"due {self.due} is before the last check {self.last_check}")
        return self


class GaugeDef(CheckedDef):
    """A gauge as it stands in the file."""

    sort: Name
    resolution: Span
    uncertainty: Span

    @model_validator(mode="after")
    def _alike(self) -> Self:
        if self.resolution.dimension != self.uncertainty.dimension:
            raise fault(
                f"resolution is {self.resolution.dimension} ({self.resolution.text}), "
                f"uncertainty {self.uncertainty.dimension} ({self.uncertainty.text})"
            )
        return self


class RingDef(CheckedDef):
    """A setting ring as it stands in the file."""

    size: Length
    uncertainty: Length


class BallDef(Definition):
    """A sizing ball as it stands in the file."""

    id: Name
    nominal: Length
    measured: Length | None = None
    measured_on: Day = ""
    due: Day = ""

    @model_validator(mode="after")
    def _sound(self) -> Self:
        if (self.measured is None) != (not self.measured_on):
            raise fault("measured and measured_on belong together; give both, or neither")
        if self.measured is not None and abs(self.measured.value - self.nominal.value) > FURTHEST:
            raise fault(
                f"measured {self.measured.text} is too far from nominal {self.nominal.text} for wear; "
                "another ball in the tray?"
            )
        if self.due and self.due < self.measured_on:
            raise fault(f"due {self.due} is before it was measured on {self.measured_on}")
        return self


class LinerDef(Definition):
    """A liner in stock as it stands in the file."""

    id: Name
    outside: Length
    wall: Length
    length: Length
    material: Name
    count: Count

    @model_validator(mode="after")
    def _hollow(self) -> Self:
        if 2 * self.wall.value >= self.outside.value:
            raise fault(f"wall {self.wall.text} leaves no hole in outside {self.outside.text}")
        return self


class ShimDef(Definition):
    """Shims of one thickness as they stand in the file."""

    thickness: Length
    count: Count


class ConeDef(Definition):
    """A centring cone as it stands in the file."""

    id: Name
    angle: Angle
    least: Length
    greatest: Length

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.least.value > self.greatest.value:
            raise fault(f"least {self.least.text} is above greatest {self.greatest.text}")
        if self.angle.value >= 180:
            raise fault(f"angle {self.angle.text} is not below 180 deg")
        return self


class PilotDef(Definition):
    """A pilot as it stands in the file."""

    id: Name
    size: Length


class KitDef(Definition):
    """The whole file."""

    shop: Name
    gauge: Annotated[tuple[GaugeDef, ...], Field(strict=False)] = ()
    ring: Annotated[tuple[RingDef, ...], Field(strict=False)] = ()
    ball: Annotated[tuple[BallDef, ...], Field(strict=False)] = ()
    liner: Annotated[tuple[LinerDef, ...], Field(strict=False)] = ()
    shim: Annotated[tuple[ShimDef, ...], Field(strict=False)] = ()
    cone: Annotated[tuple[ConeDef, ...], Field(strict=False)] = ()
    pilot: Annotated[tuple[PilotDef, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _once_each(self) -> Self:
        for what in ("gauge", "ring", "ball", "liner", "cone", "pilot"):
            once_each(what, (thing.id for thing in getattr(self, what)))
        once_each("shim", (shim.thickness.text for shim in self.shim))
        return self


def kit_of(definition: KitDef) -> Kit:
    """Give the kit of a file in canonical units."""
    return Kit(
        definition.shop,
        tuple(
            Gauge(g.id, g.sort, g.resolution.dimension, g.resolution.value, g.uncertainty.value, g.last_check, g.due)
            for g in definition.gauge
        ),
        tuple(Ring(r.id, r.size.value, r.uncertainty.value, r.last_check, r.due) for r in definition.ring),
        tuple(
            Ball(b.id, b.nominal.value, b.measured.value if b.measured else None, b.measured_on, b.due)
            for b in definition.ball
        ),
        tuple(
            Liner(each.id, each.outside.value, each.wall.value, each.length.value, each.material, each.count)
            for each in definition.liner
        ),
        tuple(Shim(s.thickness.value, s.count) for s in definition.shim),
        tuple(Cone(c.id, c.angle.value, c.least.value, c.greatest.value) for c in definition.cone),
        tuple(Pilot(p.id, p.size.value) for p in definition.pilot),
    )
