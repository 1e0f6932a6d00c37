"""Tools are named and measured, and the others wait until the first piece was looked at; sizes are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.events import CameOn, FirstPieceReleased, ToolChosen
from headwright.procedure.plan import Role
from headwright.terminal.cards.first import FirstPieceCard
from headwright.terminal.cards.tool import ToolCard, used_before
from tests.job.small import INCH, LEAD, MACHINIST, TRAINEE
from tests.job.strict import strict_plan
from tests.terminal.cards_app import TYPED, OneScreen, is_in_sight, words
from tests.terminal.strict_bench import TOM, at_bench, desk_at, do, job_at, read, ready_to_read, state_at, to_bore

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.store.desk import Desk

PAIR = strict_plan(heads=("L", "R"))


def first_piece(desk: Desk) -> None:
    """Bore the first piece: the second intake waits for its release."""
    for station in ("top", "bottom"):
        read(desk, ("bore", "L1I"), "bored_id", 0.3424, station)


def at_first_piece(home: Path) -> Desk:
    """Give a pair of heads whose first intake is bored."""
    desk = job_at(home, plan=PAIR)
    to_bore(desk, "L1I", "R1I", "L1E", "R1E")
    ready_to_read(desk, place="L1I")
    first_piece(desk)
    return desk


def test_a_cutter_is_named_and_its_first_piece_lets_the_others_follow(home: Path) -> None:
    desk = job_at(home, plan=PAIR)
    to_bore(desk, "L1I", "R1I", "L1E", "R1E")
    with at_bench(home) as app:
        app.wait_for("Bore: which cutter?", "L1I is the first piece made with it")
        app.press("enter")
        app.wait_for("Which cutter it is, is expected")
        app.enter("K-3425", "as measured, or nothing")
        app.press("green", "enter")
        app.wait_for("'green' is not a figure")
        app.press("back", "back", "back", "back", "back")
        app.press("8.70 mm", "enter")
        app.wait_for("Which bore gauge?")
        app.press("1", "enter")
        app.wait_for("R-3420")
        app.press("enter")
        app.wait_for("It shows")
        app.press("0", "enter")
        app.wait_for("▸ L1I: Bored id, top  with BG-3")
        app.enter(".3424", "▸ L1I: Bored id, bottom")
        app.enter(".3425", "First piece: L1I, Bore")
        app.wait_for("cutter K-3425", ".3424–.3425 in", ".3415 to .3430 in", "✓ ok")
        app.read(0.4)
        app.press("a")
        app.wait_for("▸ R1I: Bored id, top", "is released: the others follow")
        app.press("ctrl+l")
        app.wait_for("Bore: which cutter?", "R1I is the first piece", "K-3425 ", ".3425 in")
        app.press("9", "enter")
        app.enter("K-3426", "as measured, or nothing")
        app.press("enter")
        app.wait_for("The cutter is K-3426; R1I is the first piece.")
    tool = state_at(home).tools["bore", "intake"]
    assert (tool.item, tool.size, tool.first, tool.released) == ("K-3426", None, "R1I", False)
    events = [entry.event for entry in desk_at(home).entries]
    assert ToolChosen("bore", "L1I", "cutter", "K-3425", 8.70) in events
    assert FirstPieceReleased("bore", "L1I") in events


async def test_a_trainee_is_told_who_may_let_the_others_follow(home: Path) -> None:
    desk = at_first_piece(home)
    do(desk, CameOn(TRAINEE, TOM, Role.TRAINEE), TRAINEE)
    card = FirstPieceCard(desk.state, FirstPieceReleased("bore", "L1I"), TRAINEE, "here")
    app = OneScreen(card)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.4)
        assert "Not for you: First piece, L1I: this is for a machinist" in words(app)
        await pilot.press("a")
        await pilot.pause(0.5)
        assert app.answers == []
        await pilot.press("escape")
    assert app.answers == [None]


async def test_a_word_or_bar_code_releases_no_first_piece(home: Path) -> None:
    desk = at_first_piece(home)
    app = OneScreen(FirstPieceCard(desk.state, FirstPieceReleased("bore", "L1I"), MACHINIST, "here"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.4)
        await pilot.press(*"cab", "enter")
        await pilot.pause(0.5)
        assert app.answers == []
        await pilot.press("a")
        await pilot.pause(0.5)
    assert app.answers == [True]


async def test_the_job_remembers_its_tools_and_offers_each_once(home: Path) -> None:
    desk = at_first_piece(home)
    bore = desk.state.index.operations["bore"]
    do(desk, ToolChosen("bore", "L1E", "cutter", "K-3425", 0.3425 * INCH))
    assert [tool.item for tool in used_before(desk.state, bore)] == ["K-3425"]
    app = OneScreen(ToolCard(desk.state, bore, "R1I", used_before(desk.state, bore)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("1", "enter")
    assert app.answers == [ToolChosen("bore", "R1I", "cutter", "K-3425", 0.3425 * INCH)]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_the_cards_fit_and_show_no_markup(home: Path, size: tuple[int, int]) -> None:
    desk = at_first_piece(home)
    do(desk, ToolChosen("bore", "R1I", "cutter", TYPED))
    bore = desk.state.index.operations["bore"]
    app = OneScreen(ToolCard(desk.state, bore, "R1I", used_before(desk.state, bore)))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert "[/b][@click=app.quit]" in words(app)
        assert is_in_sight(app, app.screen.query_one("KeyLine"))


def test_only_whoever_may_releases_it(home: Path) -> None:
    desk = at_first_piece(home)
    do(desk, FirstPieceReleased("bore", "L1I"), LEAD)
    assert desk.state.tools["bore", "intake"].released
