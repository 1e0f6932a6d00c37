"""The check as a whole: the shipped procedures, a folder, or single files against the shipped rest."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from headwright.data import shipped
from headwright.procedure.check import check

if TYPE_CHECKING:
    import pytest

    from .conftest import Procedures


def test_what_is_shipped_is_clean() -> None:
    report = check()
    assert report.problems == ()
    assert report.is_clean
    assert report.summary.startswith("procedures: ")
    assert report.summary.endswith("; no problems")


def test_a_folder_is_counted(procedures: Procedures) -> None:
    assert check(["procedures"]).summary == "procedures: 12 files, 6 operations, 1 route, 2 families; no problems"
    procedures.edit("operations/bore.toml", '["noise"]', '["nois"]')
    report = check([procedures.folder])
    assert not report.is_clean
    assert report.summary.endswith("1 problem")


def test_what_no_family_uses_is_named(procedures: Procedures) -> None:
    """Its formulas and its order cannot be checked without a family; the summary does not pass over that."""
    shutil.copy(procedures.folder / "operations/oil.toml", procedures.folder / "operations/grease.toml")
    shutil.copy(procedures.folder / "routes/reline.toml", procedures.folder / "routes/other.toml")
    assert check(["procedures"]).summary == (
        "procedures: 14 files, 7 operations, 2 routes, 2 families (only read, not resolved: "
        "operation 'grease' is in no route and route 'other' is in no family); no problems"
    )


def test_a_single_file_is_checked_against_the_shipped_rest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A lead edits a copy of one operation; it is held to the routes and families that come with the program."""
    original = next(shipped("procedures").joinpath("operations").glob("bore.toml"))
    monkeypatch.chdir(tmp_path)
    Path("operations").mkdir()
    mine = Path("operations/bore.toml")
    shutil.copy(original, mine)
    assert check([mine]).problems == ()
    text = mine.read_text(encoding="utf-8")
    line = next(number for number, each in enumerate(text.splitlines(), start=1) if each.startswith("needs"))
    mine.write_text(text.replace("\nneeds", "\nneds", 1), encoding="utf-8")
    assert check([mine]).problems == (f"operations/bore.toml:{line}  neds: unknown key; did you mean 'needs'?",)


def test_a_file_that_could_be_anything_is_asked_about(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bore.toml").touch()
    Path("condition.toml").touch()
    assert check(["bore.toml", "condition.toml", "nowhere"]).problems == (
        (
            "bore.toml  cannot tell what this file defines; expected a file in a folder operations, routes or "
            "families, or conditions.toml, cautions.toml, repairs.toml or shop.toml"
        ),
        "condition.toml  cannot tell what this file defines; did you mean 'conditions.toml'?",
        "nowhere  no such file or folder",
    )
