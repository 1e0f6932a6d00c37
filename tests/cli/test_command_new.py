"""`headwright new`: a job under the plan of a family, a route and an application."""

from __future__ import annotations

import re
import shutil
from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.store.desk import Desk

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from headwright.store import JobStore
    from tests.cli.conftest import Outcome

LINER = ("--family", "alder-107", "--route", "liner")


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Give a folder of procedures with one family on one route."""
    folder = tmp_path / "own"
    shutil.copytree(shipped("procedures"), folder)
    for family in (folder / "families").iterdir():
        if family.name != "alder-107.toml":
            family.unlink()
    for route in (folder / "routes").iterdir():
        if route.name != "liner.toml":
            route.unlink()
    family = folder / "families" / "alder-107.toml"
    family.write_text(re.sub(r"(?m)^routes .*$", 'routes = ["liner"]', family.read_text()))
    return folder


def test_a_job_needs_no_more_than_a_number_where_there_is_one_family(
    own: Path, headwright: Callable[..., Outcome], store: JobStore
) -> None:
    told = headwright("new", "2001", "--procedures", str(own))
    assert told == (
        0,
        "2001\n",
        (
            "Alder 107, iron, 8 valves; Liner rebuild, chambers in the head; Street, long life.\n"
            "'headwright open 2001' goes to the bench with it.\n"
        ),
    )
    assert store.last("2001") is not None


def test_what_a_job_can_be_opened_for_is_listed_without_opening_one(headwright: Callable[..., Outcome]) -> None:
    code, out, err = headwright("new", "--list")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    at = lines.index("alder-107  Alder 107, iron, 8 valves")
    assert "  --route liner  Liner rebuild, chambers in the head" in lines[at:]
    assert "  --application durability  Street, long life" in lines[at:]
    assert {line.split()[0] for line in lines if not line.startswith(" ")} == {
        each.stem for each in (shipped("procedures") / "families").glob("*.toml")
    }
    assert headwright("jobs").out == ""


def test_without_a_number_it_says_that_one_is_expected(headwright: Callable[..., Outcome]) -> None:
    code, out, err = headwright("new", *LINER)
    assert (code, out) == (2, "")
    assert "a number for the job is expected" in err
    assert "--list" in err


def test_a_job_keeps_its_tag_customer_opener_and_application(
    headwright: Callable[..., Outcome], store: JobStore
) -> None:
    words = ("--application", "turbo", "--tag", "418-A", "--customer", "Heron", "--by", "02")
    assert headwright("new", "2001", *LINER, *words).code == 0
    desk = Desk.open(store, "2001", "test")
    assert (desk.state.tag, desk.state.customer, desk.entries[0].operator) == ("418-A", "Heron", "02")
    assert desk.state.plan.application == "turbo"


def test_a_number_that_is_taken_is_refused(headwright: Callable[..., Outcome]) -> None:
    headwright("new", "2001", *LINER)
    assert headwright("new", "2001", *LINER) == (
        2,
        "",
        "headwright: job '2001' exists already\nGive the new job another number.\n",
    )


def test_an_empty_number_is_refused(headwright: Callable[..., Outcome]) -> None:
    told = headwright("new", " ", *LINER)
    assert told == (2, "", "headwright: New job: it has no number. Give it one.\n")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("--family", "alder-17"),
            "headwright: no family 'alder-17'; did you mean 'alder-107'?\nThere is alder-107.\n",
        ),
        (
            ("--route", "linr"),
            "headwright: family 'alder-107' has no route 'linr'; did you mean 'liner'?\nThere is liner.\n",
        ),
        (
            ("--application", "trubo"),
            (
                "headwright: family 'alder-107' has no application 'trubo'; did you mean 'turbo'?\n"
                "There is durability, performance, turbo, gas and marine.\n"
            ),
        ),
    ],
)
def test_a_wrong_family_route_or_application_is_told_with_those_there_are(
    words: tuple[str, ...], told: str, own: Path, headwright: Callable[..., Outcome]
) -> None:
    assert headwright("new", "1", "--procedures", str(own), *words) == (2, "", told)


def test_several_families_ask_for_one_to_be_named(own: Path, headwright: Callable[..., Outcome]) -> None:
    (own / "families" / "birch.toml").write_text('extends = "alder-107"\ntitle = "Birch"\n')
    assert headwright("new", "1", "--procedures", str(own)) == (
        2,
        "",
        "headwright: there are several families: alder-107, birch\nName one: --family alder-107.\n",
    )
    assert headwright("new", "1", "--procedures", str(own), "--family", "birch").code == 0


def test_faulty_procedures_open_no_job(own: Path, headwright: Callable[..., Outcome], store: JobStore) -> None:
    (own / "families" / "alder-107.toml").write_text("title = 107\n")
    told = headwright("new", "1", "--procedures", str(own))
    assert (told.code, told.out) == (2, "")
    assert told.err.startswith("headwright: own/families/alder-107.toml")
    assert told.err.endswith("in the procedures; 'headwright check' lists them again.\n")
    assert store.jobs() == ()
