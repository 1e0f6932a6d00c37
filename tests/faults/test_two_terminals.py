"""Two real processes enter the same field at the same moment: one wins, the other is shown it and keeps its figure."""

from __future__ import annotations

import re
import threading
from typing import TYPE_CHECKING

from tests.faults.bench_job import POINTS, STATIONS, at_bench, new_job, sound, typed_in, wait_said

from headwright.job.events import ReadingStruck

if TYPE_CHECKING:
    from pathlib import Path

    from tests.terminal.pty_app import PtyApp

    from headwright.job.events import Entry

ROUNDS = 50


def _at_once(*apps: PtyApp) -> None:
    """Press Enter at each terminal at the same moment."""
    barrier = threading.Barrier(len(apps))

    def enter(app: PtyApp) -> None:
        barrier.wait()
        app.press("enter")

    threads = [threading.Thread(target=enter, args=(app,)) for app in apps]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_of_two_who_enter_a_field_at_once_one_wins_and_the_other_keeps_the_figure(home: Path) -> None:
    """Fifty fields: no figure is struck unseen, what the loser typed stays until it is cleared, and both go on."""
    new_job(home, "twins")
    wins = {"8": 0, "7": 0}
    with at_bench(home, "twins", who="1") as mara, at_bench(home, "twins", who="2") as owen:
        for number, (place, station) in enumerate(POINTS[:ROUNDS]):
            typed = (f"8.{number:03}", f"7.{number:03}")
            for app, figure in zip((mara, owen), typed, strict=True):
                app.wait_for(f"▸ {place}: Depth, {station}")
                app.press(figure[0])
                app.read(0.06)
                app.press(figure[1:])
                app.wait_for(f"{figure}▏", "not saved yet")
            _at_once(mara, owen)
            entries = _until(mara, owen, home, number + 1)
            won = typed_in(entries)[-1]
            assert won in typed
            wins[won[0]] += 1
            loser, figure = (owen, typed[1]) if won == typed[0] else (mara, typed[0])
            # The last figure of a place closes it, which is then what stands against another.
            why = "it is done here" if station == STATIONS[-1] else f"has read {won} mm at this point"
            loser.wait_for(f"{figure}▏", "not saved yet")
            wait_said(loser, f"{won} mm")
            wait_said(loser, why)
            loser.press("esc", "home")
            loser.wait_for(f"{figure}▏", gone=True)
            # The caret may stand behind the winner's figure, and it is drawn there all the same.
            row = re.compile(rf"{place} .*(?<![\d.]){won}")
            for _ in range(100):
                if any(row.search(line) for line in loser.lines):
                    break
                loser.read(0.05)
            else:
                raise AssertionError(f"{won} is not drawn at {place}:\n{loser.text}")
    entries = sound(home, "twins")
    assert len(typed_in(entries)) == ROUNDS
    assert not any(isinstance(entry.event, ReadingStruck) for entry in entries)
    print(f"\n{ROUNDS} fields at once: first {wins['8']} times, second {wins['7']} times")  # noqa: T201


def _until(mara: PtyApp, owen: PtyApp, home: Path, count: int) -> tuple[Entry, ...]:
    """Wait until a field has its figure; give the entries."""
    for _ in range(100):
        mara.read(0.05)
        owen.read(0.05)
        entries = sound(home, "twins")
        if len(typed_in(entries)) >= count:
            assert len(typed_in(entries)) == count, "both were taken"
            return entries
    raise AssertionError(f"nobody's figure was taken:\n{mara.text}\n{owen.text}")
