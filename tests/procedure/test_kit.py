"""The shop's kit: read into canonical units, and every fault of its file told in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from headwright.data import shipped
from headwright.procedure.kit import Gauge, Kit, KitFaulty, load_kit

INCH = 25.4
"""mm in an inch, by definition."""

KIT = """\
shop = "Ours"

[[gauge]]
id          = "BG-1"
sort        = "bore gauge"
resolution  = "0.0001 in"
uncertainty = "0.00012 in"
last_check  = 2026-02-16
due         = 2027-02-16

[[gauge]]
id          = "TH-1"
sort        = "thermometer"
resolution  = "0.2 degF"
uncertainty = "0.9 degF"
last_check  = 2026-02-16
due         = 2027-02-16

[[ring]]
id          = "R-1"
size        = "0.31302 in"
uncertainty = "0.5 um"
last_check  = 2026-02-16
due         = 2027-02-16

[[ball]]
id          = "B-2"
nominal     = "0.3140 in"
measured    = "0.31395 in"
measured_on = 2026-03-02

[[ball]]
id          = "B-1"
nominal     = "0.3130 in"
measured    = "0.3130 in"
measured_on = 2025-03-02
due         = 2026-03-02

[[ball]]
id      = "B-3"
nominal = "8 mm"

[[liner]]
id       = "L-1"
outside  = "0.3450 in"
wall     = "0.0160 in"
length   = "2.5 in"
material = "phosphor bronze, split"
count    = 8

[[shim]]
thickness = "0.015 in"
count     = 64

[[cone]]
id       = "C-1"
angle    = "60 deg"
least    = "1.1 in"
greatest = "1.75 in"

[[pilot]]
id   = "P-1"
size = "0.3130 in"
"""


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A sound kit file in the working folder."""
    monkeypatch.chdir(tmp_path)
    path = Path("kit.toml")
    path.write_text(KIT, encoding="utf-8")
    return path


def problems(path: Path) -> tuple[str, ...]:
    """Read a kit that has problems; give them."""
    with pytest.raises(KitFaulty) as caught:
        load_kit(path)
    return caught.value.problems


def test_a_kit_comes_in_canonical_units(file: Path) -> None:
    kit = load_kit(file)
    assert kit.shop == "Ours"
    bore, thermometer = kit.gauges
    assert bore == Gauge("BG-1", "bore gauge", "length", 0.00254, 0.003048, "2026-02-16", "2027-02-16")
    assert thermometer.dimension == "temperature difference"
    assert thermometer.uncertainty == pytest.approx(0.5, rel=1e-12)  # 9 °F apart are 5 °C apart
    assert (kit.rings[0].size, kit.rings[0].uncertainty) == (0.31302 * INCH, 0.0005)
    assert [ball.measured for ball in kit.balls] == [0.31395 * INCH, 0.3130 * INCH, None]
    assert kit.balls[2].nominal == 8
    liner = kit.liners[0]
    assert (liner.outside, liner.wall, liner.length) == pytest.approx((8.763, 0.4064, 63.5), rel=1e-12)
    assert (liner.material, liner.count) == ("phosphor bronze, split", 8)
    assert kit.shims[0].thickness == pytest.approx(0.381, rel=1e-12)
    assert kit.shims[0].count == 64
    assert (kit.cones[0].angle, kit.cones[0].least) == pytest.approx((60, 27.94), rel=1e-12)
    assert kit.pilots[0].size == 0.3130 * INCH


def test_a_ball_not_measured_or_overdue_is_left_out(file: Path) -> None:
    kit = load_kit(file)
    assert kit.measured_balls("2026-03-02") == (("B-1", 0.3130 * INCH), ("B-2", 0.31395 * INCH))
    assert kit.measured_balls("2026-03-03") == (("B-2", 0.31395 * INCH),)


def test_a_gauge_or_ring_is_overdue_from_the_day_after(file: Path) -> None:
    kit = load_kit(file)
    for thing in (kit.gauges[0], kit.rings[0]):
        assert not thing.is_overdue("2027-02-16")
        assert thing.is_overdue("2027-02-17")


def test_a_kit_may_be_as_good_as_empty(file: Path) -> None:
    file.write_text('shop = "Ours"\n', encoding="utf-8")
    assert load_kit(file) == Kit("Ours")


def test_the_kit_that_comes_with_the_program_is_sound_and_shows_what_is_left_out() -> None:
    kit = load_kit(shipped("sample_jobs") / "kit.toml")
    assert kit.shop == "Tern Point Head Works"
    sound = kit.measured_balls("2026-03-09")
    assert 0 < len(sound) < len(kit.balls)
    assert any(gauge.is_overdue("2026-03-09") for gauge in kit.gauges)
    assert not all(gauge.is_overdue("2026-03-09") for gauge in kit.gauges)


