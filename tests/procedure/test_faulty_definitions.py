"""Each fault gives one line: file, line, key, what was found, what was expected, the nearest right name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from .conftest import Procedures


def test_the_library_itself_is_clean(procedures: Procedures) -> None:
    assert procedures.problems() == []


FAULTS = {
    "unknown key": (
        "operations/size.toml",
        'who    = "machinist"',
        'whom   = "machinist"',
        "procedures/operations/size.toml:8  whom: unknown key; did you mean 'who'?",
    ),
    "unknown key, nothing near": (
        "repairs.toml",
        'label = "Use again"',
        'label = "Use again"\nprice = 3',
        "procedures/repairs.toml:3  reuse.price: unknown key; expected label or why",
    ),
    "unknown key in a remedy": (
        "operations/bore.toml",
        'repair = "next-liner"',
        'reppair = "next-liner"',
        "procedures/operations/bore.toml:23  reading 'bored_id' remedy 1 reppair: unknown key; did you mean 'repair'?",
    ),
    "missing key": (
        "conditions.toml",
        'label = "dry"\n',
        "",
        "procedures/conditions.toml:21  dry: the key 'label' is missing",
    ),
    "unknown unit": (
        "operations/size.toml",
        'unit       = "in"\nresolution = "0.0001 in"\nstations',
        'unit       = "inn"\nresolution = "0.0001 in"\nstations',
        "procedures/operations/size.toml:13  reading 'finished_id' unit: unknown unit 'inn'; did you mean 'in'?",
    ),
    "a role nobody has": (
        "operations/size.toml",
        'name       = "finished_id"',
        'name       = "finished_id"\nrole = "finish"',
        (
            "procedures/operations/size.toml:10  reading 'finished_id': "
            'role "finish": expected ball, pre-size, finished, room-temperature, part-temperature or '
            "gauge-temperature, or nothing; did you mean 'finished'?"
        ),
    ),
    "remedies that cannot be told apart": (
        "operations/bore.toml",
        'repair = "next-liner"',
        'repair = "next-liner"\n[[reading.remedy]]\nsay = "Again."\nredo = "bore"\nrepair = "next-liner"',
        (
            "procedures/operations/bore.toml:11  reading 'bored_id': "
            'two remedies order the same: "Over: bore for the next liner." and "Again."'
        ),
    ),
    "a wait that nothing ends": (
        "operations/receive.toml",
        'tick = "once"',
        'wait = "10 min"',
        (
            "procedures/operations/receive.toml:7  step 'tag': "
            "a step with wait needs tick once or each: the wait ends when it is ticked"
        ),
    ),
    "a step that leads to a reading nobody takes": (
        "operations/receive.toml",
        'tick = "once"',
        'tick = "once"\nreadings = ["room", "head_temprature"]',
        (
            "procedures/operations/receive.toml:12  step 'tag' readings: "
            "unknown reading 'head_temprature'; did you mean 'head_temperature'?"
        ),
    ),
    "a step that leads to a result": (
        "operations/receive.toml",
        'tick = "once"',
        'tick = "once"\nreadings = ["pressure"]',
        (
            "procedures/operations/receive.toml:12  step 'tag' readings: "
            "unknown reading 'pressure'; expected room or head_temperature"
        ),
    ),
    "a step after the readings that leads to one": (
        "operations/receive.toml",
        'tick = "once"',
        'tick = "once"\nlast = true\nreadings = ["room"]',
        (
            "procedures/operations/receive.toml:7  step 'tag': "
            "a step with last comes after the readings; leave out readings, or last"
        ),
    ),
    "a family's step that leads to a reading nobody takes": (
        "families/rowan.toml",
        'tick = "each"',
        'tick = "each"\nreadings = ["finished_od"]',
        (
            "procedures/families/rowan.toml:36  change.size.step.look.readings: "
            "unknown reading 'finished_od'; did you mean 'finished_id'?"
        ),
    ),
    "confirmed without a source": (
        "families/birch.toml",
        "[spec.clearance.application.racing]",
        "[spec.clearance.application.racing]\nconfirmed = true",
        (
            "procedures/families/birch.toml:31  spec.clearance.application.racing: "
            "confirmed needs the source of this application's value"
        ),
    ),
    "wrong unit": (
        "operations/decide.toml",
        'within     = "0.010 in"',
        'within     = "0.010 psi"',
        "procedures/operations/decide.toml:16  reading 'stem' within: pressure (0.010 psi) where length belongs",
    ),
    "wrong unit in a family": (
        "families/birch.toml",
        'value  = "0.3130 in"',
        'value  = "0.3130 psi"',
        "procedures/operations/decide.toml:15  reading 'stem' expect: length compared with pressure (spec.stem)",
        "procedures/operations/size.toml:17  reading 'finished_id' expect: length added to pressure",
    ),
    "missing unit": (
        "families/birch.toml",
        '"0.3130 in"',
        '"0.3130"',
        "procedures/families/birch.toml:22  spec.stem.value: '0.3130' has no unit; expected one, as \"0.3130 in\"",
    ),
    "bare number": (
        "families/birch.toml",
        '"0.3130 in"',
        "0.3130",
        (
            "procedures/families/birch.toml:22  spec.stem.value: "
            '0.313 has no unit; expected a quantity in quotes, as "0.313 in"'
        ),
    ),
    "low above high": (
        "families/birch.toml",
        'low = "0.0015 in", high = "0.0025 in"',
        'low = "0.0025 in", high = "0.0015 in"',
        "procedures/families/birch.toml:29  spec.clearance.exhaust: low 0.0025 in is above high 0.0015 in",
    ),
    "low above high in other units": (
        "operations/receive.toml",
        'high       = "3.6 degF"',
        'high       = "-4 degF"',
        "procedures/operations/receive.toml:33  result 'warmer' low: -2 degC is above high -4 degF",
    ),
    "formula with a syntax error": (
        "operations/size.toml",
        '"least(finished_id) - greatest(stem)"',
        '"least(finished_id - greatest(stem)"',
        (
            "procedures/operations/size.toml:25  result 'clearance' least: "
            "expected ',' or ')', found the end (column 35) in 'least(finished_id - greatest(stem)'"
        ),
    ),
    "comparison in a formula": (
        "operations/size.toml",
        '"(clearance.least + clearance.most) / 2"',
        '"clearance.least < clearance.most"',
        (
            "procedures/operations/size.toml:45  result 'middle' value: a formula works out one number; "
            "comparisons have no place in it (column 17) in 'clearance.least < clearance.most'"
        ),
    ),
    "unknown name": (
        "operations/size.toml",
        '"greatest(finished_id) - least(stem)"',
        '"greatest(finnished_id) - least(stem)"',
        (
            "procedures/operations/size.toml:26  result 'clearance' most: "
            "unknown name 'finnished_id'; did you mean 'finished_id'?"
        ),
    ),
    "unknown function": (
        "operations/size.toml",
        '"greatest(finished_id) - least(stem)"',
        '"greatst(finished_id) - least(stem)"',
        (
            "procedures/operations/size.toml:26  result 'clearance' most: "
            "unknown function 'greatst'; did you mean 'greatest'?"
        ),
    ),
    "wrong argument count": (
        "operations/size.toml",
        '"greatest(finished_id) - least(stem)"',
        '"greatest(finished_id, stem) - least(stem)"',
        "procedures/operations/size.toml:26  result 'clearance' most: 2 arguments given; expected greatest(reading)",
    ),
    "a name that comes later": (
        "operations/decide.toml",
        '"spec.stem"',
        '"mean(bored_id)"',
        (
            "procedures/operations/decide.toml:15  reading 'stem' expect: "
            "'bored_id' is read in 'bore', later in the route 'reline'"
        ),
    ),
    "several points used as one number": (
        "operations/size.toml",
        '"greatest(finished_id) - least(stem)"',
        '"finished_id - least(stem)"',
        (
            "procedures/operations/size.toml:26  result 'clearance' most: "
            "'finished_id' has several points; pick one with a function, as mean(finished_id)"
        ),
    ),
    "length added to a temperature": (
        "operations/size.toml",
        '"spec.stem + spec.clearance.high"',
        '"mean(room) + spec.stem"',
        "procedures/operations/size.toml:17  reading 'finished_id' expect: length added to temperature",
    ),
    "two temperatures added": (
        "operations/receive.toml",
        '"head_temperature - room"',
        '"head_temperature + room"',
        "procedures/operations/receive.toml:32  result 'warmer' value: temperature added to temperature",
    ),
    "length limited by an angle": (
        "operations/bore.toml",
        'limit      = "spec.bored_hole"',
        'high       = "0.5 deg"\nsource     = "invented"',
        "procedures/operations/bore.toml:17  reading 'bored_id' high: length compared with angle (0.5 deg)",
    ),
    "value of another dimension than the unit": (
        "operations/size.toml",
        '"(clearance.least + clearance.most) / 2"',
        '"clearance.least * clearance.most"',
        "procedures/operations/size.toml:45  result 'middle' value: gives area, but the unit 'in' is of length",
    ),
    "resolution of another dimension": (
        "operations/bore.toml",
        'resolution = "0.0001 in"',
        'resolution = "0.1 psi"',
        "procedures/operations/bore.toml:15  reading 'bored_id' resolution: pressure (0.1 psi) where length belongs",
    ),
    "results that need one another": (
        "operations/size.toml",
        '"greatest(finished_id) - least(stem)"',
        '"middle + least(stem)"',
        (
            "procedures/operations/size.toml:20  result 'clearance': "
            "goes round in a circle: clearance → middle → clearance"
        ),
    ),
    "family without a needed value": (
        "operations/bore.toml",
        '"spec.bored_hole"',
        '"spec.bored_whole"',
        (
            "procedures/families/birch.toml:19  spec: family 'birch' has no value 'bored_whole', which "
            "operation 'bore' needs (reading 'bored_id' limit); did you mean 'bored_hole'?"
        ),
        (
            "procedures/families/rowan.toml:15  spec: family 'rowan' has no value 'bored_whole', which "
            "operation 'bore' needs (reading 'bored_id' limit); did you mean 'bored_hole'?"
        ),
    ),
    "a value for some positions only": (
        "families/birch.toml",
        'value  = "0.3130 in"',
        '[spec.stem.repair.liner]\nvalue = "0.3130 in"\n[spec.stem.repair.next-liner]\nvalue = "0.3130 in"',
        (
            "procedures/families/birch.toml:19  spec.stem: no value for intake, which operation 'decide' needs "
            "(reading 'stem' expect)"
        ),
    ),
    "a single value as a limit": (
        "operations/bore.toml",
        '"spec.bored_hole"',
        '"spec.stem"',
        (
            "procedures/operations/bore.toml:17  reading 'bored_id' limit: "
            "spec.stem is a single value; a limit needs low or high (family 'birch')"
        ),
        (
            "procedures/operations/bore.toml:17  reading 'bored_id' limit: "
            "spec.stem is a single value; a limit needs low or high (family 'rowan')"
        ),
    ),
    "a range as a value": (
        "operations/size.toml",
        '"spec.stem + spec.clearance.high"',
        '"spec.stem + spec.clearance"',
        (
            "procedures/operations/size.toml:17  reading 'finished_id' expect: "
            "spec.clearance is a range; pick .low or .high (family 'birch')"
        ),
        (
            "procedures/operations/size.toml:17  reading 'finished_id' expect: "
            "spec.clearance is a range; pick .low or .high (family 'rowan')"
        ),
    ),
    "unknown condition": (
        "operations/oil.toml",
        'breaks = ["dry"]',
        'breaks = ["dri"]',
        "procedures/operations/oil.toml:6  breaks: unknown condition 'dri'; did you mean 'dry'?",
    ),
    "unknown caution": (
        "operations/bore.toml",
        '["noise"]',
        '["nois"]',
        "procedures/operations/bore.toml:9  cautions: unknown caution 'nois'; did you mean 'noise'?",
    ),
    "unknown operation in a remedy": (
        "operations/pass.toml",
        'redo = "decide"',
        'redo = "decied"',
        (
            "procedures/operations/pass.toml:17  reading 'turns' remedy 1 redo: "
            "unknown operation 'decied'; did you mean 'decide'?"
        ),
    ),
    "a remedy that goes forward": (
        "operations/bore.toml",
        'redo   = "bore"',
        'redo   = "size"',
        (
            "procedures/operations/bore.toml:22  reading 'bored_id' remedy 1 redo: "
            "'size' comes later in the route 'reline' than 'bore'; a remedy goes back"
        ),
    ),
    "an operation that makes no work": (
        "operations/pass.toml",
        'makes = ["passed"]',
        'makes = ["dry"]',
        (
            "procedures/operations/pass.toml:5  makes: "
            "makes no condition of sort work, so it would never be done; add one to makes"
        ),
    ),
    "nothing to do": (
        "operations/oil.toml",
        'tick = "each"',
        'tick = "once"',
        (
            "procedures/operations/oil.toml:1  nothing is done at each position: "
            'add a reading, or a step with tick = "each"'
        ),
    ),
    "unknown word": (
        "operations/pass.toml",
        'per   = "position"',
        'per   = "positon"',
        (
            "procedures/operations/pass.toml:3  per: "
            "expected job, head, chamber or position, found \"positon\"; did you mean 'position'?"
        ),
    ),
    "unknown application": (
        "families/birch.toml",
        "[spec.clearance.application.racing]",
        "[spec.clearance.application.race]",
        (
            "procedures/families/birch.toml:31  spec.clearance.application.race: "
            "unknown application 'race'; did you mean 'racing'?"
        ),
    ),
    "position that does not fit the template": (
        "families/birch.toml",
        '"2I", "2E"]',
        '"2I", "E2"]',
        "procedures/families/birch.toml:17  head 'A' stand: position 'E2' does not fit the template '{cylinder}{kind}'",
    ),
    "extends that goes round": (
        "families/birch.toml",
        'title    = "Birch 42"',
        'title    = "Birch 42"\nextends  = "rowan"',
        "procedures/families/birch.toml:2  extends: goes round in a circle: birch → rowan → birch",
    ),
    "extends an unknown family": (
        "families/rowan.toml",
        'extends = "birch"',
        'extends = "brich"',
        "procedures/families/rowan.toml:2  extends: unknown family 'brich'; did you mean 'birch'?",
    ),
    "fault in a change stands in the family": (
        "families/rowan.toml",
        "minutes = 2.5",
        "minuts = 2.5",
        "procedures/families/rowan.toml:23  change.size.minuts: unknown key; did you mean 'minutes'?",
    ),
    "changed limit of another dimension": (
        "families/rowan.toml",
        'high   = "0.07 mm"',
        'high   = "0.07 bar"',
        (
            "procedures/families/rowan.toml:30  change.size.result.clearance.high: "
            "length compared with pressure (0.07 bar)"
        ),
    ),
    "change of an unknown operation": (
        "families/rowan.toml",
        "[change.size]",
        "[change.sice]",
        "procedures/families/rowan.toml:22  change.sice: unknown operation 'sice'; did you mean 'size'?",
    ),
    "no decision of the repair": (
        "operations/decide.toml",
        'sort  = "repair"',
        'sort  = "text"',
        (
            "procedures/routes/reline.toml:7  operations: operation 'bore' is for some repairs, "
            "but no operation decides them; one needs a reading of sort repair"
        ),
    ),
    "not TOML": (
        "routes/reline.toml",
        'title = "Reline"',
        'title = "Reline',
        "procedures/routes/reline.toml:1  not TOML: illegal character '\\n' (column 16)",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_gives_one_line(procedures: Procedures, name: str) -> None:
    file, old, new, *lines = FAULTS[name]
    procedures.edit(file, old, new)
    assert procedures.problems() == lines


def test_every_fault_is_told_at_once(procedures: Procedures) -> None:
    """One round of corrections is enough: no fault hides another in a different file."""
    for name in ("unknown key", "missing key", "low above high", "unknown caution", "not TOML"):
        file, old, new, *_ = FAULTS[name]
        procedures.edit(file, old, new)
    assert procedures.problems() == sorted(
        line
        for name in ("unknown key", "missing key", "low above high", "unknown caution", "not TOML")
        for line in FAULTS[name][3:]
    )


def test_an_unknown_key_hides_no_other_fault_of_its_file(procedures: Procedures) -> None:
    procedures.edit("operations/size.toml", 'who    = "machinist"', 'whom   = "machinist"')
    procedures.edit(
        "operations/size.toml", "least(finished_id) - greatest(stem)", "leest(finished_id) - greatest(stem)"
    )
    procedures.edit("families/birch.toml", 'low = "0.0010 in"', 'low = "0.0010 psi"')
    assert procedures.problems() == [
        (
            "procedures/families/birch.toml:28  spec.clearance.intake.low: "
            "pressure (0.0010 psi) beside length (0.0020 in)"
        ),
        "procedures/operations/size.toml:8  whom: unknown key; did you mean 'who'?",
        "procedures/operations/size.toml:25  result 'clearance' least: unknown function 'leest'; did you mean 'least'?",
    ]


def test_a_file_that_is_not_utf8(procedures: Procedures) -> None:
    path = procedures.folder / "families/birch.toml"
    path.write_bytes(path.read_bytes().replace(b"cylinders", b"c\xe9linders"))
    assert procedures.problems() == [
        "procedures/families/birch.toml:2  not UTF-8: byte 0xe9 at offset 64; save the file as UTF-8 text",
    ]


def test_files_that_do_not_belong(procedures: Procedures) -> None:
    """A misspelt file or folder would be passed over in silence, with all that it says."""
    procedures.add("cautoins.toml", "")
    (procedures.folder / "operation").mkdir()
    procedures.add("operation/seats.toml", "")
    procedures.add("routes/My Route.toml", "")
    (procedures.folder / "repairs.toml").unlink()
    assert [line for line in procedures.problems() if ":" not in line] == [
        "procedures/cautoins.toml  unknown file; did you mean 'cautions.toml'?",
        "procedures/operation  unknown folder; did you mean 'operations'?",
        "procedures/repairs.toml  the file is missing",
        "procedures/routes/My Route.toml  'My Route' is no id; expected lower-case letters, digits and hyphens",
    ]


def test_a_file_too_big_is_not_read(procedures: Procedures) -> None:
    procedures.add("operations/size.toml", "#" * 1_000_000)
    assert procedures.problems() == [
        (
            f"procedures/operations/size.toml  {(procedures.folder / 'operations/size.toml').stat().st_size} bytes; "
            "the most is 1000000"
        )
    ]


@pytest.mark.parametrize(
    "text",
    ["a = " + "[" * 5000, ".".join("a" * 400) + " = 1", "a = " + "[" * 12 + "]" * 12],
    ids=["open brackets", "dotted keys", "lists"],
)
def test_a_file_too_deep_is_not_read(procedures: Procedures, text: str) -> None:
    (procedures.folder / "operations/size.toml").write_text(text, encoding="utf-8")
    assert procedures.problems() == ["procedures/operations/size.toml  more than 10 tables or lists within one another"]


def test_a_number_too_long_is_not_read(procedures: Procedures) -> None:
    """Python refuses to turn thousands of digits into a number; that is a fault of the file, not a crash."""
    (procedures.folder / "operations/size.toml").write_text("minutes = " + "9" * 5000, encoding="utf-8")
    (line,) = procedures.problems()
    assert line.startswith("procedures/operations/size.toml:1  not TOML: exceeds the limit (4300 digits)")
