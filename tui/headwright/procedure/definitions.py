"""The definitions as they stand in TOML: frozen models that forbid unknown keys and say what a person got wrong."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator, model_validator
from pydantic_core import PydanticCustomError

from headwright import units
from headwright.procedure import formula
from headwright.procedure.plan import ConditionSort, Level, Role, Sort, Tick
from headwright.procedure.problems import listed, nearest
from headwright.units import Quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from enum import StrEnum

TEXT_LENGTH = 2000
NAME_LENGTH = 60
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_HANDLE = re.compile(r"[a-z][a-z0-9_]*")
_RESERVED = ("spec",)


def fault(message: str) -> PydanticCustomError:
    """Make an error that pydantic hands through word for word."""
    return PydanticCustomError("definition", "{message}", {"message": message})


def shown(value: object) -> str:
    """Give a TOML value as it would stand in the file, shortened."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= NAME_LENGTH else f"{text[: NAME_LENGTH - 1]}…"


def _text(value: str) -> str:
    if not value.strip():
        raise fault("is empty")
    if len(value) > TEXT_LENGTH:
        raise fault(f"has {len(value)} characters; the most is {TEXT_LENGTH}")
    if any(not (sign.isprintable() or sign == "\n") for sign in value):
        raise fault("holds a control character; only plain text and line breaks may stand here")
    return value


def is_id(text: str) -> bool:
    """Tell whether a text can be an id: lower-case letters, digits and hyphens."""
    return bool(_ID.fullmatch(text)) and len(text) <= NAME_LENGTH


def _id(value: str) -> str:
    if not is_id(value):
        raise fault(f'"{value}" is not an id; expected lower-case letters, digits and hyphens')
    return value


def _handle(value: str) -> str:
    if not _HANDLE.fullmatch(value) or len(value) > NAME_LENGTH:
        raise fault(f'"{value}" is not a name; expected lower-case letters, digits and underscores')
    if value in _RESERVED:
        raise fault(f'"{value}" has a meaning of its own in formulas; take another name')
    return value


def _measure(value: object, *, difference: bool = False) -> Quantity:
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise fault(f'{value} has no unit; expected a quantity in quotes, as "{value} in"')
    if not isinstance(value, str):
        raise fault(f'expected a quantity in quotes, as "0.0015 in", found {shown(value)}')
    try:
        return units.quantity(value, difference=difference)
    except units.UnitFault as error:
        raise fault(str(error)) from error


def _span(value: object) -> Quantity:
    span = _measure(value, difference=True)
    if span.value <= 0:
        raise fault(f"{span.text} is not above zero")
    return span


def _sum(value: object) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise fault(f'{value} has no unit; expected a formula, or a quantity in quotes, as "{value} in"')
    if not isinstance(value, str):
        raise fault(f"expected a formula or a quantity in quotes, found {shown(value)}")
    if units.looks_like_quantity(value):
        return _measure(value).text
    try:
        formula.parse(value)
    except formula.FormulaFault as error:
        raise fault(f"{error} in '{value[:NAME_LENGTH]}'") from error
    return value


def _unit_name(value: str) -> str:
    try:
        return units.unit(value).name
    except units.UnitFault as error:
        raise fault(str(error)) from error


def _one_of(sort: type[StrEnum]) -> Callable[[object], object]:
    words = [each.value for each in sort]

    def check(value: object) -> object:
        if not isinstance(value, str) or value not in words:
            near = nearest(value, words) if isinstance(value, str) else ""
            raise fault(f"expected {listed(words)}, found {shown(value)}{near}")
        return sort(value)

    return check


Text = Annotated[str, AfterValidator(_text)]
Id = Annotated[str, AfterValidator(_id)]
Handle = Annotated[str, AfterValidator(_handle)]
Measure = Annotated[Quantity, PlainValidator(_measure)]
Span = Annotated[Quantity, PlainValidator(_span)]
Sum = Annotated[str, PlainValidator(_sum)]
UnitName = Annotated[str, AfterValidator(_unit_name)]
Texts = Annotated[tuple[Text, ...], Field(strict=False)]
Ids = Annotated[tuple[Id, ...], Field(strict=False)]


def doubles(names: Iterable[str]) -> Iterator[str]:
    """Give each name that stands a second time."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            yield name
        seen.add(name)


def _once_each(what: str, names: Iterable[str]) -> None:
    for name in doubles(names):
        raise fault(f"{what} '{name}' stands twice")


class Definition(BaseModel):
    """What every table has in common."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class ConditionDef(Definition):
    """A condition: `sort` work makes an operation done, state only locks."""

    label: Text
    sort: Annotated[ConditionSort, BeforeValidator(_one_of(ConditionSort))]
    why: Text


class CautionDef(Definition):
    """A hazard, its protection, and whom to defer to."""

    title: Text
    hazard: Text
    protection: Text
    defer: Text
    qualified: bool = False
    source: Text = Field(default="")


