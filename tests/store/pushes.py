"""A small job in which liners are sized: one hole after driving, one ball, and the hole at two stations."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace
from tests.store.small import INCH, reading, small_plan

from headwright.job.events import OperationClosed, ReadingTaken
from headwright.job.sizing import Stratum
from headwright.procedure.plan import Condition, ConditionSort, Level, Operation, Reading

if TYPE_CHECKING:
    from headwright.job.events import Event
    from headwright.procedure.plan import Plan

BRONZE = Stratum("iron", "bronze", "8 mm", "wax", later=False)
BRONZE_AGAIN = replace(BRONZE, later=True)


def sizing_plan(liner: str = "bronze") -> Plan:
    """Make a plan that teaches sizing with liners of one sort."""
    plan = small_plan()
    size = plan.operations[0]
    ball = Reading("ball", "Ball", unit="in", dimension="length", resolution=0.00127, role="ball")
    driven = Reading("driven", "Hole", unit="in", dimension="length", resolution=0.00254, role="pre-size")
    drive = Operation("drive", "Drive", "Iron holds it.", Level.POSITION, makes=("lined",), readings=(driven,))
    return replace(
        plan,
        conditions=(*plan.conditions, Condition("lined", "lined", ConditionSort.WORK, "There is a liner.")),
        operations=(drive, replace(size, readings=(ball, replace(size.readings[0], role="finished")))),
        facts={"head": "iron", "liner": liner, "stem_class": "8 mm", "lubricant": "wax"},
    )


def driven(place: str, inches: float = 0.340) -> tuple[Event, ...]:
    """Make the events of a liner driven and its hole read."""
    typed = f"{inches:.4f}"[1:]
    return (
        ReadingTaken("drive", place, "driven", typed, "in", inches * INCH),
        OperationClosed("drive", place),
    )


def push(place: str, finished: float = 0.3436, ball: float = 0.344) -> tuple[Event, ...]:
    """Make the events of one push, closed."""
    return (
        ReadingTaken("size", place, "ball", f"{ball:.4f}"[1:], "in", ball * INCH),
        reading(place, "top", finished),
        reading(place, "bottom", finished),
        OperationClosed("size", place),
    )
