"""Who is at the bench: whoever was last chosen there, and nobody else's figures or messages stay when that changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from textual.widgets import Input

from headwright.job.agenda import Now
from headwright.job.decide import Refused
from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    Disposed,
    Disposition,
    GaugeChecked,
    GaugeTaken,
    Released,
    Resumed,
    SpecConfirmed,
    Stopped,
    TookBench,
    ToolChosen,
    WentOff,
)
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.store.front import Somebody, last_here
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.counsel import Counsel
from headwright.terminal.bench.hand import Hand
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.signed import beside, leads_of, signed_words
from headwright.terminal.cards.who import WhoCard
from tests.job.small import INCH, LEAD, MACHINIST, taken
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal.alder_bench import do, opened
from tests.terminal.cards_app import words
from tests.terminal.strict_bench import PIN, desk_at, job_at, read, ready_to_read, to_bore

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from headwright.store import JobStore
    from headwright.store.person import Operator

HERE = "this bench"


@pytest.fixture
def both(home: Path) -> Iterator[JobStore]:
    """Give a store with job 7 at its sizing: Owen came on at this terminal, then Mara."""
    home.mkdir()
    found = open_store(home / "headwright.db")
    opened(found, up_to="size", ticked=True, terminal=HERE)
    yield found
    found.close()


def hand_on(store: JobStore, job: str = "7", terminal: str = HERE) -> Hand:
    return Hand(Desk.open(store, job, terminal), terminal, Counsel(store))


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(*(key if key[:1] in ".0123456789" else (key,)))
        await pilot.pause()
    await pilot.pause()
    await pilot.pause()


def bench_of(app: HeadwrightApp) -> BenchScreen:
    return next(screen for screen in reversed(app.screen_stack) if isinstance(screen, BenchScreen))


async def choose(pilot: Pilot[None], app: HeadwrightApp, name: str) -> None:
    """Put somebody at the bench by the card of who is there."""
    people = [person.name for person in bench_of(app).people()]
    await press(pilot, "f5", str(people.index(name) + 1), "enter")


async def test_whoever_was_chosen_last_is_there_when_the_job_is_opened_again(both: JobStore) -> None:
    app = HeadwrightApp(both, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        assert bench_of(app).hand.operator == MARA.operator
        await choose(pilot, app, OWEN.name)
        await choose(pilot, app, MARA.name)
        await choose(pilot, app, OWEN.name)
        assert bench_of(app).hand.operator == OWEN.operator
        await press(pilot, "f8", "enter")
        assert bench_of(app).hand.operator == OWEN.operator
        await press(pilot, "f8")
        assert not any(isinstance(screen, BenchScreen) for screen in app.screen_stack)
        await press(pilot, "escape")
        assert bench_of(app).hand.operator == OWEN.operator
    assert hand_on(both).operator == OWEN.operator
    assert hand_on(both, terminal="office").operator == ""


async def test_what_somebody_typed_and_did_not_save_goes_with_them(both: JobStore) -> None:
    app = HeadwrightApp(both, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, ".3140")
        hand = bench_of(app).hand
        assert hand.typed == ".3140"
        await press(pilot, "f5", "escape")
        assert hand.typed == ".3140"
        await choose(pilot, app, MARA.name)
        assert hand.typed == ".3140"
        await choose(pilot, app, OWEN.name)
        assert hand.typed == ""
        assert hand.say == "'.3140' was not saved by 07 and is cleared."
        assert "07 Mara" not in hand.say


async def test_a_message_about_somebody_goes_with_them(both: JobStore) -> None:
    do(Desk.open(both, "7", "office"), Stopped("head:A", "smoke"), MARA.operator)
    app = HeadwrightApp(both, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f6")
        hand = bench_of(app).hand
        assert "Mara Quill (07) is at the bench as machinist" in hand.say
        await choose(pilot, app, OWEN.name)
        assert "Mara" not in hand.say


def test_who_goes_off_is_not_shown_and_nobody_follows_by_himself(both: JobStore) -> None:
    hand = hand_on(both)
    hand.type(".3140")
    hand.submit(WentOff(MARA.operator), MARA.operator)
    assert (hand.operator, hand.typed) == ("", "")
    assert "'.3140' was not saved by 07" in hand.say


def test_who_goes_off_at_another_terminal_takes_what_was_typed_along(both: JobStore) -> None:
    hand = hand_on(both)
    hand.type(".3140")
    do(Desk.open(both, "7", "office"), WentOff(MARA.operator), MARA.operator)
    hand.refresh()
    assert (hand.operator, hand.typed) == ("", "")
    assert hand.say.endswith("'.3140' was not saved by 07 and is cleared.")


def test_what_was_typed_before_anybody_was_there_is_whose_who_comes(both: JobStore) -> None:
    hand = hand_on(both, terminal="office")
    hand.type(".3140")
    hand.submit(TookBench(MARA.operator, Role.MACHINIST), MARA.operator)
    assert (hand.operator, hand.typed) == (MARA.operator, ".3140")


def test_where_leads_have_pins_none_is_taken_up_again_without_it(home: Path) -> None:
    job_at(home)
    store = open_store(home / "headwright.db")
    terminal = "this bench"
    hand = hand_on(store, desk_at(home).job, terminal)
    name = hand.state.people[LEAD].name
    refused = hand.submit(TookBench(LEAD, Role.LEAD), LEAD)
    assert not refused.entries
    assert "this takes a lead's PIN" in hand.say
    assert hand.operator == ""
    assert hand.submit(TookBench(LEAD, Role.LEAD), LEAD, PIN).entries
    assert hand.operator == LEAD
    assert hand_on(store, hand.state.job, terminal).operator == ""
    assert hand.submit(TookBench(MACHINIST, Role.MACHINIST), MACHINIST).entries
    assert hand_on(store, hand.state.job, terminal).operator == MACHINIST
    assert not hand.submit(CameOn(LEAD, name, Role.LEAD), LEAD).entries
    store.close()


def somebody(
    operator: str, role: str = "machinist", *, terminal: str = HERE, on: bool = True, here: bool = True
) -> Somebody:
    return Somebody(operator, f"Name {operator}", role, terminal, on, "", here)


def test_it_is_asked_where_it_is_not_certain() -> None:
    mara, lead = somebody("07"), somebody("02", "lead")
    assert last_here([mara], HERE, pins=True) == "07"
    assert last_here([somebody("07", here=False)], HERE, pins=True) == ""
    assert last_here([somebody("07", on=False)], HERE, pins=True) == ""
    assert last_here([mara], "office", pins=True) == ""
    assert last_here([lead], HERE, pins=True) == ""
    assert last_here([lead], HERE, pins=False) == "02"
    assert last_here([mara], HERE, pins=True, was=mara) == "07"
    assert last_here([mara], HERE, pins=True, was=somebody("12")) == ""


@pytest.fixture
def stopped(home: Path) -> Iterator[JobStore]:
    """Give the store of a job under PINs whose head is stopped, with Mara, a machinist, at this terminal."""
    desk = job_at(home)
    do(desk, Stopped("head:A", "smoke"), MACHINIST)
    store = open_store(home / "headwright.db")
    do(Desk.open(store, desk.job, HERE), TookBench(MACHINIST, Role.MACHINIST), MACHINIST)
    yield store
    store.close()


async def resume(pilot: Pilot[None], app: HeadwrightApp) -> None:
    """Let the head go on at Mara's bench, by Lena's PIN; a wrong one first."""
    await press(pilot, "f6")
    assert "Resume head A" in words(app)
    await pilot.press(*"a hose")
    await press(pilot, "enter")
    told = words(app)
    assert "02 Lena Ost" in told
    assert f"Letting head A of job {bench_of(app).hand.state.job} go on" in told
    await pilot.press(*"wrong one")
    await press(pilot, "enter")
    assert "this is not the PIN of 02" in words(app)
    assert bench_of(app).hand.state.stopped
    app.screen.query_one(Input).value = PIN
    await press(pilot, "enter")


async def test_a_lead_signs_at_a_bench_where_the_machinist_stays(stopped: JobStore) -> None:
    job = stopped.jobs()[0].job
    app = HeadwrightApp(stopped, HERE, job)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        hand = bench_of(app).hand
        assert hand.operator == MACHINIST
        before = hand.state.number
        await resume(pilot, app)
        assert not hand.state.stopped
        assert hand.operator == MACHINIST
        assert hand.say == "head A goes on: a hose"
    new = Desk.open(stopped, job, "office").entries[before:]
    assert [(entry.event, entry.operator) for entry in new] == [(Resumed("head:A", "a hose", signed=True), LEAD)]


async def test_a_lead_who_was_not_on_comes_on_for_it_and_goes_again(stopped: JobStore) -> None:
    job = stopped.jobs()[0].job
    do(Desk.open(stopped, job, "office"), WentOff(LEAD), LEAD)
    app = HeadwrightApp(stopped, HERE, job)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        hand = bench_of(app).hand
        before = hand.state.number
        await resume(pilot, app)
        assert hand.operator == MACHINIST
    new = Desk.open(stopped, job, "office").entries[before:]
    assert [(type(entry.event), entry.operator) for entry in new] == [
        (CameOn, LEAD),
        (Resumed, LEAD),
        (WentOff, LEAD),
        (TookBench, MACHINIST),
    ]
    assert hand_on(stopped, job).operator == MACHINIST


async def test_a_lead_who_came_and_decided_gives_the_bench_back_with_two_keys(stopped: JobStore) -> None:
    app = HeadwrightApp(stopped, HERE, stopped.jobs()[0].job)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        hand = bench_of(app).hand
        await press(pilot, "f5")
        assert "2 02 Lena Ost" in words(app)
        await press(pilot, "2", "enter")
        await pilot.press(*PIN)
        await press(pilot, "enter")
        assert hand.operator == LEAD
        assert "give the bench back" not in hand.say, "nothing is decided yet"
        await press(pilot, "f6")
        await pilot.press(*"a hose")
        await press(pilot, "enter")
        await pilot.press(*PIN)
        await press(pilot, "enter")
        assert hand.say == "head A goes on: a hose. F5 and Enter give the bench back to Mara Quill."
        await press(pilot, "f5", "enter")
        assert hand.operator == MACHINIST
        assert hand.gives_back() == ""


def test_what_is_signed_is_said_in_words(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    for station in ("top", "bottom"):
        read(desk, ("bore", "1I"), "bored_id", 0.3455, station)
    scrap = Disposed("bore", "1I", "bored_id", Disposition.SCRAP, "cracked")
    at = f"head {desk.state.index.heads[0].name} of job {desk.job}"
    assert signed_words(desk.state, scrap) == f"Scrap {at} (1I, 'Bore': Bored id high)"
    conceded = replace(scrap, disposition=Disposition.CONCESSION)
    assert signed_words(desk.state, conceded) == f"Concession at 1I, {at}, 'Bore': Bored id high"
    assert signed_words(desk.state, SpecConfirmed("clearance", "sheet 7")) == (
        f"Confirming 'Clearance' for job {desk.job}, from sheet 7"
    )
    assert signed_words(desk.state, Released()) == f"Release of job {desk.job}"


def test_nobody_signs_beside_for_what_a_lead_may_not_either(home: Path) -> None:
    """A lead does not concede what the lead read, at whoever's bench it is signed; nothing is recorded then."""
    desk = job_at(home)
    to_bore(desk)
    do(desk, ToolChosen("bore", "1I", "cutter", "K-3425", 8.7), MACHINIST)
    do(desk, CautionAcknowledged("carbide"), LEAD)
    do(desk, GaugeTaken("BG-3", "bore gauge", 0.00005, 0.00013, "2036-02-16"), LEAD)
    do(desk, GaugeChecked("BG-3", "R-3420", 0.3420 * INCH, 0.0), LEAD)
    for station in ("top", "bottom"):
        do(desk, replace(taken("bore", "1I", "bored_id", 0.3455, station), gauge="BG-3"), LEAD)
    conceded = Disposed("bore", "1I", "bored_id", Disposition.CONCESSION, "as it is")
    (lead,) = desk_people(home)
    refused = beside(desk.state, conceded, lead, MACHINIST, HERE)
    assert isinstance(refused, Refused)
    assert "nobody concedes his own" in str(refused)


