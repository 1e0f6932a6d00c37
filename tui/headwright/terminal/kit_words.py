"""The shop's kit in words: what there is of each sort, what state it is in, and in whose hands it is.

The words take the unit library, which takes half a second to load: make them beside the screen.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from headwright.job.gauges import seconds_between
from headwright.terminal.drawn import clean

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from headwright.job.listed import Summary
    from headwright.procedure.kit import Ball, Gauge, Kit

SOON = 30
"""Days before a due date in which it is told of: time enough to send a gauge out (our choice)."""
GOOD, NEAR, BAD, NONE = ("✓", "good"), ("▲", "near"), ("■", "bad"), ("·", "quiet")


class Row(NamedTuple):
    """One thing: its sign with style, its cells, and what stands behind or under them."""

    sign: tuple[str, str]
    cells: tuple[str, ...]
    note: str = ""


class Section(NamedTuple):
    """All things of a sort, under the names of their columns."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def sections(kit: Kit, jobs: Iterable[Summary], now: str) -> tuple[Section, ...]:
    """Give the kit in words.

    Args:
        kit: what the shop owns.
        jobs: its jobs, for who has a gauge in hand.
        now: the time, UTC as records have it.
    """
    day, listed = now[:10], tuple(jobs)
    found = (
        Section(
            "Gauges",
            ("gauge", "sort", "reads to", "± (k = 2)", "its check"),
            tuple(_gauge(gauge, listed, now) for gauge in kit.gauges),
        ),
        Section(
            "Setting rings",
            ("ring", "size", "± (k = 2)", "its check"),
            tuple(
                Row(state[0], (clean(r.id), said(r.size, "length"), said(r.uncertainty, "length"), state[1]))
                for r in kit.rings
                for state in (due_words(r.due, day),)
            ),
        ),
        Section("Balls", ("ball", "nominal", "measured", "state"), tuple(_ball(ball, day) for ball in kit.balls)),
        Section(
            "Liners",
            ("liner", "outside", "wall", "length", "in stock", "material"),
            tuple(
                Row(
                    _stock(each.count),
                    (
                        clean(each.id),
                        *(said(size, "length") for size in (each.outside, each.wall, each.length)),
                        str(each.count),
                        clean(each.material),
                    ),
                )
                for each in kit.liners
            ),
        ),
        Section(
            "Shims",
            ("thickness", "in stock"),
            tuple(Row(_stock(s.count), (said(s.thickness, "length"), str(s.count))) for s in kit.shims),
        ),
        Section(
            "Centring cones",
            ("cone", "angle", "seats across"),
            tuple(
                Row(
                    GOOD,
                    (clean(c.id), f"{c.angle:g}°", f"{said(c.least, 'length')} to {said(c.greatest, 'length')}"),
                )
                for c in kit.cones
            ),
        ),
        Section(
            "Pilots", ("pilot", "across"), tuple(Row(GOOD, (clean(p.id), said(p.size, "length"))) for p in kit.pilots)
        ),
    )
    return tuple(section for section in found if section.rows)


def due_words(due: str, day: str) -> tuple[tuple[str, str], str]:
    """Say how a due date stands on a day (both as `2025-03-04`): sign with style, and words."""
    days = (date.fromisoformat(due) - date.fromisoformat(day)).days
    if days < 0:
        return BAD, f"overdue since {due}"
    if days == 0:
        return NEAR, "due today"
    if days <= SOON:
        return NEAR, f"due in {days} day{'s' * (days != 1)}"
    return GOOD, f"in date to {due}"


def overdue(found: Iterable[Section]) -> int:
    """Count what is overdue."""
    return sum(row.sign == BAD for section in found for row in section.rows)


def _gauge(gauge: Gauge, jobs: tuple[Summary, ...], now: str) -> Row:
    sign, words = due_words(gauge.due, now[:10])
    sizes = (said(gauge.resolution, gauge.dimension), said(gauge.uncertainty, gauge.dimension))
    return Row(sign, (clean(gauge.id), clean(gauge.sort), *sizes, words), "; ".join(_whereabouts(gauge.id, jobs, now)))


def _whereabouts(gauge: str, jobs: tuple[Summary, ...], now: str) -> Iterator[str]:
    """Say who has a gauge in hand, and how old its last zero is."""
    here = [(job.job, held) for job in jobs for held in job.gauges if held.gauge == gauge]
    hands: dict[str, list[str]] = {}
    for job, held in here:
        if held.operator:
            hands.setdefault(clean(held.operator), []).append(clean(job))
    if hands:
        each = (f"{who} in job{'s' * (len(jobs) > 1)} {', '.join(jobs)}" for who, jobs in hands.items())
        yield f"in hand: {'; '.join(each)}"
    zeroed, job = max(((held.zeroed, job) for job, held in here), default=("", ""))
    if zeroed:
        yield f"zeroed {age_words(zeroed, now)} ago in job {clean(job)}"


def age_words(since: str, now: str) -> str:
    """Say how long ago a time was: `35 min`, `5 h`, `12 days`; both UTC as records have them."""
    minutes = int(max(0.0, seconds_between(since, now)) // 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h" if minutes < 48 * 60 else f"{minutes // 1440} days"


def _ball(ball: Ball, day: str) -> Row:
    nominal = said(ball.nominal, "length")
    if ball.measured is None:
        return Row(NONE, (clean(ball.id), nominal, "not yet", "takes no part in the advice before it is measured"))
    sign, words = due_words(ball.due, day) if ball.due else (GOOD, f"measured on {ball.measured_on}")
    words = f"measuring {words}" if sign == BAD else words
    return Row(sign, (clean(ball.id), nominal, said(ball.measured, "length"), words))


def _stock(count: int) -> tuple[str, str]:
    return GOOD if count else NEAR


def said(value: float, dimension: str) -> str:
    """Give a canonical quantity in the unit in which it is the roundest figure: `0.0001 in`, `0.002 mm`."""
    from headwright.units import DIFFERENCE, units_of  # noqa: PLC0415 - pint; see above

    if dimension == DIFFERENCE:
        return f"{value:.6g} °C"
    # The unit most used in the shop comes first, and wins where figures are as long.
    told = (
        (f"{Decimal(f'{value / unit.factor:.6g}'):f}", unit.name)
        for unit in units_of(dimension)[: _FEW.get(dimension, 2)]
    )
    figure, name = min(told, key=lambda each: len(each[0]))
    return f"{figure} {name}"


_FEW = {"pressure": 6, "volume": 1}
"""Units that are tried, of those that may be written."""
