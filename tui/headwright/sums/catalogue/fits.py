"""Sums of pressed parts: contact pressure and stresses, and the sizes of a split liner."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.calc.liner import USUAL_CRUSH, Liner, liner
from headwright.calc.pressfit import PressFit, press_fit
from headwright.sums.catalogue.parts import GEOMETRY, by_fields, optional
from headwright.sums.dimensions import FORCE, LENGTH, PRESSURE, RATIO
from headwright.sums.model import Input, Result, Sum

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from headwright.sums.model import Show


def _grip(found: PressFit, given: Mapping[str, Any], show: Show) -> Sequence[str]:
    if given["interference"] <= 0:
        return ("No interference: nothing presses.",)
    if not found.yields or found.full_grip_interference is None:
        return ()
    full = show(found.full_grip_interference, LENGTH)
    return (f"The inner part yields: past {full} no more grip, only harder driving; check the boss's hoop stress.",)


PRESS_FIT = Sum(
    name="press-fit",
    purpose="pressure, stresses, closure and push-out of a press fit",
    inputs=(
        Input("inner_bore", "bore of the inner part, 0 if solid", LENGTH),
        Input("contact", "diameter where the two meet", LENGTH),
        Input("outer", "outside diameter of the boss", LENGTH),
        Input("interference", "interference on diameter", LENGTH),
        Input("inner_modulus", "Young's modulus, inner part", PRESSURE),
        Input("inner_poisson", "Poisson's ratio, inner part", RATIO),
        Input("outer_modulus", "Young's modulus, boss", PRESSURE),
        Input("outer_poisson", "Poisson's ratio, boss", RATIO),
        optional("inner_yield", "yield stress, inner part", PRESSURE),
        optional("friction", "friction coefficient", RATIO),
        optional("length", "length of the fit", LENGTH),
    ),
    results=(
        Result("elastic_pressure", "pressure if nothing yielded", PRESSURE),
        Result("pressure", "contact pressure", PRESSURE),
        Result("yields", "the inner part yields", None),
        Result("inner_bore_hoop", "hoop stress at the inner bore", PRESSURE),
        Result("outer_bore_hoop", "hoop stress at the boss bore", PRESSURE),
        Result("bore_closure", "the inner bore closes by", LENGTH),
        Result("push_out", "force to push it out", FORCE, needs=("friction", "length")),
    ),
    formula="elastic: p = δ / (d·[((c² + d²)/(c² − d²) + νo)/Eo + ((d² + a²)/(d² − a²) − νi)/Ei]), δ the interference,"
    " a the inner bore, d the contact, c the boss outside; with a yield stress the inner part is elastic, perfectly"
    " plastic and free along its axis; push_out = friction·p·π·d·length",
    source="Two thick cylinders (Lamé), as in Budynas and Nisbett, Shigley's Mechanical Engineering Design, 8th"
    " edition; plastic ring by the flow rule of von Mises, after Nadai (from memory).",
    compute=by_fields(press_fit, _grip),
    note="The boss is taken as elastic; grey iron has no yield, so hold its hoop stress against its tensile strength."
    " The ends of a part, about one wall long, close less.",
    example={
        "inner_bore": "8.70mm",
        "contact": "9.525mm",
        "outer": "20mm",
        "interference": "0.0445mm",
        "inner_modulus": "110GPa",
        "inner_poisson": "0.34",
        "outer_modulus": "110GPa",
        "outer_poisson": "0.26",
        "inner_yield": "345MPa",
        "friction": "0.15",
        "length": "50mm",
    },
)


def _crush(found: Liner, given: Mapping[str, Any], show: Show) -> Sequence[str]:
    del given
    if found.crush <= 0:
        return ("No crush: the liner is loose in its hole.",)
    least, most = USUAL_CRUSH
    if least - 1e-7 <= found.crush <= most + 1e-7:
        return ()
    usual = f"{show(least, LENGTH)} to {show(most, LENGTH)}"
    return (f"Crush is usually {usual} (from memory of the trade); the supplier's sheet goes before that.",)


LINER = Sum(
    name="liner",
    purpose="crush, size before sizing and growth of a split liner",
    inputs=(
        Input("bored_hole", "bored hole", LENGTH),
        Input("free_od", "outside diameter as delivered", LENGTH),
        Input("seam_gap", "gap of the open seam", LENGTH),
        Input("wall", "wall thickness", LENGTH),
        optional("finished_id", "inside diameter once sized", LENGTH),
    ),
    results=(
        Result("closed_od", "outside diameter, seam closed", LENGTH),
        Result("crush", "crush (below zero: loose)", LENGTH),
        Result("pre_size_id", "inside diameter before sizing", LENGTH),
        Result("growth", "growth, of its length", RATIO, needs=("finished_id",)),
    ),
    formula="closed_od = free_od − seam_gap/π; crush = closed_od − bored_hole; pre_size_id = bored_hole − 2·wall;"
    " growth = (bored_hole² − pre_size_id²)/(bored_hole² − finished_id²) − 1",
    source=f"{GEOMETRY} Growth at constant volume; part of it goes into the seam, so it is the most that comes out.",
    compute=by_fields(liner, _crush),
    example={
        "bored_hole": "0.3735in",
        "free_od": "0.3790in",
        "seam_gap": "0.011in",
        "wall": "0.0160in",
        "finished_id": "0.3430in",
    },
)
