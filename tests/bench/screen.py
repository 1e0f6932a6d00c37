"""How quick the screens are, beside bare programs on the same toolkit and the same disk, all in one run.

    python tests/bench/screen.py [--times 20] [--figures 40] [--folder FOLDER]

Every program runs in a pseudo-terminal of its own, 160 by 50, as at a bench. Beside each other: from the start to the
first paint, to the first key drawn, and from each of the keys that follow at once, while a job is being read, a bare
app that says hello against the bench with jobs of 8 and 64 positions and one of 5,000 events, and against the jobs
board; from a key to the screen, a bare field against the bench; from Enter to saved and drawn at 8, 32 and 64
positions, with a plain file that 84 bytes are appended to and synchronised between the figures; one row of the table
drawn anew against a cell of Textual's own table; and all values of the largest operation at 64 positions worked out
again. Medians and 99th percentiles, and medians as ratios.
"""

from __future__ import annotations

import argparse
import asyncio
import compileall
import fcntl
import os
import pty
import re
import select
import shutil
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Callable  # noqa: TC003 - a named tuple has it
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random
from statistics import median, quantiles
from typing import TYPE_CHECKING, NamedTuple, Self

sys.path.insert(0, str(Path(__file__).parents[2]))

from msgspec.structs import replace
from tests.bench.derived import derived
from tests.job.crowd import Crowd
from textual.app import App
from textual.widgets import DataTable

import headwright
from headwright.data import shipped
from headwright.job.agenda import Now, next_up
from headwright.job.chain import chained
from headwright.job.decide import Refused, decide
from headwright.job.events import CameOn, Opened, ReadingStruck, ReadingTaken
from headwright.job.evolve import fold
from headwright.job.state import State, begin
from headwright.job.summary import summary
from headwright.procedure.library import load
from headwright.procedure.plan import Plan, Role, Rules, plan_bytes, plan_sha256
from headwright.procedure.resolve import build_plan
from headwright.store import open_store
from headwright.store.times import stamp
from headwright.terminal.bench.spots import place_spots
from headwright.terminal.bench.wide import Wide

if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import TracebackType

    from headwright.job.events import Entry, Event

HELLO = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("READY", id="it")
    def on_key(self, event):
        self.query_one("#it").update(event.character)
Hello().run()
"""
FIELD = """
from textual.app import App
from textual.widgets import Input
class Field(App):
    def compose(self):
        yield Input("READY")
