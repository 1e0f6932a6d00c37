"""Press fits against solvers that share nothing with the closed form: an ODE, finite elements, stepwise plasticity."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_bvp
from scipy.linalg import solve_banded
from scipy.sparse import block_diag, csr_matrix
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, MeshQuad, asm
from skfem.helpers import grad

from headwright.calc.pressfit import PressFit, press_fit

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A tube in a boss: diameters in mm, moduli in MPa."""

    bore: float = 8.70
    contact: float = 9.525
    outer: float = 20.0
    crush: float = 0.0445
    inner: tuple[float, float] = (110e3, 0.34)
    boss: tuple[float, float] = (110e3, 0.26)

    def solve(self, inner_yield: float | None = None) -> PressFit:
        return press_fit(
            inner_bore=self.bore,
            contact=self.contact,
            outer=self.outer,
            interference=self.crush,
            inner_modulus=self.inner[0],
            inner_poisson=self.inner[1],
            outer_modulus=self.boss[0],
            outer_poisson=self.boss[1],
            inner_yield=inner_yield,
        )


def _two_cylinders(case: Case) -> tuple[float, float, float]:
    """Solve radial equilibrium of both parts at once: pressure, hoop stress at the bore, closure."""
    a, b, c = case.bore / 2, case.contact / 2, case.outer / 2

    def slopes(s: Floats, y: Floats) -> Floats:
        rows = []
        for (start, end), (modulus, ratio), u, stress in (
            ((a, b), case.inner, y[0], y[1]),
            ((b, c), case.boss, y[2], y[3]),
        ):
            r = start + (end - start) * s
            hoop = modulus * u / r + ratio * stress
            rows += [(1 - ratio**2) * stress / modulus - ratio * u / r, (hoop - stress) / r]
            rows[-2:] = [row * (end - start) for row in rows[-2:]]
        return np.vstack(rows)

    def ends(at_start: Floats, at_end: Floats) -> Floats:
        return np.array(
            [at_start[1], at_end[3], at_end[1] - at_start[3], at_start[2] - at_end[0] - case.crush / 2], dtype=float
        )

    found = solve_bvp(slopes, ends, np.linspace(0, 1, 41), np.zeros((4, 41)), tol=1e-9, max_nodes=20_000)
    assert found.success, found.message
    bore_u = found.y[0, 0]
    return -found.y[1, -1], case.inner[0] * bore_u / a, -2 * bore_u


CASES = [
    Case(),
    Case(bore=6.944, contact=7.758, outer=14.0, crush=0.060, inner=(103e3, 0.34), boss=(72.4e3, 0.33)),
    Case(bore=30.0, contact=38.0, outer=55.0, crush=0.09, inner=(200e3, 0.29), boss=(72.4e3, 0.33)),
]


@pytest.mark.parametrize("case", CASES, ids=["liner in iron", "liner in aluminium", "seat insert"])
def test_boundary_value_solution(case: Case) -> None:
    """Scipy solve_bvp of the two equilibrium equations, tolerance 1e-9; compared at 1e-6."""
    pressure, hoop, closure = _two_cylinders(case)
    found = case.solve()
    assert found.pressure == pytest.approx(pressure, rel=1e-6)
    assert found.inner_bore_hoop == pytest.approx(hoop, rel=1e-6)
    assert found.bore_closure == pytest.approx(closure, rel=1e-6)


def _stiffness(basis: Any, modulus: float, ratio: float) -> Any:
    shear, lame = modulus / (2 * (1 + ratio)), modulus * ratio / ((1 + ratio) * (1 - 2 * ratio))

    @BilinearForm  # type: ignore[untyped-decorator]  # the library carries no types
    def form(u: Any, v: Any, w: Any) -> Any:
        radius = w.x[0]
        du, dv = grad(u), grad(v)
        hoop_u, hoop_v = u[0] / radius, v[0] / radius
        trace_u, trace_v = du[0, 0] + du[1, 1] + hoop_u, dv[0, 0] + dv[1, 1] + hoop_v
        shears = (du[0, 1] + du[1, 0]) * (dv[0, 1] + dv[1, 0])
        double = du[0, 0] * dv[0, 0] + du[1, 1] * dv[1, 1] + hoop_u * hoop_v
        return (lame * trace_u * trace_v + 2 * shear * double + shear * shears) * radius

    return asm(form, basis)


