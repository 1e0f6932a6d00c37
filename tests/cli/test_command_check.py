"""`headwright check`: problems are data, one line each; the summary is talk."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest

    from tests.cli.conftest import Outcome


def test_the_shipped_procedures_are_sound(headwright: Callable[..., Outcome]) -> None:
    told = headwright("check")
    assert (told.code, told.out) == (0, "")
    assert re.fullmatch(r"procedures: \d+ files, \d+ operations, \d+ routes?, \d+ famil.*; no problems\n", told.err)


def test_a_faulty_file_is_exit_code_2_with_each_problem_on_a_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, headwright: Callable[..., Outcome]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "families").mkdir()
    (tmp_path / "families" / "alder-107.toml").write_text('titel = "x"\n', encoding="utf-8")
    told = headwright("check", "families/alder-107.toml")
    assert told.code == 2
    lines = told.out.splitlines()
    assert "families/alder-107.toml:1  titel: unknown key; did you mean 'title'?" in lines
    assert told.err.endswith(f"; {len(lines)} problems\n")


def test_a_path_that_is_not_there_is_a_problem_like_any_other(headwright: Callable[..., Outcome]) -> None:
    assert headwright("check", "/nowhere") == (2, "/nowhere  no such file or folder\n", "1 problem\n")
