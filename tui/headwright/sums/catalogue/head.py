"""Sums of deck, chamber, jacket and spindle."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.calc.cutting import rpm
from headwright.calc.flatness import flatness
from headwright.calc.leak import leak
from headwright.calc.volumes import compression
from headwright.sums.catalogue.parts import GEOMETRY, by_fields, optional
from headwright.sums.dimensions import (
    AREA,
    FLOW,
    LENGTH,
    PRESSURE,
    RATIO,
    SPEED,
    TEMPERATURE,
    TIME,
    VELOCITY,
    VOLUME,
)
from headwright.sums.model import Column, Input, Outcome, Result, Sum

if TYPE_CHECKING:
    from collections.abc import Mapping

FLATNESS = Sum(
    name="flatness",
    purpose="flatness of a deck from a grid of heights",
    inputs=(
        Input(
            "points",
            "file of points with their heights",
            LENGTH,
            columns=(Column("x", LENGTH), Column("y", LENGTH), Column("z", LENGTH)),
        ),
    ),
    results=(
        Result("minimum_zone", "least distance of two planes that hold all", LENGTH),
        Result("least_squares_zone", "the same about the mean plane", LENGTH),
    ),
    formula="minimum_zone: two parallel planes as close as can be with every point between them;"
    " least_squares_zone: the same, parallel to the least-squares plane; both along z",
    source="Minimum zone by a linear programme, exact; least squares is never less.",
    compute=by_fields(flatness),
    example={"points": "deck.csv"},
    slow=True,
)

COMPRESSION = Sum(
    name="compression",
    purpose="swept volume and compression ratio, before and after a cut",
    inputs=(
        Input("bore", "cylinder bore", LENGTH),
        Input("stroke", "stroke", LENGTH),
        Input("clearance_volume", "volume left at top dead centre", VOLUME),
        optional("removal", "stock taken off the deck", LENGTH),
        optional("chamber_area", "chamber opening at the deck", AREA),
    ),
    results=(
        Result("swept", "swept volume", VOLUME),
        Result("ratio", "compression ratio", RATIO),
        Result("ratio_after", "compression ratio after the cut", RATIO, needs=("removal", "chamber_area")),
    ),
    formula="swept = π/4·bore²·stroke; ratio = (swept + clearance_volume)/clearance_volume;"
    " after the cut clearance_volume is less by removal·chamber_area",
    source=GEOMETRY,
    compute=by_fields(compression),
    note="chamber_area is the opening at the deck, not the area of the bore; a flat head counts its recesses only.",
    example={
        "bore": "4.000in",
        "stroke": "3.480in",
        "clearance_volume": "80cm³",
        "removal": "0.010in",
        "chamber_area": "8.9in²",
    },
)


def _leak(given: Mapping[str, Any]) -> Outcome:
    found = leak(**given)
    return Outcome({"expected_p2": found.expected_p2, "drop": found.drop, "flow": found.flow})


LEAK = Sum(
    name="leak",
    purpose="leak of a pressure test with temperature taken out",
    inputs=(
        Input("p1", "gauge pressure at the start", PRESSURE),
        Input("t1", "temperature at the start", TEMPERATURE),
        Input("p2", "gauge pressure at the end", PRESSURE),
        Input("t2", "temperature at the end", TEMPERATURE),
        optional("atmosphere", "air pressure, if not standard", PRESSURE),
        optional("volume", "volume of the closed jacket", VOLUME),
        optional("time", "time between the readings", TIME),
    ),
    results=(
        Result("expected_p2", "pressure expected without a leak", PRESSURE),
        Result("drop", "drop below that", PRESSURE),
        Result("flow", "leak, air at the atmosphere", FLOW, needs=("volume", "time")),
    ),
    formula="expected_p2 = (p1 + atmosphere)·T2/T1 − atmosphere, T absolute; drop = expected_p2 − p2;"
    " flow = volume·drop/(atmosphere·time)",
    source="Gas law at constant volume.",
    compute=_leak,
    note="Air under pressure can kill: keep to the head maker's test pressure and the machine's manual, stand clear of"
    " plates and plugs, and let the pressure off before touching anything.",
    example={
        "p1": "40.0psi",
        "t1": "22.0degC",
        "p2": "39.2psi",
        "t2": "20.5degC",
        "volume": "3.2l",
        "time": "10min",
    },
)


def _spindle(given: Mapping[str, Any]) -> Outcome:
    return Outcome({"rpm": rpm(**given)})


SPINDLE = Sum(
    name="spindle",
    purpose="spindle speed for a surface speed",
    inputs=(
        Input("surface_speed", "speed of the cutting edge", VELOCITY),
        Input("diameter", "diameter that the edge runs on", LENGTH),
    ),
    results=(Result("rpm", "spindle speed", SPEED),),
    formula="rpm = surface_speed/(π·diameter)",
    source=GEOMETRY,
    compute=_spindle,
    note="The most that the cutter maker and the machine's manual allow goes before this figure.",
    example={"surface_speed": "150ft/min", "diameter": "0.3735in"},
)