class RepairDef(Definition):
    """A way to put a position right."""

    label: Text
    why: Text = Field(default="")


class RemedyDef(Definition):
    """A way out of a hold."""

    when: str = ""
    say: Text
    redo: Id | None = None
    repair: Id | None = None
    advise: str = ""
    stop: bool = False
    remeasure: bool = False

    @model_validator(mode="after")
    def _consistent(self) -> RemedyDef:
        if self.when not in ("", "low", "high", "wrong"):
            raise fault(f'when "{self.when}": expected low, high, wrong or nothing')
        if self.advise not in ("", "ball"):
            raise fault(f'advise "{self.advise}": expected ball or nothing')
        if self.remeasure and (self.redo or self.repair):
            raise fault("remeasure takes readings again without redoing work; leave out redo and repair")
        return self


class StepDef(Definition):
    """Something to do, and why."""

    do: Text
    why: Text = Field(default="")
    name: Id | None = None
    tick: Annotated[Tick, BeforeValidator(_one_of(Tick))] = Tick.NO


class Held(Definition):
    """What a reading or a result is held to."""

    limit: str | None = None
    low: Sum | None = None
    high: Sum | None = None
    source: Text = Field(default="")

    @property
    def is_held(self) -> bool:
        """Tell whether there is any limit."""
        return self.limit is not None or self.low is not None or self.high is not None

    @model_validator(mode="after")
    def _one_limit(self) -> Held:
        own = self.low is not None or self.high is not None
        if self.limit is not None:
            if own:
                raise fault("has both limit and low or high; keep one")
            if not re.fullmatch(r"spec\.[a-z][a-z0-9_]*", self.limit):
                raise fault(f'limit "{self.limit}": expected the name of a family value, as "spec.clearance"')
            if self.source:
                raise fault("source belongs to low and high; the source of a limit stands with the family's value")
        if self.low and self.high and all(map(units.looks_like_quantity, (self.low, self.high))):
            low, high = units.quantity(self.low), units.quantity(self.high)
            if low.dimension == high.dimension and low.value > high.value:
                raise fault(f"low {low.text} is above high {high.text}")
        if own and not self.source:
            raise fault("low and high need a source: where the figures come from")
        if self.source and not self.is_held:
            raise fault("source belongs to low and high; there is neither")
        return self

    def check_remedies(self, remedies: tuple[RemedyDef, ...], *, accepts: bool) -> None:
        """Refuse a remedy for a verdict that cannot come."""
        for remedy in remedies:
            if remedy.when in ("low", "high") and not self.is_held:
                raise fault(f'a remedy when "{remedy.when}" needs a limit, or low and high')
            if remedy.when == "wrong" and not accepts:
                raise fault('a remedy when "wrong" needs accept: the words that pass')
            if not remedy.when and not self.is_held and not accepts:
                raise fault("a remedy needs something that can fail: limit, low, high or accept")


def station_handle(station: str) -> str:
    """Give the name of a station in formulas: lower case, blanks and hyphens as underscores."""
    return re.sub(r"[^a-z0-9]+", "_", station.lower()).strip("_")


