"""How the bench uses its columns: titles and tables are whole where there is room, and nothing idle takes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.procedure.library import load
from headwright.procedure.plan import Rules
from headwright.procedure.resolve import build_plan
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.route import Route
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.steps import Steps
from headwright.terminal.bench.table import Table
from headwright.terminal.bench.widths import LEAST_ROUTE, LEAST_SIDE, LEAST_WORK, MOST_SIDE, widths
from headwright.terminal.drawn import Lines, plain
from tests.stories.write import ROOT
from tests.terminal.alder_bench import alder, opened

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from headwright.store import JobStore

HERE = "this bench"


def shown(app: HeadwrightApp, kind: type[Lines]) -> list[str]:
    """Give the lines that a part of the bench shows, as many as it has room for."""
    widget = app.screen.query(kind).first(kind)
    return [plain(line).rstrip() for line in widget.lines[: widget.size.height]]


async def settled(pilot: Pilot[None]) -> None:
    """Wait until everything is laid out, for the columns that there are by then too."""
    for _ in range(6):
        await pilot.pause()
    assert isinstance(pilot.app.screen, BenchScreen), pilot.app.screen


def test_the_table_comes_first_then_titles_then_the_side() -> None:
    assert widths(100, 94, 33, side=False) == (LEAST_ROUTE, 0)
    assert widths(100, 44, 33, side=False) == (100 - LEAST_WORK, 0)
    assert widths(120, 44, 33, side=False) == (33, 0), "no wider than its titles"
    assert widths(160, 94, 33, side=True) == (20, LEAST_SIDE)
    assert widths(160, 44, 33, side=True) == (33, 48)
    assert widths(260, 94, 33, side=True) == (33, MOST_SIDE)
    assert widths(150, 200, 33, side=True) == (LEAST_ROUTE, LEAST_SIDE), "what cannot fit takes nothing from the others"


async def test_at_160_columns_nothing_of_the_sizing_is_folded_away_and_every_title_is_whole(store: JobStore) -> None:
    opened(store, alder(), up_to="size", ticked=True, terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        await settled(pilot)
        await pilot.press(*".3140", "enter", *".3133", "enter")
        await settled(pilot)
        assert app.screen.query_one("#side").region.width == LEAST_SIDE
        heading = " ".join(shown(app, Table)[:3])
        assert "more" not in heading
        assert {"diameter", "Finished", "Clearance", "Taper", "Spring-", "back"} <= set(heading.split())
        route = " ".join(" ".join(shown(app, Route)).split())
        assert "…" not in route
        assert "Crack check, magnetic particle" in route
        assert not any("…" in line for line in shown(app, Steps)), "the steps are whole too"
        await pilot.press("left_square_bracket")
        await settled(pilot)
        assert any(line == "✓ Crack check, magnetic particle" for line in shown(app, Route)), (
            "on one line, where it can"
        )


@pytest.mark.parametrize("family", ["alder-107", "brant-v8"])
async def test_a_route_of_forty_operations_has_its_titles_whole_at_160_columns(store: JobStore, family: str) -> None:
    plan = build_plan(load(ROOT / "procedures"), "chamber-in-head", family)
    opened(store, replace(plan, rules=Rules()), terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        await settled(pilot)
        lines = shown(app, Route)
        assert len(lines) == 40
        assert not any("…" in line for line in lines)


async def test_at_100_columns_titles_are_cut_only_where_the_table_wants_the_room(store: JobStore) -> None:
    opened(store, alder(), up_to="trim", terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        cut = [line for line in shown(app, Route) if "…" in line]
        assert len(cut) <= 3, cut
        assert not any("8/8" in line for line in shown(app, Route)), "its tick says that an operation is done"
        await pilot.press("left_square_bracket")
        await settled(pilot)
        assert app.screen.query_one("#work").size.width == 80, "sizing has its six points and what they come to"


async def test_a_click_on_either_line_of_a_title_looks_at_its_operation(store: JobStore) -> None:
    opened(store, alder(), up_to="size", ticked=True, terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        for offset in (0, 1):
            await settled(pilot)
            row = next(y for y, line in enumerate(shown(app, Route)) if line.startswith("✓ Clean the bored"))
            assert shown(app, Route)[row + 1].strip() == "hole"
            await pilot.click(Route, offset=(4, row + 1 + offset))
            await settled(pilot)
            assert isinstance(app.screen, BenchScreen)
            assert app.screen.hand.operation_id == "clean-bore"
            await pilot.press("home")


# Where nothing is to be done


async def test_where_nothing_had_to_be_done_nothing_is_called_done(store: JobStore) -> None:
    """The liners of this head are out when it comes in: no old one is taken out, and that is what is said."""
    opened(store, alder(), up_to="size", terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        await settled(pilot)
        assert any(line.startswith("◦ Take the old") for line in shown(app, Route))
        assert isinstance(app.screen, BenchScreen)
        app.screen.hand.look_at("remove-liner")
        app.screen.paint()
        await settled(pilot)
        rows = [line for line in shown(app, Table) if line.startswith("◦ ")]
        assert len(rows) == 8
        assert all(row.endswith("not needed") for row in rows)
        assert not any("done" in line for line in shown(app, Table))
        app.screen.hand.look_at("survey-guides")
        app.screen.paint()
        await settled(pilot)
        assert sum(line.startswith("✓ ") for line in shown(app, Table)) == 8, "what was done is done"
