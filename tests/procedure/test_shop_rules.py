"""Gauges, tools, proof, repeats and the shop's rules: from the files into the plan, and each fault in its own line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.procedure.check import check
from headwright.procedure.library import load
from headwright.procedure.plan import Operation, Plan, Rules, plan_bytes, plan_from
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from .conftest import Procedures

SHOP = 'gauges = ["bore gauge"]\npins = true\nown-concession = false\n'
MASTERING = """
[mastering]
gauges   = ["bore gauge"]
age      = "30 min"
readings = 10
drift    = "0.0001 in"
within   = "0.005 in"
"""
SOAK = """
[[result.remedy]]
when      = "high"
say       = "Let it stand."
remeasure = true
advise    = "soak"
"""
READINGS_OF = {"operations/bore.toml": "bored_id", "operations/size.toml": "finished_id"}


def with_gauges(procedures: Procedures) -> None:
    for file, name in READINGS_OF.items():
        procedures.edit(file, f'name       = "{name}"', f'name       = "{name}"\ngauge      = "bore gauge"')


def plan(procedures: Procedures, family: str = "birch") -> Plan:
    return build_plan(load(procedures.folder), "reline", family)


def operation(found: Plan, name: str) -> Operation:
    return next(each for each in found.operations if each.id == name)


def test_a_folder_without_rules_asks_for_nothing(procedures: Procedures) -> None:
    assert plan(procedures).rules == Rules()
    assert Rules() == Rules(gauges=(), mastering=None, pins=False, own_concession=True)


def test_rules_of_shop_and_route_come_together_in_canonical_units(procedures: Procedures) -> None:
    """30 min are 1800 s; an inch is 25.4 mm by definition."""
    with_gauges(procedures)
    procedures.add("shop.toml", SHOP)
    procedures.add("routes/reline.toml", MASTERING)
    assert procedures.problems() == []
    found = plan(procedures)
    mastering = found.rules.mastering
    assert mastering is not None
    assert (mastering.gauges, mastering.seconds, mastering.readings) == (("bore gauge",), 1800.0, 10)
    assert mastering.drift == pytest.approx(0.00254)
    assert mastering.within == pytest.approx(0.127)
    assert (found.rules.gauges, found.rules.pins, found.rules.own_concession) == (("bore gauge",), True, False)
    assert plan_from(plan_bytes(found)) == found
    assert "shop.toml" in [text.path for text in found.texts]


def test_each_key_of_the_shop_stands_alone(procedures: Procedures) -> None:
    procedures.add("shop.toml", "pins = true\n")
    assert plan(procedures).rules == Rules(pins=True)


def test_the_rules_of_a_shop_can_be_checked_as_a_single_file(procedures: Procedures) -> None:
    """Against the shipped rest, as any other file."""
    procedures.add("shop.toml", 'gauges = ["micrometer"]\npin = true\n')
    mine = procedures.folder / "shop.toml"
    assert check([mine]).problems == (f"{mine}:2  pin: unknown key; did you mean 'pins'?",)


def test_a_tool_a_repeat_and_roles_reach_the_plan(procedures: Procedures) -> None:
    procedures.edit("operations/bore.toml", 'batch  = "kind"', 'batch  = "kind"\ntool   = "cutter"')
    procedures.edit("operations/bore.toml", 'name       = "bored_id"', 'name       = "bored_id"\nagree = "0.0001 in"')
    for name, role in (("room", "room-temperature"), ("head_temperature", "part-temperature")):
        procedures.edit(
            "operations/receive.toml", f'name       = "{name}"', f'name       = "{name}"\nrole       = "{role}"'
        )
    procedures.add("operations/receive.toml", SOAK)
    assert procedures.problems() == []
    found = plan(procedures)
    bore, receive = operation(found, "bore"), operation(found, "receive")
    assert bore.tool == "cutter"
    assert bore.readings[0].agree == pytest.approx(0.00254)
    assert [reading.role for reading in receive.readings] == ["room-temperature", "part-temperature"]
    assert receive.results[0].remedies[0].advise == "soak"
    assert all(each.tool == "" for each in found.operations if each is not bore)


def proved(found: Plan) -> set[str]:
    names = set()
    for each in found.operations:
        names |= {f"{each.id}.{reading.name}" for reading in each.readings if reading.proof}
        names |= {f"{each.id}.{result.name}" for result in each.results if result.proof}
    return names


def test_one_reading_may_have_to_be_proved_for_one_family(procedures: Procedures) -> None:
    procedures.add("families/rowan.toml", '\n[change.bore.reading.bored_id]\nrule = "proof"\n')
    assert procedures.problems() == []
    assert proved(plan(procedures)) == set()
    assert proved(plan(procedures, "rowan")) == {"bore.bored_id"}


def test_a_family_by_proof_concerns_what_is_held_to_a_limit_and_nothing_else(procedures: Procedures) -> None:
    procedures.edit("families/birch.toml", 'routes   = ["reline"]', 'routes   = ["reline"]\nrule     = "proof"')
    assert proved(plan(procedures)) == {"receive.warmer", "bore.bored_id", "size.clearance"}
    assert proved(plan(procedures, "rowan")) == proved(plan(procedures)), "a family passes its rule on"
    procedures.edit(
        "operations/bore.toml", 'limit      = "spec.bored_hole"', 'limit = "spec.bored_hole"\nrule = "plain"'
    )
    assert proved(plan(procedures)) == {"receive.warmer", "size.clearance"}


FAULTS = {
    "a gauge that no reading names": (
        "shop.toml", "", 'gauges = ["bore guage"]',
        ("procedures/shop.toml:1  gauges: no number of any operation is read with 'bore guage'; "
        "did you mean 'bore gauge'?"),
    ),
    "the same gauge twice": (
        "shop.toml", "", 'gauges = ["bore gauge", "bore gauge"]',
        "procedures/shop.toml:1  gauge 'bore gauge' stands twice",
    ),
    "a key of the shop that nobody knows": (
        "shop.toml", "", "own-concessions = false",
        "procedures/shop.toml:1  own-concessions: unknown key; did you mean 'own-concession'?",
    ),
    "a PIN in words": (
        "shop.toml", "", 'pins = "yes"', 'procedures/shop.toml:1  pins: expected true or false, found "yes"',
    ),
    "one gauge instead of a list": (
        "shop.toml", "", 'gauges = "bore gauge"',
        'procedures/shop.toml:1  gauges: expected a list in [ ], found "bore gauge"',
    ),
    "an age without its unit": (
        "routes/reline.toml", "", MASTERING.replace('"30 min"', "30"),
        'procedures/routes/reline.toml:15  mastering.age: 30 has no unit; expected a time in quotes, as "30 min"',
    ),
    "an age that is a length": (
        "routes/reline.toml", "", MASTERING.replace('"30 min"', '"30 mm"'),
        "procedures/routes/reline.toml:15  mastering.age: length (30 mm) where time belongs",
    ),
    "a drift that is a pressure": (
        "routes/reline.toml", "", MASTERING.replace('"0.0001 in"', '"0.0001 psi"'),
        "procedures/routes/reline.toml:17  mastering.drift: pressure (0.0001 psi) where length belongs",
    ),
    "no drift at all": (
        "routes/reline.toml", "", MASTERING.replace('drift    = "0.0001 in"\n', ""),
        "procedures/routes/reline.toml:13  mastering: the key 'drift' is missing",
    ),
    "a key of mastering that nobody knows": (
        "routes/reline.toml", "", MASTERING + 'minutes = "30 min"\n',
        ("procedures/routes/reline.toml:19  mastering.minutes: unknown key; "
        "expected gauges, age, readings, drift or within"),
    ),
    "a zero for no readings": (
        "routes/reline.toml", "", MASTERING.replace("= 10", "= 0"),
        "procedures/routes/reline.toml:16  mastering.readings: input should be greater than or equal to 1, found 0",
    ),
    "mastering for no gauge": (
        "routes/reline.toml", "", MASTERING.replace('["bore gauge"]', "[]"),
        ("procedures/routes/reline.toml:13  mastering: gauges is empty; "
        "name the sorts that are zeroed on a ring, or leave the table out"),
    ),
    "a gauge that the route does not read with": (
        "routes/reline.toml", "", MASTERING.replace('"bore gauge"', '"air gauge"'),
        ("procedures/routes/reline.toml:14  mastering.gauges: no number of this route is read with 'air gauge'; "
        "did you mean 'bore gauge'?"),
    ),
    "a rule that there is not": (
        "families/birch.toml", 'routes   = ["reline"]', 'routes   = ["reline"]\nrule     = "prove"',
        "procedures/families/birch.toml:5  rule: expected plain or proof, found \"prove\"; did you mean 'proof'?",
    ),
    "a rule without a limit": (
        "operations/size.toml", 'name       = "finished_id"', 'name = "finished_id"\nrule = "proof"',
        ("procedures/operations/size.toml:10  reading 'finished_id': "
        "rule tells how to decide on a limit; there is neither limit nor low or high"),
    ),
    "repeats that agree in another dimension": (
        "operations/bore.toml", 'resolution = "0.0001 in"', 'resolution = "0.0001 in"\nagree      = "1 psi"',
        "procedures/operations/bore.toml:17  reading 'bored_id' agree: pressure (1 psi) where length belongs",
    ),
    "repeats of a word": (
        "operations/pass.toml", 'name   = "turns"', 'name   = "turns"\nagree  = "0.0001 in"',
        "procedures/operations/pass.toml:8  reading 'turns': agree belongs to a number; this reading is of sort yes-no",
    ),
    "a role of a word": (
        "operations/pass.toml", 'name   = "turns"', 'name   = "turns"\nrole   = "finished"',
        "procedures/operations/pass.toml:8  reading 'turns': role belongs to a number; this reading is of sort yes-no",
    ),
    "a length as a temperature": (
        "operations/bore.toml", 'name       = "bored_id"', 'name       = "bored_id"\nrole = "part-temperature"',
        ("procedures/operations/bore.toml:11  reading 'bored_id': "
        'role "part-temperature" is for a temperature; this reading is length (in)'),
    ),
    "advice on the soak without temperatures": (
        "operations/receive.toml", "", SOAK,
        ("procedures/operations/receive.toml:1  'warmer' advises on the soak, so there must be readings with the roles "
        "room-temperature and part-temperature"),
    ),
    "advice that there is not": (
        "operations/size.toml", 'advise = "ball"', 'advise = "bal"',
        ("procedures/operations/size.toml:30  result 'clearance' remedy 1: "
        "advise \"bal\": expected ball or soak, or nothing; did you mean 'ball'?"),
    ),
    "a tool for the whole head": (
        "operations/receive.toml", 'per     = "head"', 'per     = "head"\ntool    = "cutter"',
        'procedures/operations/receive.toml:1  tool belongs to an operation per "position", not "head"',
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_gives_one_line(procedures: Procedures, name: str) -> None:
    with_gauges(procedures)
    file, old, new, line = FAULTS[name]
    if old:
        procedures.edit(file, old, new)
    else:
        procedures.add(file, new)
    assert procedures.problems() == [line]


def test_a_ring_zeroes_only_what_reads_a_length(procedures: Procedures) -> None:
    with_gauges(procedures)
    procedures.edit("operations/receive.toml", 'name       = "room"', 'name       = "room"\ngauge      = "thermometer"')
    procedures.add("routes/reline.toml", MASTERING.replace('"bore gauge"', '"thermometer"'))
    assert procedures.problems() == [
        (
            "procedures/routes/reline.toml:14  mastering.gauges: 'thermometer' does not read a length "
            "(reading 'room' is temperature); a ring cannot zero it"
        )
    ]


def test_a_gauge_that_only_a_change_names_is_known(procedures: Procedures) -> None:
    """A family may read the same size with another gauge; its rules may then speak of that one."""
    procedures.add("families/rowan.toml", '\n[change.bore.reading.bored_id]\ngauge = "air gauge"\n')
    procedures.add("shop.toml", 'gauges = ["air gauge"]\n')
    procedures.add("routes/reline.toml", MASTERING.replace('"bore gauge"', '"air gauge"'))
    assert procedures.problems() == []