class ReadingDef(Held):
    """A value to be taken."""

    name: Handle
    label: Text
    sort: Annotated[Sort, BeforeValidator(_one_of(Sort))] = Sort.NUMBER
    unit: UnitName | None = None
    resolution: Span | None = None
    stations: Texts = ()
    angles: Annotated[tuple[Annotated[int, Field(ge=0, lt=360)], ...], Field(strict=False)] = ()
    gauge: Text = Field(default="")
    how: Text = Field(default="")
    why: Text = Field(default="")
    expect: Sum | None = None
    within: Span | None = None
    choices: Texts = ()
    accept: Texts = ()
    remedy: Annotated[tuple[RemedyDef, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _consistent(self) -> ReadingDef:
        if self.sort is Sort.NUMBER:
            self._number()
        else:
            for key in ("unit", "resolution", "expect", "within", "limit", "low", "high"):
                if getattr(self, key) is not None:
                    raise fault(f"{key} belongs to a number; this reading is of sort {self.sort}")
        if self.choices and self.sort not in (Sort.CHOICE, Sort.REPAIR):
            raise fault(f"choices belong to a reading of sort choice or repair, not {self.sort}")
        if self.sort is Sort.CHOICE and len(self.choices) < 2:
            raise fault("a choice needs at least two choices")
        self._words()
        _once_each("station", (station_handle(station) for station in self.stations))
        _once_each("angle", map(str, self.angles))
        self.check_remedies(self.remedy, accepts=bool(self.accept))
        return self

    def _number(self) -> None:
        if self.unit is None:
            raise fault('a number needs a unit: what a bare typed figure means, as unit = "in"')
        if self.resolution is None:
            raise fault('a number needs a resolution, as resolution = "0.0001 in"')
        if (self.expect is None) != (self.within is None):
            raise fault("expect and within go together: a figure outside expect ± within is questioned")

    def _words(self) -> None:
        _once_each("choice", self.choices)
        if not self.accept:
            return
        if self.sort not in (Sort.YES_NO, Sort.CHOICE):
            raise fault(f"accept belongs to a reading of sort yes-no or choice, not {self.sort}")
        words = self.choices if self.sort is Sort.CHOICE else ("yes", "no")
        for word in self.accept:
            if word not in words:
                raise fault(f'accept "{word}": expected {listed(words)}{nearest(word, words)}')


class ResultDef(Held):
    """A value worked out."""

    name: Handle
    label: Text
    unit: UnitName
    resolution: Span
    why: Text = Field(default="")
    value: Sum | None = None
    least: Sum | None = None
    most: Sum | None = None
    remedy: Annotated[tuple[RemedyDef, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _consistent(self) -> ResultDef:
        pair = (self.least is not None) + (self.most is not None)
        if pair + 2 * (self.value is not None) != 2:
            raise fault("expected either value, or least and most")
        self.check_remedies(self.remedy, accepts=False)
        return self


class OperationDef(Definition):
    """One operation."""

    title: Text
    why: Text
    per: Annotated[Level, BeforeValidator(_one_of(Level))]
    batch: str = ""
    minutes: Annotated[float, Field(ge=0, allow_inf_nan=False)] = 0.0
    who: Annotated[Role, BeforeValidator(_one_of(Role))] = Role.TRAINEE
    needs: Ids = ()
    makes: Ids = ()
    breaks: Ids = ()
    for_: Ids = Field(default=(), alias="for")
    cautions: Ids = ()
    step: Annotated[tuple[StepDef, ...], Field(strict=False)] = ()
    reading: Annotated[tuple[ReadingDef, ...], Field(strict=False)] = ()
    result: Annotated[tuple[ResultDef, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _consistent(self) -> OperationDef:
        if self.batch not in ("", "kind"):
            raise fault(f'batch "{self.batch}": expected kind or nothing')
        if self.batch and self.per is not Level.POSITION:
            raise fault(f'batch belongs to an operation per "position", not "{self.per}"')
        if self.for_ and self.per is not Level.POSITION:
            raise fault(f'for belongs to an operation per "position", not "{self.per}"')
        for key, names in (("needs", self.needs), ("makes", self.makes), ("breaks", self.breaks), ("for", self.for_)):
            _once_each(f"{key}: condition" if key != "for" else "for: repair", names)
        _once_each("caution", self.cautions)
        _once_each("step", (step.name for step in self.step if step.name))
        _once_each("name", (*(r.name for r in self.reading), *(r.name for r in self.result)))
        wide = self.per in (Level.JOB, Level.HEAD)
        ticked = any(step.tick is Tick.EACH or (wide and step.tick is Tick.ONCE) for step in self.step)
        if not self.reading and not ticked:
            raise fault(f'nothing is done at each {self.per}: add a reading, or a step with tick = "each"')
        return self


class RouteDef(Definition):
    """Which operations, in which order."""

    title: Text
    why: Text
    repairs: Ids
    operations: Ids
    received: Ids = ()

    @model_validator(mode="after")
    def _consistent(self) -> RouteDef:
        if not self.repairs:
            raise fault("repairs is empty; a position must have at least one way to be put right")
        if not self.operations:
            raise fault("operations is empty")
        _once_each("repair", self.repairs)
        _once_each("operation", self.operations)
        _once_each("received condition", self.received)
        return self


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


class SpecDef(ValuesDef):
    """A value of the family, with its source."""

    label: Text
    source: Text
    confirmed: bool = False
    application: dict[str, ValuesDef] = {}
    repair: dict[str, ValuesDef] = {}

    @model_validator(mode="after")
    def _one_form(self) -> SpecDef:
        every = (self, *self.application.values(), *self.repair.values())
        ends = [end for values in every for _, end in values.entries]
        if not ends:
            raise fault("has no value: expected value, low and high, or intake and exhaust")
        first = ends[0].quantities[0]
        shape = _shape(ends[0])
        for end in ends:
            for quantity in end.quantities:
                if quantity.dimension != first.dimension:
                    raise fault(f"{first.dimension} ({first.text}) beside {quantity.dimension} ({quantity.text})")
            if _shape(end) != shape:
                raise fault(f"one entry has {shape}, another {_shape(end)}; all must have the same")
        return self


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
    routes: Ids
    received: Ids = ()
    application: dict[str, Text]
    positions: PositionsDef
    head: Annotated[tuple[HeadDef, ...], Field(strict=False)]
    spec: dict[Handle, SpecDef] = {}
    change: dict[str, dict[str, Any]] = {}

    @model_validator(mode="after")
    def _consistent(self) -> FamilyDef:
        if not self.routes:
            raise fault("routes is empty")
        if not self.application:
            raise fault("application is empty; name at least one")
        if not self.head:
            raise fault("there is no head")
        _once_each("route", self.routes)
        _once_each("head", (head.name for head in self.head))
        return self
