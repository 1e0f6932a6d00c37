"""The job sheet of a job kept in a real store: what must stand on it, and how it looks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec
import pytest
from msgspec.structs import replace

from headwright.data import shipped
from headwright.job.decide import Refused
from headwright.job.events import Disposed, Disposition, GaugeChecked, GaugeTaken, Resumed, SpecConfirmed, ToolChosen
from headwright.sheet.history import history
from headwright.sheet.layout import WIDTH
from headwright.sheet.sheet import job_sheet
from headwright.store import open_store
from headwright.store.record import read_record
from tests.at_desk import DeskShop
from tests.job.small import LEAD, plan, taken

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.store import JobStore
    from tests.frozen_clock import FrozenClock


@pytest.fixture
def store() -> Iterator[JobStore]:
    opened = open_store()
    yield opened
    opened.close()


@pytest.fixture
def shop(store: JobStore, clock: FrozenClock) -> DeskShop:
    return DeskShop(store, clock)


def _sheet(shop: DeskShop) -> str:
    return job_sheet(history(shop.state.plan, shop.entries))


def test_a_job_just_opened_has_a_sheet_that_says_it_is_not_finished(shop: DeskShop) -> None:
    lines = _sheet(shop).splitlines()
    assert lines[:13] == [
        f"JOB SHEET 1{'open':>69}",
        "=" * 80,
        "  Tag            T-1",
        "  Customer       Heron",
        "  Engine         Small one",
        "  Application    Plain",
        "  Route          Liners",
        "  Opened         2025-03-04 08:00 UTC",
        "  Last event     2025-03-04 08:03 UTC; every time on this sheet is UTC",
        "  Status         open; not released: this sheet tells of work that is not",
        "                 finished",
        "  Done           0 of 9 operations at their places; 0 held",
        "  Decision rule  plain limits: a figure on a limit is in; the uncertainty of",
    ]
    assert "  nothing written down at 1I, 1E" in lines


def test_a_figure_that_was_set_aside_stays_beside_the_one_that_counts(shop: DeskShop) -> None:
    shop.to_hold()
    shop.out_of_hold()
    shop.inch("size", "1I", "finished_id", 0.3133, 0.3132)
    assert """
  1I  attempt 1  set aside: next ball; 07; 2025-03-04 08:21
             Finished id  top 0.3123, bottom 0.3123 in
      [low]  Clearance    0.0005 in, limits 0.0010 to 0.0020 in
  1I  attempt 2  done; 07; 2025-03-04 08:24
            Finished id  top 0.3133, bottom 0.3132 in
      [ok]  Clearance    0.0014 to 0.0015 in, limits 0.0010 to 0.0020 in
  nothing written down at 1E
""" in _sheet(shop)


def test_a_struck_reading_stays_with_who_struck_it_and_why(shop: DeskShop) -> None:
    shop.to_size()
    shop.do(taken("size", "1I", "finished_id", 0.3133, "top"))
    first = shop.entries[-1].number
    shop.do(replace(taken("size", "1I", "finished_id", 0.3132, "top"), over=first))
    assert f"""
  1I  attempt 1  not complete; 07; 2025-03-04 08:21
                   Finished id  top 0.3132, bottom ____ in
      [ok so far]  Clearance    0.0014 in, limits 0.0010 to 0.0020 in
      struck  event {first}, Finished id, top: 0.3133 in; struck at event {first + 1} by 07:
              keyed again
""" in _sheet(shop)


def test_a_tick_stands_with_who_ticked_it_and_when(shop: DeskShop) -> None:
    shop.to_size()
    sheet = _sheet(shop)
    assert (
        """
2. Soak                                                           done at 1 of 1
  head A  attempt 1  done
      ticked  07 2025-03-04 08:05  Let head and gauge share the room.
"""
        in sheet
    )
    assert (
        """
  head A  for all its places
      ticked  07 2025-03-04 08:19  Put the balls in the padded tray.
"""
        in sheet
    )


def test_a_figure_kept_against_doubt_is_marked(shop: DeskShop) -> None:
    shop.to_bore()
    doubtful = taken("bore", "1I", "bored_id", 0.3600, "top")
    assert isinstance(shop.desk.submit(doubtful, "07"), Refused)
    shop.do(msgspec.structs.replace(doubtful, questioned="far off"))
    assert (
        "      kept  Bored id, top: '0.3600' was questioned (far off) and entered again\n            by 07\n"
        in _sheet(shop)
    )


def test_a_hold_tells_what_was_out_and_how_it_was_closed(shop: DeskShop) -> None:
    shop.to_hold()
    shop.out_of_hold()
    assert """
