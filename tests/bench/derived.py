"""How long the figures of the largest operation take at 64 positions, beside the same arithmetic as bare lambdas.

    python tests/bench/derived.py [--times 60]

Twenty values at each position: what the shipped procedures work out of a guide from its survey to its sizing, put into
the operation of sizing by sixteen further `[[result]]`s in a copy of the procedures. Every reading is there. What is
timed is `figures_at` for all positions, nothing kept from before: the readings picked out of the state, every formula,
the limits, whether it is complete, the verdict, and the figure as the screens take it. The bare lambdas have their
readings in lists already, and neither limits nor verdicts. Besides: the same before anything is read, the operation of
the shipped procedures with the most values, one position with a figure being typed, and the program of every operation
made ready. Medians and least, in ms of the processor's time, with what one value takes.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from math import fsum
from pathlib import Path
from random import Random
from statistics import median
from typing import TYPE_CHECKING, Any, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[2]))

from headwright.data import shipped
from headwright.job.events import Entry, ReadingTaken
from headwright.job.evolve import fold
from headwright.job.figures import Bench, figures_at
from headwright.job.index import PlanIndex
from headwright.job.program import program_of
from headwright.job.state import begin
from headwright.procedure.library import load
from headwright.procedure.plan import Level, Sort
from headwright.procedure.resolve import build_plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import State
    from headwright.procedure.plan import Plan

SIZE, VERIFY = "size", "verify"
FURTHER = {
    "bell": ('value = "bell(finished_id)"', 'high = "0.0006 in"'),
    "all_over": ('value = "spread(finished_id)"', 'high = "0.0006 in"'),
    "liner_crush": (
        'least = "spec.liner_od - greatest(bored_id)"\nmost = "spec.liner_od - least(bored_id)"',
        'limit = "spec.crush"',
    ),
    "bored_taper": ('value = "taper(bored_id)"', 'limit = "spec.bore_taper"'),
    "bored_round": ('value = "out_of_round(bored_id)"', 'limit = "spec.bore_out_of_round"'),
    "liner_wall": ('value = "(mean(bored_id) - pre_size_id) / 2"', 'limit = "spec.liner_wall"'),
    "boss_wall": ('value = "(boss_od - spec.bored_hole.high) / 2"', 'low = "0.080 in"'),
    "boss_left": ('value = "(boss_od - greatest(bored_id)) / 2"', 'low = "0.080 in"'),
    "worn": ('least = "least(guide_id) - greatest(old_stem)"\nmost = "greatest(guide_id) - least(old_stem)"', ""),
    "over_new": ('value = "greatest(guide_id) - least(old_stem) - spec.clearance.high"', ""),
    "over_service": ('value = "greatest(guide_id) - least(old_stem) - spec.service_clearance.high"', ""),
    "worn_bell": ('value = "bell(guide_id)"', ""),
    "worn_taper": ('value = "taper(guide_id)"', ""),
    "worn_round": ('value = "out_of_round(guide_id)"', ""),
    "push": ('value = "ball - pre_size_id"', 'low = "0 in"'),
    "opened": ('value = "mean(finished_id) - pre_size_id"', 'low = "0 in"'),
}
"""What sizing works out beside its own four: each with its formula and what it is held to."""


def _mean(values: list[float]) -> float:
    return fsum(values) / len(values)


def _bell(v: list[float]) -> float:
    top, middle, bottom = _mean(v[:2]), _mean(v[2:4]), _mean(v[4:])
    return max(top, bottom) - middle


def _taper(v: list[float]) -> float:
    return abs(_mean(v[:2]) - _mean(v[4:]))


def _round(v: list[float]) -> float:
    return max(abs(v[0] - v[1]), abs(v[2] - v[3]), abs(v[4] - v[5]))


class Read(NamedTuple):
    """What was read at a position, in plain lists, and what its family says."""

    finished: list[float]
    stem: list[float]
    bored: list[float]
    guide: list[float]
    old_stem: list[float]
    ball: float
    pre: float
    boss: float
    liner_od: float
    hole: float
    new: float
    service: float


BARE: tuple[tuple[Callable[[Read], float], ...], ...] = (
    (lambda r: min(r.finished) - max(r.stem), lambda r: max(r.finished) - min(r.stem)),
    (lambda r: _taper(r.finished),),
    (lambda r: _round(r.finished),),
    (lambda r: r.ball - _mean(r.finished),),
    (lambda r: _bell(r.finished),),
    (lambda r: max(r.finished) - min(r.finished),),
    (lambda r: r.liner_od - max(r.bored), lambda r: r.liner_od - min(r.bored)),
    (lambda r: _taper(r.bored),),
    (lambda r: _round(r.bored),),
    (lambda r: (_mean(r.bored) - r.pre) / 2,),
    (lambda r: (r.boss - r.hole) / 2,),
    (lambda r: (r.boss - max(r.bored)) / 2,),
    (lambda r: min(r.guide) - max(r.old_stem), lambda r: max(r.guide) - min(r.old_stem)),
    (lambda r: max(r.guide) - min(r.old_stem) - r.new,),
    (lambda r: max(r.guide) - min(r.old_stem) - r.service,),
    (lambda r: _bell(r.guide),),
    (lambda r: _taper(r.guide),),
    (lambda r: _round(r.guide),),
    (lambda r: r.ball - r.pre,),
    (lambda r: _mean(r.finished) - r.pre,),
)
"""The arithmetic of the twenty values and nothing else, in order; a pair has two."""


def with_further(folder: Path) -> Path:
    """Copy the shipped procedures, with sixteen further results at sizing and a head of 64 positions."""
    shutil.copytree(shipped("procedures"), folder)
    stand = ", ".join(f'"{n}E", "{n}I"' for n in range(1, 33))
    (folder / "families" / "long-32.toml").write_text(
        f'extends = "alder-107"\ntitle = "Long 32"\n[[head]]\nname = "A"\nstand = [{stand}]\n'
    )
    more = ""
    for name, (formula, held) in FURTHER.items():
        more += f'\n[[result]]\nname = "{name}"\nlabel = "{name}"\nunit = "in"\nresolution = "0.0001 in"\n{formula}\n'
        if held:
            source = "" if held.startswith("limit") else 'source = "common practice, no source"\n'
            more += f'{held}\n{source}[[result.remedy]]\nsay = "Read it again."\nremeasure = true\n'
    sizing = folder / "operations" / f"{SIZE}.toml"
    sizing.write_text(sizing.read_text() + more)
    return folder


def all_read(plan: Plan) -> State:
    """Give the job with every figure of every position written down, near what is expected, as a fold of events."""
    state, chance = begin(plan), Random(7)  # noqa: S311 - not a secret
    state.repair.update({position.id: "liner" for position in state.index.positions})
    for operation in plan.operations:
        entries: list[Entry] = []
        for place in state.index.places_of(operation) if operation.per is Level.POSITION else ():
            for reading in operation.readings:
                if reading.sort is not Sort.NUMBER:
                    continue
                expected = Bench(state, operation, place).value(reading.expect) or 7.9
                for name, station, angle in state.index.points(operation.id, reading.name):
                    value = expected + chance.randint(-4, 4) * 0.00254
                    event = ReadingTaken(operation.id, place, name, "", "in", value, station=station, angle=angle)
                    entries.append(Entry(state.number + len(entries) + 1, "", "07", "bench", event, ""))
        state = fold(state, entries)
    return state


def read_at(state: State, place: str) -> Read:
    """Give what was read at a position in plain lists."""

    def values(operation: str, reading: str) -> list[float]:
        taken = state.attempt(operation, place).readings
        found = [taken[point].value for point in state.index.points(operation, reading)]
        return [value for value in found if value is not None]

    def spec(name: str) -> Any:
        return state.index.specs[name].at(state.index.places[place].kind or "", "liner")

    return Read(
        finished=values(SIZE, "finished_id"),
        stem=values("valves", "stem"),
        bored=values("bore", "bored_id"),
        guide=values("survey-guides", "guide_id"),
        old_stem=values("survey-stems", "old_stem"),
        ball=values(SIZE, "ball")[0],
        pre=values("install", "pre_size_id")[0],
        boss=values("survey-guides", "boss_od")[0],
        liner_od=spec("liner_od").value,
        hole=spec("bored_hole").high,
        new=spec("clearance").high,
        service=spec("service_clearance").high,
    )


def timed(count: int, once: Callable[[], object]) -> list[float]:
    """Give the ms of the processor's time of each of so many calls."""
    found = []
    for _ in range(count):
        began = time.process_time()
        once()
        found.append((time.process_time() - began) * 1000)
    return found


