"""A real process on a real file, killed in the middle of entry again and again: what it showed as saved is there."""

from __future__ import annotations

import os
import random
import shutil
import signal
import time
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, NamedTuple

from tests.faults.bench_job import POINTS, at_bench, new_job, shown_figures, sound, typed_in

from headwright.terminal.bench.lone import ALONE

if TYPE_CHECKING:
    from pathlib import Path

    from tests.terminal.pty_app import PtyApp

KILLS = int(os.environ.get("HEADWRIGHT_KILLS", "200"))
"""How often: 200 stand for every commit; 20 tell in half a minute whether something broke."""
WORKERS = 3
"""At once: most of the time goes by between keys."""
HAND = 0.045
"""s between two characters, over that of a cable: these figures are typed, and do not come from a gauge."""


class Told(NamedTuple):
    """What one worker found: kills, figures shown as saved at the kills, and what was shown and is not on file."""

    kills: int
    saved: int
    lost: tuple[str, ...]


def _copy(home: Path) -> Path:
    """Copy the file with its log as the kill left them, so that the real ones are only opened by killed processes."""
    there = home.with_name(f"{home.name}-copy")
    shutil.rmtree(there, ignore_errors=True)
    there.mkdir()
    for name in ("headwright.db", "headwright.db-wal"):
        if (home / name).exists():
            shutil.copy(home / name, there / name)
    return there


def _type(app: PtyApp, figure: str, chance: random.Random) -> None:
    app.press(figure[0])
    app.read(HAND)
    time.sleep(HAND + chance.uniform(0, 0.02))
    app.press(figure[1:], "enter")


def _entry_until_killed(app: PtyApp, figures: list[str], chance: random.Random) -> None:
    """Type fast, and be killed up to 150 ms after an Enter or in the middle of a figure."""
    for figure in figures:
        _type(app, figure, chance)
        if "K keeps" in app.text:
            app.press("k")
            app.read(2 * ALONE)  # sooner it would be the first of what a scanner sends
    app.press("9", "." if chance.random() < 0.5 else "enter")
    time.sleep(chance.uniform(0, 0.15))
    os.kill(app.pid, signal.SIGKILL)
    app.read(0.05)
    app.kill()


def _killed(home: Path, kills: int, seed: int) -> Told:
    chance = random.Random(seed)  # noqa: S311 - moments, not secrets
    saved, lost, number, done = 0, [], 0, 0
    expected: list[str] = []
    job = ""
    while done < kills:
        if not job or len(expected) > len(POINTS) - 12:
            number, expected, job = number + 1, [], f"job-{number + 1}"
            new_job(home, job)
            unused = [f"8.{n:03}" for n in range(1000)]
            chance.shuffle(unused)
        figures = [unused.pop() for _ in range(chance.randint(1, 6))]
        with at_bench(home, job) as app:
            _entry_until_killed(app, figures, chance)
            shown = shown_figures(app)
        done += 1
        on_file = typed_in(sound(_copy(home), job))
        saved += len(shown)
        there = {f"{float(typed):.3f}" for typed in on_file}
        lost += [f"kill {done}: {figure} of {job}" for figure in sorted(shown - there)]
        # Nothing that was on file is gone or changed, and what came is what was typed: in its order, nothing between.
        assert on_file[: len(expected)] == expected
        came = [figure for figure in on_file[len(expected) :] if not figure.startswith("9")]
        assert came == figures[: len(came)], (came, figures)
        expected = on_file
    sound(home, job)
    return Told(done, saved, tuple(lost))


def test_what_the_screen_showed_as_saved_survives_every_kill(home: Path) -> None:
    """SIGKILL at random moments of fast entry: nothing shown is lost, the chain verifies, the job goes on."""
    homes = [home / str(worker) for worker in range(WORKERS)]
    home.mkdir()
    shares = [KILLS // WORKERS + (worker < KILLS % WORKERS) for worker in range(WORKERS)]
    with ThreadPoolExecutor(WORKERS) as workers:
        told = list(workers.map(_killed, homes, shares, range(WORKERS)))
    kills, saved = sum(each.kills for each in told), sum(each.saved for each in told)
    lost = [figure for each in told for figure in each.lost]
    print(f"\n{kills} kills, {saved} readings shown as saved, {len(lost)} lost")  # noqa: T201 - the figures asked for
    assert not lost
    assert kills == KILLS
    assert saved >= KILLS, "the screen showed nothing as saved: this test would prove nothing"
