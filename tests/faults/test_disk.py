"""A disk that is full, failing, read-only, locked or pulled away: said in one line, nothing lost, the figure stays.

Each fault is cured while the program runs, and Enter then saves the figure that is still in its cell.
"""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.faults.bench_job import POINTS, STATIONS, at_bench, depth, new_job, said_on, sound, typed_in, wait_said

from headwright.errors import StoreError
from headwright.store import open_store
from headwright.store.desk import Desk, Done

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from contextlib import AbstractContextManager

    from tests.terminal.pty_app import PtyApp

JOB = "disk"
STRACE = shutil.which("strace")
ROOT = hasattr(os, "geteuid") and os.geteuid() == 0


def _take(app: PtyApp, figure: str) -> None:
    """Type a figure by hand, and Enter."""
    app.press(figure[0])
    app.read(0.06)
    app.press(figure[1:], "enter")


@contextmanager
def _limited(pid: int, size: int) -> Iterator[None]:
    """Let no file that a process writes grow past a size, bytes."""
    _, most = resource.prlimit(pid, resource.RLIMIT_FSIZE)
    resource.prlimit(pid, resource.RLIMIT_FSIZE, (size, most))
    try:
        yield
    finally:
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (most, most))


@contextmanager
def _locked(home: Path) -> Iterator[None]:
    """Hold the file as another program would: BEGIN EXCLUSIVE, in another process."""
    code = "import sqlite3,sys;c=sqlite3.connect(sys.argv[1]);c.execute('BEGIN EXCLUSIVE');print(1,flush=True);input()"
    other = subprocess.Popen(
        [sys.executable, "-c", code, str(home / "headwright.db")], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert other.stdout is not None
    other.stdout.readline()
    try:
        yield
    finally:
        other.communicate(b"\n")


@contextmanager
def _moved(path: Path) -> Iterator[None]:
    aside = path.with_name(f"{path.name}.aside")
    path.rename(aside)
    try:
        yield
    finally:
        aside.rename(path)


def _fault(name: str, home: Path, pid: int) -> tuple[Callable[[], AbstractContextManager[None]], str]:
    """Give what makes and cures a fault, and what is said of it."""
    path = home / "headwright.db"
    log = path.with_name("headwright.db-wal")
    return {
        "small-disk": (
            lambda: _limited(pid, log.stat().st_size + 2000),
            (
                f"Not saved: the disk with {path} refused (disk I/O error); nothing was written. "
                "It may be full or failing; look at it first."
            ),
        ),
        "locked": (
            lambda: _locked(home),
            (
                f"Not saved: {path} is locked by another program; nothing was written. "
                "Close what else has it open, a backup perhaps, and try again."
            ),
        ),
        "moved": (
            lambda: _moved(path),
            (
                f"Not saved: {path} was moved or deleted while it was in use; nothing was written. "
                "Put it back and start headwright again."
            ),
        ),
        "log-moved": (
            lambda: _moved(log),
            (
                f"Not saved: {log} was moved, deleted or cut short while it was in use; nothing was written. "
                "Put it back and start headwright again."
            ),
        ),
    }[name]


@pytest.mark.parametrize("name", ["small-disk", "locked", "moved", "log-moved"])
def test_a_fault_is_told_at_the_bench_and_enter_saves_the_figure_once_it_is_cured(home: Path, name: str) -> None:
    new_job(home, JOB)
    with at_bench(home, JOB) as app:
        _take(app, "8.001")
        app.wait_for("▸ 1I: Depth, b", "saved")
        fault, said = _fault(name, home, app.pid)
        with fault():
            _take(app, "8.102")
            wait_said(app, said)
            app.wait_for("8.102▏", "not saved yet", "▸ 1I: Depth, b")
        assert typed_in(sound(home, JOB)) == ["8.001"], "nothing half written"
        app.press("enter")
        app.wait_for("▸ 1I: Depth, c")
        _take(app, "8.203")
        app.wait_for("▸ 1I: Depth, d")
        app.kill()
    assert typed_in(sound(home, JOB)) == ["8.001", "8.102", "8.203"]


@pytest.mark.parametrize("name", ["small-disk", "locked", "moved", "log-moved"])
def test_a_fault_is_told_at_the_desk_and_the_same_can_be_submitted_again(home: Path, name: str) -> None:
    new_job(home, JOB)
    store = open_store()
    desk = Desk.open(store, JOB, "here")
    assert isinstance(desk.submit(depth("1I", "a", "8.001"), "07"), Done)
    fault, said = _fault(name, home, os.getpid())
    before = desk.entries
    with fault(), pytest.raises(StoreError) as caught:
        desk.submit(depth("1I", "b", "8.102"), "07")
    assert f"Not saved: {caught.value.message}. {caught.value.hint}" == said
    assert desk.entries == before
    assert isinstance(desk.submit(depth("1I", "b", "8.102"), "07"), Done)
    store.close()
    assert typed_in(sound(home, JOB)) == ["8.001", "8.102"]


@pytest.mark.parametrize("room", range(0, 9000, 1500))
def test_wherever_a_write_breaks_off_all_of_it_or_nothing_is_on_file(home: Path, room: int) -> None:
    """The log may grow by so many bytes only, which falls in different frames of one commit."""
    new_job(home, JOB)
    command = [sys.executable, "-m", "tests.faults.faulty_worker", JOB]
    worker = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def ask(line: str) -> str:
        assert worker.stdin is not None
        assert worker.stdout is not None
        if line:
            worker.stdin.write(f"{line}\n")
            worker.stdin.flush()
        return worker.stdout.readline().strip()

    assert ask("") == "ready"
    kept: list[str] = []
    for number, (place, station) in enumerate(POINTS[:20]):
        figure = f"8.{number:03}"
        ask(f"limit {room}")
        for _ in range(2):
            answer = ask(f"take {place} {station} {figure}")
            assert answer == "kept" or answer.startswith("fault the disk with"), answer
            if answer == "kept":
                kept.append(figure)
                break
            ask("limit -1")
    worker.kill()
    worker.communicate()
    assert kept == [f"8.{number:03}" for number in range(20)]
    assert typed_in(sound(home, JOB)) == kept


@pytest.fixture
def tiny(tmp_path: Path) -> Iterator[Path]:
    """Mount a disk of one megabyte, where the machine lets us."""
    there = tmp_path / "tiny"
    there.mkdir()
    if not ROOT or subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", there], check=False).returncode:
        pytest.skip("this machine lets us mount no disk")
    yield there
    subprocess.run(["umount", "-l", there], check=True)


def test_a_full_disk_is_told_and_entry_goes_on_once_there_is_room(tiny: Path) -> None:
    new_job(tiny, JOB)
    ballast = tiny / "ballast"
    with at_bench(tiny, JOB) as app:
        _take(app, "8.001")
        app.wait_for("▸ 1I: Depth, b")
        with ballast.open("wb", buffering=0) as file:
            try:
                while True:
                    file.write(b"x" * 4096)
            except OSError:
                pass
        kept = ["8.001"]
        said = f"Not saved: the disk with {tiny / 'headwright.db'} is full; nothing was written. Make room, then try"
        for number in range(1, 8):
            _take(app, f"8.{number}05")
            app.read(0.3)
            if said in said_on(app):
                break
            kept.append(f"8.{number}05")
        wait_said(app, said)
        app.wait_for(f"8.{number}05▏", "not saved yet", f"▸ 1I: Depth, {STATIONS[number]}")
        ballast.unlink()
        app.press("enter")
        app.wait_for(f"▸ 1I: Depth, {STATIONS[number + 1]}")
        app.kill()
    assert typed_in(sound(tiny, JOB)) == [*kept, f"8.{number}05"]


@pytest.mark.skipif(STRACE is None, reason="strace makes the disk fail, and it is not here")
def test_a_disk_that_fails_at_the_commit_is_told_and_nothing_is_taken_for_saved(home: Path) -> None:
    """The synchronising of the log fails once, when everything is written: the worst moment there is."""
    new_job(home, JOB)
    with at_bench(home, JOB) as app:
        _take(app, "8.001")
        app.wait_for("▸ 1I: Depth, b")
        inject = "inject=fsync,fdatasync:error=EIO"
        strace = subprocess.Popen(
            ["strace", "-f", "-qq", "-o", "/dev/null", "-e", inject, "-p", str(app.pid)],
            stdin=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            status = Path(f"/proc/{app.pid}/status")
            while f"TracerPid:\t{strace.pid}" not in status.read_text(encoding="ascii"):
                assert strace.poll() is None, "strace may not look at another process here"
                time.sleep(0.01)
            _take(app, "8.102")
            wait_said(app, "refused (disk I/O error); nothing was written.")
            app.wait_for("8.102▏", "not saved yet")
        finally:
            strace.terminate()
            strace.wait()
        app.press("enter")
        app.wait_for("▸ 1I: Depth, c")
        app.kill()
    assert typed_in(sound(home, JOB)) == ["8.001", "8.102"]


AS_NOBODY = """
import os, sys
import tests.faults.faulty_worker
from headwright.cli import main
home, os.environ["HEADWRIGHT_HOME"] = os.environ["HEADWRIGHT_HOME"], sys.argv[1]
main(["jobs"])  # loads every module while they can still be read
os.environ["HEADWRIGHT_HOME"] = home
os.setgid(65534)
os.setuid(65534)
"""
"""Goes on as a user whom the permissions of folders hold back, as they do not hold root."""


def _as_nobody(folder: Path, what: str, told: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", AS_NOBODY + what, str(folder / "warm")],
        env={**os.environ, "HEADWRIGHT_HOME": str(folder / "home")},
        input=told,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


@pytest.fixture
def closed() -> Iterator[Path]:
    """Make a folder outside of pytest's own, which are closed to the user that the program becomes."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o777)
    yield folder
    shutil.rmtree(folder)


@pytest.mark.skipif(not ROOT, reason="takes another user, which only root becomes")
def test_a_folder_that_may_only_be_read_is_told_on_opening(closed: Path) -> None:
    home = closed / "home"
    new_job(home, JOB)
    path = home / "headwright.db"
    path.chmod(0o444)
    home.chmod(0o555)
    before = path.read_bytes()
    done = _as_nobody(closed, "sys.exit(main(['jobs']))")
    assert done.returncode == 3, done.stderr
    assert f"{path} cannot be opened for writing" in done.stderr
    assert f"Allow writing in the folder {home}, or name another in HEADWRIGHT_HOME." in done.stderr
    assert "Traceback" not in done.stderr
    assert path.read_bytes() == before


@pytest.mark.skipif(not ROOT, reason="takes another user, which only root becomes")
def test_a_file_that_may_only_be_read_is_listed_from_and_takes_nothing(closed: Path) -> None:
    home = closed / "home"
    new_job(home, JOB)
    path = home / "headwright.db"
    path.chmod(0o444)
    home.chmod(0o777)
    done = _as_nobody(closed, "from tests.faults.faulty_worker import main\nmain('disk')", "take 1I a 8.001\n")
    assert done.stdout.splitlines()[-2:] == [
        "ready",
        (
            f"fault {path} cannot be opened for writing; nothing was written. "
            f"Allow writing in the folder {home}, or name another in HEADWRIGHT_HOME."
        ),
    ], done.stderr
    path.chmod(0o644)
    assert typed_in(sound(home, JOB)) == []


@pytest.mark.skipif(not ROOT, reason="only root makes a file that nobody may change")
def test_a_file_made_unchangeable_while_it_is_open_is_told_or_written(home: Path) -> None:
    """What is open for writing stays so; a disk remounted read-only fails at the write, as a failing disk does."""
    new_job(home, JOB)
    with at_bench(home, JOB) as app:
        for path in home.iterdir():
            path.chmod(0o444)
        home.chmod(0o555)
        _take(app, "8.001")
        app.wait_for("▸ 1I: Depth, b", "saved")
        app.kill()
        home.chmod(0o755)
        for path in home.iterdir():
            path.chmod(0o644)
    assert typed_in(sound(home, JOB)) == ["8.001"]


def test_a_log_cut_short_by_hand_is_told_and_nothing_is_written_after_the_cut(home: Path) -> None:
    """Frames behind a hole would be lost at the next start: so none is written there."""
    new_job(home, JOB)
    log = home / "headwright.db-wal"
    with at_bench(home, JOB) as app:
        _take(app, "8.001")
        app.wait_for("▸ 1I: Depth, b")
        whole = log.read_bytes()
        with log.open("r+b") as file:
            file.truncate(len(whole) // 2)
        _take(app, "8.102")
        wait_said(app, f"Not saved: {log} was moved, deleted or cut short while it was in use; nothing was written.")
        app.wait_for("8.102▏", "not saved yet")
        app.kill()
    assert "8.102" not in typed_in(sound(home, JOB))
    connection = sqlite3.connect(home / "headwright.db")
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()
    with at_bench(home, JOB) as app:
        app.wait_for("▸ 1I: Depth")