def _edge(basis: Any, axis: int, place: float, part: str) -> NDArray[np.int64]:
    """Give the unknowns of one direction on a straight edge, in the order of their height."""
    chosen = basis.get_dofs(lambda x: np.isclose(x[axis], place)).all([part])
    return np.asarray(chosen[np.argsort(basis.doflocs[1][chosen], kind="stable")])


def _finite_elements(case: Case, *, slides: bool) -> tuple[Floats, float]:
    """Model half of a 60 mm liner in second-order quads: closure from mid-length to the end, pressure at mid-length."""
    heights = 30.0 * (1 - np.linspace(1, 0, 46) ** 2)
    element = ElementVector(ElementQuad2())
    liner, boss = (
        Basis(MeshQuad.init_tensor(np.linspace(start, end, count) / 2, heights), element)
        for start, end, count in ((case.bore, case.contact, 4), (case.contact, case.outer, 12))
    )
    stiff = block_diag([_stiffness(liner, *case.inner), _stiffness(boss, *case.boss)], format="csr")
    total, radius = stiff.shape[0], case.contact / 2
    # The liner's outer edge moves with the boss, less the misfit: u_liner = u_boss - crush / 2.
    directions = ["u^1"] if slides else ["u^1", "u^2"]
    tied = np.concatenate([_edge(liner, 0, radius, part) for part in directions])
    to = np.concatenate([_edge(boss, 0, radius, part) + liner.N for part in directions])
    free = np.setdiff1d(np.arange(total), tied)
    column = np.zeros(total, dtype=int)
    column[free] = np.arange(len(free))
    column[tied] = column[to]
    tie = csr_matrix((np.ones(total), (np.arange(total), column)), shape=(total, len(free)))
    edge = _edge(liner, 0, radius, "u^1")
    misfit = np.zeros(total)
    misfit[edge] = -case.crush / 2
    floor = np.concatenate([_edge(liner, 1, 0.0, "u^2"), _edge(boss, 1, 0.0, "u^2") + liner.N])
    kept = np.setdiff1d(np.arange(len(free)), column[floor])
    reduced = (tie.T @ stiff @ tie).tocsr()[kept][:, kept].tocsc()
    solution = np.zeros(len(free))
    solution[kept] = spsolve(reduced, -(tie.T @ (stiff @ misfit))[kept])
    moved = tie @ solution + misfit
    # Under even pressure the middle node of a second-order edge bears four sixths of it; forces are per radian.
    push = -(stiff @ moved)[edge]
    pressure = push[1] * 6 / 4 / (radius * heights[1])
    return -2 * moved[_edge(liner, 0, case.bore / 2, "u^1")], float(pressure)


@pytest.mark.parametrize("case", CASES, ids=["liner in iron", "liner in aluminium", "seat insert"])
def test_axisymmetric_finite_elements(case: Case) -> None:
    """scikit-fem, liner and boss of one length without friction: the closed form is its exact answer.

    1e-4: three elements through the wall..
    """
    closure, pressure = _finite_elements(case, slides=True)
    found = case.solve()
    assert closure == pytest.approx(found.bore_closure, rel=1e-4)
    assert pressure == pytest.approx(found.pressure, rel=1e-4)


def test_a_liner_held_by_friction() -> None:
    """scikit-fem, no slip at all: closure at mid-length within 0.1 %, about 11 % less at the ends.

    The boss then also keeps the liner from growing in length, which makes the grip more, not less.
    """
    closure, pressure = _finite_elements(Case(), slides=False)
    found = Case().solve()
    assert closure[0] == pytest.approx(found.bore_closure, rel=1e-3)
    assert closure[-1] == pytest.approx(0.89 * found.bore_closure, rel=0.01)
    assert found.pressure < pressure < 1.15 * found.pressure


def _return_to_yield(strain: Floats, modulus: float, ratio: float, yield_stress: float) -> Floats:
    """Give the plane stress (sum and difference of radial and hoop) that is left of an elastic trial strain."""
    give = np.array([(1 - ratio) / modulus, (1 + ratio) / modulus])

    def stress(flow: Floats) -> Floats:
        return np.stack([strain[0] / (give[0] + flow), strain[1] / (give[1] + 3 * flow)])

    def excess(flow: Floats) -> Floats:
        both = stress(flow)
        return np.asarray((both[0] ** 2 + 3 * both[1] ** 2) / 4 - yield_stress**2)

    low = np.zeros(strain.shape[1])
    high = np.where(excess(low) > 0, 1e3 / modulus, 0.0)
    for _ in range(60):
        middle = (low + high) / 2
        over = excess(middle) > 0
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    return stress(high)


