"""The way to a new engine that the guide for leads describes is followed here word for word."""

from __future__ import annotations

import re
import shlex
import shutil
import textwrap
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from typing import TYPE_CHECKING, NamedTuple

import pytest

from headwright.cli import main
from headwright.data import shipped
from headwright.job.blocks import unconfirmed
from headwright.procedure.plan import Level, Tick
from headwright.store import open_store
from headwright.store.desk import Desk

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.state import State

TITLE = "A new engine in ten minutes"


class Block(NamedTuple):
    """A block of the guide: `toml` to be written into the file, or `console` with a command and its answer."""

    sort: str
    text: str


@pytest.fixture(scope="module")
def section() -> str:
    text = (shipped("procedures") / "README.md").read_text(encoding="utf-8")
    last = re.split(r"^## ", text, flags=re.MULTILINE)[-1]
    assert last.startswith(TITLE)
    return last


@pytest.fixture(scope="module")
def blocks(section: str) -> list[Block]:
    found = re.findall(r"^ {3}```(\w+)\n(.*?)^ {3}```$", section, flags=re.MULTILINE | re.DOTALL)
    assert section.count("```") == 2 * len(found)
    return [Block(sort, textwrap.dedent(text)) for sort, text in found]


class Followed(NamedTuple):
    """What came of it: exit codes, what was said and what the guide tells of it, the file, and the job."""

    codes: list[int]
    said: list[str]
    told: list[str]
    file: Path
    job: State


@pytest.fixture(scope="module")
def followed(section: str, blocks: list[Block], tmp_path_factory: pytest.TempPathFactory) -> Followed:
    """Do what the guide says, block by block: a table that stands in the file already is put right there."""
    named = re.search(r"a new file `(shop/families/[a-z0-9-]+\.toml)`", section)
    assert named is not None
    folder = tmp_path_factory.mktemp("guide")
    shutil.copytree(shipped("procedures"), folder / "shop")
    file = folder / named[1]
    written: dict[str, str] = {}
    codes, said, told = [], [], []
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("HEADWRIGHT_HOME", str(folder / "home"))
        for block in blocks:
            if block.sort == "console":
                command, _, answer = block.text.partition("\n")
                out = StringIO()
                with redirect_stdout(out), redirect_stderr(out):
                    codes.append(main(shlex.split(command.removeprefix("$ headwright "))))
                said.append(out.getvalue())
                told.append(answer)
            else:
                written[block.text.partition("\n")[0]] = block.text
                file.write_text("\n".join(written.values()), encoding="utf-8")
        store = open_store()
        try:
            job = Desk.open(store, "2040", "test").state
        finally:
            store.close()
    return Followed(codes, said, told, file, job)


def test_every_command_answers_as_the_guide_tells(followed: Followed) -> None:
    """Only counts are left out of the answers in the guide."""
    assert followed.codes == [2, 2, 0, 0]
    for said, told in zip(followed.said, followed.told, strict=True):
        assert re.fullmatch(re.escape(told).replace("…", r"\d[\w, ]*"), said), said


def test_the_first_mistake_is_told_where_it_stood(followed: Followed) -> None:
    number = int(followed.said[0].split(":")[1].split()[0])
    assert followed.file.read_text(encoding="utf-8").splitlines()[number - 1].startswith("exhaust")


def test_the_job_has_the_new_positions_figures_and_steps(followed: Followed) -> None:
    plan = followed.job.plan
    assert followed.file.stem == plan.family
    assert [place.name for place in plan.places if place.level is Level.POSITION] == [
        "EX1", "IN1", "IN2", "EX2", "EX3", "IN3",
    ]  # fmt: skip
    specs = {spec.name: spec for spec in plan.specs}
    clearance, hole = specs["clearance"].at("exhaust", ""), specs["bored_hole"].at("intake", "next-liner")
    assert clearance is not None
    assert hole is not None
    assert (clearance.low, clearance.high) == pytest.approx((0.038, 0.064))
    assert (hole.low, hole.high) == pytest.approx((8.852, 8.890))
    operations = {operation.id: operation for operation in plan.operations}
    finished = next(reading for reading in operations["size"].readings if reading.name == "finished_id")
    assert finished.unit == "mm"
    assert finished.resolution == pytest.approx(0.002)
    assert [step.tick for step in operations["wash"].steps if step.do == "Look down the port with a lamp."] == [
        Tick.EACH
    ]


def test_a_lead_is_asked_for_what_is_not_confirmed_for_this_engine_and_for_nothing_else(followed: Followed) -> None:
    asked = {spec.name for spec in unconfirmed(followed.job)}
    confirmed = {"guide_nominal", "stem_new", "stem", "clearance"}
    assert asked == {spec.name for spec in followed.job.plan.specs} - confirmed
    assert {"bored_hole", "liner_od"} <= asked
