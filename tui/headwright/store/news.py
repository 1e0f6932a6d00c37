"""What somebody else did to the job, in words for whoever was overtaken by it."""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING

from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Event,
    FirstPieceReleased,
    GaugeChecked,
    GaugeDoubted,
    GaugeTaken,
    HandedOver,
    Noted,
    Opened,
    OperationClosed,
    ReadingStruck,
    ReadingTaken,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepBegun,
    StepTicked,
    Stopped,
    TookBench,
    ToolChosen,
    WentOff,
)
from headwright.job.gauges import drift_words
from headwright.job.index import PlanIndex, place_words
from headwright.job.show import unit_sign

if TYPE_CHECKING:
    from headwright.job.events import Entry


def in_words(entry: Entry, index: PlanIndex) -> str:
    """Say in one line who did what at which terminal; `index` is of the plan that the job is held to."""
    return f"{entry.operator or 'nobody'} at {entry.terminal}: {_words(entry.event, index)}"


def _at(index: PlanIndex, operation: str, place: str) -> str:
    return f"{index.operations[operation].title}, {place_words(index.places[place])}"


@singledispatch
def _words(event: Event, index: PlanIndex) -> str:
    del index
    raise TypeError(f"no words for {type(event).__name__}")  # a new event without its words is a fault of the program


@_words.register
def _(event: Opened, index: PlanIndex) -> str:
    return f"opened job {event.job}, {index.plan.route_title}"


@_words.register
def _(event: CameOn, index: PlanIndex) -> str:
    del index
    return f"{event.name} ({event.operator}) came on as {event.role.value}"


@_words.register
def _(event: HandedOver, index: PlanIndex) -> str:
    del index
    return f"{event.by} handed the bench over to {event.to}"


@_words.register
def _(event: TookBench, index: PlanIndex) -> str:
    del index
    return f"{event.operator} took the bench as {event.role.value}"


@_words.register
def _(event: WentOff, index: PlanIndex) -> str:
    del index
    return f"{event.operator} went off"


@_words.register
def _(event: CautionAcknowledged, index: PlanIndex) -> str:
    return f"acknowledged the caution '{index.cautions[event.caution].title}'"


@_words.register
def _(event: StepBegun, index: PlanIndex) -> str:
    return f"{_at(index, event.operation, event.place)}: began the step '{event.step}'"


@_words.register
def _(event: StepTicked, index: PlanIndex) -> str:
    return f"{_at(index, event.operation, event.place)}: ticked the step '{event.step}'"


@_words.register
def _(event: ReadingTaken, index: PlanIndex) -> str:
    label = index.readings[event.operation, event.reading].label
    station = f" {event.station}" if event.station else ""
    angle = f" {event.angle}°" if event.angle is not None else ""
    unit = f" {unit_sign(event.unit)}" if event.typed[-1:].isdigit() and event.unit else ""
    return f"{_at(index, event.operation, event.place)}: {label}{station}{angle} {event.typed}{unit}"


@_words.register
def _(event: ReadingStruck, index: PlanIndex) -> str:
    del index
    return f"struck the reading of entry {event.number}: {event.reason}"


@_words.register
def _(event: GaugeTaken, index: PlanIndex) -> str:
    del index
    return f"took the {event.sort} {event.gauge} in hand"


@_words.register
def _(event: GaugeChecked, index: PlanIndex) -> str:
    before, after = drift_words(index, event.before), drift_words(index, event.after)
    return f"checked {event.gauge} on {event.ring}: off by {before}, set to {after}"


@_words.register
def _(event: GaugeDoubted, index: PlanIndex) -> str:
    off = f"{event.gauge} was found off by {drift_words(index, event.drift)} in job {event.job}"
    return f"{off}; readings since its check are in doubt"


@_words.register
def _(event: ToolChosen, index: PlanIndex) -> str:
    return f"{_at(index, event.operation, event.place)}: put in the {event.tool} {event.item}"


@_words.register
def _(event: FirstPieceReleased, index: PlanIndex) -> str:
    return f"{_at(index, event.operation, event.place)}: released the first piece"


@_words.register
def _(event: Disposed, index: PlanIndex) -> str:
    return f"{_at(index, event.operation, event.place)}: decided {event.disposition.value}, {event.reason}"


@_words.register
def _(event: Stopped, index: PlanIndex) -> str:
    return f"stopped {place_words(index.places[event.place])}: {event.reason}"


@_words.register
def _(event: Resumed, index: PlanIndex) -> str:
    return f"resumed {place_words(index.places[event.place])}: {event.reason}"


@_words.register
def _(event: SpecConfirmed, index: PlanIndex) -> str:
    return f"confirmed '{index.specs[event.spec].label}' from {event.source}"


@_words.register
def _(event: Noted, index: PlanIndex) -> str:
    del index
    return f"noted: {event.text}"


@_words.register
def _(event: OperationClosed, index: PlanIndex) -> str:
    return f"{_at(index, event.operation, event.place)}: done"


@_words.register
def _(event: Released, index: PlanIndex) -> str:
    del event, index
    return "released the job"


@_words.register
def _(event: Reopened, index: PlanIndex) -> str:
    del index
    return f"reopened the job: {event.reason}"
