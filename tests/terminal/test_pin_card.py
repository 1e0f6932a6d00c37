"""PINs at the screen: chosen by the first lead, asked for where a lead decides, never shown; a wrong one is told."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.job.events import CameOn, Released, Resumed, Stopped
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal.cards.pin import PinCard
from tests.job.small import LEAD, MACHINIST
from tests.job.strict import strict_plan
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import HOSTILE, OneScreen, is_in_sight, seen, words
from tests.terminal.pty_app import PtyApp
from tests.terminal.strict_bench import JOB, LENA, PIN, desk_at, do, job_at, state_at

if TYPE_CHECKING:
    from pathlib import Path


def test_a_resumed_head_takes_the_lead_and_his_pin(home: Path) -> None:
    """Only a lead lets a stopped head go on; taking the bench as lead and deciding are signed apart."""
    desk = job_at(home)
    do(desk, Stopped("head:A", "smoke"))
    with PtyApp((*HEADWRIGHT, "open", JOB), env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("Who is at the bench?", LENA)
        app.press("2", "enter")
        app.wait_for("Taking the bench as lead", "02 Lena Ost")
        app.press(PIN, "enter")
        app.wait_for("02 Lena Ost +1")
        app.press("f6")
        app.wait_for("Resume head A", "It was stopped: smoke")
        app.press("a loose hose", "enter")
        app.wait_for("Letting head A of job", "go on", "02 Lena Ost")
        app.press("green kettle", "enter")
        app.wait_for("this is not the PIN of 02. Try again.")
        assert state_at(home).stopped
        app.press(".3133", "enter")
        app.wait_for("That came from a gauge")
        app.press(PIN)
        app.wait_for("•" * 3)
        assert PIN not in app.text
        app.press("enter")
        app.wait_for("head A goes on: a loose hose")
        assert PIN.encode() not in bytes(app.raw)
    last = [entry.event for entry in desk_at(home).entries if isinstance(entry.event, Resumed)]
    assert last == [Resumed("head:A", "a loose hose", signed=True)]


def test_the_first_lead_of_a_shop_chooses_a_pin_typed_twice(home: Path) -> None:
    home.mkdir()
    store = open_store(home / "headwright.db")
    Desk.create(store, strict_plan(), JOB, terminal="office")
    with PtyApp((*HEADWRIGHT, "open", JOB), env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("Who is at the bench?", "Initials")
        app.enter(LEAD, "Your name")
        app.enter(LENA, "Your role")
        app.press("3", "enter")
        app.wait_for("Choose a PIN", "Once more", "Nobody has set a PIN on the shop's list yet")
        for easy in ("1234", LENA):
            app.press(easy, "enter")
            app.wait_for("This PIN is too easy")
        assert "The same once more" not in app.text
        app.press(PIN, "enter")
        app.wait_for("The same once more")
        app.press("red cattle", "enter")
        app.wait_for("not the same")
        app.press(PIN, "enter")
        app.wait_for("The same once more")
        app.press(PIN, "enter")
        app.wait_for(f"{LEAD} {LENA}", "RECEIVE")
    assert state_at(home).is_on(LEAD)
    assert [each.initials for each in store.people.leads()] == [LEAD]
    came_on = [entry.event for entry in desk_at(home).entries if isinstance(entry.event, CameOn)]
    assert came_on == [CameOn(LEAD, LENA, Role.LEAD, signed=True)]


def test_the_shop_s_people_are_offered_to_a_job_that_knows_nobody(home: Path) -> None:
    job_at(home)
    store = open_store(home / "headwright.db")
    Desk.create(store, strict_plan(), "3002", terminal="office")
    with PtyApp((*HEADWRIGHT, "open", "3002"), env={"HEADWRIGHT_HOME": str(home)}) as app:
        app.wait_for("02  Lena Ost ", "lead, not on; comes on", "07  Mara Quill ", "machinist, not on; comes on")
        app.press("2", "enter")
        app.wait_for("07 Mara Quill", "RECEIVE")
    assert Desk.open(store, "3002", "office").state.is_on(MACHINIST)


# The card by itself


async def test_while_there_is_to_wait_no_pin_is_taken() -> None:
    left = [7.0]
    card = PinCard("02 Lena Ost", "The release", lambda: left[0])
    app = OneScreen(card)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "nobody may try for another 7 s" in words(app)
        await pilot.press(*"kettle", "enter")
        assert app.answers == []
        left[0] = 0.0
        await pilot.pause(1.1)
        assert "Type the PIN again." in words(app)
        await pilot.press(*"kettle")
        assert "kettle" not in seen(app)
        await pilot.press("enter")
    assert app.answers == ["kettle"]


async def test_a_pin_left_is_no_answer() -> None:
    app = OneScreen(PinCard("02 Lena Ost", "The release", lambda: 0.0))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("enter")
        assert "The PIN is expected." in words(app)
        await pilot.press(*"ket", "escape")
    assert app.answers == [None]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
@pytest.mark.parametrize("first", [True, False])
async def test_it_fits_and_shows_no_markup(size: tuple[int, int], first: bool) -> None:  # noqa: FBT001 - a parameter
    app = OneScreen(PinCard(HOSTILE, "The release", lambda: 0.0, first=first))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert "[/b][@click=app.quit]" in words(app)
        assert is_in_sight(app, app.screen.query_one("KeyLine"))


def test_what_a_lead_signs_is_not_recorded_without_a_pin(home: Path) -> None:
    desk = job_at(home)
    do(desk, Stopped("head:A", "smoke"))
    answer = desk.submit(Resumed("head:A", "hose"), LEAD)
    assert "this takes a lead's PIN" in str(answer)
    assert not any(isinstance(entry.event, Released | Resumed) for entry in desk.entries)
