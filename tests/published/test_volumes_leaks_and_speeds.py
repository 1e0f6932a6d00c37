"""Volumes, leaks and cutting speeds against regulations, old pocket-books and exact sums."""

from math import pi

import pytest

from headwright.calc.cutting import rpm, spindle, surface_speed
from headwright.calc.leak import leak, molar_flow
from headwright.calc.volumes import compression, compression_ratio, swept

PSI = 0.006894757293168
INCH = 25.4
FOOT_A_MINUTE = 12 * INCH / 60


def test_six_cylinders() -> None:
    """Six cylinders of 17 × 30 cm, clearance 9225 cm³ in all: 40856.4125 cm³, ratio 5.428879. Exact sums."""
    volume = 6 * swept(bore=170, stroke=300)
    assert volume == pytest.approx(40856.4125, abs=5e-5)
    assert compression_ratio(volume, 9225) == pytest.approx(5.428879, abs=5e-7)


def test_a_fifth_of_the_displacement() -> None:
    """Clearance of 20 % of the displacement makes 6 to 1, exactly."""
    assert compression_ratio(swept(100, 90), swept(100, 90) / 5) == pytest.approx(6, rel=1e-14)


def test_a_cut_on_the_deck() -> None:
    """4.000 × 3.480 in with 80 cm³: 716.6 cm³ and 9.96; 0.010 in off 8.9 in² is 1.46 cm³ and 10.12. Exact sums."""
    found = compression(
        bore=4 * INCH, stroke=3.48 * INCH, clearance_volume=80, removal=0.010 * INCH, chamber_area=8.9 * INCH**2
    )
    assert found.swept == pytest.approx(716.6, abs=0.05)
    assert found.ratio == pytest.approx(9.96, abs=0.005)
    assert found.ratio_after == pytest.approx(10.12, abs=0.005)


def test_vacuum_decay() -> None:
    """40 CFR 1065.644, example: 2.96570e-4 mol/s computed from its inputs; 0.00030 printed (from memory)."""
    found = molar_flow(volume=2000, p1=0.0253, t1=20, p2=0.0506, t2=20, time=70)
    assert found == pytest.approx(2.96570e-4, abs=5e-10)
    assert round(found, 5) == 0.00030


def test_pressure_falls_with_temperature() -> None:
    """40.0 psi gauge at 22.0 °C under 14.696 psi reads 39.72 psi at 20.5 °C without a leak. Exact sum."""
    found = leak(40 * PSI, 22.0, 39.2 * PSI, 20.5, atmosphere=14.696 * PSI)
    assert found.expected_p2 / PSI == pytest.approx(39.72, abs=0.005)
    assert found.drop / PSI == pytest.approx(0.52, abs=0.005)


@pytest.mark.parametrize(
    ("inches", "printed", "exact"),
    [(1, 50.92, 50.930), (2, 25.46, 25.465), (3, 16.96, 16.977), (5, 10.20, 10.186), (6, 8.48, 8.488)],
)
def test_cast_iron_at_160_inches_a_minute(inches: float, printed: float, exact: float) -> None:
    """A nineteenth-century pocket-book of engineering formulae; it takes π as 22/7 or so, hence 0.2 %."""
    found = spindle(surface_speed=160 * INCH / 60, diameter=inches * INCH).rpm
    assert found == pytest.approx(exact, abs=0.0005)
    assert found == pytest.approx(printed, rel=0.002)


@pytest.mark.parametrize(
    ("steel", "carbide"),
    [(65, 300), (60, 225), (55, 180), (40, 125)],
    ids=["class 20", "class 25", "class 30-40", "class 45-50"],
)
def test_reaming_grey_iron(steel: float, carbide: float) -> None:
    """A cutter maker's table of ft/min for high-speed steel and carbide, as rpm = 12·SFM/(πD) at 0.3735 in."""
    for feet in (steel, carbide):
        found = rpm(surface_speed=feet * FOOT_A_MINUTE, diameter=0.3735 * INCH)
        assert found == pytest.approx(12 * feet / (pi * 0.3735), rel=1e-12)
        assert surface_speed(found, 0.3735 * INCH) / FOOT_A_MINUTE == pytest.approx(feet, rel=1e-12)
