"""What a job rests on its gauges: which readings stand on a gauge's zero, from when to when, and which are in doubt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from headwright.job.state import EMPTY

if TYPE_CHECKING:
    from collections.abc import Iterable

    from headwright.job.gauges import GaugeNow
    from headwright.job.state import State, Taken


class GaugeUse(Struct, frozen=True, forbid_unknown_fields=True):
    """A gauge in a job: when its zero was set there, and the first and last reading that stand on it.

    Times are as records have them; empty where there is none.
    """

    gauge: str
    zeroed: str = ""
    first_read: str = ""
    last_read: str = ""


def gauge_uses(state: State) -> tuple[GaugeUse, ...]:
    """Give the use of every gauge that was taken in hand or checked in the job, in order of their names."""
    return tuple(_use(state, state.gauges[name]) for name in sorted(state.gauges))


def _use(state: State, gauge: GaugeNow) -> GaugeUse:
    zeroed = gauge.check.time if gauge.check is not None else ""
    return GaugeUse(gauge.gauge, zeroed, _first(state, gauge.after), _first(state, reversed(gauge.after)))


def _first(state: State, numbers: Iterable[int]) -> str:
    found = (taken.time for number in numbers if (taken := standing(state, number)) is not None)
    return next(found, "")


def standing(state: State, number: int) -> Taken | None:
    """Give the reading of the entry with this number if it counts now, else None."""
    at, key = state.where[number]
    taken = state.attempts.get(at, EMPTY).readings.get(key)
    if taken is None:
        return None
    return next((each for each in (taken, *taken.others) if each.number == number), None)


def doubted(state: State) -> tuple[int, ...]:
    """Give the numbers of the readings that are in doubt and still count: what was released keeps them."""
    numbers = dict.fromkeys(number for doubt in state.doubts for number in doubt.readings)
    return tuple(number for number in numbers if standing(state, number) is not None)
