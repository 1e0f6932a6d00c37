"""Who may do what: PINs of leads, no concession of one's own, handing over, trainees."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from headwright.job.blocks import BlockKind
from headwright.job.decide import Refused, decide
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    Event,
    GaugeTaken,
    HandedOver,
    Reopened,
    Resumed,
    SpecConfirmed,
    Stopped,
    WentOff,
)
from headwright.job.holds import holds
from headwright.job.signing import is_for_leads
from headwright.procedure.plan import Role
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop
from tests.job.strict import StrictShop, strict_plan


def held() -> StrictShop:
    """A shop with a bored hole over its limit."""
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    shop.inch("bore", "1I", "bored_id", 0.3435, 0.3435)
    assert [hold.figure.item for hold in holds(shop.state)] == ["bored_id"]
    return shop


def decided(disposition: Disposition, redo: str = "", repair: str = "") -> Disposed:
    return Disposed("bore", "1I", "bored_id", disposition, "looked at it", redo, repair)


def unsigned(shop: Shop, wanted: Event, operator: str = LEAD) -> list[BlockKind]:
    answer = decide(shop.state, wanted, operator, "bench")
    assert isinstance(answer, Refused), answer
    return [block.kind for block in answer.blocks]


def test_what_a_lead_decides_takes_a_pin() -> None:
    shop = held()
    assert unsigned(shop, decided(Disposition.CONCESSION)) == [BlockKind.PIN]
    assert unsigned(shop, decided(Disposition.SCRAP)) == [BlockKind.PIN]
    shop.do(Stopped("head:A", "dropped"))
    assert unsigned(shop, Resumed("head:A", "looked at")) == [BlockKind.PIN]
    assert unsigned(StrictShop(strict_plan(confirmed=False)), SpecConfirmed("clearance", "sheet 7")) == [BlockKind.PIN]
    assert unsigned(shop, CameOn("03", "Second lead", Role.LEAD), "03") == [BlockKind.PIN]


def test_what_a_machinist_decides_takes_none() -> None:
    shop = held()
    assert not is_for_leads(decided(Disposition.REMEASURE))
    shop.do(decided(Disposition.REWORK, "bore", "next-liner"))


def test_nobody_concedes_what_he_has_read_himself() -> None:
    shop = held()
    shop.do(WentOff(LEAD))
    shop.do(CameOn(MACHINIST, "Mara", Role.LEAD))  # the machinist is a lead as well
    assert "07 took readings that it rests on, and nobody concedes his own." in str(
        shop.refused(replace(decided(Disposition.CONCESSION), signed=True))
    )
    shop.do(CameOn(LEAD, "Lena", Role.LEAD), LEAD)
    shop.do(decided(Disposition.CONCESSION), LEAD)


def test_a_shop_may_let_a_lead_concede_his_own() -> None:
    loose = strict_plan()
    shop = StrictShop(replace(loose, rules=replace(loose.rules, own_concession=True)))
    shop.to_bore()
    shop.name_cutter()
    shop.inch("bore", "1I", "bored_id", 0.3435, 0.3435)
    shop.do(CameOn(MACHINIST, "Mara", Role.LEAD))
    shop.do(decided(Disposition.CONCESSION))


@pytest.mark.parametrize(
    "wanted",
    [decided(Disposition.REMEASURE), decided(Disposition.REWORK, "bore"), decided(Disposition.CONCESSION)],
    ids=lambda wanted: str(wanted.disposition),
)
def test_a_trainee_clears_no_hold(wanted: Disposed) -> None:
    shop = held()
    refused = shop.refused(replace(wanted, signed=True), TRAINEE)
    assert refused.blocks[0].kind is BlockKind.PERSON


def test_the_bench_is_handed_over_by_two() -> None:
    shop = StrictShop()
    shop.take_gauges()
    shop.to_survey()
    shop.acknowledge()
    assert "who takes it" in str(shop.refused(HandedOver(MACHINIST, TRAINEE), MACHINIST))
    assert "who takes it" in str(shop.refused(HandedOver(TRAINEE, TRAINEE), TRAINEE))
    assert "12 is not on" in str(shop.refused(HandedOver(MACHINIST, "12"), "12"))
    assert "12 is not on" in str(shop.refused(HandedOver("12", TRAINEE), TRAINEE))
    answer = shop.do(HandedOver(MACHINIST, TRAINEE), TRAINEE)
    assert answer == (HandedOver(MACHINIST, TRAINEE), WentOff(MACHINIST))
    assert not shop.state.is_on(MACHINIST)
    assert (MACHINIST, "carbide") not in shop.state.acknowledged
    assert (MACHINIST, "bore gauge") not in shop.state.in_hand
    shop.do(GaugeTaken("BG-3", "bore gauge", due="2027-02-16"), TRAINEE)
    shop.do(CautionAcknowledged("carbide"), TRAINEE)
    gauge = shop.state.gauges["BG-3"]
    assert gauge.check is not None
    assert gauge.check.operator == MACHINIST  # and so counts for nobody who is here now


def test_without_rules_nothing_asks_for_a_pin() -> None:
    shop = Shop()
    shop.do(CameOn("03", "Second lead", Role.LEAD), "03")
    shop.do(Stopped("head:A", "dropped"))
    shop.do(Resumed("head:A", "looked at"), "03")
    assert "the job is not released" in str(shop.refused(Reopened("smokes"), "03"))
