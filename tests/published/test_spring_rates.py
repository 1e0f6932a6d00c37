"""Springs against textbooks and a public manual."""

import pytest

from headwright.calc.limits import within
from headwright.calc.springs import coil_rate, coil_spring, load, spring

LBF = 4.4482216152605
INCH = 25.4
PSI = LBF / INCH**2


def test_bhandari_10_19_nested_pair() -> None:
    """Bhandari, Design of Machine Elements, Ex. 10.19: 1000 N on a nested pair, the inner 15 mm shorter.

    Printed loads 706.021471 and 293.978529 N at 24.988839 mm, held to their last digit.
    """
    outer = coil_rate(wire=6, coil=36, active=10, shear_modulus=81_370)
    inner = coil_rate(wire=5, coil=30, active=8, shear_modulus=81_370)
    travel = (1000 + 15 * inner) / (outer + inner)
    assert travel == pytest.approx(24.988839, abs=6e-7)
    assert load(0, 100, outer, 100 - travel) == pytest.approx(706.021471, abs=6e-7)
    assert load(0, 85, inner, 100 - travel) == pytest.approx(293.978529, abs=6e-7)


def test_shigley_10_1() -> None:
    """Budynas and Nisbett, Shigley's Mechanical Engineering Design, Ex. 10-1: 4.13 lbf/in (from memory)."""
    found = coil_spring(wire=0.037 * INCH, coil=0.400 * INCH, active=10.5, shear_modulus=11.85e6 * PSI)
    assert found.rate / LBF * INCH == pytest.approx(4.13, abs=0.005)


def test_spring_load_of_a_public_manual() -> None:
    """TM 5-3810-206-35: 53.20 to 58.80 lbf at 2-1/32 in, which is 56 lbf ± 5 %; a tester's two readings decide."""
    good = spring(load_1=40 * LBF, height_1=2.25 * INCH, load_2=90 * LBF, height_2=1.55 * INCH, at=(2 + 1 / 32) * INCH)
    tired = spring(load_1=35 * LBF, height_1=2.25 * INCH, load_2=85 * LBF, height_2=1.55 * INCH, at=(2 + 1 / 32) * INCH)
    assert good.load is not None
    assert tired.load is not None
    assert within(good.load, 53.20 * LBF, 58.80 * LBF)
    assert not within(tired.load, 53.20 * LBF, 58.80 * LBF)
    assert pytest.approx(56, rel=1e-12) == (53.20 + 58.80) / 2
