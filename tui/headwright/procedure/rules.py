"""What a shop asks of everybody, as it stands in TOML: gauges to be named and zeroed, PINs, concessions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pydantic import Field, model_validator

from headwright import units
from headwright.procedure.plan import Mastering, Rules, Sort
from headwright.procedure.problems import listed, nearest
from headwright.procedure.values import Definition, Duration, Span, Texts, fault, once_each

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.procedure.definitions import OperationDef

    Fault = tuple[tuple[str | int, ...], str]


_LENGTH = "length"


class ShopDef(Definition):
    """The rules of the whole shop."""

    gauges: Texts = ()
    pins: bool = False
    own_concession: bool = Field(default=True, alias="own-concession")

    @model_validator(mode="after")
    def _once(self) -> ShopDef:
        once_each("gauge", self.gauges)
        return self


class MasteringDef(Definition):
    """When gauges that only compare are zeroed on a ring, on a route."""

    gauges: Texts
    age: Duration
    readings: Annotated[int, Field(ge=1, le=1000)]
    drift: Span
    within: Span

    @model_validator(mode="after")
    def _consistent(self) -> MasteringDef:
        if not self.gauges:
            raise fault("gauges is empty; name the sorts that are zeroed on a ring, or leave the table out")
        once_each("gauge", self.gauges)
        for key, span in (("drift", self.drift), ("within", self.within)):
            if span.dimension != _LENGTH:
                raise fault(f"{span.dimension} ({span.text}) where {_LENGTH} belongs", (key,))
        return self


def rules_of(shop: ShopDef | None, mastering: MasteringDef | None) -> Rules:
    """Give the rules of a plan from those of the shop and of the route, either of which may be missing."""
    shop = shop or ShopDef()
    zeroed = None
    if mastering is not None:
        zeroed = Mastering(
            gauges=mastering.gauges,
            seconds=mastering.age.value,
            readings=mastering.readings,
            drift=mastering.drift.value,
            within=mastering.within.value,
        )
    return Rules(gauges=shop.gauges, mastering=zeroed, pins=shop.pins, own_concession=shop.own_concession)


def unused(gauges: Iterable[str], operations: Iterable[OperationDef], where: str) -> Iterator[Fault]:
    """Find the sorts of gauge that no number is read with: a slip in a name would leave a rule without effect.

    Args:
        gauges: the sorts as a rule names them.
        operations: whose readings they may stand in.
        where: names those operations in the message, as "of this route".
    """
    known = sorted({r.gauge for each in operations for r in each.reading if r.sort is Sort.NUMBER and r.gauge})
    for number, sort in enumerate(gauges):
        if sort not in known:
            end = nearest(sort, known) or (f"; there is {listed(known, 'and')}" if known else "")
            yield ("gauges", number), f"no number {where} is read with '{sort}'{end}"


def not_lengths(gauges: Iterable[str], operations: Iterable[OperationDef]) -> Iterator[Fault]:
    """Find the sorts of gauge that read something else than a length: no ring can zero them."""
    read: dict[str, str] = {}
    for operation in operations:
        for reading in operation.reading:
            dimension = units.unit(reading.unit).dimension if reading.unit else ""
            if reading.gauge and dimension not in {"", _LENGTH}:
                read.setdefault(reading.gauge, f"reading '{reading.name}' is {dimension}")
    for number, sort in enumerate(gauges):
        if sort in read:
            yield ("gauges", number), f"'{sort}' does not read a length ({read[sort]}); a ring cannot zero it"
