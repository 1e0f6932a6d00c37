"""`headwright replay`: every hold with how it cleared, and where the job ends."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from headwright.data import shipped
from headwright.job.events import Disposed, Disposition, ReadingStruck, ReadingTaken
from tests.at_desk import DeskShop
from tests.job.small import LEAD

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from headwright.store import JobStore
    from tests.cli.conftest import Outcome
    from tests.frozen_clock import FrozenClock

SAMPLE = shipped("sample_jobs") / "1001.toml"


def test_a_held_job_is_exit_code_1_and_tells_what_holds_it(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_hold()
    told = headwright("replay", "1")
    assert (told.code, told.err) == (1, "Job '1' is held.\n")
    lines = told.out.splitlines()
    assert lines[0] == "job 1, Small one, Liners"
    assert lines[1].startswith("34 events, every hash fits; plan ")
    assert (
        "   34  2025-03-04 08:21  HELD      Size, 1I, attempt 1: "
        "Clearance [low] 0.0005 in, limits 0.0010 to 0.0020 in" in lines
    )
    assert lines[-2:] == ["holds: 1, of them cleared 0, open 1", "final state: held"]


def test_a_hold_is_told_with_how_it_cleared(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_hold()
    shop.out_of_hold()
    told = headwright("replay", "1")
    assert (told.code, told.err) == (0, "")
    lines = told.out.splitlines()
    assert (
        "   35  2025-03-04 08:22  cleared   Size, 1I, attempt 1: Clearance, by rework from 'Size': next ball (07)"
        in (lines)
    )
    assert lines[-2:] == ["holds: 1, of them cleared 1, open 0", "final state: open"]


def test_a_stop_and_a_release_are_told(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_size()
    shop.to_release()
    said = headwright("replay", "1")
    assert said.code == 0
    assert "released  signed (02)" in said.out
    assert said.out.endswith("final state: released\n")


def test_a_stopped_job_is_exit_code_1(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.stop()
    told = headwright("replay", "1")
    assert (told.code, told.err) == (1, "Job '1' is stopped.\n")
    assert "STOPPED   head A: crack seen (07)" in told.out


def test_a_scrapped_job_is_exit_code_1(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.do(Disposed("receive", "head:A", "cracked", Disposition.SCRAP, "cracked through"), LEAD)
    told = headwright("replay", "1")
    assert (told.code, told.err) == (1, "Job '1' is scrapped.\n")
    assert told.out.endswith("final state: scrapped\n")


def test_readings_struck_after_their_work_was_done_are_told(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    first = next(e.number for e in reversed(shop.entries) if isinstance(e.event, ReadingTaken))
    assert "struck" not in headwright("replay", "1").out
    shop.do(ReadingStruck(first, "the gauge was dropped"))
    (line,) = [line for line in headwright("replay", "1").out.splitlines() if "  struck  " in line]
    assert line.endswith(f", event {first}, after it was done: the gauge was dropped (07)")
    assert "Size, 1I: " in line


def test_the_results_that_count_stand_in_columns(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_hold()
    shop.out_of_hold()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    assert (
        "\nSize, results that count:\n      Clearance\n  1I  0.0014 to 0.0015 in [ok]\n"
        in headwright("replay", "1").out
    )


def test_the_sample_job_replays_to_its_release(headwright: Callable[..., Outcome]) -> None:
    told = headwright("replay", str(SAMPLE))
    assert (told.code, told.err) == (0, "")
    assert told.out.splitlines()[0] == "job 1001, Alder 107, iron, 8 valves, Liner rebuild, chambers in the head"
    assert told.out.endswith("open 0\nfinal state: released\n")
    assert "HELD      Size the liner, 2I, attempt 1: Clearance [low] 0.0004 to 0.0007 in, " in told.out


def test_the_json_has_the_same_holds(headwright: Callable[..., Outcome]) -> None:
    told = json.loads(headwright("replay", str(SAMPLE), "--json").out)
    assert told["summary"]["status"] == "released"
    held = [(h["operation"], h["place"], h["figure"]["item"], h["attempt"]) for h in told["holds"]]
    assert ("size", "2I", "clearance", 1) in held
    assert all(hold["cleared"]["number"] > hold["since"] for hold in told["holds"])


def test_a_changed_figure_is_reported_by_its_event(tmp_path: Path, headwright: Callable[..., Outcome]) -> None:
    text = SAMPLE.read_text(encoding="utf-8")
    start = text.index("number = 62\n")
    changed = tmp_path / "changed.toml"
    changed.write_text(text[:start] + text[start:].replace("07", "08", 1), encoding="utf-8")
    assert headwright("replay", str(changed)) == (
        1,
        "",
        (
            f"headwright: {changed}: event 62 does not fit; it was changed, or something before it is missing\n"
            "Everything before it is as it was written.\n"
        ),
    )


@pytest.mark.parametrize("command", ["replay", "sheet", "export"])
def test_a_number_that_is_no_text_is_exit_code_2(command: str, headwright: Callable[..., Outcome]) -> None:
    # A byte that is not UTF-8 comes in from the shell as a lone surrogate.
    told = headwright(command, "\udcff")
    assert told == (2, "", "headwright: there is no job '\\udcff'\n'headwright jobs' lists those there are.\n")


def test_a_number_with_a_slash_is_a_job_and_not_a_file(
    store: JobStore, clock: FrozenClock, headwright: Callable[..., Outcome]
) -> None:
    DeskShop(store, clock, "418/A")
    assert headwright("replay", "418/A").out.startswith("job 418/A, Small one, ")


@pytest.mark.parametrize("command", ["replay", "sheet"])
def test_a_job_or_file_that_is_not_there_is_exit_code_2(
    command: str, shop: DeskShop, home: Path, headwright: Callable[..., Outcome]
) -> None:
    assert headwright(command, "10") == (
        2,
        "",
        f"headwright: there is no job '10' in {home}/headwright.db\nNearest: '{shop.desk.job}'.\n",
    )
    assert headwright(command, "nowhere.toml") == (
        2,
        "",
        "headwright: nowhere.toml cannot be read: No such file or directory\nName a job record.\n",
    )