def line(name: str, many: int, times: list[float], unit: float | None = None) -> None:
    """Print a median and the least, what one value takes, and the ratio to what it is measured by."""
    ratio = "" if unit is None else f"{median(times) / unit:8.2f}"
    sys.stdout.write(
        f"{name:44}{many:6}{median(times):9.2f}{min(times):9.2f}{median(times) / many * 1000:9.2f}{ratio}\n"
    )


def figures_of(state: State, operation: str) -> list[tuple[Figure, ...]]:
    """Work the figures of an operation out at all its places."""
    return [figures_at(state, operation, place) for place in state.index.places_of(state.index.operations[operation])]


def derived(times: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as name:
        plan = build_plan(load(with_further(Path(name) / "procedures")), "liner", "long-32")
    state, bare_state = all_read(plan), begin(plan)
    read = [read_at(state, place) for place in state.index.places_of(state.index.operations[SIZE])]
    found = figures_of(state, SIZE)
    for each, figures in zip(read, found, strict=True):
        for values, figure in zip(BARE, figures, strict=True):
            assert abs(values[0](each) - (figure.least or 0.0)) < 1e-12, figure
            assert abs(values[-1](each) - (figure.most or 0.0)) < 1e-12, figure
    many = sum(map(len, found))
    sys.stdout.write(f"{'':44}{'values':>6}{'median':>9}{'least':>9}{'µs each':>9}{'ratio':>8}\n")
    bare = timed(times, lambda: [[[work(each) for work in values] for values in BARE] for each in read])
    line("bare lambdas, the arithmetic alone", many, bare, median(bare))
    line("figures with limits and verdicts", many, timed(times, lambda: figures_of(state, SIZE)), median(bare))
    nothing = timed(times, lambda: figures_of(bare_state, SIZE))
    line("the same before anything is read", many, nothing, median(bare))
    shipped_many = sum(map(len, figures_of(state, VERIFY)))
    line("the largest operation as it is shipped", shipped_many, timed(times, lambda: figures_of(state, VERIFY)))
    place = state.index.places_of(state.index.operations[SIZE])[0]
    typed: dict[PointKey, float] = {("finished_id", "top", 0): 7.95}
    line("one position with a figure being typed", 20, timed(times, lambda: figures_at(state, SIZE, place, typed)))

    def made_ready() -> None:
        index = PlanIndex(plan)
        began.append(time.process_time())
        for operation in plan.operations:
            program_of(index, operation)
        ended.append(time.process_time())

    began: list[float] = []
    ended: list[float] = []
    timed(min(times, 20), made_ready)
    programs = [(after - before) * 1000 for before, after in zip(began, ended, strict=True)]
    line("programs of all operations made ready", len(plan.operations), programs)


def main() -> None:
    """Read what is asked for, and measure."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=60, help="how often each is worked out")
    derived(parser.parse_args().times)


if __name__ == "__main__":
    main()
