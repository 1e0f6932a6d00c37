"""`headwright new`: a job under the plan of a family, a route and an application."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from headwright.data import shipped
from headwright.store.desk import Desk

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from headwright.store import JobStore
    from tests.cli.conftest import Outcome


def test_a_job_needs_no_more_than_a_number_where_there_is_one_family(
    headwright: Callable[..., Outcome], store: JobStore
) -> None:
    told = headwright("new", "2001")
    assert told == (
        0,
        "2001\n",
        (
            "Alder 107, iron, 8 valves; Liner rebuild, chambers in the head; Street, long life.\n"
            "'headwright open 2001' goes to the bench with it.\n"
        ),
    )
    assert store.last("2001") is not None


def test_a_job_keeps_its_tag_customer_opener_and_application(
    headwright: Callable[..., Outcome], store: JobStore
) -> None:
    words = ("--application", "turbo", "--tag", "418-A", "--customer", "Heron", "--by", "02")
    assert headwright("new", "2001", *words).code == 0
    desk = Desk.open(store, "2001", "test")
    assert (desk.state.tag, desk.state.customer, desk.entries[0].operator) == ("418-A", "Heron", "02")
    assert desk.state.plan.application == "turbo"


def test_a_number_that_is_taken_is_refused(headwright: Callable[..., Outcome]) -> None:
    headwright("new", "2001")
    assert headwright("new", "2001") == (
        2,
        "",
        "headwright: job '2001' exists already\nGive the new job another number.\n",
    )


def test_an_empty_number_is_refused(headwright: Callable[..., Outcome]) -> None:
    told = headwright("new", " ")
    assert told == (2, "", "headwright: New job: it has no number. Give it one.\n")


def test_a_wrong_family_route_or_application_is_told_with_those_there_are(headwright: Callable[..., Outcome]) -> None:
    assert headwright("new", "1", "--family", "alder-17") == (
        2,
        "",
        "headwright: no family 'alder-17'; did you mean 'alder-107'?\nThere is alder-107.\n",
    )
    assert headwright("new", "1", "--route", "linr") == (
        2,
        "",
        "headwright: family 'alder-107' has no route 'linr'; did you mean 'liner'?\nThere is liner.\n",
    )
    told = headwright("new", "1", "--application", "trubo")
    assert (told.code, told.out) == (2, "")
    assert told.err.startswith(
        "headwright: family 'alder-107' has no application 'trubo'; did you mean 'turbo'?\nThere is "
    )


def test_several_families_ask_for_one_to_be_named(tmp_path: Path, headwright: Callable[..., Outcome]) -> None:
    own = _procedures(tmp_path)
    (own / "families" / "birch.toml").write_text('extends = "alder-107"\ntitle = "Birch"\n')
    assert headwright("new", "1", "--procedures", str(own)) == (
        2,
        "",
        "headwright: there are several families: alder-107, birch\nName one: --family alder-107.\n",
    )
    assert headwright("new", "1", "--procedures", str(own), "--family", "birch").code == 0


def test_faulty_procedures_open_no_job(tmp_path: Path, headwright: Callable[..., Outcome], store: JobStore) -> None:
    own = _procedures(tmp_path)
    (own / "families" / "alder-107.toml").write_text("title = 107\n")
    told = headwright("new", "1", "--procedures", str(own))
    assert (told.code, told.out) == (2, "")
    assert told.err.startswith("headwright: own/families/alder-107.toml")
    assert told.err.endswith("in the procedures; 'headwright check' lists them again.\n")
    assert store.jobs() == ()


def _procedures(folder: Path) -> Path:
    own = folder / "own"
    shutil.copytree(shipped("procedures"), own)
    return own
