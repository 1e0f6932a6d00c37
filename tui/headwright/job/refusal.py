"""No, and why: the answer to something that may not happen, with every reason and what would clear each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.blocks import Block, BlockKind
from headwright.job.events import Event
from headwright.nearest import nearest
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.job.state import State
    from headwright.procedure.plan import Operation


class Refused(Struct, frozen=True):
    """Nothing happened: every reason, and what would clear each."""

    blocks: tuple[Block, ...]

    def __str__(self) -> str:
        """Give the reasons, one a line."""
        return "\n".join(str(block) for block in self.blocks)


Answer = tuple[Event, ...] | Refused


def refuse(kind: BlockKind, what: str, why: str, clears: str, who: Role = Role.TRAINEE) -> Refused:
    """Refuse for one reason."""
    return Refused((Block(kind, what, why, clears, who),))


def blocked(*groups: tuple[Block, ...]) -> Refused | None:
    """Refuse for all blocks together; None where there are none."""
    blocks = tuple(block for group in groups for block in group)
    return Refused(blocks) if blocks else None


def unknown(sort: str, name: str, known: Iterable[object]) -> Refused:
    """Refuse a name that the job's plan does not have, with the nearest one that it has."""
    near = nearest(name, [str(each) for each in known])
    return refuse(
        BlockKind.ENTRY,
        f"{sort} '{name}'",
        "this job's plan has none of that name.",
        f"Nearest: {near}." if near else "",
    )


def locate(state: State, operation: str, place: str, *, once: bool = False) -> Operation | Refused:
    """Find the operation and check that it is done at the place (or ticked there once)."""
    found = state.index.operations.get(operation)
    if found is None:
        return unknown("operation", operation, state.index.operations)
    places = state.index.places_of(found)
    if place not in places and not (once and place in {h.id for h in state.index.heads}):
        return unknown("place", place, places)
    return found
