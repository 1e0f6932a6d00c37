"""At a desk under a shop's rules: who comes on fits the list, and what only a lead decides takes his PIN."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from tests.store.small import HandClock, at, reading, small_plan

from headwright.job.blocks import BlockKind
from headwright.job.events import (
    CameOn,
    Disposed,
    Disposition,
    Event,
    Noted,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    StepTicked,
    Stopped,
)
from headwright.job.refusal import Refused
from headwright.procedure.plan import Role, Rules
from headwright.store.attendance import Ask, Signable, asked_of
from headwright.store.desk import Desk, Done, Overtaken
from headwright.store.person import Approval
from headwright.store.sqlite import open_sqlite

if TYPE_CHECKING:
    from contextlib import ExitStack
    from pathlib import Path

    from headwright.store import JobStore

PIN = "4711"
ANA, BO = CameOn("07", "Ana Ruiz", Role.LEAD), CameOn("08", "Bo Lind", Role.MACHINIST)
CONFIRM, STOP, RESUME = SpecConfirmed("stem", "the book"), Stopped("head:A", "crack"), Resumed("head:A", "a scratch")
CRACKED = Disposed("size", "1I", "bore", Disposition.SCRAP, "cracked through")


@pytest.fixture
def desk(store: JobStore, clock: HandClock) -> Desk:
    """A desk with a new job under a plan that asks for PINs, and nobody on."""
    plan = replace(small_plan(), rules=Rules(pins=True))
    return Desk.create(store, plan, "1001", terminal="bench-1", clock=clock)


@pytest.fixture
def loose(store: JobStore, clock: HandClock) -> Desk:
    """A desk with a new job under a plan that asks for none."""
    return Desk.create(store, small_plan(), "2001", terminal="bench-1", clock=clock)


@pytest.fixture
def led(desk: Desk) -> Desk:
    """The desk, with Ana on as the first lead and Bo as machinist."""
    done(desk, ANA, "07", PIN)
    done(desk, BO, "08")
    return desk


def done(desk: Desk, wanted: Event, operator: str = "07", pin: str = "") -> Event:
    """Submit what should happen; give the event that was recorded."""
    answer = desk.submit(wanted, operator, pin)
    assert isinstance(answer, Done), str(answer)
    return answer.entries[0].event


def refused(desk: Desk, wanted: Event, operator: str = "07", pin: str = "") -> Refused:
    """Submit what should not happen, and see that nothing was recorded."""
    before = desk.entries
    answer = desk.submit(wanted, operator, pin)
    assert isinstance(answer, Refused)
    assert desk.entries is before
    return answer


def kinds(answer: Refused) -> list[BlockKind]:
    return [block.kind for block in answer.blocks]


def test_the_first_lead_comes_on_with_the_pin_that_he_chooses(desk: Desk, store: JobStore) -> None:
    assert asked_of(store.people, ANA, pins=True) is Ask.FIRST_PIN
    assert kinds(refused(desk, ANA)) == [BlockKind.PIN]
    easy = refused(desk, ANA, pin="0000")
    assert str(easy) == "Signing: this PIN is too easy. Choose one that nobody would try first."
    assert done(desk, ANA, pin=PIN) == replace(ANA, signed=True)
    assert [(each.initials, each.role, each.pin) for each in store.people.all()] == [("07", Role.LEAD, True)]
    assert asked_of(store.people, ANA, pins=True) is Ask.PIN


def test_a_known_lead_comes_on_with_his_pin(led: Desk, store: JobStore, clock: HandClock) -> None:
    assert kinds(refused(led, ANA)) == [BlockKind.PIN]
    wrong = refused(led, ANA, pin="4712")
    assert str(wrong) == "Signing: this is not the PIN of 07. Try again."
    assert (wrong.blocks[0].kind, wrong.blocks[0].who, wrong.blocks[0].subject) == (BlockKind.PIN, Role.LEAD, "07")
    assert store.people.all()[0].misses == 1
    clock.seconds = 10
    assert done(led, ANA, pin=PIN) == replace(ANA, signed=True)
    assert store.people.all()[0].misses == 0


def test_machinists_and_trainees_come_on_without_a_pin_and_are_on_the_list_then(desk: Desk, store: JobStore) -> None:
    tom = CameOn("31", "Tom Ash", Role.TRAINEE)
    for wanted in (BO, tom, BO, tom):
        assert asked_of(store.people, wanted, pins=True) is Ask.NOTHING
        assert done(desk, wanted, wanted.operator) == wanted
    assert [(each.initials, each.name, each.role) for each in store.people.all()] == [
        ("08", "Bo Lind", Role.MACHINIST),
        ("31", "Tom Ash", Role.TRAINEE),
    ]


@pytest.mark.parametrize(
    "wanted",
    [
        CameOn("08", "Bo Lind", Role.LEAD),
        CameOn("08", "Bo Lind", Role.TRAINEE),
        CameOn("08", "Ana Ruiz", Role.MACHINIST),
        CameOn("07", "Bo Lind", Role.LEAD),
        CameOn("07", "Ana Ruiz", Role.MACHINIST),
    ],
)
def test_who_is_on_the_list_comes_on_as_the_list_says(led: Desk, store: JobStore, wanted: CameOn) -> None:
    before = store.people.all()
    answer = refused(led, wanted, wanted.operator, PIN)
    known = {"07": "Ana Ruiz, lead", "08": "Bo Lind, machinist"}[wanted.operator]
    assert str(answer) == (
        f"Coming on: the list has {wanted.operator} as {known}. "
        "Come on as that; a lead changes the list with 'headwright operator'."
    )
    assert store.people.all() == before


def test_a_new_lead_is_put_on_the_list_by_one_who_is_there(led: Desk, store: JobStore) -> None:
    answer = refused(led, CameOn("09", "Eve Voss", Role.LEAD), "09", "voss 77")
    assert str(answer) == (
        "Coming on: 09 is not on the list, and a new lead is put there by one who is. "
        "That is done with 'headwright operator add', and takes the PIN of a lead."
    )
    assert store.people.find("09") is None


@pytest.mark.parametrize(
    ("wanted", "why"),
    [
        (CameOn("a" * 13, "Tom", Role.TRAINEE), "'aaaaaaaaaaaaa…' is too long for initials."),
        (CameOn("31", "T" * 81, Role.TRAINEE), f"'{'T' * 20}…' is too long for a name."),
        (CameOn("\x1b[2J", "Tom", Role.TRAINEE), "'\\x1b[2J' has a character that cannot be printed."),
        (CameOn("bo", "Bo Lind", Role.MACHINIST), "'bo' is 'BO' on the list."),
        (CameOn(" BO", "Bo Lind", Role.MACHINIST), "' BO' is 'BO' on the list."),
    ],
)
def test_what_the_list_cannot_have_does_not_come_on(desk: Desk, store: JobStore, wanted: CameOn, why: str) -> None:
    store.people.add("BO", "Bo Lind", Role.MACHINIST, now=at(0))
    assert refused(desk, wanted, wanted.operator).blocks[0].why == why
    assert len(store.people.all()) == 1


def test_without_initials_or_a_name_the_answer_is_that_of_the_job(desk: Desk) -> None:
    assert "initials and name are wanted" in str(refused(desk, CameOn(" ", "Bo Lind", Role.MACHINIST)))
    assert "initials and name are wanted" in str(refused(desk, CameOn("08", " ", Role.MACHINIST)))


def test_what_only_a_lead_decides_takes_his_pin_and_tells_that_it_was_given(led: Desk, clock: HandClock) -> None:
    for wanted in (CONFIRM, STOP, RESUME, CRACKED):
        clock.seconds += 10
        if isinstance(wanted, Signable):
            assert kinds(refused(led, wanted)) == [BlockKind.PIN]
            assert kinds(refused(led, wanted, pin="4712")) == [BlockKind.PIN]
            assert done(led, wanted, pin=PIN) == replace(wanted, signed=True)
        else:
            assert done(led, wanted) == wanted


@pytest.mark.parametrize("wanted", [CONFIRM, CRACKED, ANA])
@pytest.mark.parametrize("pin", ["", "4712", "heron 88"])
def test_nobody_signs_by_saying_so(led: Desk, wanted: Event, pin: str) -> None:
    assert isinstance(wanted, Signable)
    forged = replace(wanted, signed=True)
    assert kinds(refused(led, forged, pin=pin)) == [BlockKind.PIN]


def test_nobody_signs_with_the_pin_of_another(led: Desk, store: JobStore) -> None:
    store.people.add("09", "Eve Voss", Role.LEAD, now=at(1), pin="voss 7070", by=Approval("07", PIN))
    done(led, CameOn("09", "Eve Voss", Role.LEAD), "09", "voss 7070")
    assert kinds(refused(led, CONFIRM, "08", PIN)) == [BlockKind.PERSON]
    assert kinds(refused(led, CONFIRM, "09", PIN)) == [BlockKind.PIN]
    assert kinds(refused(led, ANA, "09", "voss 7070")) == [BlockKind.PIN]
    assert {each.initials: each.misses for each in store.people.all()} == {"07": 1, "08": 0, "09": 1}


def test_a_lead_of_the_job_who_is_none_on_the_list_does_not_sign(led: Desk, store: JobStore, clock: HandClock) -> None:
    store.people.change("08", now=at(1), role=Role.LEAD, pin="lind 8080", by=Approval("07", PIN))
    clock.seconds = 5
    done(led, CameOn("08", "Bo Lind", Role.LEAD), "08", "lind 8080")
    store.people.change("07", now=at(6), role=Role.MACHINIST, by=Approval("08", "lind 8080"))
    answer = refused(led, CONFIRM, "07", PIN)
    assert str(answer) == (
        "Signing: there is no PIN for 07 on this machine. "
        "Leads have one: come on as lead, or look at 'headwright operator'."
    )


def test_where_something_else_is_in_the_way_no_pin_is_looked_at(led: Desk, store: JobStore) -> None:
    assert kinds(refused(led, RESUME, pin="4712")) == [BlockKind.ENTRY]
    assert BlockKind.OPEN in kinds(refused(led, Released(), pin="4712"))
    assert kinds(refused(led, Reopened("again"), pin="4712")) == [BlockKind.ENTRY]
    assert store.people.all()[0].misses == 0


def test_what_takes_no_pin_is_not_signed_whatever_is_typed(led: Desk, store: JobStore) -> None:
    for station in ("top", "bottom"):
        done(led, reading("1I", station, 0.36))
    done(led, StepTicked("size", "1I", "oil"))
    again = Disposed("size", "1I", "bore", Disposition.REMEASURE, "the rod was bent")
    assert done(led, replace(again, signed=True), "08", "4712") == again
    assert done(led, replace(BO, signed=True), "08", PIN) == BO
    assert [each.misses for each in store.people.all()] == [0, 0]


def test_misses_on_end_make_everybody_wait_at_every_terminal(
    led: Desk, path: Path, opened: ExitStack, clock: HandClock
) -> None:
    store = open_sqlite(path)
    opened.callback(store.close)
    other = Desk.open(store, "1001", "bench-2", clock)
    for desk in (led, other, led):
        refused(desk, CONFIRM, pin="no")
    assert str(refused(other, CONFIRM, pin=PIN)) == (
        "Signing: too soon after 3 wrong PINs of 07. Wait 5 s, then try again."
    )
    clock.seconds = 5
    assert done(other, CONFIRM, pin=PIN) == replace(CONFIRM, signed=True)


def test_who_is_overtaken_after_signing_is_told_the_news(
    led: Desk, path: Path, opened: ExitStack, clock: HandClock
) -> None:
    store = open_sqlite(path)
    opened.callback(store.close)
    other = Desk.open(store, "1001", "bench-2", clock)
    done(other, STOP)
    done(led, Noted("taken in"), "07")
    done(other, RESUME, pin=PIN)
    answer = led.submit(RESUME, "07", PIN)
    assert isinstance(answer, Overtaken)
    assert kinds(answer) == [BlockKind.ENTRY]
    done(other, Noted("first"))
    assert done(led, CONFIRM, pin=PIN) == replace(CONFIRM, signed=True)


def test_where_no_pins_are_asked_for_nobody_is_refused_and_nothing_is_signed(loose: Desk, store: JobStore) -> None:
    for wanted in (ANA, BO, CameOn("08", "Somebody else", Role.LEAD), CameOn("x" * 40, "[red]Zed[/]", Role.TRAINEE)):
        assert asked_of(store.people, wanted, pins=False) is Ask.NOTHING
        assert done(loose, replace(wanted, signed=True), wanted.operator) == wanted
    assert done(loose, replace(CONFIRM, signed=True)) == CONFIRM
    assert [(each.initials, each.name) for each in store.people.all()] == [("08", "Bo Lind")]


def test_a_lead_of_a_job_without_pins_is_no_lead_of_the_shop(loose: Desk, desk: Desk, store: JobStore) -> None:
    done(loose, ANA)
    assert store.people.leads() == ()
    assert kinds(refused(desk, ANA)) == [BlockKind.PIN]


def test_the_list_is_learned_only_from_who_really_comes_on(desk: Desk, store: JobStore, path: Path) -> None:
    blocker = sqlite3.connect(path, isolation_level=None)
    blocker.execute("BEGIN IMMEDIATE")
    with pytest.raises(Exception, match="nothing was written"):
        desk.submit(BO, "08")
    blocker.close()
    assert store.people.all() == ()
    assert len(desk.entries) == 1


def test_neither_pin_nor_hash_is_in_the_record(led: Desk) -> None:
    done(led, CONFIRM, pin=PIN)
    assert PIN not in repr(led.entries)
    assert "argon2" not in repr(led.entries)
