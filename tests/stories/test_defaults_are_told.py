"""What nobody looked up for the head at hand is a default: the sheet says so, and release waits, until a lead does.

Every family on every route of the shipped procedures.
"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache

import pytest

from headwright.job.blocks import BlockKind, release_blocks
from headwright.job.events import SpecConfirmed
from headwright.procedure.library import Library, load
from headwright.procedure.resolve import build_plan
from headwright.sheet.history import history
from headwright.sheet.sheet import job_sheet
from tests.stories.driver import Teller
from tests.stories.tale import OWEN
from tests.stories.write import ROOT

DEFAULT = "DEFAULT, NOT CONFIRMED FOR THIS HEAD"


@cache
def library() -> Library:
    return load(ROOT / "procedures")


WAYS = [(family, route) for family, entry in library().families.items() for route in entry.definition.routes]


def told(teller: Teller) -> int:
    """Count the values that the sheet calls a default, however its lines break."""
    return " ".join(job_sheet(history(teller.plan, teller.entries)).split()).count(DEFAULT)


@pytest.mark.parametrize(("family", "route"), WAYS)
def test_a_default_is_called_one_until_a_lead_confirms_it(family: str, route: str) -> None:
    plan = build_plan(library(), route, family)
    teller = Teller(plan, "1", tag="", customer="", start=datetime(2026, 3, 9, 8, tzinfo=UTC), terminal="bench")
    teller.comes_on(OWEN)
    doubtful = [spec for spec in plan.specs if not spec.source.endswith("(invented)")]
    assert doubtful
    assert told(teller) == len(doubtful)
    held = [block.subject for block in release_blocks(teller.state) if block.kind is BlockKind.SPEC]
    assert held == [spec.name for spec in doubtful]
    teller.record(SpecConfirmed(doubtful[0].name, "maker's sheet, looked up today"), OWEN.operator)
    assert told(teller) == len(doubtful) - 1
    assert doubtful[0].name not in {b.subject for b in release_blocks(teller.state) if b.kind is BlockKind.SPEC}