def _step_by_step(case: Case, yield_stress: float, rings: int = 50, steps: int = 30) -> tuple[float, float]:
    """Press a ring of linear elements in step by step with a return to the yield surface: pressure, closure."""
    modulus, ratio = case.inner
    nodes = np.linspace(case.bore, case.contact, rings + 1) / 2
    width, middle = np.diff(nodes), (nodes[1:] + nodes[:-1]) / 2
    b, c = case.contact / 2, case.outer / 2
    give = b / case.boss[0] * ((c**2 + b**2) / (c**2 - b**2) + case.boss[1])
    compliance = np.array([(1 - ratio) / modulus, (1 + ratio) / modulus])
    plastic, u = np.zeros((2, rings)), np.zeros(rings + 1)

    def strains(at: Floats) -> Floats:
        radial, hoop = np.diff(at) / width, (at[1:] + at[:-1]) / 2 / middle
        return np.stack([radial + hoop, radial - hoop])

    def forces(strain: Floats) -> tuple[Floats, Floats, Floats]:
        both = _return_to_yield(strain - plastic, modulus, ratio, yield_stress)
        radial, hoop = (both[0] + both[1]) / 2, (both[0] - both[1]) / 2
        inner = (-radial / width + hoop / 2 / middle) * middle * width
        outer = (radial / width + hoop / 2 / middle) * middle * width
        return both, inner, outer

    for crush in np.linspace(0, case.crush / 2, steps + 1)[1:]:
        for _ in range(25):
            strain = strains(u)
            both, inner, outer = forces(strain)
            residual = np.zeros(rings + 1)
            residual[:-1] += inner
            residual[1:] += outer
            residual[-1] += b * (u[-1] + crush) / give
            bands, nudge = np.zeros((3, rings + 1)), 1e-9
            for side in (0, 1):
                slope = (-1 if side == 0 else 1) / width
                share = 1 / (2 * middle)
                _, more_inner, more_outer = forces(strain + nudge * np.stack([slope + share, slope - share]))
                first, second = (more_inner - inner) / nudge, (more_outer - outer) / nudge
                if side == 0:
                    bands[1, :-1] += first
                    bands[2, :-1] += second
                else:
                    bands[0, 1:] += first
                    bands[1, 1:] += second
            bands[1, -1] += b / give
            u -= solve_banded((1, 1), bands, residual)
            if np.abs(residual).max() < 1e-7 * yield_stress:
                break
        both, _, _ = forces(strains(u))
        plastic = strains(u) - np.stack([compliance[0] * both[0], compliance[1] * both[1]])
    return (u[-1] + case.crush / 2) / give, -2 * u[0]


@pytest.mark.parametrize("yield_stress", [125.0, 345.0, 485.0], ids=["soft", "hard", "partly yielded"])
def test_stepwise_plasticity(yield_stress: float) -> None:
    """Linear ring elements, thirty steps of interference, each returned to von Mises yield in plane stress.

    0.2 %: the elements are a fiftieth of the wall.
    """
    pressure, closure = _step_by_step(Case(), yield_stress)
    found = Case().solve(yield_stress)
    assert found.yields
    assert found.pressure == pytest.approx(pressure, rel=2e-3)
    assert found.bore_closure == pytest.approx(closure, rel=2e-3)


@settings(max_examples=60, deadline=None)
@given(
    wall=st.floats(0.03, 0.4),
    boss=st.floats(1.1, 4.0),
    yield_stress=st.floats(80, 900),
    crush=st.floats(0.0, 0.2),
    more=st.floats(1e-5, 0.1),
)
def test_pressure_rises_with_interference_until_the_wall_flows_and_not_after(
    wall: float, boss: float, yield_stress: float, crush: float, more: float
) -> None:
    def at(interference: float) -> PressFit:
        return Case(bore=9.525 * (1 - wall), outer=9.525 * boss, crush=interference).solve(yield_stress)

    less, greater = at(crush), at(crush + more)
    full = less.full_grip_interference
    assert full is not None
    limit = at(full).pressure
    if crush >= full:
        assert greater.pressure == less.pressure == pytest.approx(limit, rel=1e-9)
    else:
        assert less.pressure < greater.pressure <= limit * (1 + 1e-9)
    assert less.pressure <= less.elastic_pressure * (1 + 1e-12)
    assert greater.bore_closure > less.bore_closure
    if less.yields:
        assert less.pressure < less.elastic_pressure
