"""Sums of seat, spring and shims."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.calc.errors import Impossible
from headwright.calc.seats import seat
from headwright.calc.shims import MOST_SHIMS, shims
from headwright.calc.springs import coil_rate, spring
from headwright.sums.catalogue.parts import GEOMETRY, by_fields, optional
from headwright.sums.dimensions import ANGLE, FORCE, LENGTH, PRESSURE, RATIO, STIFFNESS
from headwright.sums.model import Input, Outcome, Result, Sum

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.sums.model import Value

SEAT = Sum(
    name="seat",
    purpose="width and middle of a seat from its two diameters",
    inputs=(
        Input("outside", "outer diameter of the contact", LENGTH),
        Input("inside", "inner diameter of the contact", LENGTH),
        Input("angle", "angle from the deck", ANGLE),
    ),
    results=(
        Result("width", "width along the face", LENGTH),
        Result("mid_diameter", "diameter of its middle", LENGTH),
    ),
    formula="width = (outside − inside)/(2·cos(angle)); mid_diameter = (outside + inside)/2",
    source=GEOMETRY,
    compute=by_fields(seat),
    example={"outside": "1.560in", "inside": "1.470in", "angle": "45deg"},
)

SPRING = Sum(
    name="spring",
    purpose="rate, free length and load of a spring from two loads",
    inputs=(
        Input("load_1", "load at the first height", FORCE),
        Input("height_1", "first height", LENGTH),
        Input("load_2", "load at the second height", FORCE),
        Input("height_2", "second height", LENGTH),
        optional("at", "height to give the load at", LENGTH),
    ),
    results=(
        Result("rate", "rate", STIFFNESS),
        Result("free_length", "free length", LENGTH),
        Result("load", "load at that height", FORCE, needs=("at",)),
    ),
    formula="rate = (load_2 − load_1)/(height_1 − height_2); free_length = height_1 + load_1/rate;"
    " load = load_1 + rate·(height_1 − at)",
    source="Hooke's law; a spring of constant rate.",
    compute=by_fields(spring),
    note="A spring under load lets go with force: use the compressor as its manual says, and protect your eyes.",
    example={"load_1": "110lbf", "height_1": "1.750in", "load_2": "300lbf", "height_2": "1.250in", "at": "1.755in"},
)


def _coil_rate(given: Mapping[str, Any]) -> Outcome:
    return Outcome({"rate": coil_rate(**given)})


COIL_RATE = Sum(
    name="coil-rate",
    purpose="rate of a coil spring from its shape",
    inputs=(
        Input("wire", "wire diameter", LENGTH),
        Input("coil", "mean coil diameter", LENGTH),
        Input("active", "active coils", RATIO),
        Input("shear_modulus", "shear modulus of the wire", PRESSURE),
    ),
    results=(Result("rate", "rate", STIFFNESS),),
    formula="rate = shear_modulus·wire⁴/(8·coil³·active)",
    source="Textbooks of machine design, such as Bhandari, Design of Machine Elements.",
    compute=_coil_rate,
    example={"wire": "6mm", "coil": "36mm", "active": "10", "shear_modulus": "81370MPa"},
)

_THINNEST, _MOST_SIZES = 0.1, 12


def _shims(given: Mapping[str, Any]) -> Outcome:
    stock = set(given["stock"])
    if any(0 < thickness < _THINNEST for thickness in stock):
        raise Impossible(f"the thinnest shim of the stock ({min(stock):g}) must be at least {_THINNEST:g}")
    if len(stock) > _MOST_SIZES:
        raise Impossible(f"the stock may hold {_MOST_SIZES} thicknesses, not {len(stock)}")
    found = shims(measured=given["measured"], target=given["target"], stock=stock)
    remarks = () if found.stack else ("No shim of the stock brings it nearer.",)
    answers: dict[str, Value] = {"stack": found.stack, "height": found.height, "residual": found.residual}
    return Outcome(answers, lambda _: remarks)


SHIMS = Sum(
    name="shims",
    purpose="shims that bring a spring nearest to its installed height",
    inputs=(
        Input("measured", "installed height without shims", LENGTH),
        Input("target", "installed height wanted", LENGTH),
        Input("stock", "thicknesses, between commas", LENGTH, many=True),
    ),
    results=(
        Result("stack", "shims to put in", LENGTH),
        Result("height", "installed height with them", LENGTH),
        Result("residual", "still over the target", LENGTH),
    ),
    formula="of all stacks of the stock the one that leaves the least |height − target|; of equals the thinner,"
    f" then the fewer pieces; at most {MOST_SHIMS:g} mm in all",
    source="Every stack is tried. The most under one spring, 0.060 in, after a magazine article of 1998.",
    compute=_shims,
    note="Check afterwards that the spring keeps clear of coil bind. Shims do not cure a tired spring.",
    example={"measured": "1.785in", "target": "1.750in", "stock": "0.015in,0.030in,0.060in"},
)
