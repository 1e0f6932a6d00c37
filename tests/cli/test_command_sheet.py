"""`headwright sheet`: the job sheet on standard output, of a job or of a record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.procedure.plan import plan_sha256

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.at_desk import DeskShop
    from tests.cli.conftest import Outcome


def test_the_sheet_of_a_released_job_ends_with_its_hashes(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_size()
    shop.to_release()
    told = headwright("sheet", "1")
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith(f"JOB SHEET 1{'released':>69}\n{'=' * 80}\n")
    assert f" Plan SHA-256  {plan_sha256(shop.state.plan)}\n" in told.out
    assert f" Event {len(shop.entries)}  {shop.entries[-1].hash}\n" in told.out


def test_the_sheet_of_a_held_job_is_printed_and_exit_code_1(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_hold()
    told = headwright("sheet", "1")
    assert (told.code, told.err) == (1, "Job '1' is held.\n")
    assert "  Status         held; not released: this sheet tells of work that is not\n" in told.out


def test_a_record_gives_the_same_sheet_as_its_job(
    shop: DeskShop, tmp_path: Path, headwright: Callable[..., Outcome]
) -> None:
    shop.to_size()
    shop.to_release()
    record = tmp_path / "1.toml"
    headwright("export", "1", str(record))
    assert headwright("sheet", str(record)) == headwright("sheet", "1")
