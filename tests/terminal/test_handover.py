"""Handing the bench over: how the job stands, told whole; both acknowledge it, and the shift changes with it."""

from __future__ import annotations

from datetime import datetime
from time import monotonic
from typing import TYPE_CHECKING

import pytest
from textual.containers import VerticalScroll

from headwright.job.agenda import next_up
from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    HandedOver,
    Noted,
    ReadingStruck,
    Resumed,
    Stopped,
)
from headwright.job.handover import FEW, LAST_NEWS, age_words, handover
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal.cards.handover import HandoverCard
from tests.job.small import LEAD, MACHINIST, TRAINEE
from tests.job.strict import StrictShop, stamp, strict_plan
from tests.stories import alder_1001
from tests.terminal.alder_bench import alder, work_up_to
from tests.terminal.cards_app import HOSTILE, TYPED, OneScreen, is_in_sight, words
from tests.terminal.strict_bench import (
    MARA,
    PIN,
    TOM,
    at_bench,
    desk_at,
    do,
    job_at,
    read,
    ready_to_read,
    state_at,
    to_bore,
)

if TYPE_CHECKING:
    from pathlib import Path

    from tests.terminal.pty_app import PtyApp


def told(shop: StrictShop) -> dict[str, tuple[str, ...]]:
    return {section.title: section.lines for section in handover(shop.state, MACHINIST, stamp(shop.time))}


def test_it_tells_what_whoever_comes_must_know() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    shop.do(shop.read("bore", "1I", "bored_id", 0.3424, "top"))
    shop.do(Noted("liner 3 has a burr", "1I"))
    shop.wait(12)
    found = told(shop)
    assert found["Next"] == ("1I: Bored id, bottom",)
    assert found["Begun"] == ("Bore, 1I: 1 of 2 readings",)
    assert found["Gauges in hand"] == (
        "MIC-1, micrometer, with 07",
        "BG-3, bore gauge, with 07; zero 14 min old, set on R-0.3430, 1 reading since",
    )
    assert found["Tools in use"] == ("Bore, intake: cutter K-3425, 0.3425 in; first piece 1I not released yet",)
    assert found["State now"] == ("soaked: every position", "dry: every position")
    assert found["Done"] == ("4 operations, from 'Receive' to 'Decide'",)
    assert found["Still to do"][0] == "Bore"
    assert len(found["Still to do"]) == FEW + 1
    assert found["Still to do"][-1].endswith("more, to 'Sign'")
    assert found["Last notes"] == ("1I: liner 3 has a burr (07, 12 min ago)",)
    assert found["At the bench"][0].startswith("07 Mara, machinist, on for ")
    assert "Stopped" not in found
    assert "Held" not in found


def test_beyond_two_days_the_date_is_told_and_not_the_age() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.do(Noted("liner 3 has a burr", "1I"))
    day = datetime.fromisoformat(stamp(shop.time)).astimezone().date().isoformat()
    shop.wait(24 * 60)
    assert told(shop)["Last notes"] == ("1I: liner 3 has a burr (07, 24 h ago)",)
    shop.wait(260 * 24 * 60)
    assert told(shop)["Last notes"] == (f"1I: liner 3 has a burr (07, on {day})",)
    assert all(" on since 20" in line for line in told(shop)["At the bench"])


def test_what_is_next_is_what_the_bench_has_next() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    shop.inch("bore", "1I", "bored_id", 0.3424, 0.3424)
    shop.release_first("1I")
    shop.name_cutter("1E")
    for at in (None, ("install", "1I"), ("bore", "1E")):
        (section,) = (s for s in handover(shop.state, MACHINIST, stamp(shop.time), at) if s.title == "Next")
        assert section.lines == (next_up(shop.state, MACHINIST, at, stamp(shop.time)).say,)
    assert section.lines[0].startswith("1E")


def test_it_tells_of_holds_stops_oil_and_released_first_pieces() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    shop.inch("bore", "1I", "bored_id", 0.3424, 0.3424)
    shop.release_first("1I")
    shop.tick("install", "1I", "drive")
    shop.name_cutter("1E")
    shop.inch("bore", "1E", "bored_id", 0.3434, 0.3434)
    shop.do(Stopped("head:A", "coolant on the floor"))
    found = told(shop)
    assert found["Stopped"] == ("head A: coolant on the floor",)
    assert found["Held"] == ("1E in 'Bore': Bored id high",)
    assert "oiled: 1I" in found["State now"]
    assert found["Tools in use"][0].endswith("first piece 1I released")


