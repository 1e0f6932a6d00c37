"""Each floor of the program stands without those above it: shown in a fresh process, by what is really loaded."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.store import open_store
from headwright.store.record import import_job, read_record

if TYPE_CHECKING:
    from pathlib import Path

OUTSIDE = ("textual", "rich", "sqlite3", "pint", "pydantic", "platformdirs", "tree_sitter", "scipy", "argon2")


def _loaded_by(script: str) -> set[str]:
    """Run a script in a fresh process; give what it loaded of the packages from outside and of our own."""
    told = (
        f"{script}\nimport sys\n"
        f"print(' '.join(name for name in {OUTSIDE} if name in sys.modules),"
        " ' '.join(sorted(name for name in sys.modules if name.startswith('headwright'))))"
    )
    ended = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    return set(ended.stdout.split())


def _whole(package: str) -> str:
    return (
        f"import importlib, pkgutil\npackage = importlib.import_module({package!r})\n"
        "for module in pkgutil.walk_packages(package.__path__, package.__name__ + '.'):\n"
        "    importlib.import_module(module.name)"
    )


def _floors(loaded: set[str]) -> set[str]:
    return {name.split(".")[1] for name in loaded if name.count(".")}


def test_the_sums_know_nothing_of_the_rest_of_the_program() -> None:
    loaded = _loaded_by(_whole("headwright.calc"))
    assert _floors(loaded) == {"calc"}
    assert not loaded & {*OUTSIDE} - {"scipy"}


def test_the_job_knows_no_file_database_unit_library_or_screen() -> None:
    loaded = _loaded_by(_whole("headwright.job"))
    assert "headwright.job.decide" in loaded
    assert not loaded & {*OUTSIDE}
    assert not _floors(loaded) & {"store", "sheet", "cli", "terminal", "units", "data"}


def test_the_sheet_needs_neither_database_nor_screen() -> None:
    loaded = _loaded_by(_whole("headwright.sheet"))
    assert "headwright.sheet.sheet" in loaded
    assert not loaded & {*OUTSIDE}
    assert not _floors(loaded) & {"store", "cli", "terminal"}


def test_the_store_knows_no_screen_and_no_command() -> None:
    loaded = _loaded_by(_whole("headwright.store"))
    assert {"headwright.store.sqlite", "sqlite3"} <= loaded
    assert "textual" not in loaded
    assert not _floors(loaded) & {"sheet", "cli", "terminal"}


def test_the_procedures_know_no_job() -> None:
    loaded = _loaded_by(_whole("headwright.procedure"))
    assert "headwright.procedure.resolve" in loaded
    assert not _floors(loaded) & {"job", "store", "sheet", "cli", "terminal"}


@pytest.mark.parametrize("package", ["headwright", "headwright.store", "headwright.cli", "headwright.terminal"])
def test_importing_a_package_builds_and_loads_nothing_heavy(package: str) -> None:
    assert not _loaded_by(f"import {package}") & {*OUTSIDE}


def test_the_list_of_jobs_is_shown_with_none_of_the_rules_of_the_job_loaded(tmp_path: Path) -> None:
    """Its screen, its styles and what it reads of the store; a store of this version and one job is made before."""
    file = tmp_path / "headwright.db"
    store = open_store(file)
    import_job(store, read_record(shipped("sample_jobs") / "1001.toml"))
    store.close()
    loaded = _loaded_by(
        "from pathlib import Path\nfrom headwright.store import open_front\nimport headwright.terminal.app\n"
        f"from headwright.terminal.jobs import JobsScreen\nfront = open_front(Path({str(file)!r}))\n"
        "assert [job.job for job in front.jobs()] == ['1001']\nassert JobsScreen(front, 'here')"
    )
    assert "textual" in loaded
    assert not loaded & {"pint", "pydantic", "tree_sitter", "scipy", "argon2"}
    assert {name for name in loaded if name.startswith("headwright.job")} == {
        "headwright.job",
        "headwright.job.listed",
        "headwright.job.pace",
    }
    assert not _floors(loaded) & {"procedure", "calc", "sheet"}


def test_a_job_under_way_needs_neither_unit_library_nor_models() -> None:
    record = str(shipped("sample_jobs") / "1001.toml")
    loaded = _loaded_by(
        "from pathlib import Path\nfrom headwright.store.record import read_record\n"
        "from headwright.sheet.history import history\nfrom headwright.sheet.sheet import job_sheet\n"
        f"record = read_record(Path({record!r}))\nassert job_sheet(history(record.plan, record.entries))"
    )
    assert not loaded & {*OUTSIDE}
