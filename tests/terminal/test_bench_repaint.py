"""What is painted of the lines that changed is what Textual itself would have painted there."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

import pytest
from textual._compositor import ChopsUpdate, Compositor
from textual.geometry import Region

from headwright.store import open_store
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.repaint import Repaint
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.table import Table
from headwright.terminal.bench.wide import Wide
from headwright.terminal.drawn import plain
from tests.stories.alder_1001 import MARA
from tests.terminal.alder_bench import FIRST_BALL, opened

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore

HERE = "this bench"


@pytest.fixture
def store(home: Path) -> Iterator[JobStore]:
    home.mkdir()
    found = open_store(home / "headwright.db")
    opened(found, read=(MARA,), up_to="size", terminal=HERE)
    yield found
    found.close()


def painted(update: ChopsUpdate | None) -> list[tuple[int, int, object]]:
    """Give what an update draws: line, cell, and the piece that is drawn there."""
    assert update is not None
    return [
        (y, x, strip)
        for y, first, last in update.spans
        for end, (x, strip) in zip(update.chop_ends[y], update.chops[y].items(), strict=True)
        if x < last and end > first
    ]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_whatever_changed_is_painted_as_textual_would(store: JobStore, size: tuple[int, int]) -> None:
    app = HeadwrightApp(store, HERE, "7")
    chance = Random(5)  # noqa: S311 - not a secret
    async with app.run_test(size=size) as pilot:
        for keys in ((), (".", "3"), ("ctrl+x",), ("ctrl+x", "ctrl+e")):
            await pilot.press(*keys)
            for _ in range(3):
                await pilot.pause()
            ours = app.screen._compositor
            assert isinstance(ours, Repaint), "the bench paints so"
            for _ in range(60):
                corners = [(chance.randrange(size[0] - 40), chance.randrange(size[1] - 3)) for _ in range(4)]
                regions = {Region(x, y, chance.randint(1, 40), chance.randint(1, 3)) for x, y in corners}
                found = []
                for way in (Repaint.render_partial_update, Compositor.render_partial_update):
                    ours._dirty_regions = set(regions)
                    found.append(painted(way(ours)))
                assert found[0] == found[1]
                assert found[0]


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_the_rows_that_are_kept_are_those_that_would_be_drawn_afresh(
    store: JobStore, size: tuple[int, int]
) -> None:
    """Ball and sizes of three places: the columns change with what is at hand, and change back."""
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        for _ in range(3):
            await pilot.pause()
        screen: object = app.screen
        assert isinstance(screen, BenchScreen)
        hand, table = screen.hand, screen.query_one(Table)
        await pilot.press("space")
        await pilot.pause(0.1)
        for place in ("1I", "3I", "4I"):
            ball, sizes = FIRST_BALL[place]
            for figure in (ball, *sizes):
                await pilot.press(*figure, "enter")
                await pilot.pause(0.25)
                assert isinstance(table.face, Wide)
                fresh = Wide(hand.state, hand.operation)
                fresh.arrange(table.size.width, hand.spot)
                now = hand.next.place if hand.next.operation == hand.operation_id else ""
                rows = tuple(fresh.line(row, hand.spot, hand.typed, now) for row in range(fresh.count))
                assert table.lines == (*fresh.heading(), *rows)
                shown = [strip.text.rstrip() for strip in table.render_lines(table.size.region)]
                assert shown == [plain(line).rstrip() for line in table.lines[: len(shown)]]
        assert all(hand.state.attempt("size", place).closed for place in ("1I", "2I", "3I"))
