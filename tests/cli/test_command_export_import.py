"""`headwright export` and `headwright import`: a job goes from one store to another as it is."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

from headwright.store.record import record_of, record_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest

    from headwright.store import JobStore
    from tests.at_desk import DeskShop
    from tests.cli.conftest import Outcome


def test_a_job_goes_to_another_data_folder_and_stands_there_as_here(
    shop: DeskShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, headwright: Callable[..., Outcome]
) -> None:
    shop.to_size()
    shop.to_release()
    file = tmp_path / "1.toml"
    count = len(shop.entries)
    assert headwright("export", "1", str(file)) == (0, "", f"Job '1', {count} events, is in {file}.\n")
    here = headwright("replay", "1", "--json").out
    monkeypatch.setenv("HEADWRIGHT_HOME", str(tmp_path / "other"))
    assert headwright("import", str(file)) == (0, "1\n", f"{count} events brought in.\n")
    assert headwright("replay", "1", "--json").out == here
    assert headwright("import", str(file)) == (0, "1\n", "It is there already, with the same events.\n")


def test_without_a_file_the_record_is_data_in_utf8_whatever_the_terminal_takes(shop: DeskShop, store: JobStore) -> None:
    shop.to_size()
    shop.to_release()
    ended = subprocess.run(
        [sys.executable, "-X", "utf8=0", "-m", "headwright", "export", "1"],
        env={"PATH": "", "HEADWRIGHT_HOME": str(_home(store)), "LC_ALL": "C", "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        check=True,
    )
    assert ended.stdout.decode("utf-8") == record_text(record_of(store, "1"))


def test_a_file_that_is_there_is_left_alone_unless_forced(
    shop: DeskShop, tmp_path: Path, headwright: Callable[..., Outcome]
) -> None:
    file = tmp_path / "1.toml"
    file.write_text("mine")
    assert headwright("export", shop.desk.job, str(file)) == (
        2,
        "",
        f"headwright: {file} is there already\nName another file, or give --force.\n",
    )
    assert file.read_text() == "mine"
    assert headwright("export", shop.desk.job, str(file), "--force").code == 0
    assert file.read_text().startswith('format = "headwright-job 1"\n')
    assert [each.name for each in tmp_path.iterdir()] == ["1.toml"]


def test_a_folder_is_not_written_over_even_when_forced(
    shop: DeskShop, tmp_path: Path, headwright: Callable[..., Outcome]
) -> None:
    told = headwright("export", shop.desk.job, str(tmp_path), "--force")
    assert told == (2, "", f"headwright: {tmp_path} is a folder\nName a file.\n")


def test_a_file_where_a_folder_should_be_is_told(
    shop: DeskShop, tmp_path: Path, headwright: Callable[..., Outcome]
) -> None:
    (tmp_path / "file").touch()
    file = tmp_path / "file" / "1.toml"
    assert headwright("export", shop.desk.job, str(file)) == (
        2,
        "",
        f"headwright: {file} cannot be written: Not a directory\nName another file.\n",
    )


def test_a_folder_that_is_not_there_is_told(shop: DeskShop, tmp_path: Path, headwright: Callable[..., Outcome]) -> None:
    file = tmp_path / "no" / "1.toml"
    assert headwright("export", shop.desk.job, str(file)) == (
        2,
        "",
        f"headwright: {file} cannot be written: No such file or directory\nName another file.\n",
    )


def test_another_job_of_the_same_number_is_never_touched(
    shop: DeskShop, tmp_path: Path, home: Path, headwright: Callable[..., Outcome]
) -> None:
    file = tmp_path / "1.toml"
    headwright("export", "1", str(file))
    shop.to_survey()
    before = shop.entries
    told = headwright("import", str(file))
    assert told == (
        2,
        "",
        (
            f"headwright: job '1' is in {home}/headwright.db already, and differs from event 5 on\n"
            "Nothing was brought in. Import it into another folder: set HEADWRIGHT_HOME.\n"
        ),
    )
    shop.desk.refresh()
    assert shop.desk.entries == before


def test_a_file_that_is_no_record_is_exit_code_2_and_one_that_does_not_verify_1(
    shop: DeskShop, store: JobStore, tmp_path: Path, headwright: Callable[..., Outcome]
) -> None:
    file = tmp_path / "list.toml"
    file.write_text('milk = "2"\n')
    told = headwright("import", str(file))
    assert told == (2, "", f"headwright: {file} is no job record\n'headwright export' writes one.\n")
    headwright("export", "1", str(file), "--force")
    file.write_text(file.read_text(encoding="utf-8").replace('job = "1"', 'job = "7"'), encoding="utf-8")
    told = headwright("import", str(file))
    assert (told.code, told.out) == (1, "")
    assert "event 1 does not fit" in told.err
    assert [job.job for job in store.jobs()] == [shop.desk.job]


def _home(store: JobStore) -> str:
    return store.where.rpartition("/")[0]
