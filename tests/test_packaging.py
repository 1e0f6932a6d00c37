"""What is built holds what is needed, and what is installed from it works away from the checkout."""

from __future__ import annotations

import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

from headwright import __version__

CHECKOUT = Path(__file__).parents[1]
DATA = ("procedures", "sample_jobs")


def _git_files(*folders: str) -> set[str]:
    ended = subprocess.run(
        ["git", "ls-files", "-z", *folders], cwd=CHECKOUT, capture_output=True, text=True, check=True
    )
    return {name for name in ended.stdout.split("\0") if name}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel as pip does, with the same back end."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=CHECKOUT,
        capture_output=True,
        check=True,
    )
    (built,) = folder.glob("*.whl")
    return built


def _names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as opened:
        return set(opened.namelist())


def test_the_wheel_carries_the_procedures_and_sample_jobs_that_are_in_git(wheel: Path) -> None:
    carried = {name.removeprefix("headwright/_data/") for name in _names(wheel) if name.startswith("headwright/_data/")}
    assert carried == _git_files(*DATA)
    assert {name.split("/")[0] for name in carried} == set(DATA)


def test_the_wheel_carries_the_whole_package_and_nothing_else(wheel: Path) -> None:
    package = {name for name in _names(wheel) if not name.startswith("headwright/_data/") and ".dist-info/" not in name}
    assert package == {name.removeprefix("tui/") for name in _git_files("tui/headwright")}


def test_the_wheel_says_its_version_and_its_command(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as opened:
        metadata = opened.read(f"headwright-{__version__}.dist-info/METADATA").decode()
        commands = opened.read(f"headwright-{__version__}.dist-info/entry_points.txt").decode()
        assert f"headwright-{__version__}.dist-info/licenses/LICENSE" in opened.namelist()
    assert f"\nVersion: {__version__}\n" in metadata
    assert "\nRequires-Python: >=3.11\n" in metadata
    assert commands == "[console_scripts]\nheadwright = headwright.cli:main\n"


def test_installed_from_the_wheel_it_finds_its_own_data(wheel: Path, tmp_path: Path) -> None:
    """In an environment of its own; only what it depends on is lent by the environment of the tests."""
    place = tmp_path / "venv"
    venv.create(place, with_pip=True)
    bin_ = place / "bin"
    subprocess.run(
        [bin_ / "python", "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", str(wheel)], check=True
    )
    (packages,) = place.glob("lib/python*/site-packages")
    (packages / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n")
    found = _said(bin_ / "python", "-c", "from headwright.data import shipped; print(shipped('procedures'))", at=place)
    assert found == f"{packages}/headwright/_data/procedures\n"
    sample = packages / "headwright" / "_data" / "sample_jobs" / "1001.toml"
    assert _said(bin_ / "headwright", "replay", str(sample), at=place).endswith("final state: released\n")
    new = ("new", "2001", "--family", "alder-107", "--route", "liner")
    assert _said(bin_ / "headwright", *new, at=place) == "2001\n"
    assert _said(bin_ / "headwright", "check", at=place) == ""


def _said(*words: str | Path, at: Path) -> str:
    return subprocess.run(words, cwd=at, capture_output=True, text=True, check=True).stdout
