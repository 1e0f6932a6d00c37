"""Times as records have them, UTC in ISO 8601 with microseconds and Z, and what lies between two of them."""

from __future__ import annotations

from datetime import datetime, timedelta

_TICK = 1e-6
"""Seconds: the least by which the times of a record go on."""


def stamp(moment: datetime) -> str:
    """Write a moment in UTC as records have it."""
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def later(time: str, seconds: float) -> str:
    """Give the time so many seconds after one."""
    return stamp(datetime.fromisoformat(time) + timedelta(seconds=seconds))


def not_before(time: str, last: str) -> str:
    """Give the time, or a microsecond after the last entry where a clock was set back: a record never goes back."""
    try:
        return time if time > last else later(last, _TICK)
    except OverflowError:
        return last  # the last microsecond that a time can tell of, which a clock set wrong once wrote


def seconds_between(time: str, until: str) -> float:
    """Give the seconds from one time until another, below zero where that lies before it."""
    return (datetime.fromisoformat(until) - datetime.fromisoformat(time)).total_seconds()


def about(seconds: float) -> str:
    """Give a stretch of time roughly, in minutes, hours or days."""
    for unit, size in (("days", 86400), ("hours", 3600)):
        if seconds >= 2 * size:
            return f"{seconds / size:.0f} {unit}"
    minutes = max(1, round(seconds / 60))
    return f"{minutes} minute{'' if minutes == 1 else 's'}"
