"""Metals of a cylinder head, each figure with its source.

A source is a publication, "data pages" for figures on which several suppliers' sheets agree, or "from memory" where
nothing was looked up again. The engine maker's and the supplier's own figures go before these.
"""

from dataclasses import dataclass

from headwright.calc.errors import CalcError

MEMORY = "from memory"
CALLISTER = "Callister and Rethwisch, Fundamentals of Materials Science and Engineering, table B.6"
NIST_LENGTH = "J. Res. NIST 99(1), 1994, uncertainties at non-standard temperature"
EN_10090 = "data after NF EN 10090:1998"
DATA_PAGES = "data pages"
IRON_TABLE = "table of modulus by iron class"


@dataclass(frozen=True, slots=True)
class Figure:
    """A property with its source."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Material:
    """A metal at 20 °C: modulus and yield in MPa, expansion in 1/K over the range that its source names."""

    key: str
    name: str
    modulus: Figure
    poisson: Figure
    expansion: Figure
    yield_stress: Figure | None
    note: str


def _bronze(key: str, name: str, note: str, *, modulus: float, expansion: float, yield_stress: float) -> Material:
    return Material(
        key=key,
        name=name,
        modulus=Figure(modulus, DATA_PAGES),
        poisson=Figure(0.34, DATA_PAGES),
        expansion=Figure(expansion, DATA_PAGES),
        yield_stress=Figure(yield_stress, DATA_PAGES),
        note=note,
    )


def _iron(grade: int, modulus: float) -> Material:
    return Material(
        key=f"grey-iron-{grade}",
        name=f"grey iron, class {grade}",
        modulus=Figure(modulus, IRON_TABLE),
        poisson=Figure(0.26, MEMORY),
        expansion=Figure(11.4e-6, CALLISTER),
        yield_stress=None,
        note=f"brittle, no yield; tensile strength at least {grade * 6.894757:.0f} MPa, which its class stands for",
    )


MATERIALS: tuple[Material, ...] = (
    _iron(25, 98e3),
    _iron(30, 100e3),
    _iron(35, 110e3),
    _iron(40, 117e3),
    Material(
        key="aluminium-356-t6",
        name="cast aluminium 356-T6",
        modulus=Figure(72.4e3, MEMORY),
        poisson=Figure(0.33, "open materials database"),
        expansion=Figure(21.5e-6, CALLISTER),
        yield_stress=Figure(165.0, MEMORY),
        note="loses strength above about 200 °C (from memory)",
    ),
    _bronze(
        "bronze-c54400",
        "phosphor bronze C54400, cold worked",
        "lead: mind the dust",
        modulus=103e3,
        expansion=17.3e-6,
        yield_stress=276.0,
    ),
    Material(
        key="bronze-c51000",
        name="phosphor bronze C51000",
        modulus=Figure(110e3, MEMORY),
        poisson=Figure(0.34, MEMORY),
        expansion=Figure(17.8e-6, "supplier data"),
        yield_stress=Figure(345.0, MEMORY),
        note="yield from 130 to 550 MPa by temper; this is about half hard",
    ),
    Material(
        key="bronze-c93200",
        name="bearing bronze C93200",
        modulus=Figure(100e3, MEMORY),
        poisson=Figure(0.34, MEMORY),
        expansion=Figure(18.0e-6, CALLISTER),
        yield_stress=Figure(125.0, MEMORY),
        note="lead: mind the dust",
    ),
    _bronze(
        "bronze-c95400",
        "aluminium bronze C95400, cast",
        "360 MPa when heat treated",
        modulus=107e3,
        expansion=16.2e-6,
        yield_stress=221.0,
    ),
    _bronze(
        "bronze-c86300",
        "manganese bronze C86300",
        "grows most; Poisson's ratio from memory",
        modulus=98e3,
        expansion=21.6e-6,
        yield_stress=427.0,
    ),
    _bronze(
        "bronze-c67300",
        "silicon manganese bronze C67300",
        "guides and valve train",
        modulus=110e3,
        expansion=19.8e-6,
        yield_stress=248.0,
    ),
    Material(
        key="powder-metal-iron",
        name="powder-metal iron guide",
        modulus=Figure(100e3, MEMORY),
        poisson=Figure(0.25, MEMORY),
        expansion=Figure(11.5e-6, MEMORY),
        yield_stress=Figure(275.0, MEMORY),
        note="modulus 80 to 120 GPa by density; oil in its pores; not for ball sizing",
    ),
    Material(
        key="valve-steel-martensitic",
        name="martensitic valve steel",
        modulus=Figure(207e3, MEMORY),
        poisson=Figure(0.28, MEMORY),
        expansion=Figure(12.0e-6, "steel mills' data pages, 20 to 400 °C"),
        yield_stress=Figure(800.0, MEMORY),
        note="magnetic",
    ),
    Material(
        key="valve-steel-austenitic",
        name="austenitic valve steel 21-4N",
        modulus=Figure(207e3, MEMORY),
        poisson=Figure(0.29, MEMORY),
        expansion=Figure(17.5e-6, "steel mills' data pages, 20 to 500 °C"),
        yield_stress=Figure(694.0, "steel mills' data pages"),
        note="not magnetic, which tells a two-piece stem",
    ),
    Material(
        key="valve-steel-1.4870",
        name="austenitic valve steel 1.4870",
        modulus=Figure(207e3, MEMORY),
        poisson=Figure(0.29, MEMORY),
        expansion=Figure(17.5e-6, f"{EN_10090}, 20 to 300 °C"),
        yield_stress=None,
        note="15.5e-6 from 20 to 100 °C, 18.5e-6 from 20 to 500 °C",
    ),
    Material(
        key="titanium-6al-4v",
        name="titanium Ti-6Al-4V",
        modulus=Figure(114e3, MEMORY),
        poisson=Figure(0.34, MEMORY),
        expansion=Figure(8.6e-6, CALLISTER),
        yield_stress=Figure(830.0, MEMORY),
        note="light valves; chips burn",
    ),
    Material(
        key="gauge-steel",
        name="gauge and tool steel",
        modulus=Figure(207e3, MEMORY),
        poisson=Figure(0.29, MEMORY),
        expansion=Figure(11.5e-6, NIST_LENGTH),
        yield_stress=None,
        note="setting rings and micrometers",
    ),
    Material(
        key="tungsten-carbide",
        name="tungsten carbide",
        modulus=Figure(600e3, MEMORY),
        poisson=Figure(0.22, MEMORY),
        expansion=Figure(5.5e-6, MEMORY),
        yield_stress=None,
        note="sizing balls; brittle",
    ),
)


def material(key: str) -> Material:
    """Look a metal up.

    Args:
        key: key of the metal, such as "grey-iron-30".

    Returns:
        The metal with its figures and their sources.

    Raises:
        CalcError: no metal has that key; the message lists those there are.
    """
    for each in MATERIALS:
        if each.key == key:
            return each
    raise CalcError(f"no metal is called {key!r}; there are {', '.join(each.key for each in MATERIALS)}")