FAULTS = {
    "unknown key": ('shop = "Ours"', 'shop = "Ours"\nbals = 3', "kit.toml:2  bals: unknown key; did you mean 'ball'?"),
    "missing key": ('shop = "Ours"\n', "", "kit.toml:1  the key 'shop' is missing"),
    "unknown key in a table": (
        'nominal = "8 mm"',
        'nominal = "8 mm"\nmesured = "8 mm"',
        "kit.toml:42  ball 3 mesured: unknown key; did you mean 'measured'?",
    ),
    "bare number": (
        'nominal = "8 mm"',
        "nominal = 8",
        'kit.toml:41  ball 3 nominal: expected length in quotes, as "0.3130 in", found 8',
    ),
    "no unit": (
        'nominal = "8 mm"',
        'nominal = "8"',
        "kit.toml:41  ball 3 nominal: '8' has no unit; expected one, as \"8 in\"",
    ),
    "another dimension": (
        'nominal = "8 mm"',
        'nominal = "8 psi"',
        "kit.toml:41  ball 3 nominal: expected length, found pressure (8 psi)",
    ),
    "not above zero": (
        'thickness = "0.015 in"',
        'thickness = "0 in"',
        "kit.toml:52  shim 1 thickness: 0 in is not above zero",
    ),
    "a date in quotes": (
        "measured_on = 2026-03-02",
        'measured_on = "2026-03-02"',
        'kit.toml:30  ball 1 measured_on: expected a date without quotes, as 2025-03-04, found "2026-03-02"',
    ),
    "a moment for a date": (
        "measured_on = 2026-03-02",
        "measured_on = 2026-03-02T08:00:00",
        "kit.toml:30  ball 1 measured_on: expected a date without quotes, as 2025-03-04, found 2026-03-02 08:00:00",
    ),
    "a name of two lines": (
        'id   = "P-1"',
        'id   = "P-1\\nP-2"',
        'kit.toml:62  pilot 1 id: "P-1\\nP-2": expected a name of one line, of 1 to 60 characters',
    ),
    "a number for a name": ('id   = "P-1"', "id   = 1", "kit.toml:62  pilot 1 id: expected text in quotes, found 1"),
    "measured without the day": (
        "measured_on = 2026-03-02\n",
        "",
        "kit.toml:26  ball 1: measured and measured_on belong together; give both, or neither",
    ),
    "another ball in the tray": (
        'measured    = "0.31395 in"',
        'measured    = "0.3195 in"',
        (
            "kit.toml:26  ball 1: measured 0.3195 in is too far from nominal 0.3140 in for wear; "
            "another ball in the tray?"
        ),
    ),
    "due before it was measured": (
        "due         = 2026-03-02",
        "due         = 2025-03-01",
        "kit.toml:32  ball 2: due 2025-03-01 is before it was measured on 2025-03-02",
    ),
    "resolution and uncertainty": (
        'uncertainty = "0.00012 in"',
        'uncertainty = "1 psi"',
        "kit.toml:3  gauge 1: resolution is length (0.0001 in), uncertainty pressure (1 psi)",
    ),
    "no hole in a liner": (
        'wall     = "0.0160 in"',
        'wall     = "0.1725 in"',
        "kit.toml:43  liner 1: wall 0.1725 in leaves no hole in outside 0.3450 in",
    ),
    "a cone upside down": (
        'greatest = "1.75 in"',
        'greatest = "1.0 in"',
        "kit.toml:55  cone 1: least 1.1 in is above greatest 1.0 in",
    ),
    "a flat cone": (
        'angle    = "60 deg"',
        'angle    = "180 deg"',
        "kit.toml:55  cone 1: angle 180 deg is not below 180 deg",
    ),
    "half a liner": (
        "count    = 8",
        "count    = 8.5",
        "kit.toml:49  liner 1 count: expected a whole number, found 8.5",
    ),
    "fewer than none": (
        "count    = 8",
        "count    = -8",
        "kit.toml:49  liner 1 count: input should be greater than or equal to 0, found -8",
    ),
    "a name twice": ('id          = "B-1"', 'id          = "B-2"', "kit.toml:1  ball 'B-2' stands twice"),
    "not TOML": ('shop = "Ours"', "shop = Ours", "kit.toml:1  not TOML: invalid value (column 8)"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_told_in_one_line(file: Path, fault: str) -> None:
    old, new, line = FAULTS[fault]
    assert KIT.count(old) >= 1
    file.write_text(KIT.replace(old, new, 1), encoding="utf-8")
    assert problems(file) == (line,)


def test_all_faults_are_told_at_once_in_the_order_of_the_file(file: Path) -> None:
    text = KIT.replace('"0.015 in"', '"thin"').replace('"8 mm"', '"round"')
    file.write_text(text, encoding="utf-8")
    with pytest.raises(KitFaulty) as caught:
        load_kit(file)
    assert [line.split("  ")[0] for line in caught.value.problems] == ["kit.toml:41", "kit.toml:52"]
    assert caught.value.hint == "2 problems in the kit; correct its file."
    assert caught.value.exit_code == 2


def test_a_file_that_is_not_there_is_told() -> None:
    assert problems(Path("nowhere.toml")) == ("nowhere.toml  cannot be read: No such file or directory",)
