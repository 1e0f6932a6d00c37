"""A family on its route becomes one plan with nothing left to look up."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from headwright.errors import DefinitionsFaulty, UsageError
from headwright.procedure.library import load
from headwright.procedure.plan import Kind, Level, Plan, Ref, plan_bytes, plan_from, plan_sha256
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from .conftest import Procedures

LIBRARY = Path(__file__).parent / "library"


@pytest.fixture(scope="module")
def birch() -> Plan:
    return build_plan(load(LIBRARY), "reline", "birch")


@pytest.fixture(scope="module")
def rowan() -> Plan:
    return build_plan(load(LIBRARY), "reline", "rowan", "racing")


def test_places_stand_widest_first_and_positions_as_in_the_head(rowan: Plan) -> None:
    assert [place.id for place in rowan.places] == [
        "job", "head:L", "head:R", "chamber:L-1", "chamber:R-1", "L1E", "L1I", "R1I", "R1E",
    ]  # fmt: skip
    position = rowan.places[-1]
    assert (position.level, position.kind, position.cylinder) == (Level.POSITION, Kind.EXHAUST, "1")
    assert position.within == ("job", "head:R", "chamber:R-1")


def test_the_first_application_is_the_default(birch: Plan) -> None:
    assert (birch.application, birch.application_title) == ("street", "Street")


def test_values_are_canonical_and_go_by_kind_and_repair(birch: Plan) -> None:
    specs = {spec.name: spec for spec in birch.specs}
    clearance = specs["clearance"]
    intake, exhaust = clearance.at("intake", "liner"), clearance.at("exhaust", "liner")
    assert intake is not None
    assert exhaust is not None
    assert (intake.low, intake.high) == (0.0254, 0.0508)  # 0.0010 and 0.0020 in
    assert (exhaust.low, exhaust.high) == (0.0381, 0.0635)
    hole = specs["bored_hole"]
    over = hole.at("exhaust", "next-liner")
    plain = hole.at("exhaust", "")
    assert over is not None
    assert plain is not None
    assert (over.high, plain.high) == (9.6139, 9.4869)  # 0.3785 and 0.3735 in × 25.4
    assert (clearance.unit, clearance.confirmed, hole.confirmed) == ("in", True, False)


def test_an_application_replaces_the_value_for_all(rowan: Plan) -> None:
    clearance = next(spec for spec in rowan.specs if spec.name == "clearance")
    entry = clearance.at("intake", "liner")
    assert entry is not None
    assert (entry.low, entry.high) == (0.0508, 0.0762)


def test_extending_keeps_what_is_not_replaced(rowan: Plan) -> None:
    specs = {spec.name: spec for spec in rowan.specs}
    assert specs["stem"].at("intake", "")
    assert specs["stem"].entries[0].value == 8.0
    assert specs["bored_hole"].source == "invented"


def test_what_was_confirmed_for_another_engine_is_asked_for_again(birch: Plan, rowan: Plan) -> None:
    assert next(spec for spec in birch.specs if spec.name == "clearance").confirmed
    assert not any(spec.confirmed for spec in rowan.specs)


def test_a_change_alters_one_operation_of_one_family(birch: Plan, rowan: Plan) -> None:
    ours = next(operation for operation in birch.operations if operation.id == "size")
    theirs = next(operation for operation in rowan.operations if operation.id == "size")
    assert (ours.minutes, theirs.minutes) == (0.0, 2.5)
    assert (ours.readings[0].angles, theirs.readings[0].angles) == ((0, 90), (0,))
    assert theirs.steps[-1].name == "look"
    limit = theirs.results[0].limit
    assert limit is not None
    assert limit.low is not None
    assert (limit.low.constant, limit.spec) == (0.02, "")
    same = [operation for operation in birch.operations if operation.id != "size"]
    assert same == [operation for operation in rowan.operations if operation.id != "size"]


def test_a_step_names_the_readings_that_it_leads_to(procedures: Procedures) -> None:
    """In the operation or by a family's change; a step that names none is in the plan as it was before steps could."""
    procedures.edit("operations/receive.toml", 'tick = "once"', 'tick = "once"\nreadings = ["room"]')
    procedures.edit("families/rowan.toml", 'tick = "each"', 'tick = "each"\nreadings = ["finished_id"]')
    plan = build_plan(load(procedures.folder), "reline", "rowan", "racing")
    steps = {step.name: step for operation in plan.operations for step in operation.steps}
    assert steps["tag"].leads_to("room")
    assert not steps["tag"].leads_to("head_temperature")
    assert steps["look"].leads_to("finished_id")
    assert plan_from(plan_bytes(plan)) == plan


def test_a_plan_of_before_steps_named_readings_keeps_its_bytes_and_hash(birch: Plan) -> None:
    """What an older version wrote reads back to the same bytes, so that its hash on a sheet stays what it was."""
    document = json.loads(plan_bytes(birch))
    steps = [step for operation in document["operations"] for step in operation["steps"]]
    assert {key for step in steps for key in step} == {"do", "last", "name", "tick", "wait", "why"}
    assert not any(step.leads_to("room") for operation in birch.operations for step in operation.steps)


