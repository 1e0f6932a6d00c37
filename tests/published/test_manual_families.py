"""Families made from public manuals of the US Army (public domain), for the length of a test.

New, worn and out-of-limit parts go through the procedures as they would at the bench, and the verdicts are those of
the manual. A value that the manual does not give stays as in the family that it starts from.
"""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING, NamedTuple

import pytest

from headwright.data import shipped
from headwright.job.events import Entry, ReadingTaken
from headwright.job.evolve import fold
from headwright.job.figures import Bench, Figure
from headwright.job.state import State, begin
from headwright.job.verdict import Verdict
from headwright.procedure.library import load
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from headwright.procedure.plan import Plan

INCH = 25.4


def spec(name: str, values: str) -> str:
    return f'[spec.{name}]\nlabel = "{name}"\n{values}\nsource = "the manual"\nconfirmed = true\n'


def by_kind(name: str, intake: str, exhaust: str) -> str:
    return spec(name, f"intake = {{ {intake} }}\nexhaust = {{ {exhaust} }}")


V8_DIESEL = (
    spec("seat_runout", 'high = "0.002 in"')
    + by_kind("seat_width", 'low = "0.035 in", high = "0.060 in"', 'low = "0.062 in", high = "0.093 in"')
    + spec("clearance", 'low = "0.001 in"\nhigh = "0.003 in"')
    + spec("margin", 'low = "1/32 in"')
)
TABLE_1_4 = (
    spec("clearance", 'low = "0.0017 in"\nhigh = "0.0035 in"')
    + spec("guide_interference", 'low = "0.0011 in"\nhigh = "0.0026 in"')
    + spec("seat_interference", 'low = "0.0025 in"\nhigh = "0.0045 in"')
    + spec("seat_runout", 'high = "0.002 in"')
)
GENERATOR = by_kind("clearance", 'low = "0.001 in", high = "0.0015 in"', 'low = "0.002 in", high = "0.0025 in"') + spec(
    "service_clearance", 'high = "0.0055 in"'
)
CRANE = (
    spec("clearance", 'low = "0.003 in"\nhigh = "0.005 in"')
    + spec("service_clearance", 'high = "0.007 in"')
    + spec("margin", 'low = "0.094 in"')
)
GRADER = spec("deck_flatness", 'high = "0.006 in"') + spec("deck_flatness_span", 'high = "0.003 in"')
TRUCK = (
    by_kind("clearance", 'low = "0.028 mm", high = "0.030 mm"', 'low = "0.058 mm", high = "0.060 mm"')
    + by_kind("service_clearance", 'high = "0.10 mm"', 'high = "0.15 mm"')
    + spec("deck_flatness", 'high = "0.1 mm"')
)

STEM, BORE, CLEAR = "valves.stem", "verify.verified_id", "verify.clearance"
OLD_STEM, OLD_BORE = "survey-stems.old_stem", "survey-guides.guide_id"
HOLE, INSERT, PRESS = "guide-insert.insert_hole", "guide-insert.insert_od", "guide-insert.interference"
POCKET, RING, HOLD = "seat-inserts.pocket_bore", "seat-inserts.ring_od", "seat-inserts.interference"
BEFORE, AFTER = "surface.height_before", "surface.height_after"
FITS, LOW, HIGH = Verdict.IN, Verdict.LOW, Verdict.HIGH


class Case(NamedTuple):
    """A part at a place: what is read, and what the manual says of an item."""

    place: str
    item: str
    verdict: Verdict
    parts: dict[str, tuple[float, ...]]


def read_as(place: str, item: str, value: float, verdict: Verdict) -> Case:
    return Case(place, item, verdict, {item: (value,)})


def pair(place: str, guide: tuple[float, ...], stem: tuple[float, ...], verdict: Verdict) -> Case:
    return Case(place, CLEAR, verdict, {BORE: guide, STEM: stem})


