"""The functions that formulas may call, with the dimensions that they take and give."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import sqrt as _root
from typing import TYPE_CHECKING

from headwright.calc import Impossible, cutting, form, leak, liner, springs, vacuum

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


class Shape(Enum):
    """What a function does with dimensions."""

    GRID = "a reading with several points gives a number of its dimension"
    GRID_DIFFERENCE = "the same, but the number is a difference between readings"
    SAME = "numbers of one dimension give a number of it"
    ROOT = "a number gives one of half its dimension"
    SUM = "each argument and the answer have a dimension of their own"


@dataclass(frozen=True, slots=True)
class Function:
    """A function of formulas: `takes` names the arguments; for a SUM, each stands with its dimension."""

    name: str
    call: Callable[..., float]
    shape: Shape
    takes: tuple[tuple[str, str], ...]
    gives: str = ""
    open_ended: bool = False
    """Takes any number of arguments from two on."""
    line: Callable[[Sequence[float]], float] | None = None
    """Over a reading's points: the same where every one is there and finite, and the stations do not matter."""
    rows: Callable[[form.Grid], float] | None = None
    """The same where every point is there and finite, and the stations matter."""


def _square_root(value: float) -> float:
    if value < 0:
        raise Impossible(f"there is no square root of {value:g}")
    return _root(value)


def _least_of(*values: float) -> float:
    return min(values)


def _greatest_of(*values: float) -> float:
    return max(values)


_READING = (("reading", ""),)
_LENGTH = "length"

_ALL = (
    Function("least", form.least, Shape.GRID, _READING, line=min),
    Function("greatest", form.greatest, Shape.GRID, _READING, line=max),
    Function("mean", form.mean, Shape.GRID, _READING, line=form.mean_of_line),
    Function("spread", form.spread, Shape.GRID_DIFFERENCE, _READING, line=form.spread_of_line),
    Function("taper", form.taper, Shape.GRID_DIFFERENCE, _READING, rows=form.taper_of_rows),
    Function("bell", form.bell, Shape.GRID_DIFFERENCE, _READING, rows=form.bell_of_rows),
    Function("out_of_round", form.out_of_round, Shape.GRID_DIFFERENCE, _READING, rows=form.out_of_round_of_rows),
    Function("abs", abs, Shape.SAME, (("number", ""),)),
    Function("min", _least_of, Shape.SAME, (("number", ""), ("number", "")), open_ended=True),
    Function("max", _greatest_of, Shape.SAME, (("number", ""), ("number", "")), open_ended=True),
    Function("sqrt", _square_root, Shape.ROOT, (("number", ""),)),
    Function("closed_od", liner.closed_od, Shape.SUM, (("free_od", _LENGTH), ("seam_gap", _LENGTH)), _LENGTH),
    Function("crush", liner.crush, Shape.SUM, (("closed_od", _LENGTH), ("bored_hole", _LENGTH)), _LENGTH),
    Function("pre_size_id", liner.pre_size_id, Shape.SUM, (("bored_hole", _LENGTH), ("wall", _LENGTH)), _LENGTH),
    Function("wall_after", liner.wall_after, Shape.SUM, (("bored_hole", _LENGTH), ("finished_id", _LENGTH)), _LENGTH),
    Function(
        "growth",
        liner.growth,
        Shape.SUM,
        (("bored_hole", _LENGTH), ("pre_size_id", _LENGTH), ("finished_id", _LENGTH)),
        "ratio",
    ),
    Function(
        "expected_pressure",
        leak.expected_pressure,
        Shape.SUM,
        (("p1", "pressure"), ("t1", "temperature"), ("t2", "temperature")),
        "pressure",
    ),
    Function("vacuum_ratio", vacuum.vacuum_ratio, Shape.SUM, (("vacuum", "pressure"), ("blank", "pressure")), "ratio"),
    Function(
        "surface_speed",
        cutting.surface_speed,
        Shape.SUM,
        (("rpm", "speed"), ("diameter", _LENGTH)),
        "velocity",
    ),
    Function(
        "spring_rate",
        springs.rate,
        Shape.SUM,
        (("load_1", "force"), ("height_1", _LENGTH), ("load_2", "force"), ("height_2", _LENGTH)),
        "stiffness",
    ),
    Function(
        "spring_load",
        springs.load,
        Shape.SUM,
        (("load_1", "force"), ("height_1", _LENGTH), ("rate", "stiffness"), ("at", _LENGTH)),
        "force",
    ),
    Function("valve_lift", springs.valve_lift, Shape.SUM, (("cam_lift", _LENGTH), ("rocker_ratio", "ratio")), _LENGTH),
    Function(
        "coil_bind_margin",
        springs.coil_bind_margin,
        Shape.SUM,
        (("height", _LENGTH), ("lift", _LENGTH), ("solid_height", _LENGTH)),
        _LENGTH,
    ),
    Function(
        "retainer_to_seal", springs.retainer_to_seal, Shape.SUM, (("closed_gap", _LENGTH), ("lift", _LENGTH)), _LENGTH
    ),
)

FUNCTIONS = {function.name: function for function in _ALL}
"""Every function by its name."""
