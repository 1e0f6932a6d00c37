"""A gauge that is named by hand: it may be one that the shop or the job knows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.blocks import BlockKind
from headwright.job.events import GaugeTaken
from headwright.job.refusal import Refused, refuse

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.job.gauges import GaugeNow
    from headwright.job.state import State
    from headwright.procedure.kit import Gauge


def named_by_hand(state: State, kit: Iterable[Gauge], sort: str, name: str) -> GaugeTaken | Refused:
    """Give the gauge that somebody means who types a name, with what is known of it.

    One of the kit, or of this job, is meant in whatever letters its name is typed: otherwise an overdue gauge would
    count again under its own name, and what is read with it would be missed when it is found off. Of any other nobody
    knows when it is due.

    Args:
        state: the job.
        kit: the gauges that the shop owns.
        sort: the sort that is wanted.
        name: what was typed.
    """
    known = [each for each in map(_of_kit, kit) if _is_called(each, name)]
    known += [each for each in map(_of_job, state.gauges.values()) if _is_called(each, name)]
    wanted = next((each for each in known if each.sort == sort), None)
    if wanted is not None:
        return wanted
    if known:
        return refuse(BlockKind.ENTRY, known[0].gauge, f"it is a {known[0].sort}.", f"A {sort} is wanted here.")
    return GaugeTaken(name, sort)


def _of_kit(gauge: Gauge) -> GaugeTaken:
    return GaugeTaken(gauge.id, gauge.sort, gauge.resolution, gauge.uncertainty, gauge.due)


def _of_job(gauge: GaugeNow) -> GaugeTaken:
    return GaugeTaken(gauge.gauge, gauge.sort, gauge.resolution, gauge.uncertainty, gauge.due)


def _is_called(gauge: GaugeTaken, name: str) -> bool:
    return gauge.gauge.casefold() == name.casefold()
