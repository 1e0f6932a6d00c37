"""What cannot be worked is told in one message that names the input, and the nearest right thing where there is one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.sums.figures import table, worked

from headwright.errors import UsageError
from headwright.sums.catalogue import SUMS, named
from headwright.sums.evaluate import evaluate

if TYPE_CHECKING:
    from pathlib import Path

GUIDE = "guide_least=0.3429in guide_most=0.3432in stem_least=0.3413in stem_most=0.3415in"
LENGTH = "expected a length, as 9.525mm or 0.375in"
EXPANSION = "an expansion coefficient"
STEEL = "inner_modulus=207GPa inner_poisson=0.29 outer_modulus=207GPa outer_poisson=0.29"
SIZES = "pre_size=0.3411in low=0.3428in high=0.3434in balls=0.3435in"


@pytest.mark.parametrize(
    ("name", "words", "told"),
    [
        ("clearance", "guide_least=0.3429", f"guide_least: '0.3429' has no unit; {LENGTH}"),
        ("clearance", "guide_least=3psi", f"guide_least: 'psi' makes it a pressure; {LENGTH}"),
        ("clearance", "guide_least=3thu", f"guide_least: there is no unit 'thu' (nearest: thou); {LENGTH}"),
        ("clearance", "guide_least=3IN", f"guide_least: there is no unit 'IN' (nearest: in); {LENGTH}"),
        ("clearance", "guide_least=nan", f"guide_least: 'nan' is not a number; {LENGTH}"),
        ("clearance", "guide_least=inf", f"guide_least: 'inf' is not a number; {LENGTH}"),
        ("clearance", "guide_least=1e999mm", "guide_least: '1e999mm' is not a finite number"),
        ("clearance", "guide_least=1/0mm", "guide_least: '1/0mm' is not a finite number"),
        ("clearance", "guide_least=", "guide_least: nothing is given"),
        ("clearance", "guide_least=1.2.3mm", f"guide_least: there is no unit '.3mm' (nearest: mm); {LENGTH}"),
        ("clearance", f"guide_least={'9' * 70}mm", f"guide_least: '{'9' * 60}' is not a number; {LENGTH}"),
        ("clearance", "guide_leats=1mm", "there is no input 'guide_leats'"),
        ("clearance", "guide_least=1mm", "guide_most, stem_least and stem_most are missing"),
        (
            "clearance",
            GUIDE.replace("0.3432", "0.3428"),
            "guide least (8.70966) must not be above guide most (8.70712)",
        ),
        ("clearance", GUIDE.replace("0.3413", "-0.3413"), "stem least must be above zero, not -8.66902"),
        (
            "press-fit",
            f"inner_bore=10mm contact=9.5mm outer=20mm interference=0.04mm {STEEL}",
            "inner bore (10) must be below the contact diameter (9.5)",
        ),
        (
            "liner",
            "bored_hole=9mm free_od=9.1mm seam_gap=0.2mm wall=-1mm",
            "wall must be above zero, not -1",
        ),
        (
            "at-20",
            "size=9mm expansion=11/K temperature=30degC",
            f"expansion: '11/K' is far too much for {EXPANSION}; expected {EXPANSION}, as 11.4e-6/K or 6.3e-6/°F",
        ),
        ("seat", "outside=40mm inside=41mm angle=45deg", "inside (41) must be below outside (40)"),
        (
            "coil-rate",
            "wire=6mm coil=36mm active=10mm",
            "active: 'mm' does not belong here; expected a number, as 0.34",
        ),
        ("conformity", "value=8.7mm u=1degC low=8mm", "u: it is a difference of temperatures, but value is a length"),
        ("conformity", "value=8.7mm u=0.002mm low=8", "low: it is a number, but value is a length"),
        ("conformity", "value=8.7mm u=0.002mm", "conformity needs a low or a high limit"),
        ("capability", "mean=1mm low=1mm", "mean and s are missing, or values in their place"),
        ("leak", "p1=1e200MPa t1=20C p2=1MPa t2=20C volume=1e200l time=1e-200s", "the figures lead out of any range"),
        (
            "shims",
            "measured=45mm target=44mm stock=0.001mm",
            "the thinnest shim of the stock (0.001) must be at least 0.1",
        ),
        (
            "shims",
            "measured=45mm target=44mm stock=1,5mm",
            "stock: '1,5mm' may be one number or two; write a point, or a unit to each",
        ),
        ("ball", SIZES.replace("balls=0.3435in", "balls=0.34in,,"), f"balls: '' is not a number; {LENGTH}"),
    ],
)
def test_a_wrong_input_is_one_message(name: str, words: str, told: str) -> None:
    with pytest.raises(UsageError) as caught:
        worked(name, words)
    assert caught.value.message == f"{name}: {told}"
    assert caught.value.exit_code == 2


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ("guide_leats=1mm", "Nearest: guide_least."),
        ("zzz=1mm", "It takes guide_least, guide_most, stem_least, stem_most."),
        (GUIDE.replace("0.3432", "0.3428"), "Lengths in this message are in mm, pressures in MPa."),
    ],
)
def test_the_hint_helps_on(words: str, hint: str) -> None:
    with pytest.raises(UsageError) as caught:
        worked("clearance", words)
    assert caught.value.hint == hint


@pytest.mark.parametrize(
    ("name", "hint"), [("clearnce", "Nearest: clearance."), ("zzz", "'headwright calc' lists them.")]
)
def test_an_unknown_sum_is_told_with_the_nearest(name: str, hint: str) -> None:
    with pytest.raises(UsageError) as caught:
        named(name)
    assert (caught.value.message, caught.value.hint) == (f"there is no sum '{name}'", hint)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "figures.csv holds no figures; expected rows of x, y, z"),
        ("# only a remark\n", "figures.csv holds no figures; expected rows of x, y, z"),
        ("x,y,z\n", "figures.csv holds a heading only; expected rows of x, y, z"),
        ("x,y\n1,2\n", "figures.csv line 1: the heading lacks z; expected x, y, z"),
        ("x [foo],y,z\n1,2,3\n", f"figures.csv line 1: there is no unit 'foo'; {LENGTH}"),
        ("a,b,c,d\n1,2,3,4\n", "figures.csv line 1: 4 columns; expected x, y, z"),
        ("0,0,1\n\n0,1\n", "figures.csv line 3: 2 values; expected x, y, z"),
        ("0,0,1\n0,1,2,3\n", "figures.csv line 2: 4 values; expected x, y, z"),
        ("0,0,nan\n", f"figures.csv line 1, z: 'nan' is not a number; {LENGTH}"),
        ("0,0,1psi\n", f"figures.csv line 1, z: 'psi' makes it a pressure; {LENGTH}"),
        ("0,0,\n", "figures.csv line 1, z: nothing stands there; expected a length"),
    ],
)
def test_a_wrong_file_is_told_by_its_line(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(UsageError) as caught:
        worked("flatness", points=table(tmp_path, text))
    assert caught.value.message == f"flatness: points: {told}"


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    (tmp_path / "binary").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "long").write_text("0,0,0\n" * 1_000_000)
    for name, why in (
        ("none.csv", "cannot be read: No such file or directory"),
        (".", "cannot be read: Is a directory"),
        ("binary", "cannot be read: it is not a text"),
        ("long", "is too long for a file of figures"),
    ):
        file = tmp_path / name
        with pytest.raises(UsageError) as caught:
            worked("flatness", points=str(file))
        assert caught.value.message == f"flatness: points: {file} {why}"


def test_records_in_another_unit_than_the_hole_are_not_learnt_from(tmp_path: Path) -> None:
    records = table(tmp_path, "8.65,8.71,8.70\n")
    with pytest.raises(UsageError) as caught:
        worked("ball", SIZES, records=records)
    assert caught.value.message.startswith("ball: the records are of other sizes than pre_size; put their unit")
    headed = table(tmp_path, "pre_size [mm],ball [mm],finished [mm]\n8.65,8.71,8.70\n")
    assert "1 sizing" in " ".join(worked("ball", SIZES, records=headed).remarks())


@pytest.mark.parametrize("name", [name for name, each in SUMS.items() if any(i.required for i in each.inputs)])
def test_without_any_input_each_sum_says_which_it_needs(name: str) -> None:
    with pytest.raises(UsageError) as caught:
        evaluate(SUMS[name], {})
    message = caught.value.message
    assert message.startswith(f"{name}: ")
    assert message.endswith((" is missing", " are missing"))
    assert all(each.key in message for each in SUMS[name].inputs if each.required)
