"""Sums of judging: capability, conformity, uncertainty, a line through points."""

from __future__ import annotations

from math import inf, sqrt
from typing import TYPE_CHECKING, Any

from headwright.calc.capability import capability, capability_of
from headwright.calc.conformity import conformity
from headwright.calc.errors import CalcError
from headwright.calc.line import line
from headwright.calc.uncertainty import Component, uncertainty
from headwright.sums.catalogue.parts import optional
from headwright.sums.dimensions import ANY, RATIO
from headwright.sums.model import Column, Input, Outcome, Result, Sum

if TYPE_CHECKING:
    from collections.abc import Mapping


def _capability(given: Mapping[str, Any]) -> Outcome:
    values = given.get("values")
    limits = {"low": given.get("low"), "high": given.get("high")}
    if values is not None:
        if "mean" in given or "s" in given:
            raise CalcError("give either mean and s, or values")
        found = capability_of([value for (value,) in values], **limits)
    elif "mean" in given and "s" in given:
        found = capability(mean=given["mean"], s=given["s"], **limits)
    else:
        raise CalcError("mean and s are missing, or values in their place")
    remarks = (f"{found.remark[:1].upper()}{found.remark[1:]}.",) if found.remark else ()
    return Outcome({"pp": found.pp, "ppk": found.ppk}, lambda _: remarks)


CAPABILITY = Sum(
    name="capability",
    purpose="how well a run of sizes keeps its limits",
    inputs=(
        optional("mean", "mean of the sizes", ANY),
        Input("s", "standard deviation of the sizes", ANY, required=False, difference=True),
        optional("low", "least size allowed", ANY),
        optional("high", "most size allowed", ANY),
        Input(
            "values",
            "file of sizes for mean and s",
            ANY,
            required=False,
            columns=(Column("value", ANY),),
            unit_of=("low", "high"),
        ),
    ),
    results=(
        Result("pp", "Pp, spread against the limits", RATIO, needs=("low", "high")),
        Result("ppk", "Ppk, the nearer limit", RATIO),
    ),
    formula="pp = (high − low)/(6·s); ppk = the smaller of (high − mean) and (mean − low), over 3·s",
    source="Common definitions; s with n − 1.",
    compute=_capability,
    note="Either limit may be left out. Intake and exhaust, and each gauge, are runs of their own.",
    example={"mean": "0.00150in", "s": "0.000103in", "low": "0.0010in", "high": "0.0020in"},
)


def _conformity(given: Mapping[str, Any]) -> Outcome:
    found = conformity(**given)
    answers = {
        "probability": found.probability,
        "accept_low": found.accept_low,
        "accept_high": found.accept_high,
        "verdict": str(found.verdict),
    }
    if found.accept_low is None and found.accept_high is None:
        close = "The limits lie too close together for this uncertainty: no reading can prove conformity."
        return Outcome(answers, lambda _: (close,))
    return Outcome(answers)


CONFORMITY = Sum(
    name="conformity",
    purpose="whether a reading proves that a size keeps its limits",
    inputs=(
        Input("value", "the reading", ANY),
        Input("u", "its standard uncertainty, U/k", ANY, difference=True),
        optional("low", "least size allowed", ANY),
        optional("high", "most size allowed", ANY),
    ),
    results=(
        Result("probability", "probability of conformity", RATIO),
        Result("accept_low", "a reading proves it from", ANY, needs=("low",), inward=1),
        Result("accept_high", "a reading proves it up to", ANY, needs=("high",), inward=-1),
        Result("verdict", "verdict", None),
    ),
    formula="probability = Φ((high − value)/u) − Φ((low − value)/u); accepted from low + 1.645·u to high − 1.645·u",
    source="JCGM 106:2012; ISO 14253-1:2017, proof at 95 % (edition from memory).",
    compute=_conformity,
    note="Either limit may be left out.",
    example={"value": "8.7033mm", "u": "0.002mm", "low": "8.700mm", "high": "8.715mm"},
)


def _uncertainty(given: Mapping[str, Any]) -> Outcome:
    found = uncertainty([Component(*row) for row in given["components"]], **_only(given, "coverage"))
    dof = "infinite" if found.dof == inf else found.dof
    return Outcome({"combined": found.combined, "dof": dof, "k": found.k, "expanded": found.expanded})


def _only(given: Mapping[str, Any], key: str) -> dict[str, Any]:
    return {key: given[key]} if key in given else {}


UNCERTAINTY = Sum(
    name="uncertainty",
    purpose="combined and expanded uncertainty from its components",
    inputs=(
        Input(
            "components",
            "file of components",
            ANY,
            columns=(
                Column("value", ANY, difference=True),
                Column(
                    "divisor",
                    RATIO,
                    default=1.0,
                    words={"normal": 1.0, "rectangular": sqrt(3), "triangular": sqrt(6), "u-shaped": sqrt(2)},
                ),
                Column("dof", RATIO, default=inf, words={"inf": inf, "infinite": inf, "∞": inf}),
            ),
        ),
        optional("coverage", "coverage, if not 0.95", RATIO),
    ),
    results=(
        Result("combined", "combined standard uncertainty", ANY, difference=True),
        Result("dof", "effective degrees of freedom", RATIO),
        Result("k", "coverage factor", RATIO),
        Result("expanded", "expanded uncertainty", ANY, difference=True),
    ),
    formula="combined² = sum of (value/divisor)²; dof by Welch and Satterthwaite; k = Student's t for dof rounded down;"
    " expanded = k·combined",
    source="JCGM 100:2008 (GUM), 5.1 and annex G.",
    compute=_uncertainty,
    note="A divisor may be a word: normal, rectangular, triangular, u-shaped. Without dof it is infinite.",
    example={"components": "components.csv", "coverage": "0.95"},
)


def _line(given: Mapping[str, Any]) -> Outcome:
    found = line(given["points"], given["at"])
    keys = ("slope", "intercept", "s", "prediction", "low", "high")
    return Outcome({key: getattr(found, key) for key in keys})


LINE = Sum(
    name="line",
    purpose="straight line through points, and what it predicts",
    inputs=(
        Input("points", "file of points", RATIO, columns=(Column("x", RATIO), Column("y", RATIO))),
        Input("at", "x at which y is predicted", RATIO),
    ),
    results=(
        Result("slope", "slope", RATIO),
        Result("intercept", "intercept", RATIO),
        Result("s", "scatter of the points about it", RATIO),
        Result("prediction", "y expected there", RATIO),
        Result("low", "95 % of new values from", RATIO),
        Result("high", "95 % of new values to", RATIO),
    ),
    formula="least squares; the interval is prediction ± t·s·√(1 + 1/n + (at − x̄)²/Σ(x − x̄)²), with n − 2 degrees"
    " of freedom",
    source="Textbooks of statistics; checked against the NIST reference data sets.",
    compute=_line,
    note="Plain numbers throughout: the answers are in the units of the file.",
    example={"points": "points.csv", "at": "500"},
)