def desk_people(home: Path) -> tuple[Operator, ...]:
    store = open_store(home / "headwright.db")
    found = leads_of(store.people)
    store.close()
    return found


async def test_a_lead_who_comes_to_decide_is_asked_for_no_gauge(home: Path) -> None:
    """The next thing is a bore that wants a gauge: it is asked for once a figure is handed in, and not before."""
    desk = job_at(home)
    to_bore(desk)
    do(desk, CautionAcknowledged("carbide"), LEAD)
    do(desk, ToolChosen("bore", "1I", "cutter", "K-3425", 8.7), MACHINIST)
    store = open_store(home / "headwright.db")
    do(Desk.open(store, desk.job, HERE), TookBench(MACHINIST, Role.MACHINIST), MACHINIST)
    app = HeadwrightApp(store, HERE, desk.job)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        people = [person.operator for person in bench_of(app).people()]
        await press(pilot, "f5", str(people.index(LEAD) + 1), "enter")
        app.screen.query_one(Input).value = PIN
        await press(pilot, "enter")
        hand = bench_of(app).hand
        assert hand.operator == LEAD
        assert app.screen is bench_of(app)
        assert hand.next.now is Now.GAUGE
        await pilot.pause(0.8)
        assert not any(who == LEAD for who, _ in hand.state.in_hand)
        await press(pilot, ".3424", "enter")
        assert type(app.screen).__name__ == "GaugeCard"
    store.close()


async def test_what_is_for_a_lead_names_the_key_that_brings_one_and_is_given_back_after_the_last_of_it(
    store: JobStore,
) -> None:
    """The repairs of eight guides are for a lead to decide: Mara at the bench is told so, and Enter asks who comes."""
    opened(store, up_to="decide", terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        hand = bench_of(app).hand
        assert hand.operator == MARA.operator
        assert "A lead comes on at the bench. F5 brings them" in words(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, WhoCard)
        people = [person.name for person in bench_of(app).people()]
        await press(pilot, str(people.index(OWEN.name) + 1), "enter")
        assert hand.operator == OWEN.operator
        back = f"F5 and Enter give the bench back to {MARA.name}."
        told = []
        while hand.operation_id == "decide":
            told.append(back in hand.say)
            if hand.step is not None:
                await press(pilot, "space")
            else:
                await press(pilot, "2" if hand.choices()[0] != "yes" else "y")
                await pilot.pause(0.7 if hand.choices()[0] != "yes" else 0.0)  # the rest of "yes" may still come
        assert not any(told)
        assert hand.say.endswith(back)
        await press(pilot, "f5", "enter")
        assert hand.operator == MARA.operator
