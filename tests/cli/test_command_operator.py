"""`headwright operator`: the shop's people, their roles, and the leads' PINs."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from headwright.procedure.plan import Role
from headwright.store.pins import PinRefused
from tests.at_desk import ESCAPES
from tests.frozen_clock import FrozenClock
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.store import JobStore
    from tests.cli.conftest import Outcome

PROGRAM = str(Path(sys.executable).with_name("headwright"))
PIN, OTHER_PIN = "4711", "heron 88"
NOW = FrozenClock()()


@pytest.fixture
def operator(headwright: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Outcome]:
    """Give `headwright operator` as a function of its words, and of the PINs that come on standard input."""

    def run(*words: str, pins: tuple[str, ...] = ()) -> Outcome:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{pin}\n" for pin in pins)))
        return headwright("operator", *words)

    return run


@pytest.fixture
def staffed(store: JobStore) -> JobStore:
    """The store with the lead 02 and the machinist 07 on the list."""
    store.people.add("02", "Lena Ost", Role.LEAD, now=NOW, pin=PIN)
    store.people.add("07", "Mara Quill", Role.MACHINIST, now=NOW)
    return store


def roles(store: JobStore) -> dict[str, Role]:
    return {each.initials: each.role for each in store.people.all()}


def test_nobody_yet_is_talk_and_no_data(operator: Callable[..., Outcome]) -> None:
    assert operator() == (
        0,
        "",
        "Nobody is on the list yet: who comes on at the bench is added, or 'headwright operator add' does it.\n",
    )
    assert operator("log") == (0, "", "Nothing was changed yet.\n")
    assert json.loads(operator("--json").out) == json.loads(operator("log", "--json").out) == []


def test_the_list_has_everybody_and_never_a_hash(operator: Callable[..., Outcome], staffed: JobStore) -> None:
    assert operator() == (
        0,
        (
            "initials  name        role       PIN  since\n"
            "02        Lena Ost    lead       set  2025-03-04\n"
            "07        Mara Quill  machinist  -    2025-03-04\n"
        ),
        "",
    )
    with pytest.raises(PinRefused):
        staffed.people.check("02", "4712", NOW)
    assert "set, 1 wrong PIN  2025-03-04" in operator().out
    told = operator("--json").out
    assert json.loads(told)[0] == {
        "initials": "02", "name": "Lena Ost", "role": "lead", "since": NOW, "pin": True, "misses": 1, "not_before": "",
    }  # fmt: skip
    assert "argon2" not in told


def test_machinists_and_trainees_are_added_without_a_pin(operator: Callable[..., Outcome], store: JobStore) -> None:
    assert operator("add", "07", "Mara Quill") == (0, "", "Mara Quill (07) is on the list as machinist.\n")
    assert operator("add", "31", "Tom Ash", "--role", "Trainee") == (0, "", "Tom Ash (31) is on the list as trainee.\n")
    assert roles(store) == {"07": Role.MACHINIST, "31": Role.TRAINEE}


def test_the_first_lead_gives_one_pin_and_the_next_needs_that_too(
    operator: Callable[..., Outcome], store: JobStore
) -> None:
    assert operator("add", "02", "Lena Ost", "--role", "lead", pins=(PIN,)).code == 0
    store.people.check("02", PIN, NOW)
    alone = operator("add", "05", "Owen Reed", "--role", "lead", pins=(OTHER_PIN,))
    assert alone == (
        2,
        "",
        "headwright: New PIN of 05: expected, and nothing came\nType it, or give it on standard input, a line each.\n",
    )
    wrong = operator("add", "05", "Owen Reed", "--role", "lead", pins=("4712", OTHER_PIN))
    assert wrong == (1, "", "headwright: this is not the PIN of 02\nTry again.\n")
    assert operator("add", "05", "Owen Reed", "--role", "lead", pins=(PIN, OTHER_PIN)).code == 0
    store.people.check("05", OTHER_PIN, NOW)


def test_with_two_leads_it_has_to_be_said_who_approves(operator: Callable[..., Outcome], staffed: JobStore) -> None:
    operator("add", "05", "Owen Reed", "--role", "lead", pins=(PIN, OTHER_PIN))
    assert operator("name", "07", "Mara Q.") == (
        2,
        "",
        "headwright: a lead has to approve this\nSay which with --by: 02, 05.\n",
    )
    assert operator("name", "07", "Mara Q.", "--by", "07") == (
        2,
        "",
        "headwright: '07' is not a lead on the list\nLeads are 02, 05.\n",
    )
    assert operator("name", "07", "Mara Q.", "--by", "05", pins=(OTHER_PIN,)) == (
        0,
        "",
        "07 is on the list as Mara Q., machinist.\n",
    )
    assert staffed.people.changes()[-1].approver == "05"


def test_a_role_is_changed_with_the_pin_of_a_lead(operator: Callable[..., Outcome], staffed: JobStore) -> None:
    assert operator("role", "07", "machinist") == (0, "", "Mara Quill (07) is machinist already.\n")
    assert operator("role", "07", "leed").err == "headwright: 'leed' is not a role\nNearest: lead.\n"
    assert operator("role", "07", "lead", pins=(PIN, OTHER_PIN)) == (0, "", "Mara Quill (07) is on the list as lead.\n")
    staffed.people.check("07", OTHER_PIN, NOW)
    assert operator("role", "02", "trainee", pins=(PIN,)) == (0, "", "Lena Ost (02) is on the list as trainee.\n")
    assert roles(staffed) == {"02": Role.TRAINEE, "07": Role.LEAD}
    last = operator("role", "07", "machinist", pins=(OTHER_PIN,))
    assert last == (2, "", "headwright: 07 is the only lead on the list\nMake somebody else a lead first.\n")


def test_a_lead_sets_his_pin_anew_with_the_one_he_had(operator: Callable[..., Outcome], staffed: JobStore) -> None:
    assert operator("pin", "02", pins=(PIN, "1234")).err == (
        "headwright: this PIN is too easy\nChoose one that nobody would try first.\n"
    )
    assert operator("pin", "02", pins=(PIN, OTHER_PIN)) == (0, "", "Lena Ost (02) has a new PIN.\n")
    staffed.people.check("02", OTHER_PIN, NOW)
    assert operator("pin", "07").err.startswith("headwright: 07 is on the list as machinist, and PINs are for leads\n")
    assert operator("pin", "O2").err == "headwright: 'O2' is not on the list of people\nNearest: '02'.\n"


def test_another_lead_sets_a_pin_that_was_forgotten(operator: Callable[..., Outcome], staffed: JobStore) -> None:
    operator("add", "05", "Owen Reed", "--role", "lead", pins=(PIN, OTHER_PIN))
    assert operator("pin", "02", "--by", "05", pins=(OTHER_PIN, "ost 9393")).code == 0
    staffed.people.check("02", "ost 9393", NOW)


def test_the_only_lead_who_forgot_his_pin_is_taken_off_by_who_keeps_the_machine(
    operator: Callable[..., Outcome], staffed: JobStore
) -> None:
    refused = operator("forget", "02", pins=(PIN,))
    assert refused == (2, "", "headwright: 02 is the only lead on the list\nMake somebody else a lead first.\n")
    assert operator("forget", "02", "--i-keep-this-machine") == (
        0,
        "",
        "Lena Ost (02) is off the list; what they did stays in the jobs.\n",
    )
    assert roles(staffed) == {"07": Role.MACHINIST}
    trace = "02: taken off the list without a PIN, by whoever keeps this machine: Lena Ost, lead."
    operator("add", "02", "Lena Ost", "--role", "lead", pins=(OTHER_PIN,))
    for _ in range(2):
        assert re.fullmatch(rf"\d{{4}}-\d\d-\d\d, {re.escape(trace)}\n", operator().err)


def test_what_was_changed_is_told_with_who_approved(operator: Callable[..., Outcome], staffed: JobStore) -> None:
    operator("name", "07", "Mara Q.", pins=(PIN,))
    operator("forget", "07", pins=(PIN,))
    said = operator("log").out.splitlines()
    assert [re.sub(r"^\d{4}-\d\d-\d\d \d\d:\d\d  ", "", line) for line in said] == [
        "when              who  what                                    approved by",
        "02   added as lead: Lena Ost                 -",
        "07   added as machinist: Mara Quill          -",
        "07   name Mara Q., was Mara Quill            02",
        "07   taken off the list: Mara Q., machinist  02",
    ]
    assert json.loads(operator("log", "--json").out)[2]["approver"] == "02"
    assert len(staffed.people.changes()) == 4


def test_names_reach_the_terminal_as_plain_text(operator: Callable[..., Outcome], store: JobStore) -> None:
    store.people.add("[b]7[/b]", "[@click=app.quit]Bobby[/]", Role.TRAINEE, now=NOW)
    assert "[b]7[/b]  [@click=app.quit]Bobby[/]  trainee" in operator().out
    refused = operator("add", "31", ESCAPES)
    assert refused.code == 2
    assert "\x1b" not in refused.err
    assert roles(store) == {"[b]7[/b]": Role.TRAINEE}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("ad", "07"), "headwright: operator: there is no action 'ad'\nNearest: 'headwright operator add'.\n"),
        (("qqq",), "headwright: operator: there is no action 'qqq'\n'headwright operator --help' lists them.\n"),
        (
            ("add", "07"),
            """\