def _news_of(shop: StrictShop, leaver: str = MACHINIST) -> tuple[str, ...]:
    found = handover(shop.state, leaver, stamp(shop.time), entries=shop.entries)
    return next((section.lines for section in found if section.title == "This shift"), ())


def test_the_news_of_the_shift_are_told_the_latest_first() -> None:
    """Decisions, stops, strikes: whoever comes was not there."""
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    shop.do(shop.read("bore", "1I", "bored_id", 0.3425, "top"))
    (taken,) = shop.state.attempt("bore", "1I").readings.values()
    shop.do(ReadingStruck(taken.number, "chips under the gauge"))
    shop.inch("bore", "1I", "bored_id", 0.3434, 0.3434)
    shop.wait(5)
    shop.do(Disposed("bore", "1I", "bored_id", Disposition.REMEASURE, "gauge was cold"))
    shop.do(Stopped("head:A", "coolant on the floor"))
    shop.do(Resumed("head:A", "mopped up", signed=True), LEAD)
    found = _news_of(shop)
    assert [line.rpartition(" (")[0] for line in found] == [
        "head A goes on: mopped up",
        "head A stopped: coolant on the floor",
        "1I in 'Bore': 'Bored id' measured again: gauge was cold",
        "1I: Bored id, top 0.3425 struck: chips under the gauge",
    ]
    assert found[0].endswith("(02, 0 s ago)")
    assert handover(shop.state, MACHINIST, stamp(shop.time), entries=shop.entries)[0].title == "This shift"


def test_readings_struck_for_one_reason_are_one_piece_of_news() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.name_cutter()
    for figure in (0.3425, 0.3426, 0.3427):
        shop.do(shop.read("bore", "1I", "bored_id", figure, "top"))
        (taken,) = shop.state.attempt("bore", "1I").readings.values()
        shop.do(ReadingStruck(taken.number, "chips under the gauge" if figure < 0.3427 else "lint"))
    assert [line.rpartition(" (")[0] for line in _news_of(shop)] == [
        "1I: Bored id, top 0.3427 struck: lint",
        "2 readings struck: chips under the gauge; the last of them 1I: Bored id, top 0.3426",
    ]


def test_what_was_told_at_the_last_handover_or_in_a_shift_before_is_no_news() -> None:
    shop = StrictShop()
    shop.to_bore()
    shop.do(Stopped("head:A", "coolant on the floor"))
    shop.do(Resumed("head:A", "mopped up", signed=True), LEAD)
    assert len(_news_of(shop)) == 2
    shop.do(HandedOver(MACHINIST, TRAINEE), TRAINEE)
    assert _news_of(shop, TRAINEE) == ()
    shop.do(Stopped("head:A", "smoke"), TRAINEE)
    assert len(_news_of(shop, TRAINEE)) == 1
    shop.wait(24 * 60)
    assert len(_news_of(shop, TRAINEE)) == 1, "Tom is on still"
    assert _news_of(shop, "nobody") == ()


def test_of_many_news_the_latest_are_told_and_the_others_counted() -> None:
    shop = StrictShop()
    shop.to_bore()
    for number in range(LAST_NEWS):
        shop.do(Stopped("head:A", f"stop {number}"))
        shop.do(Resumed("head:A", "goes on", signed=True), LEAD)
    found = _news_of(shop)
    assert len(found) == LAST_NEWS + 1
    assert found[1].startswith(f"head A stopped: stop {LAST_NEWS - 1}")
    assert found[-1].startswith(f"and {LAST_NEWS} before these")


def test_what_is_typed_and_not_saved_is_told() -> None:
    shop = StrictShop()
    shop.to_bore()
    found = {s.title: s.lines for s in handover(shop.state, MACHINIST, stamp(shop.time), typed=".34")}
    assert found["Not saved"] == ("'.34' is typed at the bench, and not saved",)