Field().run()
"""
SURVEY = "survey-guides"
SAVED = re.compile(r" saved \d\d:\d\d")
LINE = b"x" * 84
CONTROL = re.compile(r"\x1b(\[[0-9;?<>=]*[ -/]*[@-~]|[()][A-Z0-9]|[=>])")
DRAWN = b"\x1b[?2026l"
"""What ends a frame on a terminal that draws in one go."""
LONGEST = 10.0
PAUSE = 0.22
"""Seconds before a figure: what comes sooner is taken for a cable that sends twice."""


class Terminal:
    """A program in a pseudo-terminal; what it draws is looked at frame by frame, as text without its controls."""

    def __init__(self, command: Sequence[str], home: Path) -> None:
        self.began = time.perf_counter()
        self.pid, self._fd = pty.fork()
        if self.pid == 0:
            os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", LC_ALL="C.UTF-8", HEADWRIGHT_HOME=str(home))
            # Installed programs have their modules compiled; a machine set up for tests may say not to keep them.
            os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
            os.execvp(command[0], list(command))  # noqa: S606 - the program that is measured
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 160, 0, 0))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        os.kill(self.pid, 9)
        os.waitpid(self.pid, 0)
        os.close(self._fd)

    def until(self, wanted: Callable[[str], bool]) -> float:
        """Wait for a whole frame with a text that is wanted; give when it was there."""
        seen, limit = b"", time.perf_counter() + LONGEST
        while time.perf_counter() < limit:
            if select.select([self._fd], [], [], 0.5)[0]:
                data = os.read(self._fd, 1 << 18)
                now = time.perf_counter()
                if b"\x1b[?2026$p" in data:
                    os.write(self._fd, b"\x1b[?2026;2$y")
                seen += data
                if DRAWN in data and wanted(CONTROL.sub("", seen.decode(errors="replace"))):
                    return now
        raise SystemExit(f"not drawn; instead: {' '.join(CONTROL.sub('', seen.decode(errors='replace')).split())}")

    def quiet(self, seconds: float) -> None:
        """Let the program draw what it likes for so long."""
        limit = time.perf_counter() + seconds
        while (left := limit - time.perf_counter()) > 0:
            if select.select([self._fd], [], [], left)[0]:
                os.read(self._fd, 1 << 18)

    def press(self, keys: str, wanted: Callable[[str], bool]) -> float:
        """Send keys; give the ms until a frame is there that is wanted."""
        began = time.perf_counter()
        os.write(self._fd, keys.encode())
        return (self.until(wanted) - began) * 1000


def procedures(folder: Path) -> Path:
    """Copy the shipped procedures, and add heads of many cylinders."""
    shutil.copytree(shipped("procedures"), folder)
    for cylinders in (16, 32):
        stand = ", ".join(f'"{n}E", "{n}I"' for n in range(1, cylinders + 1))
        (folder / "families" / f"long-{cylinders}.toml").write_text(
            f'extends = "alder-107"\ntitle = "Long {cylinders}"\n[[head]]\nname = "A"\nstand = [{stand}]\n'
        )
    return folder


def played(plan: Plan, job: str, least: int = 0) -> tuple[tuple[Entry, ...], State]:
    """Play a job as far as its guides are surveyed, and on until it has enough events; all by the rules themselves."""
    time_, chance = datetime(2026, 3, 4, 8, tzinfo=UTC), Random(4)  # noqa: S311 - not a secret
    state = begin(plan)
    entries: list[Entry] = []

    def wants(wanted: Event, operator: str) -> None:
        nonlocal state, time_
        answer = decide(state, wanted, operator, "bench", stamp(time_))
        if isinstance(answer, Refused):
            return
        time_ += timedelta(seconds=5)
        last = entries[-1] if entries else None
        new = chained(job, last, answer, time=stamp(time_), operator=operator, terminal="bench")
        state = fold(state, new)
        entries.extend(new)

    wants(Opened(job, plan_sha256(plan)), "")
    for initials, role in (("02", Role.LEAD), ("07", Role.MACHINIST)):
        wants(CameOn(initials, f"Somebody {initials}", role), initials)
    for _ in range(200_000):
        following = next_up(state, "07")
        last = entries[-1]
        surveying = following.operation == SURVEY and following.now is Now.READING
        if surveying and len(entries) >= least:
            break
        read = surveying and isinstance(last.event, ReadingTaken) and last.event.operation == SURVEY
        if read and chance.random() < 0.9:
            wants(ReadingStruck(last.number, "chips in the bore"), "07")
        else:
            wants(*Crowd(state, chance, stamp(time_)).next_step("07"))
    return tuple(entries), state


def keep(home: Path, plan: Plan, entries: tuple[Entry, ...], state: State) -> None:
    """Put a job into the store."""
    store = open_store(home / "headwright.db")
    store.create(plan_bytes(plan), entries, summary(state))
    store.close()


def bench(home: Path, job: str) -> Terminal:
    """Start the program on a job."""
    return Terminal((sys.executable, "-m", "headwright", "open", job), home)


class Start(NamedTuple):
    """A program to start: the text of its first paint, and two keys to be typed in turn with what each draws."""

    start: Callable[[], Terminal]
    marker: str
    keys: tuple[tuple[str, str], tuple[str, str]]


class Started(NamedTuple):
    """How the starts of a program went: ms to the first paint, to the first key drawn, and from each key after it."""

    paints: list[float]
    keys: list[float]
    echoes: list[float]


EARLY = 0.4
"""Seconds after the first key within which further keys are typed: a job is being read then."""
BETWEEN = 0.02
"""Seconds between two of them."""


def starts(count: int, home: Path, jobs: Sequence[str]) -> dict[str, Started]:
    """Start each program so many times, in turn, and type at once."""
    hello = (sys.executable, "-c", HELLO)
    lines = (("2", r"▸ *2 "), ("1", r"▸ *1 "))
    ways = {"hello": Start(lambda: Terminal(hello, home), "READY", (("2", "2"), ("1", "1")))}
    for job in jobs:
        ways[job] = Start(partial(bench, home, job), "Who is at the bench?", lines)
    down, up = "\x1b[B", "\x1b[A"
    board = (sys.executable, "-m", "headwright")
    ways["jobs board"] = Start(lambda: Terminal(board, home), "Jobs  ", ((down, r"▸ *(?!5000)\d+ "), (up, r"▸ *5000 ")))
    found = {name: Started([], [], []) for name in ways}
    for turn in range(count + 1):
        for name, way in ways.items():
            with way.start() as terminal:
                painted = terminal.until(lambda text, marker=way.marker: marker in text)  # type: ignore[misc]
                times = typed_in_turn(terminal, way.keys)
            if turn:  # the first of each warms what the system keeps of its files
                paint = (painted - terminal.began) * 1000
                found[name].paints.append(paint)
                found[name].keys.append(paint + times[0])
                found[name].echoes.extend(times[1:])
    return found


def typed_in_turn(terminal: Terminal, keys: Sequence[tuple[str, str]]) -> list[float]:
    """Type keys in turn for a while; give the ms until each was drawn."""
    times: list[float] = []
    limit = time.perf_counter() + EARLY
    while time.perf_counter() < limit:
        key, drawn = keys[len(times) % 2]
        times.append(terminal.press(key, lambda text, drawn=drawn: re.search(drawn, text) is not None))  # type: ignore[misc]
        terminal.quiet(BETWEEN)
    return times


def at_work(home: Path, job: str) -> Terminal:
    """Start the program on a job and come on."""
    terminal = bench(home, job)
    terminal.until(lambda text: "Who is at the bench?" in text)
    terminal.quiet(0.3)
    terminal.press("1\r", lambda _: True)
    terminal.quiet(0.8)
    return terminal


def echoes(terminal: Terminal, count: int, key: str, shown: str, back: str = "\x7f") -> list[float]:
    """Type a key so many times and rub it out again; give the ms until it is drawn."""
    found = []
    for _ in range(count):
        terminal.quiet(0.05)
        found.append(terminal.press(key, lambda text: shown in text))
        terminal.quiet(0.05)
        terminal.press(back, lambda _: True)
    return found


def entered(terminal: Terminal, count: int, plain: Callable[[], float]) -> tuple[list[float], list[float]]:
    """Take so many figures; give the ms from Enter until the figure stands saved, and those of the disk alone."""
    saved, disk = [], []
    for number in range(count):
        # Six of each guide, then the boss round it.
        figure = f".31{30 + number * 7 % 12}" if number % 7 < 6 else ".63"
        terminal.quiet(PAUSE)
        terminal.press(figure[0], lambda text: "▏" in text)
        terminal.quiet(0.06)
        terminal.press(figure[1:], lambda text, figure=figure: f"{figure}▏" in text)  # type: ignore[misc]
        terminal.quiet(0.05)
        # Its row may give it in a span by then, but in the same frame the line at the top says since when it is saved.
        saved.append(terminal.press("\r", lambda text: SAVED.search(text) is not None))
        terminal.quiet(0.05)
        disk.append(plain())
    return saved, disk


def plain_append(folder: Path) -> Callable[[], float]:
    """Give what appends a line to a file, synchronises it, and tells the ms."""
    file = (folder / "plain").open("ab", buffering=0)

    def append() -> float:
        began = time.perf_counter()
        file.write(LINE)
        os.fdatasync(file.fileno())
        return (time.perf_counter() - began) * 1000

    return append


def timed(count: int, once: Callable[[int], object]) -> list[float]:
    """Give the ms of each of so many calls."""
    found = []
    for number in range(count):
        began = time.perf_counter()
        once(number)
        found.append((time.perf_counter() - began) * 1000)
    return found


def rows_drawn(state: State, count: int) -> list[float]:
    """Look at one place anew and draw its row, over and over."""
    operation = state.index.operations[SURVEY]
    face = Wide(state, operation)
    spot = place_spots(state, operation, face.places[0])[0]
    face.arrange(150, spot)

    def once(number: int) -> None:
        place = face.places[number % len(face.places)]
        face.look(state, (place,))
        face.line(number % len(face.places), spot, "", "")

    return timed(count, once)


def cells_drawn(count: int) -> list[float]:
    """Change one cell of Textual's own table of 64 rows and draw what shows of it, over and over."""
    found: list[float] = []

    class Table(App[None]):
        def compose(self):  # type: ignore[no-untyped-def]  # noqa: ANN202
            yield DataTable()

        async def on_mount(self) -> None:
            table = self.query_one(DataTable)
            columns = table.add_columns(*(f"c{n}" for n in range(12)))
            rows = [table.add_row(*["0.3131"] * 12) for _ in range(64)]
            await asyncio.sleep(0.2)
            for number in range(count):
                began = time.perf_counter()
                table.update_cell(rows[number % 40], columns[3], f"0.{number:04}")
                for line in range(table.size.height):
                    table.render_line(line)
                found.append((time.perf_counter() - began) * 1000)
                await asyncio.sleep(0)
            self.exit()

    Table().run(headless=True, size=(160, 50))
    return found