headwright: operator add: the following arguments are required: NAME
'headwright operator add --help' shows what it takes.
""",
        ),
        (
            ("add", "07", "Mara", "--rol", "lead"),
            "headwright: operator add: '--rol' does not belong here\nNearest: --role.\n",
        ),
        (("--json", "log"), "headwright: operator: --json before an action is for the list\nLeave it out.\n"),
        (
            ("pin", "02", "4711"),
            """\
headwright: operator pin: '4711' does not belong here
'headwright operator pin --help' shows what it takes.
""",
        ),
    ],
)
def test_a_wrong_word_is_one_message_and_one_hint(
    words: tuple[str, ...], told: str, operator: Callable[..., Outcome]
) -> None:
    assert operator(*words) == (2, "", told)


@pytest.mark.parametrize("action", ["add", "name", "role", "pin", "forget", "log"])
def test_every_action_tells_what_it_takes(action: str, operator: Callable[..., Outcome]) -> None:
    told = operator(action, "--help")
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith(f"usage: headwright operator {action} [-h]")
    assert max(map(len, told.out.splitlines())) <= 80


def test_what_is_no_text_on_standard_input_is_told(store: JobStore) -> None:
    words = [PROGRAM, "operator", "add", "02", "Lena Ost", "--role", "lead"]
    ended = subprocess.run(words, input=b"\xff\xfe47\n", capture_output=True, check=False)
    assert ended.returncode in {1, 2}
    assert ended.stderr.decode().startswith("headwright: ")
    assert store.people.all() == ()


def test_at_a_terminal_a_pin_is_asked_for_twice_and_never_shown(store: JobStore) -> None:
    words = [PROGRAM, "operator", "add", "02", "Lena Ost", "--role", "lead"]
    with PtyApp(words) as app:
        app.wait_for("New PIN of 02:")
        app.enter(PIN, "The same again:")
        app.enter("4712", "the two PINs differ; nothing was changed")
        assert app.ended() == 2
    assert store.people.all() == ()
    with PtyApp(words) as app:
        app.wait_for("New PIN of 02:")
        app.enter(PIN, "The same again:")
        app.enter(PIN, "Lena Ost (02) is on the list as lead.")
        assert app.ended() == 0
        assert PIN.encode() not in app.raw
    store.people.check("02", PIN, NOW)


def test_leaving_at_the_question_changes_nothing(store: JobStore) -> None:
    for key in ("ctrl+c", "\x04"):
        with PtyApp([PROGRAM, "operator", "add", "02", "Lena Ost", "--role", "lead"]) as app:
            app.wait_for("New PIN of 02:")
            app.press(key)
            assert app.ended() in {2, 130}
            assert "Traceback" not in app.text
    assert store.people.all() == ()
