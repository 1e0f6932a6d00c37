"""A small but complete folder of procedures that each test may spoil in its own way."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from headwright.procedure.check import check

LIBRARY = Path(__file__).parent / "library"


class Procedures:
    """A copy of the test library in the working folder, named `procedures`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def edit(self, name: str, old: str, new: str) -> None:
        """Replace a text that stands exactly once in a file."""
        path = self.folder / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    def add(self, name: str, text: str) -> None:
        """Write a file of its own, or after the end of one that is there."""
        with (self.folder / name).open("a", encoding="utf-8") as file:
            file.write(text)

    def problems(self) -> list[str]:
        """Check the whole folder."""
        return list(check(["procedures"]).problems)


@pytest.fixture
def procedures(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Procedures:
    shutil.copytree(LIBRARY, tmp_path / "procedures")
    monkeypatch.chdir(tmp_path)
    return Procedures(tmp_path / "procedures")
