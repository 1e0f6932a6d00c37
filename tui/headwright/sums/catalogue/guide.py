"""Sums of guide and stem: clearance, temperature, form."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.calc.clearance import Clearance, clearance
from headwright.calc.form import form
from headwright.calc.thermal import HotClearance, at_20, hot_clearance
from headwright.sums.catalogue.parts import GEOMETRY, by_fields
from headwright.sums.dimensions import EXPANSION, LENGTH, TEMPERATURE
from headwright.sums.model import Input, Result, Sum

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from headwright.sums.model import Show

ISO_1 = "Linear expansion from the reference temperature of ISO 1, 20 °C."


def _tight(found: Clearance, given: Mapping[str, Any], show: Show) -> Sequence[str]:
    del given, show
    return ("Below zero the stem does not enter the guide.",) if found.least < 0 else ()


CLEARANCE = Sum(
    name="clearance",
    purpose="least and most clearance of stem and guide",
    inputs=(
        Input("guide_least", "smallest guide reading", LENGTH),
        Input("guide_most", "largest guide reading", LENGTH),
        Input("stem_least", "smallest stem reading", LENGTH),
        Input("stem_most", "largest stem reading", LENGTH),
    ),
    results=(Result("least", "least clearance", LENGTH), Result("most", "most clearance", LENGTH)),
    formula="least = guide_least − stem_most; most = guide_most − stem_least",
    source=GEOMETRY,
    compute=by_fields(clearance, _tight),
    example={"guide_least": "0.3429in", "guide_most": "0.3432in", "stem_least": "0.3413in", "stem_most": "0.3415in"},
)


def _seizing(found: HotClearance, given: Mapping[str, Any], show: Show) -> Sequence[str]:
    del given, show
    return ("Below zero when hot: the stem seizes.",) if found.hot < 0 else ()


HOT_CLEARANCE = Sum(
    name="hot-clearance",
    purpose="clearance of stem and guide at running temperature",
    inputs=(
        Input("guide", "guide diameter at 20 °C", LENGTH),
        Input("stem", "stem diameter at 20 °C", LENGTH),
        Input("guide_expansion", "expansion of what sets the bore", EXPANSION),
        Input("guide_temperature", "temperature of the guide", TEMPERATURE),
        Input("stem_expansion", "expansion of the stem", EXPANSION),
        Input("stem_temperature", "temperature of the stem", TEMPERATURE),
    ),
    results=(Result("cold", "clearance at 20 °C", LENGTH), Result("hot", "clearance when hot", LENGTH)),
    formula="hot = guide·(1 + α·(T − 20 °C)) − stem·(1 + α·(T − 20 °C)), each with its own α and T",
    source=ISO_1,
    compute=by_fields(hot_clearance, _seizing),
    note="Of a thin liner the head sets the bore: give the head's expansion. A bronze guide that the head grips may not"
    " grow freely, its bore can even shrink: take the figure as the best case.",
    example={
        "guide": "8.750mm",
        "stem": "8.700mm",
        "guide_expansion": "17.8e-6/K",
        "guide_temperature": "150degC",
        "stem_expansion": "17.5e-6/K",
        "stem_temperature": "300degC",
    },
)

AT_20 = Sum(
    name="at-20",
    purpose="size of a part at 20 °C from its size at another temperature",
    inputs=(
        Input("size", "true size at the temperature", LENGTH),
        Input("expansion", "expansion of the part", EXPANSION),
        Input("temperature", "temperature of the part", TEMPERATURE),
    ),
    results=(Result("size", "size at 20 °C", LENGTH),),
    formula="size at 20 °C = size / (1 + α·(T − 20 °C))",
    source=ISO_1,
    compute=by_fields(at_20),
    note="A gauge that is as warm as the part has grown as well; what counts then is the difference. Let both soak.",
    example={"size": "9.525mm", "expansion": "11e-6/K", "temperature": "35degC"},
)

_PLACES = tuple(
    (f"{station}_{angle}", f"{station}, {where}")
    for station in ("top", "middle", "bottom")
    for angle, where in ((0, "0° (along the crank)"), (90, "90° (across it)"))
)

FORM = Sum(
    name="form",
    purpose="taper, bell-mouth and out-of-round from six readings",
    inputs=tuple(Input(key, label, LENGTH) for key, label in _PLACES),
    results=(
        Result("mean", "mean of all readings", LENGTH),
        Result("taper", "taper, top against bottom", LENGTH),
        Result("bell", "bell-mouth (below zero: barrel)", LENGTH),
        Result("out_of_round", "most between two angles", LENGTH),
    ),
    formula="of the means of each station: taper = |top − bottom|; bell = the larger end − middle;"
    " out_of_round = the largest |0° − 90°| of a station",
    source=GEOMETRY,
    compute=by_fields(form),
    note="A two-point gauge does not see three lobes: a hole may pass here and still hold a plug gauge.",
    example={
        "top_0": "0.3433in",
        "top_90": "0.3434in",
        "middle_0": "0.3430in",
        "middle_90": "0.3431in",
        "bottom_0": "0.3431in",
        "bottom_90": "0.3431in",
    },
)