HOLDS
--------------------------------------------------------------------------------
  1 hold, 1 closed, 0 open

  Size, 1I, attempt 1
      held at event 34, 07, 2025-03-04 08:21: Clearance [low] 0.0005 in, limits
      0.0010 to 0.0020 in
      closed at event 35, 07, 2025-03-04 08:22, by rework from 'Size': next ball
""" in _sheet(shop)


def test_an_open_hold_is_called_not_closed(shop: DeskShop) -> None:
    shop.to_hold()
    sheet = _sheet(shop)
    assert "  1 hold, 0 closed, 1 open\n" in sheet
    assert "\n      not closed\n" in sheet


def test_a_concession_stands_at_its_figure_with_who_let_it_stand(shop: DeskShop) -> None:
    shop.to_size()
    shop.to_release()
    sheet = _sheet(shop)
    assert "      let stand  Clearance, concession of 02, agreed by Heron: race engine\n" in sheet
    assert f"  released  {shop.state.time[:16].replace('T', ' ')}  02: signed\n" in sheet
    assert "  Status         released\n" in sheet


def test_cautions_are_listed_with_who_read_them_and_whom_they_defer_to(shop: DeskShop) -> None:
    shop.to_bore()
    assert """
CAUTIONS ACKNOWLEDGED
--------------------------------------------------------------------------------
  Carbide  07 2025-03-04 08:10

  Local codes, the safety data sheets, the manuals of the machines, and
  qualified people where the work asks for them go before anything that stands
  here.
""" in _sheet(shop)


def test_a_default_is_marked_until_a_lead_confirms_it(store: JobStore, clock: FrozenClock) -> None:
    shop = DeskShop(store, clock, the_plan=plan(confirmed=False))
    assert "      invented sheet; DEFAULT, NOT CONFIRMED FOR THIS HEAD\n" in _sheet(shop)
    shop.do(SpecConfirmed("clearance", "handbook, page 7"), LEAD)
    assert "      invented sheet; confirmed from handbook, page 7, 02, 2025-03-04 08:04\n" in _sheet(shop)


def test_gauges_tools_stops_and_a_head_given_up_are_on_it(store: JobStore, clock: FrozenClock) -> None:
    loose = plan()
    bored = tuple(replace(op, tool="cutter" if op.id == "bore" else "") for op in loose.operations)
    shop = DeskShop(store, clock, the_plan=replace(loose, operations=bored))
    shop.to_bore()
    shop.do(GaugeTaken("BG-4", "bore gauge", due="2026-02-16"))
    shop.do(GaugeChecked("BG-4", "R-7950", 7.95, 0.001))
    shop.do(GaugeChecked("BG-4", "R-7950", 7.95, -0.0005))
    shop.do(ToolChosen("bore", "1I", "cutter", "K-12", 7.976))
    shop.stop()
    shop.do(Resumed("head:A", "a scratch"), LEAD)
    shop.do(Disposed("receive", "head:A", "cracked", Disposition.SCRAP, "cracked through"), LEAD)
    sheet = _sheet(shop)
    assert "  BG-4  bore gauge; checked 2 times on R-7950, off by +0.0010 mm at most\n" in sheet
    assert "  K-12  cutter, from Bore, 1I on, 7.9760 mm, 2025-03-04 08:14, 07\n" in sheet
    assert "  stopped   2025-03-04 08:15  07: head A: crack seen\n" in sheet
    assert "  resumed   2025-03-04 08:16  02: head A: a scratch\n" in sheet
    assert "  given up                    head A: cracked through\n" in sheet


def test_what_was_typed_cannot_reach_the_terminal_as_a_command(shop: DeskShop) -> None:
    shop.to_size()
    shop.to_release()
    sheet = _sheet(shop)
    assert all(line.isprintable() for line in sheet.split("\n"))
    assert "\\x1b[31mred\\x1b[0m" in sheet
    assert "[bold]text[/bold] second" in sheet


def test_the_sheet_of_the_sample_job_is_80_columns_wide_and_leaves_nothing_out() -> None:
    record = read_record(shipped("sample_jobs") / "1001.toml")
    sheet = job_sheet(history(record.plan, record.entries))
    assert max(map(len, sheet.splitlines())) == WIDTH
    for number, operation in enumerate(record.plan.operations, start=1):
        assert f"\n{number}. {operation.title}  " in sheet
    for caution in record.plan.cautions:
        assert f"  {caution.title}" in sheet
    for spec in record.plan.specs:
        assert f"\n  {spec.label}  " in sheet
    assert "NOT CONFIRMED" not in sheet
    assert record.entries[-1].hash in sheet
