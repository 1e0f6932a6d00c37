"""What the shop owns to measure and to work with, from its file `kit.toml`.

The file has the line `shop` and one table for each thing: `[[gauge]]`, `[[ring]]`, `[[ball]]`, `[[liner]]`,
`[[shim]]`, `[[cone]]` and `[[pilot]]`. Quantities are texts with their unit, dates stand without quotes. Reading it
takes a third of a second, for the unit library is loaded for it: do so beside the screen, not on a key.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.errors import DefinitionsFaulty
from headwright.procedure.sources import Sourced, Unreadable, read

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path


class KitFaulty(DefinitionsFaulty):
    """A kit file has problems; `problems` are their one-line texts."""

    def __init__(self, problems: Sequence[str]) -> None:
        super().__init__(problems)
        self.hint = f"{len(problems)} problem{'s' if len(problems) != 1 else ''} in the kit; correct its file."


class Gauge(Struct, frozen=True):
    """A gauge: `sort` is what readings ask for; resolution and uncertainty are canonical, dates as `2025-03-04`.

    `uncertainty` is expanded, with a coverage factor of 2. It may be used up to and with the day on which it is due.
    """

    id: str
    sort: str
    dimension: str
    resolution: float
    uncertainty: float
    last_check: str
    due: str

    def is_overdue(self, day: str) -> bool:
        """Tell whether its check is past due on a day, as `2025-03-04`."""
        return day > self.due


class Ring(Struct, frozen=True):
    """A setting ring: its size and expanded uncertainty (k = 2), mm."""

    id: str
    size: float
    uncertainty: float
    last_check: str
    due: str

    def is_overdue(self, day: str) -> bool:
        """Tell whether its check is past due on a day, as `2025-03-04`."""
        return day > self.due


class Ball(Struct, frozen=True):
    """A sizing ball, mm; `measured` is None and `measured_on` empty until somebody has; `due` may be empty."""

    id: str
    nominal: float
    measured: float | None = None
    measured_on: str = ""
    due: str = ""


class Liner(Struct, frozen=True):
    """A liner in stock, mm: its outside when closed, its wall and its length."""

    id: str
    outside: float
    wall: float
    length: float
    material: str
    count: int


class Shim(Struct, frozen=True):
    """Shims of one thickness, mm, and how many there are."""

    thickness: float
    count: int


class Cone(Struct, frozen=True):
    """A centring cone: its whole angle in degrees, and the seats that it reaches, mm across."""

    id: str
    angle: float
    least: float
    greatest: float


class Pilot(Struct, frozen=True):
    """A pilot, mm across."""

    id: str
    size: float


class Kit(Struct, frozen=True):
    """Everything that the shop owns, in the order of its file."""

    shop: str
    gauges: tuple[Gauge, ...] = ()
    rings: tuple[Ring, ...] = ()
    balls: tuple[Ball, ...] = ()
    liners: tuple[Liner, ...] = ()
    shims: tuple[Shim, ...] = ()
    cones: tuple[Cone, ...] = ()
    pilots: tuple[Pilot, ...] = ()

    def measured_balls(self, day: str) -> tuple[tuple[str, float], ...]:
        """Give id and measured size (mm) of the balls to be trusted on a day (`2025-03-04`), smallest first.

        A ball that nobody measured, or whose measuring is overdue, is left out.
        """
        sound = [(b.measured, b.id) for b in self.balls if b.measured is not None and not (b.due and day > b.due)]
        return tuple((name, size) for size, name in sorted(sound))


def load_kit(path: Path) -> Kit:
    """Read a kit file.

    Raises:
        KitFaulty: with every problem there is, file and line named.
    """
    from headwright.procedure.kit_file import KitDef, kit_of  # noqa: PLC0415 - loads pydantic and pint
    from headwright.procedure.validate import validated  # noqa: PLC0415

    try:
        source = read(path, str(path), path.name)
    except Unreadable as error:
        raise KitFaulty([str(error.problem)]) from error
    definition, problems = validated(KitDef, Sourced(source.data, source))
    if definition is None or problems:
        raise KitFaulty([str(problem) for problem in sorted(problems)])
    return kit_of(definition)