def line(name: str, times: Sequence[float], unit: float | None = None) -> None:
    """Print a median, a 99th percentile, and the ratio to what it is measured by."""
    high = quantiles(times, n=100, method="inclusive")[98]
    ratio = "" if unit is None else f"{median(times) / unit:10.2f}"
    sys.stdout.write(f"{name:44}{median(times):10.2f}{high:10.2f}{ratio}\n")
    sys.stdout.flush()


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=20, help="starts of each program")
    parser.add_argument("--figures", type=int, default=40, help="keys and figures of each kind")
    parser.add_argument("--folder", type=Path, default=Path.cwd(), help="a folder on the disk to measure")
    chosen = parser.parse_args()
    compileall.compile_dir(Path(headwright.__file__).parent, quiet=1)
    with tempfile.TemporaryDirectory(dir=chosen.folder) as name:
        folder = Path(name)
        home = folder / "home"
        home.mkdir()
        library = load(procedures(folder / "procedures"))
        states = {}
        for positions, family in ((8, "alder-107"), (32, "long-16"), (64, "long-32")):
            plan = replace(build_plan(library, "liner", family), rules=Rules())
            for job, least in ((str(positions), 0), ("5000", 5000))[: 2 if positions == 64 else 1]:
                entries, states[job] = played(plan, job, least)
                keep(home, plan, entries, states[job])
                sys.stdout.write(f"job {job}: {len(entries)} events, a plan of {len(plan_bytes(plan)) // 1000} KB\n")
        sys.stdout.write(f"{'':44}{'median ms':>10}{'99 % ms':>10}{'ratio':>10}\n")
        found = starts(chosen.times, home, ("8", "64", "5000"))
        for what, at in (("start to first paint", 0), ("start to first key drawn", 1), ("key soon after the start", 2)):
            unit = median(found["hello"][at])
            for way, times in found.items():
                line(f"{what}, {way}", times[at], unit)
        with Terminal((sys.executable, "-c", FIELD), home) as field:
            field.until(lambda text: "READY" in text)
            echo = echoes(field, chosen.figures, "7", "7")
        line("key to screen, bare field", echo, median(echo))
        plain = plain_append(folder)
        for job in ("8", "32", "64"):
            with at_work(home, job) as terminal:
                keys = echoes(terminal, chosen.figures, "7", "7▏")
                saved, disk = entered(terminal, min(chosen.figures, 7 * int(job) - 1), plain)
            line(f"key to screen, {job} positions", keys, median(echo))
            line(f"disk alone, {job} positions", disk)
            line(f"Enter to saved and drawn, {job} positions", saved, median(keys) + 2 * median(disk))
        cells = cells_drawn(chosen.figures)
        line("a cell of Textual's table", cells, median(cells))
        line("a row of ours", rows_drawn(states["64"], chosen.figures), median(cells))
        derived(chosen.figures)


if __name__ == "__main__":
    main()
