"""The nearest right name to a wrong one."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

NEAR = 0.6
"""Share of signs that two names have in common from which one is taken for a slip of the other (our choice)."""
NEAR_OF_TWO = 0.5
"""The same for names of two signs, as initials and positions are: one of them right is near."""


def nearest(name: str, known: Iterable[str]) -> str:
    """Give the known name that is closest to the one given, empty when none is close."""
    from difflib import get_close_matches  # noqa: PLC0415 - only wanted when something is wrong

    found = get_close_matches(name, list(known), n=1, cutoff=NEAR_OF_TWO if len(name) == 2 else NEAR)
    return found[0] if found else ""
