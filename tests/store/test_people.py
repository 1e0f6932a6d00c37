"""The shop's people: who may change the list, what a PIN has to be, and how long one waits after misses."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from argon2 import PasswordHasher
from argon2.low_level import Type, verify_secret
from hypothesis import given
from hypothesis import strategies as st
from tests.store.people_worker import NOW, TRIES
from tests.store.pushes import BRONZE, driven, push, sizing_plan
from tests.store.small import Job, at

from headwright.errors import HeadwrightError, Outdated, UsageError
from headwright.procedure.plan import Role
from headwright.store.person import Approval, Operator
from headwright.store.pins import PinRefused, chosen, wait_after, wait_words
from headwright.store.sqlite import open_sqlite
from headwright.store.tables import SCHEMA

if TYPE_CHECKING:
    from contextlib import ExitStack

    from headwright.store import JobStore
    from headwright.store.people import People

WORKER = Path(__file__).with_name("people_worker.py")
PIN, OTHER_PIN = "4711", "heron 88"
MISS = "no"
"""Too short to be a PIN: it counts as wrong, and no hash has to be worked out for it."""
LENA, OWEN = Approval("02", PIN), Approval("05", OTHER_PIN)


@pytest.fixture
def people(store: JobStore) -> People:
    """A list with the lead 02, whose PIN is 4711, and the machinist 07."""
    people = store.people
    people.add("02", "Lena Ost", Role.LEAD, now=at(0), pin=PIN)
    people.add("07", "Mara Quill", Role.MACHINIST, now=at(1))
    return people


def raw(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None)


def refused(people: People, pin: str, now: str, initials: str = "02") -> PinRefused:
    """Give a PIN that does not serve; tell why."""
    with pytest.raises(PinRefused) as caught:
        people.check(initials, pin, now)
    return caught.value


def miss(people: People, times: int, seconds: float = 0) -> None:
    """Give a wrong PIN so often, each time after the wait."""
    for number in range(1, times + 1):
        assert refused(people, MISS, at(seconds)).message == "this is not the PIN of 02"
        seconds += wait_after(number)


def test_the_list_has_everybody_by_initials(people: People) -> None:
    lena = Operator("02", "Lena Ost", Role.LEAD, at(0), pin=True)
    mara = Operator("07", "Mara Quill", Role.MACHINIST, at(1))
    assert people.all() == (lena, mara)
    assert people.leads() == (lena,)
    assert (people.find("07"), people.find(" 07 "), people.find("08")) == (mara, mara, None)


def test_the_list_is_there_after_closing_and_opening(people: People, store: JobStore, path: Path) -> None:
    before = people.all(), people.changes()
    store.close()
    again = open_sqlite(path)
    assert (again.people.all(), again.people.changes()) == before
    again.people.check("02", PIN, at(5))
    again.close()


def test_only_an_argon2id_hash_of_the_pin_is_kept(people: People, path: Path) -> None:
    """RFC 9106, section 4: 3 passes over 64 MiB in 4 lanes is its second recommendation; here nothing is below it."""
    connection = raw(path)
    ((kept,),) = connection.execute("SELECT pin FROM people WHERE initials = '02'")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    assert kept.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    assert verify_secret(kept.encode(), PIN.encode(), Type.ID)
    people.set_pin("02", "4711-4711-4711", now=at(1), by=LENA)
    assert b"4711-4711-4711" not in path.read_bytes() + path.with_name(f"{path.name}-wal").read_bytes()


def test_two_equal_pins_have_different_hashes(people: People, path: Path) -> None:
    people.add("05", "Owen Reed", Role.LEAD, now=at(2), pin=PIN, by=LENA)
    connection = raw(path)
    hashes = {kept for (kept,) in connection.execute("SELECT pin FROM people WHERE role = 'lead'")}
    connection.close()
    assert len(hashes) == 2


def test_a_check_takes_hardly_longer_than_its_hash_on_purpose(people: People) -> None:
    """Against the library alone, in turn, so that other work on the machine weighs on both; 0.1 s at rest."""
    hasher = PasswordHasher()
    kept = hasher.hash(PIN)
    alone, checked = [], []
    for _ in range(5):
        begun = time.perf_counter()
        hasher.verify(kept, PIN)
        alone.append(time.perf_counter() - begun)
        begun = time.perf_counter()
        people.check("02", PIN, at(2))
        checked.append(time.perf_counter() - begun)
    assert min(checked) < 2 * min(alone)


def test_a_hash_of_lower_costs_is_renewed_when_its_pin_is_given(people: People, path: Path) -> None:
    weak = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PIN)
    connection = raw(path)
    connection.execute("UPDATE people SET pin = ? WHERE initials = '02'", (weak,))
    refused(people, "9999", at(2))
    assert connection.execute("SELECT pin FROM people WHERE initials = '02'").fetchone() == (weak,)
    people.check("02", PIN, at(2))
    ((renewed,),) = connection.execute("SELECT pin FROM people WHERE initials = '02'")
    connection.close()
    assert renewed.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    people.check("02", PIN, at(2))


def test_a_damaged_hash_is_told_and_lets_nobody_in(people: People, path: Path) -> None:
    connection = raw(path)
    connection.execute("UPDATE people SET pin = '4711' WHERE initials = '02'")
    connection.close()
    assert refused(people, PIN, at(2)).message.startswith("the PIN cannot be checked: ")


@pytest.mark.parametrize(
    "pin", ["0000", "1234", "0123", "7890", "9876", "3210", "abcd", "aaaa", "02", "Lena Ost", "lena ost"]
)
def test_what_anybody_would_try_first_is_no_pin(people: People, pin: str) -> None:
    with pytest.raises(PinRefused):
        people.set_pin("02", pin, now=at(2), by=LENA)
    people.check("02", PIN, at(2))


@pytest.mark.parametrize("pin", ["471", "x" * 65, "47\x0011", "47\ud83d11", "    ", "47\n11"])
def test_what_cannot_be_typed_again_is_no_pin(pin: str) -> None:
    with pytest.raises(PinRefused) as caught:
        chosen(pin)
    assert caught.value.message == "this cannot be a PIN"
    assert caught.value.hint == "4 to 12 digits are expected, or any words of 4 to 64 characters."


@pytest.mark.parametrize("pin", ["1357", "4711", "471147114711", "1230", "the heron stands on one leg", "x" * 63 + "y"])
def test_digits_or_words_are_a_pin(pin: str) -> None:
    assert chosen(f" {pin}\r\n") == pin


def test_a_letter_put_together_in_two_ways_is_the_same_pin(people: People) -> None:
    people.set_pin("02", "cafe\u0301 4711", now=at(2), by=LENA)
    people.check("02", "café 4711", at(2))


def test_the_waits_grow_from_5_s_to_a_quarter_of_an_hour() -> None:
    waits = [wait_after(misses) for misses in range(13)]
    assert waits == [0, 0, 0, 5, 10, 20, 40, 80, 160, 320, 640, 900, 900]
    assert wait_after(10**6) == 900
    assert [wait_words(seconds) for seconds in (0.2, 5, 89, 90, 160, 900)] == [
        "1 s", "5 s", "89 s", "2 min", "3 min", "15 min",
    ]  # fmt: skip


@given(st.integers(0, 10_000))
def test_no_wait_is_shorter_than_the_one_before(misses: int) -> None:
    assert 0 <= wait_after(misses) <= wait_after(misses + 1) <= 900


def test_two_misses_are_free_and_then_there_is_a_wait(people: People) -> None:
    first, second, third = (refused(people, wrong, at(2)) for wrong in ("4712", MISS, MISS))
    assert [str(each) for each in (first, second, third)] == ["this is not the PIN of 02"] * 3
    assert [(each.hint, each.wait) for each in (first, second)] == [("Try again.", 0)] * 2
    assert third.wait == 5
    assert third.hint == (
        "Wait 5 s. Forgotten? Then 'headwright operator --help' tells what a shop with one lead can do."
    )
    soon = refused(people, PIN, at(6.5))
    assert (soon.message, soon.hint, soon.wait) == (
        "too soon after 3 wrong PINs of 02", "Wait 1 s, then try again.", 1,
    )  # fmt: skip
    people.check("02", PIN, at(7))


def test_a_wait_that_is_not_waited_for_counts_no_miss_and_costs_no_time(people: People) -> None:
    miss(people, 12)
    before = people.find("02")
    waits = []
    for _ in range(5):
        begun = time.perf_counter()
        assert refused(people, PIN, at(2176)).wait == 899
        waits.append(time.perf_counter() - begun)
    assert min(waits) < 0.03
    assert people.find("02") == before


def test_the_right_pin_clears_the_misses(people: People) -> None:
    miss(people, 4)
    people.check("02", PIN, at(100))
    assert people.find("02") == Operator("02", "Lena Ost", Role.LEAD, at(0), pin=True)
    assert refused(people, MISS, at(100)).wait == 0


def test_the_waits_survive_a_restart(people: People, store: JobStore, path: Path) -> None:
    miss(people, 5)
    store.close()
    again = open_sqlite(path)
    assert refused(again.people, PIN, at(16)).wait == 19
    again.people.check("02", PIN, at(35))
    again.close()


def test_a_clock_that_is_set_back_begins_the_wait_again_and_does_not_prolong_it(people: People) -> None:
    miss(people, 4, seconds=86_400)
    assert refused(people, PIN, at(0)).wait == 10
    assert refused(people, PIN, at(4)).wait == 6
    people.check("02", PIN, at(10))


def test_waits_are_each_leads_own(people: People) -> None:
    people.add("05", "Owen Reed", Role.LEAD, now=at(2), pin=OTHER_PIN, by=LENA)
    miss(people, 3)
    people.check("05", OTHER_PIN, at(0))
    assert refused(people, MISS, at(5)).hint == (
        "Wait 10 s. Forgotten? Then another lead sets a new one with 'headwright operator pin 02'."
    )


@pytest.mark.parametrize("initials", ["07", "99", "", "half \ud83d", "' OR '1'='1"])
def test_who_has_no_pin_signs_nothing(people: People, initials: str) -> None:
    assert refused(people, PIN, at(2), initials).message.startswith("there is no PIN for ")
    assert people.find("02") == people.all()[0]


def test_no_pin_at_all_is_asked_for_and_is_no_miss(people: People) -> None:
    assert refused(people, "  ", at(2)).message == "the PIN of 02 is expected"
    assert people.all()[0].misses == 0


def started(what: str, path: Path, *initials: str) -> list[list[str]]:
    """Let one process for each of the initials work at once at the list; give what each says."""
    workers = [
        subprocess.Popen(
            [sys.executable, str(WORKER), what, str(path), each],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=WORKER.parents[2],
        )
        for each in initials
    ]  # fmt: skip
    for worker in workers:
        assert worker.stdout is not None
        assert worker.stdout.readline() == "ready\n"
    for worker in workers:
        assert worker.stdin is not None
        worker.stdin.write("go\n")
        worker.stdin.flush()
    return [worker.communicate(timeout=60)[0].splitlines() for worker in workers]


def test_two_processes_that_guess_at_once_get_no_more_tries_than_one(people: People, path: Path) -> None:
    said = [line for lines in started("guess", path, "02", "02") for line in lines]
    assert sorted(said) == ["this is not the PIN of 02"] * 3 + ["too soon after 3 wrong PINs of 02"] * (2 * TRIES - 3)
    assert people.all()[0].misses == 3
    assert refused(people, PIN, NOW).wait == 5


def test_of_two_who_would_be_the_first_lead_at_once_one_is(path: Path, store: JobStore) -> None:
    lines = started("first", path, "11", "12")
    assert sorted(line for said in lines for line in said) == ["a new lead takes the PIN of a lead", "done"]
    (lead,) = store.people.leads()
    store.people.check(lead.initials, OTHER_PIN, NOW)


def test_the_first_lead_needs_a_pin_and_nobodys_leave(store: JobStore) -> None:
    with pytest.raises(PinRefused) as caught:
        store.people.add("02", "Lena Ost", Role.LEAD, now=at(0))
    assert (caught.value.message, caught.value.hint) == (
        "02 needs a PIN as lead", "Choose one of 4 to 12 digits, or some words.",
    )  # fmt: skip
    assert store.people.all() == ()
    store.people.add("02", "Lena Ost", Role.LEAD, now=at(0), pin=PIN)
    assert [each.initials for each in store.people.leads()] == ["02"]


@pytest.mark.parametrize("by", [None, Approval("02", "4712"), Approval("07", PIN), Approval("05", OTHER_PIN)])
def test_nothing_is_changed_without_the_pin_of_a_lead_who_is_there(people: People, by: Approval | None) -> None:
    before = [(each.initials, each.name, each.role, each.pin) for each in people.all()], people.changes()
    with pytest.raises(PinRefused):
        people.add("05", "Owen Reed", Role.LEAD, now=at(2), pin=OTHER_PIN, by=by)
    with pytest.raises(PinRefused):
        people.change("07", now=at(20), role=Role.LEAD, pin=OTHER_PIN, by=by)
    with pytest.raises(PinRefused):
        people.change("07", now=at(40), name="Nobody", by=by)
    with pytest.raises(PinRefused):
        people.set_pin("02", OTHER_PIN, now=at(80), by=by)
    with pytest.raises(PinRefused):
        people.forget("07", now=at(160), by=by)
    assert ([(each.initials, each.name, each.role, each.pin) for each in people.all()], people.changes()) == before


def test_a_missing_approval_names_the_leads(people: People) -> None:
    with pytest.raises(PinRefused) as caught:
        people.change("07", now=at(2), name="Mara Q.")
    assert (caught.value.message, caught.value.hint) == (
        "a change to the list takes the PIN of a lead", "Leads are 02.",
    )  # fmt: skip


def test_a_lead_makes_leads_and_every_change_is_told(people: People) -> None:
    people.add("05", "Owen Reed", Role.LEAD, now=at(2), pin=OTHER_PIN, by=LENA)
    people.change("07", now=at(3), role=Role.LEAD, pin="quill 31", by=OWEN)
    people.change("02", now=at(4), role=Role.MACHINIST, by=OWEN)
    people.change("02", now=at(5), name="Lena Ostwald", by=OWEN)
    people.set_pin("05", "reed 5151", now=at(6), by=Approval("07", "quill 31"))
    people.forget("02", now=at(7), by=Approval("05", "reed 5151"))
    assert [(each.initials, each.role) for each in people.all()] == [("05", Role.LEAD), ("07", Role.LEAD)]
    assert [(each.time, each.initials, each.what, each.approver) for each in people.changes()] == [
        (at(0), "02", "added as lead: Lena Ost", ""),
        (at(1), "07", "added as machinist: Mara Quill", ""),
        (at(2), "05", "added as lead: Owen Reed", "02"),
        (at(3), "07", "role lead, was machinist", "05"),
        (at(4), "02", "role machinist, was lead", "05"),
        (at(5), "02", "name Lena Ostwald, was Lena Ost", "05"),
        (at(6), "05", "PIN set", "07"),
        (at(7), "02", "taken off the list: Lena Ostwald, machinist", "05"),
    ]
    assert not any(change.unsigned for change in people.changes())


def test_who_is_no_lead_any_more_has_no_pin(people: People) -> None:
    people.add("05", "Owen Reed", Role.LEAD, now=at(2), pin=OTHER_PIN, by=LENA)
    people.change("02", now=at(3), role=Role.TRAINEE, by=LENA)
    assert refused(people, PIN, at(4)).message == "there is no PIN for 02 on this machine"
    with pytest.raises(PinRefused):
        people.change("02", now=at(5), role=Role.LEAD, pin=PIN, by=LENA)


def test_a_new_pin_lets_no_misses_stand(people: People) -> None:
    people.add("05", "Owen Reed", Role.LEAD, now=at(2), pin=OTHER_PIN, by=LENA)
    miss(people, 6)
    people.set_pin("02", "ost 9393", now=at(100), by=OWEN)
    people.check("02", "ost 9393", at(100))


def test_a_pin_is_for_leads(people: People) -> None:
    with pytest.raises(UsageError) as caught:
        people.set_pin("07", OTHER_PIN, now=at(2), by=LENA)
    assert caught.value.message == "07 is on the list as machinist, and PINs are for leads"
    assert caught.value.hint == "'headwright operator role 07 lead' makes a lead of them, with a PIN."


def test_the_last_lead_stays_one(people: People) -> None:
    for change in (
        lambda: people.change("02", now=at(2), role=Role.MACHINIST, by=LENA),
        lambda: people.forget("02", now=at(2), by=LENA),
    ):
        with pytest.raises(UsageError) as caught:
            change()
        assert caught.value.message == "02 is the only lead on the list"
    people.check("02", PIN, at(3))


def test_whoever_keeps_the_machine_forgets_a_lead_without_a_pin_and_that_stays_in_sight(people: People) -> None:
    people.forget("02", now=at(2), keeper=True)
    people.add("02", "Lena Ost", Role.LEAD, now=at(3), pin=OTHER_PIN)
    people.check("02", OTHER_PIN, at(4))
    (trace,) = [change for change in people.changes() if change.unsigned]
    assert (trace.time, trace.initials, trace.approver) == (at(2), "02", "")
    assert trace.what == "taken off the list without a PIN, by whoever keeps this machine: Lena Ost, lead"


@pytest.mark.parametrize("change", ["UPDATE people_changes SET what = ''", "DELETE FROM people_changes"])
def test_the_file_itself_refuses_to_change_or_drop_what_was_changed(people: People, path: Path, change: str) -> None:
    before = people.changes()
    connection = raw(path)
    with pytest.raises(sqlite3.IntegrityError, match="entries are only added"):
        connection.execute(change)
    connection.close()
    assert people.changes() == before


@pytest.mark.parametrize(
    ("initials", "name", "message"),
    [
        ("02", "Somebody", "'02' is on the list already"),
        (" 02 ", "Somebody", "'02' is on the list already"),
        ("", "Somebody", "initials expected, and there is nothing"),
        ("08", " \t", "a name expected, and there is nothing"),
        ("a" * 13, "Somebody", "'aaaaaaaaaaaaa…' is too long for initials"),
        ("08", "n" * 81, f"'{'n' * 20}…' is too long for a name"),
        ("08", "\x1b[31mred", "'\\x1b[31mred' has a character that cannot be printed"),
        ("\ud83d", "Somebody", "'\\ud83d' has a character that cannot be printed"),
    ],
)
def test_what_cannot_stand_on_the_list_is_refused(people: People, initials: str, name: str, message: str) -> None:
    before = people.all()
    with pytest.raises(UsageError) as caught:
        people.add(initials, name, Role.TRAINEE, now=at(2))
    assert caught.value.message == message
    assert people.all() == before


def test_initials_that_look_like_somebodys_are_refused(people: People) -> None:
    people.add("MQ", "Mara Quill", Role.MACHINIST, now=at(2))
    with pytest.raises(UsageError) as caught:
        people.add("mq", "Mo Quinn", Role.TRAINEE, now=at(3))
    assert caught.value.message == "'mq' looks like 'MQ', who is Mara Quill"


@pytest.mark.parametrize("initials", ["';DROP x;--", "' OR 1=1 --", "%", "_", '"', "[b]x[/b]", "é"])
def test_initials_are_only_ever_text(people: People, initials: str) -> None:
    person = people.add(initials, "[@click=app.quit]Bobby[/] 'Tables", Role.TRAINEE, now=at(2))
    assert person.name == "[@click=app.quit]Bobby[/] 'Tables"
    assert people.find(initials) == person
    assert len(people.all()) == 3
    people.forget(initials, now=at(3), by=LENA)
    assert len(people.all()) == 2


def test_somebody_who_is_not_there_is_told_with_the_nearest(people: People) -> None:
    with pytest.raises(UsageError) as caught:
        people.change("O2", now=at(2), name="Lena", by=LENA)
    assert (caught.value.message, caught.value.hint) == ("'O2' is not on the list of people", "Nearest: '02'.")


def test_who_was_changed_by_somebody_else_meanwhile_is_left_as_he_is(people: People, path: Path) -> None:
    class Slowly(Approval):
        """Types so slowly that another terminal changes the list meanwhile."""

        @property
        def pin(self) -> str:
            other = open_sqlite(path)
            other.people.change("07", now=at(2), name="Mara Q.", by=LENA)
            other.close()
            return PIN

    with pytest.raises(Outdated) as caught:
        people.change("07", now=at(2), role=Role.LEAD, pin=OTHER_PIN, by=Slowly("02", PIN))
    assert caught.value.message == "somebody else changed 07 on the list first; nothing was written"
    assert [(each.name, each.role) for each in people.all()] == [("Lena Ost", Role.LEAD), ("Mara Q.", Role.MACHINIST)]


AS_IN_VERSION_2 = ("DROP TABLE people", "DROP TABLE people_changes", "UPDATE meta SET value = 2")
"""Takes from a file what the second version of its tables did not have."""


def test_a_store_of_the_second_version_gets_a_list_and_loses_nothing(path: Path) -> None:
    store = open_sqlite(path)
    job = Job(plan=sizing_plan()).keep(store)
    job.keep_more(store, *driven("1I"), *push("1I"))
    store.close()
    connection = raw(path)
    for statement in AS_IN_VERSION_2:
        connection.execute(statement)
    connection.close()
    again = open_sqlite(path)
    assert again.people.all() == ()
    again.people.add("02", "Lena Ost", Role.LEAD, now=at(0), pin=PIN)
    assert again.entries("1001") == job.entries
    assert again.jobs() == (job.summary,)
    assert again.past_sizings(BRONZE) == job.sizings != ()
    again.close()
    third = open_sqlite(path)
    third.people.check("02", PIN, at(1))
    third.close()
    connection = raw(path)
    assert connection.execute("SELECT value FROM meta WHERE key = 'schema'").fetchone() == (SCHEMA,)
    with pytest.raises(sqlite3.IntegrityError, match="entries are only added"):
        connection.execute("DELETE FROM people_changes")
    connection.close()


def test_working_the_read_tables_out_again_leaves_the_list_alone(people: People, store: JobStore) -> None:
    before = people.all(), people.changes()
    store.rebuild()
    assert (people.all(), people.changes()) == before
    people.check("02", PIN, at(2))


def test_a_locked_store_signs_nothing(people: People, path: Path, opened: ExitStack) -> None:
    hasty = open_sqlite(path, wait=0.05)
    opened.callback(hasty.close)
    blocker = raw(path)
    blocker.execute("BEGIN IMMEDIATE")
    with pytest.raises(HeadwrightError, match="is locked by another program; nothing was written"):
        hasty.people.check("02", PIN, at(2))
    blocker.rollback()
    blocker.close()
    assert people.all()[0].misses == 0


def test_opening_a_store_loads_no_hashing() -> None:
    check = (
        "import sys, headwright.store.sqlite, headwright.store.desk, headwright.cli.operators;"
        "print([name for name in sys.modules if name.startswith('argon2')])"
    )
    assert subprocess.check_output([sys.executable, "-c", check], text=True) == "[]\n"
