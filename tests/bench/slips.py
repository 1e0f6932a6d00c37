"""Slips on the sample jobs: how many are caught, and how many good readings are questioned.

    python -m tests.bench.slips [--each 10000] [--seed 1]

Every figure of the five sample jobs is asked about as it was when it was read: with the window that held then, and
with the figures that stood around it. Slips of each sort are seeded into these, typed as a person, a cable or a
scanner would type them, and read by the program's own entry. Only what leaves the expected window can be far off, so
the share caught is of those; a copied place, a figure sent twice and a bar code are caught by other means. Two places
may be alike by chance: of the copied ones, those are to be caught whose figures agree so less than once in 500 times.
Every length is also typed without the noughts at its end, which is no slip, and with one and two digits left off: to
be questioned are those whose verdict that would change, and which no true figure so short explains.

Exit status 1: fewer than 98 % of any sort were caught, or more than 0.5 % of the good readings were questioned, with
their noughts or without.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from msgspec import structs
from tests.bench.slip_sorts import KINDS, Case, Kind, Slip, asked, cases, number
from tests.bench.unfinished import Unfinished, unfinished_figures

from headwright.job.arrivals import GS1_LENGTHS, Arrivals, is_gs1
from headwright.job.entry import Scanned
from headwright.job.nearby import around
from headwright.job.slips import COINCIDENCE, Doubt, question
from headwright.job.state import State, copied

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.index import PointKey

LEAST_CAUGHT, MOST_QUESTIONED = 0.98, 0.005


class Tally(NamedTuple):
    """What came of the slips of a sort: seeded, to be caught, caught, called by their name, offered rightly."""

    seeded: int = 0
    due: int = 0
    caught: int = 0
    named: int = 0
    offered: int = 0


def of_figures(kind: Kind, found: list[Case], each: int, dice: random.Random) -> Tally:
    """Seed slips of a kind into figures for which a window is known."""
    fitting = [case for case in found if case.window is not None and kind.fits(case)]
    counts: Counter[str] = Counter()
    while counts["seeded"] < each:
        case = dice.choice(fitting)
        value, said = asked(case, kind.make(case, dice))
        if value is not None and abs(value - case.value) <= case.reading.resolution / 2:
            continue
        counts["seeded"] += 1
        assert case.window is not None
        if value is not None and case.window[0] <= value <= case.window[1] and said is None:
            continue
        counts["due"] += 1
        counts["caught"] += said is not None
        if isinstance(said, Doubt):
            counts["named"] += kind.name in said.slip
            counts["offered"] += said.offer is not None and abs(said.offer - case.value) <= case.reading.resolution
    return Tally(**counts)


# --- slips that leave no window ---


def of_copies(found: list[Case], each: int, dice: random.Random) -> Tally:
    """Give places the figures of the place done just before, whatever these were.

    To be caught are those that two places would seldom have in common by chance.
    """
    last = [(case, case.before) for case in found if case.before is not None and _place_before(case, case.before)]
    counts: Counter[str] = Counter()
    for _ in range(each):
        case, state = dice.choice(last)
        event, step = case.event, case.reading.resolution
        points = state.index.points(event.operation, event.reading)
        model = state.attempt(event.operation, _place_before(case, state)).readings
        figures = {p: (model[p].event.value or 0.0) + dice.choice((-1, 0, 0, 1)) * step for p in points}
        shares = Counter(round(figure / step) for figure in figures.values()).values()
        chance = sum((share / len(points)) ** 2 for share in shares) ** len(points)
        last_point = (event.reading, event.station, event.angle)
        near = around(_with_copies(case, state, figures), event)
        doubt = question(figures[last_point], case.window, case.reading, case.plan, nearby=near)
        counts.update(seeded=1, due=int(chance <= COINCIDENCE))
        if doubt is not None and chance <= COINCIDENCE:
            counts.update(caught=1, named=int(doubt.slip.startswith("copied from")))
    return Tally(**counts)


def _with_copies(case: Case, state: State, figures: dict[PointKey, float]) -> State:
    """Give the job with the same figures at the place done before and, but for the last, at the place of a case."""
    event, now = case.event, copied(state)
    before = _place_before(case, state)
    model = state.attempt(event.operation, before).readings
    same = {p: structs.replace(model[p], event=structs.replace(model[p].event, value=v)) for p, v in figures.items()}
    there = state.attempt(event.operation, before)
    now.attempts[event.operation, before] = structs.replace(there, readings={**there.readings, **same})
    del same[event.reading, event.station, event.angle]
    here = state.writing(event.operation, event.place)
    now.attempts[event.operation, event.place] = structs.replace(here, readings={**here.readings, **same})
    return now


def _place_before(case: Case, state: State) -> str:
    """Give the place whose figures of the same reading were complete just before; empty for none."""
    event, points = case.event, state.index.points(case.event.operation, case.reading.name)
    done = {}
    for place in state.index.places_of(state.index.operations[event.operation]):
        readings = state.attempt(event.operation, place).readings
        if place != event.place and all(p in readings for p in points):
            done[readings[points[-1]].number] = place
    return done[max(done)] if done else ""


def of_arrivals(each: int, dice: random.Random) -> Tally:
    """Press the gauge's button twice: the second figure begins within 150 ms of the first one's Enter."""
    caught = 0
    for _ in range(each):
        arrivals, now = Arrivals(), dice.uniform(0, 1e5)
        now, _first = _sent(arrivals, now, dice)
        _, second = _sent(arrivals, now + dice.uniform(0.001, 0.150), dice)
        caught += second
    return Tally(each, each, caught, caught)


def good_arrivals(each: int, dice: random.Random) -> int:
    """Count the doubts about figures that came once: sent by a cable 0.3 s apart at least, or typed by hand."""
    arrivals, now, questioned = Arrivals(), 0.0, 0
    for _ in range(each):
        if dice.random() < 0.5:
            now, second = _sent(arrivals, now + dice.uniform(0.3, 20), dice)
        else:
            now, second = _by_hand(arrivals, now + dice.uniform(0.2, 20), dice)
        questioned += second
    return questioned


def _sent(arrivals: Arrivals, now: float, dice: random.Random) -> tuple[float, bool]:
    for _ in range(dice.randint(4, 9)):
        arrivals.key(now)
        now += dice.uniform(0.0005, 0.016)
    return now, arrivals.enter(now).second


def _by_hand(arrivals: Arrivals, now: float, dice: random.Random) -> tuple[float, bool]:
    for _ in range(dice.randint(1, 7)):
        arrivals.key(now)
        now += dice.uniform(0.015, 0.035) if dice.random() < 0.1 else dice.uniform(0.06, 0.4)
    return now, arrivals.enter(now).second


def of_bar_codes(found: list[Case], each: int, dice: random.Random) -> Tally:
    """Scan goods, house numbers, and the tags of the kit and the job, into readings."""
    caught = named = 0
    for _ in range(each):
        case = dice.choice(found)
        _, said = asked(case, Slip(_code(case, dice)))
        caught += said is not None
        named += isinstance(said, Scanned) or (isinstance(said, Doubt) and said.slip == "a bar code")
    return Tally(each, each, caught, named)


def _code(case: Case, dice: random.Random) -> str:
    sort = dice.randrange(4)
    if sort == 0:
        body = "".join(dice.choice("0123456789") for _ in range(dice.choice(GS1_LENGTHS) - 1))
        return next(body + check for check in "0123456789" if is_gs1(body + check))
    if sort == 1:
        return "".join(dice.choice("0123456789") for _ in range(dice.randint(12, 20)))
    if sort == 2:
        return "]C1" + "".join(dice.choice("0123456789ABCDEF-") for _ in range(10))
    return dice.choice(sorted(case.tags))


def ways(case: Case) -> Iterator[str]:
    """Give ways in which a good figure is typed or sent: as it was, with comma, bare, with sign, blanks and unit."""
    text = f"{number(case)}"
    yield case.event.typed
    yield f"{text} {case.event.unit}"
    if case.event.unit == case.reading.unit:
        yield text.replace(".", ",")
        yield text.removeprefix("0")
        if "-" not in text and "." in text:
            yield f"  +{text}"


class Good(NamedTuple):
    """What came of good readings: how many, questioned, and texts of them that were read as something else."""

    readings: int
    questioned: int
    misread: int


def of_good(found: list[Case]) -> Good:
    """Ask about every good reading as it was typed, and see that the other ways of typing it say the same."""
    questioned = misread = 0
    for case in found:
        questioned += asked(case, Slip(case.event.typed))[1] is not None
        for text in ways(case):
            value, _ = asked(case, Slip(text))
            misread += value is None or abs(value - case.value) > case.reading.resolution / 2
    return Good(len(found), questioned, misread)


class Measured(NamedTuple):
    """All that was measured; `arrivals` are the doubts about as many figures that came once."""

    tallies: dict[str, Tally]
    good: Good
    arrivals: int
    short: Unfinished

    def is_good(self, each: int) -> bool:
        """Tell whether enough slips were caught, and few enough good readings questioned."""
        return (
            all(tally.caught >= LEAST_CAUGHT * tally.due for tally in self.tallies.values())
            and self.good.questioned <= MOST_QUESTIONED * self.good.readings
            and self.good.misread == 0
            and self.arrivals <= MOST_QUESTIONED * each
            and self.short.without_noughts.questioned <= MOST_QUESTIONED * self.short.without_noughts.texts
        )


def measured(found: list[Case], each: int, seed: int) -> Measured:
    """Seed so many slips of each sort, and ask about the good readings."""
    dice = random.Random(seed)  # noqa: S311  # a simulation, not a secret
    tallies = {kind.title: of_figures(kind, found, each, dice) for kind in KINDS}
    tallies["place copied"] = of_copies(found, each, dice)
    tallies["two arrivals"] = of_arrivals(each, dice)
    tallies["bar code or tag"] = of_bar_codes(found, each, dice)
    return Measured(tallies, of_good(found), good_arrivals(each, dice), unfinished_figures())


def micros(found: list[Case], seed: int) -> float:
    """Give the time that a slip takes to be read and named, µs, on this machine."""
    dice = random.Random(seed)  # noqa: S311  # a simulation, not a secret
    slips = [(case, Slip(f"{number(case) * 3}")) for case in dice.choices(found, k=2000)]
    begun = time.perf_counter()
    for case, slip in slips:
        asked(case, slip)
    return (time.perf_counter() - begun) / len(slips) * 1e6


def main() -> int:
    """Print the table."""
    reader = argparse.ArgumentParser(description="Slips caught, and good readings questioned, on the sample jobs.")
    reader.add_argument("--each", type=int, default=10_000, help="slips of each sort")
    reader.add_argument("--seed", type=int, default=1)
    wanted = reader.parse_args()
    say = sys.stdout.write
    found = cases()
    result = measured(found, wanted.each, wanted.seed)
    say("Named and offered: called by its name first, and what was meant offered first; of those to be caught.\n\n")
    say(f"{'sort of slip':<30}{'seeded':>8}{'to catch':>10}{'caught':>9}{'named':>9}{'offered':>9}\n")
    offers = {kind.title for kind in KINDS if kind.offers}
    for title, tally in result.tallies.items():
        due = max(1, tally.due)
        offered = f"{tally.offered / due:9.1%}" if title in offers else f"{'–':>9}"
        say(f"{title:<30}{tally.seeded:8d}{tally.due:10d}{tally.caught / due:9.1%}{tally.named / due:9.1%}{offered}\n")
    good, windowed = result.good, sum(case.window is not None for case in found)
    say(f"\nGood readings: {good.readings} ({windowed} with a window), ")
    say(f"questioned {good.questioned} ({good.questioned / good.readings:.2%}), misread {good.misread}\n")
    say(f"Good arrivals: {wanted.each}, questioned {result.arrivals} ({result.arrivals / wanted.each:.2%})\n")
    bare = result.short.without_noughts
    say(f"Without their noughts: {bare.texts}, questioned {bare.questioned} ({bare.questioned / bare.texts:.2%})\n")
    for count, told in result.short.cut.items():
        share = told.questioned / told.texts
        say(f"Cut by {count}, with another verdict: {told.texts}, questioned {told.questioned} ({share:.1%})\n")
    say(f"{micros(found, wanted.seed):.0f} µs to read and name a slip\n")
    return 0 if result.is_good(wanted.each) else 1


if __name__ == "__main__":
    sys.exit(main())
