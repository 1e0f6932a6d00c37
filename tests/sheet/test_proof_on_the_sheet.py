"""The sheet says by which rule each figure was held, with its uncertainty, and what warmth did to a size."""

from __future__ import annotations

from headwright.job.events import Disposed, Disposition, GaugeChecked, GaugeTaken, ReadingTaken
from headwright.sheet.history import history
from headwright.sheet.replayed import lines
from headwright.sheet.sheet import job_sheet
from tests.job.proving import ProvingShop
from tests.job.small import LEAD, Shop
from tests.job.test_temperature import Warm, thermal_plan


def sheet(shop: Shop) -> str:
    """Give the sheet with its lines run together, so that it does not matter where they break."""
    return " ".join(job_sheet(history(shop.state.plan, shop.entries)).split())


def test_plain_limits_are_the_rule_where_nothing_has_to_be_proved() -> None:
    shop = Shop()
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3138, 0.3133)
    text = sheet(shop)
    assert "Decision rule plain limits: a figure on a limit is in" in text
    assert "[near] Clearance 0.0015 to 0.0020 in, limits 0.0010 to 0.0020 in" in text
    assert "guard band" not in text
    assert "(k = 2)" not in text


def test_a_proved_figure_stands_with_its_uncertainty_and_what_proves_it() -> None:
    shop = ProvingShop()
    shop.sized(0.3133, 0.3133)
    text = sheet(shop)
    assert "it has to be proved, by a guard band inside each limit for 95 %" in text
    assert (
        "[ok] Clearance 0.0015 in, limits 0.0010 to 0.0020 in; U 0.00015 in (k = 2): 0.00112 to 0.00188 in proves the "
        "limits, by guard band"
    ) in text


def test_a_figure_accepted_by_plain_limits_says_so_at_the_figure_the_hold_and_the_replay() -> None:
    shop = ProvingShop()
    shop.sized(0.3138, 0.3133)
    assert "Clearance [not proven] 0.0015 to 0.0020 in, limits 0.0010 to 0.0020 in; U 0.00015 in (k = 2)" in sheet(shop)
    shop.do(Disposed("size", "1I", "clearance", Disposition.CONCESSION, "on the limit", agreed="Heron"), LEAD)
    text = sheet(shop)
    assert "by concession, accepted by plain limits, agreed by Heron: on the limit" in text
    assert "let stand Clearance, concession of 02, agreed by Heron, accepted by plain limits: on the limit" in text
    replay = "\n".join(lines(history(shop.state.plan, shop.entries)))
    assert "Clearance, by concession, accepted by plain limits, agreed by Heron: on the limit (02)" in replay


def test_a_concession_of_a_figure_that_is_out_is_no_matter_of_rule() -> None:
    shop = ProvingShop()
    shop.sized(0.3140, 0.3140)
    shop.do(Disposed("size", "1I", "clearance", Disposition.CONCESSION, "race"), LEAD)
    assert "accepted by plain limits" not in sheet(shop)


def test_what_warmth_did_to_a_hole_is_told_and_the_figure_as_read_stands() -> None:
    shop = Warm(thermal_plan(metal="aluminium"))
    shop.read(0, 22.0, gauge=21.0, room=21.0)
    for place in ("1I", "1E"):
        shop.inch("survey", place, "stem", 0.3118)
        shop.word("decide", place, "repair", "liner", LEAD)
    shop.acknowledge()
    shop.do(GaugeTaken("BG-1", "bore gauge"))
    shop.do(GaugeChecked("BG-1", "R-3430", 0.3430 * 25.4, 0.0))
    for station in ("top", "bottom"):
        read = ReadingTaken("bore", "1I", "bored_id", ".3424", "in", 0.3424 * 25.4, station=station, gauge="BG-1")
        shop.do(read)
    text = sheet(shop)
    assert "[ok] Bored id top 0.3424, bottom 0.3424 in" in text
    assert "bottom: At 20 °C 0.34239 in, 0.00001 in less (head 22.0 °C, gauge 21.0 °C; the hole follows the" in text
