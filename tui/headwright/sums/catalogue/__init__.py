"""Every sum, by name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.errors import UsageError
from headwright.nearest import nearest
from headwright.sums.catalogue.fits import LINER, PRESS_FIT
from headwright.sums.catalogue.guide import AT_20, CLEARANCE, FORM, HOT_CLEARANCE
from headwright.sums.catalogue.head import COMPRESSION, FLATNESS, LEAK, SPINDLE
from headwright.sums.catalogue.judging import CAPABILITY, CONFORMITY, LINE, UNCERTAINTY
from headwright.sums.catalogue.sizing import BALL
from headwright.sums.catalogue.valve import COIL_RATE, SEAT, SHIMS, SPRING

if TYPE_CHECKING:
    from headwright.sums.model import Sum

SUMS: dict[str, Sum] = {
    each.name: each
    for each in (
        CLEARANCE,
        HOT_CLEARANCE,
        AT_20,
        PRESS_FIT,
        LINER,
        BALL,
        FORM,
        SEAT,
        SPRING,
        COIL_RATE,
        SHIMS,
        FLATNESS,
        COMPRESSION,
        LEAK,
        SPINDLE,
        CAPABILITY,
        CONFORMITY,
        UNCERTAINTY,
        LINE,
    )
}
"""The sums in the order of the work."""


def named(name: str) -> Sum:
    """Give a sum by its name.

    Raises:
        UsageError: there is none of that name.
    """
    found = SUMS.get(name)
    if found is None:
        near = nearest(name, SUMS)
        hint = f"Nearest: {near}." if near else "'headwright calc' lists them."
        raise UsageError(f"there is no sum '{name}'", hint)
    return found
