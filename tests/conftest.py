"""Every test has a data folder of its own, and no habit of the machine it runs on reaches it."""

from __future__ import annotations

import os
from itertools import count
from typing import TYPE_CHECKING

import pytest

from tests.frozen_clock import FrozenClock

if TYPE_CHECKING:
    from pathlib import Path

_OF_THE_MACHINE = ("NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "COLORFGBG", "COLUMNS", "LINES")
_FOR_TESTS = ("HEADWRIGHT_STEPS", "HEADWRIGHT_KILLS", "HEADWRIGHT_FUZZ")
"""Ask for more or less of what is drawn by chance."""
_numbers = count(1)

for _name in list(os.environ):
    # Here and not in a fixture: textual reads these when it is imported, and that is before the first test.
    if _name in _OF_THE_MACHINE or (_name.startswith(("TEXTUAL", "HEADWRIGHT_")) and _name not in _FOR_TESTS):
        del os.environ[_name]


@pytest.fixture(scope="session", autouse=True)
def _compiled_once(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the programs that tests start keep what they compile, where the machine asks for that to be thrown away.

    Each of them would compile all of the modules anew, and that is most of a start.
    """
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
        os.environ["PYTHONPYCACHEPREFIX"] = str(tmp_path_factory.mktemp("compiled"))


@pytest.fixture(scope="session")
def _homes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("homes")


@pytest.fixture(autouse=True)
def home(_homes: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Name a data folder that no other test has; it is not there until something is kept in it."""
    folder = _homes / str(next(_numbers))
    monkeypatch.setenv("HEADWRIGHT_HOME", str(folder))
    return folder


@pytest.fixture
def clock() -> FrozenClock:
    """Give a clock that stands still at 8 o'clock on 4 March 2025, UTC."""
    return FrozenClock()
