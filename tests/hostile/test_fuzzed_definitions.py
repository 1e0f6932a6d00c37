"""Files spoilt at random: definitions, the kit and the settings are told of in lines, in bounded time and memory.

The spoiling is the same every time; HEADWRIGHT_FUZZ=100 tries a hundred times as many cases.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
from time import process_time
from typing import TYPE_CHECKING

import pytest
from tests.hostile.spoiling import cases
from tests.procedure.conftest import LIBRARY

from headwright.data import shipped
from headwright.errors import UsageError
from headwright.procedure.check import check
from headwright.procedure.definitions import CautionDef, ConditionDef, OperationDef, RepairDef, RouteDef
from headwright.procedure.family import FamilyDef
from headwright.procedure.kit import KitFaulty, load_kit
from headwright.procedure.rules import ShopDef
from headwright.procedure.sources import Sourced, Unreadable, read
from headwright.procedure.validate import validated
from headwright.terminal.config import keep, read_config

if TYPE_CHECKING:
    from pathlib import Path

    from pydantic import BaseModel

MODELS: dict[str, type[BaseModel]] = {
    "operations": OperationDef,
    "routes": RouteDef,
    "families": FamilyDef,
    "shop.toml": ShopDef,
}
SHARED: dict[str, type[BaseModel]] = {
    "conditions.toml": ConditionDef,
    "cautions.toml": CautionDef,
    "repairs.toml": RepairDef,
}
DEFINITIONS = sorted(str(path.relative_to(shipped("procedures"))) for path in shipped("procedures").rglob("*.toml"))
SETTINGS = b'theme = "paper"\nsigns = "plain"\n# mine\n[keys]\nstrike = "F12"\nnote = ["f5", "ctrl+n"]\n'
SLOWEST = 5.0
"""Seconds of work for one file; sound ones take a hundredth of one, so this only finds what never ends."""
MEMORY = 2 * 1024**3
"""Bytes of address space, libraries and all, that a whole check of spoilt files may take."""


def told(path: Path, name: str) -> list[str]:
    """Read a definition as the library does; give its problems as lines."""
    try:
        source = read(path, name, name)
    except Unreadable as error:
        return [str(error.problem)]
    if name not in SHARED:
        folder = name.partition("/")[0]
        return [str(problem) for problem in validated(MODELS[folder], Sourced(source.data, source))[1]]
    tables = [Sourced(table, source, (key,)) for key, table in source.data.items() if isinstance(table, dict)]
    return [str(problem) for table in tables for problem in validated(SHARED[name], table)[1]]


def kit_problems(path: Path) -> tuple[str, ...]:
    """Read a kit; give its problems as lines."""
    try:
        load_kit(path)
    except KitFaulty as error:
        return tuple(error.problems)
    return ()


def a_line(text: str) -> bool:
    return text.isprintable() and len(text) <= 1000


@pytest.mark.parametrize("name", DEFINITIONS)
def test_a_spoilt_definition_is_told_in_lines(name: str, tmp_path: Path) -> None:
    path = tmp_path / "spoilt.toml"
    for number, data in cases((shipped("procedures") / name).read_bytes(), 12, name):
        path.write_bytes(data)
        before = process_time()
        assert all(map(a_line, told(path, name))), number
        assert process_time() - before < SLOWEST, number


def test_a_folder_with_spoilt_files_is_checked_to_its_end(tmp_path: Path) -> None:
    folder = tmp_path / "procedures"
    shutil.copytree(LIBRARY, folder)
    clean = 0
    for path in sorted(folder.rglob("*.toml")):
        whole = path.read_bytes()
        for number, data in cases(whole, 15, path.name):
            path.write_bytes(data)
            before = process_time()
            report = check([folder])
            assert all(map(a_line, report.problems)), (path.name, number)
            assert process_time() - before < SLOWEST, (path.name, number)
            clean += report.is_clean
        path.write_bytes(whole)
    assert check([folder]).is_clean
    assert clean, "some spoilt files still say what is sound, such as one with two lines of text changed over"


def test_a_spoilt_kit_is_told_in_lines(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    whole = (shipped("sample_jobs") / "kit.toml").read_bytes()
    refused = 0
    for number, data in cases(whole, 150, "kit"):
        path.write_bytes(data)
        problems = kit_problems(path)
        refused += bool(problems)
        assert all(map(a_line, problems)), number
    assert refused > 50


def test_spoilt_settings_are_told_and_the_others_kept(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    faulty = 0
    for number, data in cases(SETTINGS, 300, "settings"):
        path.write_bytes(data)
        faults = read_config(path, ["dark", "paper"]).faults
        faulty += bool(faults)
        assert all(map(a_line, faults)), number
        try:
            keep(path, "theme", "dark")
        except UsageError:
            assert path.read_bytes() == data, number
        else:
            assert read_config(path, ["dark", "paper"]).theme == "dark", number
    assert faulty > 50


HUGE = {
    "a megabyte of brackets": b'name = "x"\nvalue = ' + b"[" * 999_000,
    "a text of a megabyte": b'[dry]\nlabel = "' + b"w" * 999_900 + b'"\n',
    "a hundred thousand tables": b"".join(b"[t%d]\n" % number for number in range(90_000)),
    "a key of ten thousand dots": b"a." * 10_000 + b"a = 1\n",
    "a number of a megabyte": b"[dry]\nlabel = " + b"9" * 999_000 + b"\n",
    "more than a megabyte": b"#" * 1_000_001,
    "nothing but noughts": b"\x00" * 1000,
}

_BOUNDED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (int(sys.argv[2]),) * 2)
from headwright.procedure.check import check
report = check([sys.argv[1]])
assert report.problems and all(line.isprintable() and len(line) <= 1000 for line in report.problems)
print(len(report.problems))
"""


@pytest.mark.parametrize("content", HUGE.values(), ids=HUGE)
def test_a_huge_file_is_refused_in_bounded_time_and_memory(content: bytes, tmp_path: Path) -> None:
    folder = tmp_path / "procedures"
    shutil.copytree(LIBRARY, folder)
    (folder / "conditions.toml").write_bytes(content)
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    done = subprocess.run(
        [sys.executable, "-c", _BOUNDED, str(folder), str(MEMORY)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before < 60
