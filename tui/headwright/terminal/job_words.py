"""A job of the board in words and signs: what is wrong with it, how much work is left, and by whose times."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from headwright.job.pace import Left, minutes_left, time_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from headwright.job.listed import Summary
    from headwright.job.pace import Took
    from headwright.terminal.drawn import Span

SIGNS = {
    "open": ("▸", ""),
    "held": ("■", "bad"),
    "stopped": ("■", "bad"),
    "released": ("✓", "good"),
    "scrapped": ("×", "quiet"),
    "broken": ("×", "bad"),
}
DOUBT = ("▲", "near")
FRESH = timedelta(hours=1)
"""Since the last entry: whoever came on and wrote nothing for longer is hardly at it."""
HALF = 0.5


def sign_of(job: Summary) -> tuple[str, str]:
    """Give the sign of a job and its style; readings in doubt come before a release."""
    return DOUBT if job.doubted and job.status == "released" else SIGNS.get(job.status, ("·", ""))


def status_words(job: Summary) -> str:
    """Give the status in words, with the count of what is held: `held 2`."""
    return f"held {job.held}" if job.status == "held" else job.status


def short_words(job: Summary) -> str:
    """Give the one thing to know of a job: what is in doubt, else its status."""
    return f"{job.doubted} in doubt" if job.doubted else status_words(job)


def troubles(job: Summary) -> Iterator[Span]:
    """Give the status, whose sign stands before the job, and everything that is wrong beside it with its sign."""
    yield (status_words(job), SIGNS.get(job.status, ("·", ""))[1])
    if job.held and job.status != "held":
        yield (f"  ■ held {job.held}", "bad")
    if job.doubted:
        yield (f"  {DOUBT[0]} {job.doubted} in doubt", DOUBT[1])


def trouble_words(job: Summary) -> str:
    """Give the same without signs: `stopped, held 1, 4 readings in doubt`."""
    parts = [status_words(job)]
    parts += [f"held {job.held}"] * bool(job.held and job.status != "held")
    parts += [f"{job.doubted} reading{'s' * (job.doubted != 1)} in doubt"] * bool(job.doubted)
    return ", ".join(parts)


def left_of(job: Summary, known: Mapping[str, Took]) -> Left:
    """Give what is left of a job; nothing where it is over."""
    return minutes_left(job.left if job.status in {"open", "held", "stopped"} else (), known)


def left_words(job: Summary, left: Left) -> str:
    """Give the work left in a few words; empty where there is none: `about 2 h 40 min of work left`."""
    if not left.minutes:
        return ""
    words = time_words(left.minutes)
    # What a repair will ask for is not known before it is decided.
    about = "at least " if job.undecided else "" if words.startswith("under") else "about "
    return f"{about}{words} of work left"


def finish_words(job: Summary, left: Left, now: datetime) -> str:
    """Give the work left in a sentence: by whose times, and when that is, where somebody is at it.

    A time of day is told only while somebody works on the job, nothing is in its way and it ends today.
    """
    words = left_words(job, left)
    if not words:
        return ""
    by = "this shop's own times" if left.learned >= HALF else "the plan's minutes"
    if 0 < left.learned < HALF:
        by += " and what this shop has on record so far"
    sentence = f"{words[:1].upper()}{words[1:]}, by {by}"
    if job.undecided:
        places = "1 place has" if job.undecided == 1 else f"{job.undecided} places have"
        return f"{sentence}: {places} no repair decided yet."
    ends = (now + timedelta(minutes=left.minutes)).astimezone()
    if job.on and job.status == "open" and now - _time(job.time) < FRESH and ends.date() == now.astimezone().date():
        return f"{sentence}; near {_tens(ends)} if they stay at it."
    return f"{sentence}."


def _time(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return datetime.min.replace(tzinfo=UTC)


def _tens(moment: datetime) -> str:
    """Give a time of day to ten minutes: nobody can tell it finer."""
    down = moment - timedelta(minutes=moment.minute % 10)
    return (down + timedelta(minutes=10 * (moment.minute % 10 >= 5))).strftime("%H:%M")
