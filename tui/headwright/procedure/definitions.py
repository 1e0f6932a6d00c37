"""The definitions as they stand in TOML: frozen models that forbid unknown keys and say what a person got wrong."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from headwright import units
from headwright.procedure.plan import ConditionSort, Level, Role, Sort, Tick
from headwright.procedure.problems import listed, nearest
from headwright.procedure.rules import MasteringDef  # noqa: TC001  pydantic reads it
from headwright.procedure.values import (
    Decision,
    Definition,
    Handle,
    Id,
    Ids,
    Span,
    Sum,
    Text,
    Texts,
    UnitName,
    fault,
    once_each,
    one_of,
    station_handle,
)

ROLES = {
    "ball": "length",
    "pre-size": "length",
    "finished": "length",
    "room-temperature": units.TEMPERATURE,
    "part-temperature": units.TEMPERATURE,
    "gauge-temperature": units.TEMPERATURE,
}
"""What a sum of the program can take a reading for, and of what dimension the reading has to be."""
ADVICE = ("ball", "soak")
"""The sums whose answer can be shown beside a remedy."""


class ConditionDef(Definition):
    """A condition: `sort` work makes an operation done, state only locks."""

    label: Text
    sort: Annotated[ConditionSort, BeforeValidator(one_of(ConditionSort))]
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
        if self.advise not in ("", *ADVICE):
            raise fault(f'advise "{self.advise}": expected {listed(ADVICE)}, or nothing{nearest(self.advise, ADVICE)}')
        if self.remeasure and (self.redo or self.repair):
            raise fault("remeasure takes readings again without redoing work; leave out redo and repair")
        return self


class StepDef(Definition):
    """Something to do, and why."""

    do: Text
    why: Text = Field(default="")
    name: Id | None = None
    tick: Annotated[Tick, BeforeValidator(one_of(Tick))] = Tick.NO
    wait: Span | None = None
    last: bool = False
    readings: Annotated[tuple[Handle, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _leads(self) -> StepDef:
        once_each("reading", self.readings)
        if self.last and self.readings:
            raise fault("a step with last comes after the readings; leave out readings, or last")
        return self

    @model_validator(mode="after")
    def _lasts(self) -> StepDef:
        if self.wait is None:
            return self
        if self.wait.dimension != "time":
            raise fault(f"wait is a {self.wait.dimension} ({self.wait.text}); a time is expected")
        if self.tick is Tick.NO:
            raise fault("a step with wait needs tick once or each: the wait ends when it is ticked")
        return self


class Held(Definition):
    """What a reading or a result is held to."""

    limit: str | None = None
    low: Sum | None = None
    high: Sum | None = None
    source: Text = Field(default="")
    firm: bool = False
    rule: Decision | None = None

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
        if own and not self.source:
            raise fault("low and high need a source: where the figures come from")
        if self.source and not self.is_held:
            raise fault("source belongs to low and high; there is neither")
        if self.rule is not None and not self.is_held:
            raise fault("rule tells how to decide on a limit; there is neither limit nor low or high")
        return self

    def check_remedies(self, remedies: tuple[RemedyDef, ...], *, accepts: bool) -> None:
        """Refuse a remedy for a verdict that cannot come, and two that the record could not tell apart."""
        if self.firm and not (self.is_held or accepts):
            raise fault("firm needs something to be held to: limit, low, high or accept")
        for number, remedy in enumerate(remedies):
            for other in remedies[:number]:
                if _twins(remedy, other):
                    raise fault(f'two remedies order the same: "{other.say[:40]}" and "{remedy.say[:40]}"')
            if remedy.when in ("low", "high") and not self.is_held:
                raise fault(f'a remedy when "{remedy.when}" needs a limit, or low and high')
            if remedy.when == "wrong" and not accepts:
                raise fault('a remedy when "wrong" needs accept: the words that pass')
            if not remedy.when and not self.is_held and not accepts:
                raise fault("a remedy needs something that can fail: limit, low, high or accept")


def _twins(one: RemedyDef, other: RemedyDef) -> bool:
    def ordered(remedy: RemedyDef) -> tuple[object, ...]:
        plain = not (remedy.redo or remedy.repair or remedy.remeasure)
        return (remedy.redo, remedy.repair, remedy.remeasure, remedy.stop and plain)

    return ordered(one) == ordered(other) and (one.when == other.when or not one.when or not other.when)


class ReadingDef(Held):
    """A value to be taken."""

    name: Handle
    label: Text
    sort: Annotated[Sort, BeforeValidator(one_of(Sort))] = Sort.NUMBER
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
    role: str = ""
    agree: Span | None = None
    remedy: Annotated[tuple[RemedyDef, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _consistent(self) -> ReadingDef:
        if self.sort is Sort.NUMBER:
            self._number()
        else:
            for key in ("unit", "resolution", "expect", "within", "limit", "low", "high", "agree", "role"):
                if getattr(self, key):
                    raise fault(f"{key} belongs to a number; this reading is of sort {self.sort}")
        if self.choices and self.sort not in (Sort.CHOICE, Sort.REPAIR):
            raise fault(f"choices belong to a reading of sort choice or repair, not {self.sort}")
        if self.sort is Sort.CHOICE and len(self.choices) < 2:
            raise fault("a choice needs at least two choices")
        self._words()
        once_each("station", (station_handle(station) for station in self.stations))
        once_each("angle", map(str, self.angles))
        self.check_remedies(self.remedy, accepts=bool(self.accept))
        return self

    def _number(self) -> None:
        if self.role not in ("", *ROLES):
            raise fault(f'role "{self.role}": expected {listed(ROLES)}, or nothing{nearest(self.role, ROLES)}')
        if self.unit is None:
            raise fault('a number needs a unit: what a bare typed figure means, as unit = "in"')
        if self.resolution is None:
            raise fault('a number needs a resolution, as resolution = "0.0001 in"')
        dimension = units.unit(self.unit).dimension
        if self.role and ROLES[self.role] != dimension:
            raise fault(f'role "{self.role}" is for a {ROLES[self.role]}; this reading is {dimension} ({self.unit})')
        if (self.expect is None) != (self.within is None):
            raise fault("expect and within go together: a figure outside expect ± within is questioned")

    def _words(self) -> None:
        once_each("choice", self.choices)
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
    per: Annotated[Level, BeforeValidator(one_of(Level))]
    batch: str = ""
    minutes: Annotated[float, Field(ge=0, allow_inf_nan=False)] = 0.0
    who: Annotated[Role, BeforeValidator(one_of(Role))] = Role.TRAINEE
    needs: Ids = ()
    makes: Ids = ()
    breaks: Ids = ()
    for_: Ids = Field(default=(), alias="for")
    cautions: Ids = ()
    tool: Text = Field(default="")
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
        if self.tool and self.per is not Level.POSITION:
            raise fault(f'tool belongs to an operation per "position", not "{self.per}"')
        for key, names in (("needs", self.needs), ("makes", self.makes), ("breaks", self.breaks), ("for", self.for_)):
            once_each(f"{key}: condition" if key != "for" else "for: repair", names)
        once_each("caution", self.cautions)
        once_each("step", (step.name for step in self.step if step.name))
        once_each("name", (*(r.name for r in self.reading), *(r.name for r in self.result)))
        self._can_advise()
        wide = self.per in (Level.JOB, Level.HEAD)
        ticked = any(step.tick is Tick.EACH or (wide and step.tick is Tick.ONCE) for step in self.step)
        if not self.reading and not ticked:
            raise fault(f'nothing is done at each {self.per}: add a reading, or a step with tick = "each"')
        return self

    def _can_advise(self) -> None:
        """Refuse advice on how long to soak that has no temperatures to go by."""
        roles = {reading.role for reading in self.reading}
        if {"room-temperature", "part-temperature"} <= roles:
            return
        items: tuple[ReadingDef | ResultDef, ...] = (*self.reading, *self.result)
        for item in items:
            if any(remedy.advise == "soak" for remedy in item.remedy):
                raise fault(
                    f"'{item.name}' advises on the soak, so there must be readings with the roles "
                    "room-temperature and part-temperature"
                )


class RouteDef(Definition):
    """Which operations, in which order."""

    title: Text
    why: Text
    repairs: Ids
    operations: Ids
    received: Ids = ()
    mastering: MasteringDef | None = None

    @model_validator(mode="after")
    def _consistent(self) -> RouteDef:
        if not self.repairs:
            raise fault("repairs is empty; a position must have at least one way to be put right")
        if not self.operations:
            raise fault("operations is empty")
        once_each("repair", self.repairs)
        once_each("operation", self.operations)
        once_each("received condition", self.received)
        return self