def test_a_head_given_up_is_told_too() -> None:
    shop = StrictShop(strict_plan(heads=("L", "R")))
    shop.do(Disposed("receive", "head:L", "cracked", Disposition.SCRAP, "cracked through the seat"), LEAD)
    assert told(shop)["Stopped"] == ("head L was given up: cracked through the seat",)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(-60, "0 s"), (40, "40 s"), (720, "12 min"), (3 * 3600, "3 h"), (50 * 3600, "2 days")],
)
def test_an_age_is_told_in_words_and_is_never_below_nothing(seconds: float, said: str) -> None:
    """A clock that was set back gives no age below zero."""
    assert age_words(seconds) == said


def test_the_bench_is_handed_over_by_keys_and_whoever_comes_zeroes_anew(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3424, "top")
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Bored id, bottom  with BG-3")
        app.press("ctrl+o")
        app.wait_for("is handed over by 07", "Mara Quill: is that how it stands?")
        read_to_the_end(app)
        app.press("a")
        app.wait_for("Who takes over?", "02  Lena Ost")
        assert MARA not in app.text
        app.press("9", "enter")
        app.wait_for("Initials")
        app.enter(TRAINEE, "Your name")
        app.enter(TOM, "Your role")
        app.press("2", "enter")
        app.wait_for("is taken over from 07", "Tom Reed: press a when you have read it")
        assert not any(isinstance(entry.event, HandedOver) for entry in desk_at(home).entries)
        read_to_the_end(app)
        app.press("a")
        app.wait_for("Caution: Carbide", "Tom Reed: press a")  # it is read anew in every shift
    state = state_at(home)
    assert [entry.event for entry in desk_at(home).entries if isinstance(entry.event, HandedOver)] == [
        HandedOver(MACHINIST, TRAINEE)
    ]
    assert (state.is_on(MACHINIST), state.is_on(TRAINEE)) == (False, True)
    assert (MACHINIST, "bore gauge") not in state.in_hand


def test_a_lead_who_takes_over_gives_the_pin_though_on_already(home: Path) -> None:
    """Anybody could say that Lena is at the bench; what she came on with was given at another terminal."""
    to_bore(job_at(home))
    with at_bench(home) as app:
        app.wait_for("which cutter?")
        app.press("esc")
        app.wait_for("which cutter?", gone=True)
        app.press("ctrl+o")
        app.wait_for("is that how it stands?")
        read_to_the_end(app)
        app.press("a")
        app.wait_for("Who takes over?")
        app.press("1", "enter")
        app.wait_for("Lena Ost: press a")
        read_to_the_end(app)
        app.press("a")
        app.wait_for("PIN", "Taking the bench as lead")
        app.press(PIN, "enter")
        app.wait_for("Caution: Carbide", "Lena Ost: press a")
    assert not state_at(home).is_on(MACHINIST)


async def test_left_it_is_no_handover(home: Path) -> None:
    app = OneScreen(HandoverCard(job_at(home).state, MACHINIST, stamp(StrictShop().time), MARA))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.4)
        await pilot.press("escape")
    assert app.answers == [None]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_the_card_fits_and_shows_no_markup(home: Path, size: tuple[int, int]) -> None:
    desk = job_at(home)
    do(desk, Noted(TYPED, "1I"))
    app = OneScreen(HandoverCard(desk.state, MACHINIST, desk.state.time, HOSTILE, comes=True))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert "[/b][@click=app.quit]" in words(app)
        assert is_in_sight(app, app.screen.query_one("KeyLine"))


def read_to_the_end(app: PtyApp) -> None:
    """Page to the end of the card, and let the keys before pass."""
    app.press("pgdn", "pgdn", "pgdn")
    app.read_until(monotonic() + 0.6)


@pytest.fixture
def half_way(home: Path) -> Desk:
    """Give a whole head of which everything up to sizing is done."""
    home.mkdir()
    desk = Desk.create(open_store(home / "headwright.db"), alder(), "7", terminal="bench 1")
    for person in (alder_1001.OWEN, alder_1001.MARA):
        do(desk, CameOn(person.operator, person.name, person.role), person.operator)
    work_up_to(desk, "size")
    return desk


async def test_the_page_of_a_whole_head_is_seen_at_once_at_100_by_30(half_way: Desk) -> None:
    mara, state = alder_1001.MARA, half_way.state
    app = OneScreen(HandoverCard(state, mara.operator, state.time, mara.name))
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await pilot.pause()
        assert "Still to do" in words(app)
        assert "At the bench" in words(app)
        assert app.screen.query_one(VerticalScroll).max_scroll_y == 0