MANUALS: dict[str, tuple[str, list[Case]]] = {
    "TM 9-2815-237-34": (
        V8_DIESEL,
        [
            read_as("1I", "seats.runout", 0.0020, FITS),
            read_as("1I", "seats.runout", 0.0021, HIGH),
            read_as("1I", "seats.width", 0.060, FITS),
            read_as("1I", "seats.width", 0.064, HIGH),
            read_as("1E", "seats.width", 0.064, FITS),
            read_as("1E", "seats.width", 0.060, LOW),
            pair("1E", (0.3120,), (0.3111,), LOW),
            pair("1E", (0.3130,), (0.3110,), FITS),
            pair("1E", (0.3145,), (0.3110,), HIGH),
            read_as("1E", "reface-valves.margin", 0.032, FITS),
            read_as("1E", "reface-valves.margin", 0.031, LOW),
        ],
    ),
    "TM 9-6115-604-34": (
        TABLE_1_4,
        [
            pair("1I", (0.4972, 0.4980), (0.4945, 0.4955), FITS),
            pair("1I", (0.4996,), (0.4935,), HIGH),
            Case("1I", PRESS, FITS, {HOLE: (0.8435, 0.8445), INSERT: (0.8456, 0.8461)}),
            Case("1I", PRESS, LOW, {HOLE: (0.8450,), INSERT: (0.8456,)}),
            Case("1I", HOLD, FITS, {POCKET: (2.377, 2.378), RING: (2.3805, 2.3815)}),
            Case("1I", HOLD, HIGH, {POCKET: (2.376,), RING: (2.3815,)}),
        ],
    ),
    "TM 5-6115-400-35": (
        GENERATOR,
        [
            pair("1I", (0.3730,), (0.3715, 0.3720), FITS),
            pair("1E", (0.3740,), (0.3715, 0.3720), FITS),
            pair("1E", (0.3730,), (0.3715, 0.3720), LOW),
        ],
    ),
    "TM 5-3810-206-35": (
        CRANE,
        [
            pair("1I", (0.3765,), (0.3715,), FITS),
            pair("1I", (0.3785,), (0.3715,), HIGH),
            read_as("1I", "reface-valves.margin", 0.094, FITS),
            read_as("1I", "reface-valves.margin", 0.093, LOW),
        ],
    ),
    "TM 5-3825-226-24": (
        GRADER,
        [
            Case("head:A", "surface.gap_after", FITS, {"surface.gap_after": (0.002, 0.006)}),
            Case("head:A", "surface.gap_after", HIGH, {"surface.gap_after": (0.002, 0.0065)}),
            read_as("head:A", "surface.gap_span", 0.003, FITS),
            read_as("head:A", "surface.gap_span", 0.0035, HIGH),
            Case("head:A", "surface.removed", FITS, {BEFORE: (3.620,), AFTER: (3.610,)}),
            Case("head:A", "surface.removed", HIGH, {BEFORE: (3.621,), AFTER: (3.610,)}),
        ],
    ),
    "TM 10-3930-653-14&P": (
        TRUCK,
        [
            pair("1I", (8.030 / INCH,), (8.000 / INCH,), FITS),
            pair("1I", (8.031 / INCH,), (8.000 / INCH,), HIGH),
            pair("1E", (8.058 / INCH,), (8.000 / INCH,), FITS),
            pair("1E", (8.057 / INCH,), (8.000 / INCH,), LOW),
            read_as("head:A", "surface.gap_after", 0.09 / INCH, FITS),
            read_as("head:A", "surface.gap_after", 0.11 / INCH, HIGH),
        ],
    ),
}
CASES = [(manual, case) for manual, (_, cases) in MANUALS.items() for case in cases]

WORN = [
    ("TM 5-6115-400-35", "1I", 0.3770, 0.3715, True),
    ("TM 5-6115-400-35", "1I", 0.3775, 0.3715, False),
    ("TM 5-3810-206-35", "1E", 0.3785, 0.3715, True),
    ("TM 5-3810-206-35", "1E", 0.3790, 0.3715, False),
    ("TM 10-3930-653-14&P", "1I", 8.10 / INCH, 8.00 / INCH, True),
    ("TM 10-3930-653-14&P", "1I", 8.11 / INCH, 8.00 / INCH, False),
    ("TM 10-3930-653-14&P", "1E", 8.15 / INCH, 8.00 / INCH, True),
    ("TM 10-3930-653-14&P", "1E", 8.16 / INCH, 8.00 / INCH, False),
]
"""Manual, position, guide, stem, and whether the pair is within the service limit."""


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Plan]:
    """Build a plan for each manual: a family that starts from a shipped one and takes its values from the manual."""
    folder = tmp_path_factory.mktemp("manuals") / "procedures"
    shutil.copytree(shipped("procedures"), folder)
    for number, (manual, (values, _)) in enumerate(MANUALS.items()):
        text = f'extends = "alder-107"\ntitle = "{manual}"\nroutes = ["chamber-in-head"]\n\n{values}'
        (folder / "families" / f"manual-{number}.toml").write_text(text, encoding="utf-8")
    library = load(folder)
    return {manual: build_plan(library, "chamber-in-head", f"manual-{number}") for number, manual in enumerate(MANUALS)}


def read(plan: Plan, case_place: str, parts: dict[str, tuple[float, ...]]) -> State:
    """Give a job in which these readings are on record; no rule of order is asked here."""
    state = begin(plan)
    for where, values in parts.items():
        operation, reading = where.split(".")
        for count, point in enumerate(state.index.points(operation, reading)):
            value = values[count % len(values)] * INCH
            event = ReadingTaken(operation, case_place, reading, str(value), "in", value, "", point[1], point[2])
            entry = Entry(state.number + 1, "2026-03-09T08:00:00.000000Z", "07", "bench", event, "")
            state = fold(state, [entry])
    return state


def figure(state: State, place: str, where: str) -> Figure:
    operation, item = where.split(".")
    return Bench(state, state.index.operations[operation], place).figure(item)


@pytest.mark.parametrize(("manual", "case"), CASES, ids=lambda value: value if isinstance(value, str) else "")
def test_a_part_gets_the_verdict_of_its_manual(plans: dict[str, Plan], manual: str, case: Case) -> None:
    state = read(plans[manual], case.place, case.parts)
    verdict = figure(state, case.place, case.item).verdict
    assert (FITS if verdict is Verdict.NEAR else verdict) is case.verdict


@pytest.mark.parametrize(("manual", "place", "guide", "stem", "serves"), WORN)
def test_a_worn_pair_runs_on_or_not_as_its_manual_says(
    plans: dict[str, Plan], manual: str, place: str, guide: float, stem: float, *, serves: bool
) -> None:
    state = read(plans[manual], place, {OLD_BORE: (guide,), OLD_STEM: (stem,)})
    over = figure(state, place, "decide.over_service")
    assert over.most is not None
    assert (over.most <= 1e-9) is serves
