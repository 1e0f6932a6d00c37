"""The way to a new engine that the guide for leads describes is followed here word for word."""

from __future__ import annotations

import re
import shlex
import shutil
import textwrap
from typing import TYPE_CHECKING, NamedTuple

import pytest

from headwright.cli import main
from headwright.data import shipped
from headwright.job.blocks import unconfirmed
from headwright.store import open_store
from headwright.store.desk import Desk

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.procedure.plan import Plan

TITLE = "A new engine in ten minutes"


class Guide(NamedTuple):
    """What is to be written, and the commands to be given after it."""

    file: str
    written: str
    commands: list[list[str]]


@pytest.fixture(scope="module")
def guide() -> Guide:
    text = (shipped("procedures") / "README.md").read_text(encoding="utf-8")
    section = re.split(r"^## ", text, flags=re.MULTILINE)[-1]
    assert section.startswith(TITLE)
    name = re.search(r"`procedures/(families/[a-z-]+\.toml)`", section)
    assert name is not None
    parts = re.findall(r"(?:^ {7}.*\n|(?<=\n)\n(?= {7}))+", section, flags=re.MULTILINE)
    blocks = [textwrap.dedent(part).strip() for part in parts]
    commands = [block for block in blocks if block.startswith("headwright ")]
    written = [block for block in blocks if block not in commands]
    assert len(commands) == 2
    assert len(written) == 5
    return Guide(name[1], "\n\n".join(written) + "\n", [shlex.split(command)[1:] for command in commands])


@pytest.fixture
def followed(guide: Guide, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Guide:
    """Copy the folder and write the file, as the guide says."""
    monkeypatch.chdir(tmp_path)
    shutil.copytree(shipped("procedures"), "procedures")
    (tmp_path / "procedures" / guide.file).write_text(guide.written, encoding="utf-8")
    return guide


def test_what_the_guide_has_written_has_no_problems(followed: Guide, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(followed.commands[0]) == 0
    assert capsys.readouterr().err.strip().endswith("no problems")


def job(guide: Guide) -> tuple[Plan, list[str]]:
    assert main(guide.commands[1]) == 0
    store = open_store()
    try:
        state = Desk.open(store, guide.commands[1][1], "test").state
        return state.plan, [spec.name for spec in unconfirmed(state)]
    finally:
        store.close()


def test_the_job_is_held_to_the_new_figures_and_asks_for_what_is_not_confirmed(followed: Guide) -> None:
    plan, asked = job(followed)
    assert [place.name for place in plan.places if place.kind] == ["1E", "1I", "2I", "2E", "3E", "3I"]
    specs = {spec.name: spec for spec in plan.specs}
    clearance = specs["clearance"].at("exhaust", "")
    assert clearance is not None
    assert (clearance.low, clearance.high) == pytest.approx((0.038, 0.064))
    hole = specs["bored_hole"].at("intake", "next-liner")
    assert hole is not None
    assert (hole.low, hole.high) == pytest.approx((8.852, 8.890))
    assert {"clearance", "bored_hole", "liner_od"} <= set(asked)
    assert not {"guide_nominal", "stem", "stem_new"} & set(asked)
    size = next(operation for operation in plan.operations if operation.id == "size")
    finished = next(reading for reading in size.readings if reading.name == "finished_id")
    assert finished.unit == "mm"
    assert finished.resolution == pytest.approx(0.002)