def test_names_stand_for_readings_results_and_values(birch: Plan) -> None:
    size = next(operation for operation in birch.operations if operation.id == "size")
    clearance, middle = size.results
    assert clearance.least is not None
    assert clearance.least.refs == {
        "finished_id": Ref("reading", "finished_id", "size"),
        "stem": Ref("reading", "stem", "decide"),
    }
    assert middle.value is not None
    assert middle.value.refs["clearance.most"] == Ref("result", "clearance", "size", "most")
    assert clearance.limit is not None
    assert clearance.limit.high is not None
    assert clearance.limit.high.refs == {"spec.clearance.high": Ref("spec", "clearance", part="high")}
    assert (clearance.limit.spec, clearance.limit.source) == ("clearance", "invented")


def test_degrees_of_a_difference_have_no_zero_of_their_own(birch: Plan) -> None:
    receive = birch.operations[0]
    warmer = receive.results[0]
    assert warmer.dimension == "temperature difference"
    assert warmer.limit is not None
    assert warmer.limit.low is not None
    assert warmer.limit.high is not None
    assert warmer.limit.low.constant == -2.0
    assert warmer.limit.high.constant == pytest.approx(2.0)  # 3.6 °F
    assert receive.readings[1].within == pytest.approx(5.0)  # 9 °F
    degrees = {(unit.dimension, unit.name): unit.offset for unit in birch.units}
    assert degrees["temperature difference", "degF"] == 0
    assert degrees["temperature", "degF"] == pytest.approx(-160 / 9)


def test_the_plan_keeps_the_texts_it_was_made_from(rowan: Plan) -> None:
    names = [text.path for text in rowan.texts]
    assert names == sorted(str(path.relative_to(LIBRARY)) for path in LIBRARY.rglob("*.toml"))
    for text in rowan.texts:
        assert text.sha256 == hashlib.sha256((LIBRARY / text.path).read_bytes()).hexdigest()
        assert text.text == (LIBRARY / text.path).read_text(encoding="utf-8")


def test_a_repair_is_chosen_among_those_of_the_route(birch: Plan) -> None:
    decide = next(operation for operation in birch.operations if operation.id == "decide")
    assert decide.readings[1].choices == ("reuse", "liner", "next-liner")


def test_a_plan_is_read_elsewhere_without_pint_or_pydantic(birch: Plan, tmp_path: Path) -> None:
    """A job keeps its whole plan; another program start reads it back to the same bytes."""
    (tmp_path / "plan.json").write_bytes(plan_bytes(birch))
    code = """
import sys
from pathlib import Path
from headwright.procedure import formula, plan
data = Path(sys.argv[1]).read_bytes()
read = plan.plan_from(data)
assert plan.plan_bytes(read) == data
for operation in read.operations:
    for result in operation.results:
        for each in (result.value, result.least, result.most):
            assert each is None or formula.compiled(each)
assert not {"pint", "pydantic", "tree_sitter"} & set(sys.modules)
print(plan.plan_sha256(read))
"""
    run = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "plan.json")], check=True, capture_output=True, text=True
    )
    assert run.stdout.strip() == plan_sha256(birch)
    assert plan_from(json.dumps(json.loads(plan_bytes(birch)))) == birch


def test_a_remedy_for_another_route_is_left_out(procedures: Procedures) -> None:
    """An operation serves several routes; a way out that this route has not is not offered."""
    procedures.edit(
        "routes/reline.toml", 'repairs    = ["reuse", "liner", "next-liner"]', 'repairs = ["reuse", "liner"]'
    )
    plan = build_plan(load(procedures.folder), "reline", "birch")
    bore = next(operation for operation in plan.operations if operation.id == "bore")
    assert bore.readings[0].remedies == ()
    assert bore.repairs == ("liner",)


@pytest.mark.parametrize(
    ("names", "message", "hint"),
    [
        (("reline", "brich"), "no family 'brich'; did you mean 'birch'?", "There is birch and rowan."),
        (("relin", "birch"), "family 'birch' has no route 'relin'; did you mean 'reline'?", "There is reline."),
        (
            ("reline", "birch", "race"),
            "family 'birch' has no application 'race'; did you mean 'racing'?",
            "There is street and racing.",
        ),
    ],
)
def test_what_is_not_there_is_told(names: tuple[str, ...], message: str, hint: str) -> None:
    with pytest.raises(UsageError) as caught:
        build_plan(load(LIBRARY), *names)
    assert (caught.value.message, caught.value.hint) == (message, hint)


def test_nothing_is_half_loaded(procedures: Procedures) -> None:
    procedures.edit("families/birch.toml", '"0.3130 in"', '"0.3130"')
    with pytest.raises(DefinitionsFaulty) as caught:
        load(Path("procedures"))
    assert caught.value.problems == (
        "procedures/families/birch.toml:22  spec.stem.value: '0.3130' has no unit; expected one, as \"0.3130 in\"",
    )


def test_a_folder_that_is_not_there() -> None:
    with pytest.raises(DefinitionsFaulty) as caught:
        load(Path("nowhere"))
    assert caught.value.problems == ("nowhere  no such folder",)


def test_a_plan_with_a_fault_is_not_given(procedures: Procedures) -> None:
    procedures.edit("operations/size.toml", '"spec.stem + spec.clearance.high"', '"spec.stem + room"')
    with pytest.raises(DefinitionsFaulty) as caught:
        build_plan(load(Path("procedures")), "reline", "birch")
    assert caught.value.problems == (
        "procedures/operations/size.toml:17  reading 'finished_id' expect: temperature added to length",
    )
