"""A ball is questioned before it is pushed where it would most likely leave its hole too large for good.

What a ball leaves is worked out by hand from what is assumed before anything was learned: it springs back by 0.0003 in
and a tenth of the interference (from memory of the trade). The hole of 1I is 0.3104 in before sizing and may be
0.3138 in: stem 0.3118 in, clearance at most 0.0020 in. So b − 0.0003 − 0.1 · (b − 0.3104) = 0.3138 has b = 0.31451 in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.job.agenda import next_up
from headwright.job.blocks import BlockKind
from headwright.job.decide import Refused, decide
from headwright.job.large_ball import LARGE
from headwright.store import open_store
from tests.stories.alder_1001 import MARA
from tests.terminal.alder_bench import opened, typed_reading

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.job.events import Event
    from headwright.store.desk import Desk


@pytest.fixture
def sizing(home: Path) -> Iterator[Desk]:
    """Give job 7 where the ball for 1I is to be measured."""
    home.mkdir()
    store = open_store(home / "headwright.db")
    yield opened(store, up_to="size", ticked=True)
    store.close()


def answer(desk: Desk, typed: str, **more: str) -> tuple[Event, ...] | Refused:
    found = next_up(desk.state, MARA.operator)
    assert (found.operation, found.place, found.subject) == ("size", "1I", "ball")
    wanted = replace(typed_reading(desk, found, typed), **more)
    return decide(desk.state, wanted, MARA.operator, "this bench")


@pytest.mark.parametrize("ball", [".3120", ".3135", ".3140", ".3144"])
def test_a_ball_that_would_hardly_go_over_is_not_questioned(sizing: Desk, ball: str) -> None:
    assert not isinstance(answer(sizing, ball), Refused)


def test_one_that_would_is_and_may_be_kept(sizing: Desk) -> None:
    """0.3200 − 0.0003 − 0.1 · 0.0096 = 0.31874 in."""
    refused = answer(sizing, ".3200")
    assert isinstance(refused, Refused)
    (block,) = refused.blocks
    assert (block.kind, block.subject) == (BlockKind.QUESTION, LARGE)
    assert (
        block.why == ".3200 would leave about 0.3187 in, over 0.3138 in, and no ball makes a hole smaller: another one?"
    )
    assert isinstance(answer(sizing, ".3146"), Refused)
    assert not isinstance(answer(sizing, ".3200", questioned=LARGE), Refused)
