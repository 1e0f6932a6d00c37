"""What the README says can be done is done here, so that it cannot rot."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from headwright.cli.commands import COMMANDS
from headwright.terminal.cards.figure_line import UNREAD
from tests.terminal.pty_app import PtyApp

CHECKOUT = Path(__file__).parents[1]
README = (CHECKOUT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```sh\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
BIN = Path(sys.executable).parent

TYPED_WHEN_DRAWN = 13
"""The ball, the ring and six readings in 1I, the ball and four readings in 2I."""
NO_SOONER = 0.25
"""Seconds between two figures of a hand; what follows closer is taken for a gauge on a cable."""
IN_THE_RING = {2, 14}
"""What is typed on the gauge card: before the first reading with the gauge, and after ten."""
SCREEN = "python3 -m venv .venv && .venv/bin/pip install . && "


def _run(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    path = f"{BIN}{os.pathsep}{os.environ['PATH']}"
    return subprocess.run(
        ["bash", "-c", line], cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True, check=False
    )


def test_it_opens_with_the_job_in_one_paragraph_and_then_the_two_commands() -> None:
    title, paragraph, heading, *_ = README.split("\n\n")
    assert title == "# Headwright"
    assert len(paragraph.split()) > 50
    assert heading == "## Two commands"
    first, second, *_ = BLOCKS
    assert first.strip() == f"{SCREEN}.venv/bin/headwright open --sample"
    assert second.strip() == "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest"


def test_what_runs_before_a_change_goes_in_is_the_second_command_word_for_word() -> None:
    printed = subprocess.run(
        ["bash", str(CHECKOUT / ".ci" / "run"), "--test-command"], capture_output=True, text=True, check=True
    )
    assert printed.stdout == BLOCKS[1]


def test_every_command_stands_in_the_table_and_no_other() -> None:
    rows = re.findall(r"^\| `headwright ?(\S*)` \|", README, re.MULTILINE)
    assert rows == ["", *COMMANDS]


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """Give a folder with the sample job where a clone has it."""
    (tmp_path / "sample_jobs").symlink_to(CHECKOUT / "sample_jobs")
    return tmp_path


def test_the_commands_for_a_new_head_do_what_they_say(clone: Path) -> None:
    lines = BLOCKS[2].splitlines()
    assert {shlex.split(line)[1] for line in lines} == {*COMMANDS} - {"open"}
    for line in lines:
        ended = _run(line, clone)
        assert ended.returncode == 0, f"{line}\n{ended.stderr}"
        assert "Traceback" not in ended.stderr


def test_the_first_command_ends_at_the_bench_with_the_job_on_screen(home: Path) -> None:
    words = shlex.split(BLOCKS[0].removeprefix(f"{SCREEN}.venv/bin/"))
    with PtyApp([str(BIN / words[0]), *words[1:]], 100, 30, {"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("Who is at the bench?", "Mara Quill")
        app.press("enter")
        app.wait_for("1001  Alder 107", "SIZE THE LINER", "Face shield down")


def test_the_tour_leads_over_the_screen_drawn_to_the_hold_that_it_tells_of(home: Path) -> None:
    tour = README.split("## Five minutes")[1].split("## Commands")[0]
    (drawn,) = re.findall(r"^```text\n(.*?)^```$", tour, re.MULTILINE | re.DOTALL)
    (being_typed,) = re.findall(r"│(▸ 2I  .*)$", drawn, re.MULTILINE)
    (strip,) = re.findall(r"│(Clearance .*)$", drawn, re.MULTILINE)
    with PtyApp([str(BIN / "headwright"), "open", "--sample"], 100, 30, {"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("Who is at the bench?")
        app.press("enter")
        app.wait_for("Face shield down")
        app.press("space")
        app.wait_for("Ball diameter")
        for count, typed in enumerate(re.findall(r"`(\.\d{4})`", tour), start=1):
            app.read(NO_SOONER)
            if count in IN_THE_RING:
                app.wait_for("It shows", "R-3130")
                app.read(UNREAD)
                app.press(typed)
                app.wait_for("Off by")
                app.press("enter")
                app.wait_for("It shows", gone=True)
                continue
            app.press(typed)
            app.wait_for(f"{typed}▏")
            if count == TYPED_WHEN_DRAWN:
                app.wait_for(being_typed, strip)
            app.press("enter")
            app.wait_for(f"{typed}▏", gone=True)
        app.wait_for("2I is held in 'Size the liner'", "Clearance: .0004–.0007 in, low")
        app.press("2", "enter")
        app.wait_for("Enter decides with these words")
        app.press("enter")
        app.wait_for("2I: rework")
