"""The kit screen: what is due and in whose hands it is, what is wrong in the file; it changes nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.data import shipped
from headwright.job.listed import Held, Summary
from headwright.procedure.kit import load_kit
from headwright.store import open_store
from headwright.store.record import import_job, read_record
from headwright.store.sample import bring_sample
from headwright.terminal.keyline import KeyLine
from headwright.terminal.kit import KitList, KitScreen
from headwright.terminal.kit_words import Section, age_words, due_words, overdue, said, sections
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import SIZES, OneScreen, is_in_sight, seen, words
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from headwright.procedure.kit import Kit
    from headwright.store import JobStore

NOW = "2026-03-02T08:00:00.000000Z"


@pytest.fixture(scope="module")
def kit() -> Kit:
    return load_kit(shipped("sample_jobs") / "kit.toml")


async def shown(pilot: Pilot[None]) -> None:
    """Wait until the file is read."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def row(found: tuple[Section, ...], title: str, name: str) -> tuple[str, str]:
    """Give sign and words of a thing."""
    section = next(section for section in found if section.title == title)
    row = next(row for row in section.rows if row.cells[0] == name)
    return row.sign[0], " | ".join((*row.cells[1:], *([row.note] * bool(row.note))))


@pytest.mark.parametrize(
    ("day", "sign", "words"),
    [
        ("2026-02-08", "✓", "in date to 2026-03-11"),
        ("2026-02-09", "▲", "due in 30 days"),
        ("2026-03-10", "▲", "due in 1 day"),
        ("2026-03-11", "▲", "due today"),
        ("2026-03-12", "■", "overdue since 2026-03-11"),
    ],
)
def test_a_due_date_is_told_in_words_with_a_sign(day: str, sign: str, words: str) -> None:
    """A gauge may be used up to and with the day on which it is due, as the kit's file says."""
    (found, _), told = due_words("2026-03-11", day)
    assert (found, told) == (sign, words)


@pytest.mark.parametrize(
    ("zeroed", "words"),
    [
        (NOW, "0 min"),
        ("2026-03-02T06:01:00.000000Z", "119 min"),
        ("2026-03-02T05:55:00.000000Z", "2 h"),
        ("2026-02-28T09:00:00.000000Z", "47 h"),
        ("2026-02-28T06:00:00.000000Z", "2 days"),
    ],
)
def test_the_age_of_a_zero(zeroed: str, words: str) -> None:
    assert age_words(zeroed, NOW) == words


def test_quantities_are_told_in_the_unit_in_which_they_are_round(kit: Kit) -> None:
    """The texts of the file, read with pint and told again."""
    found = sections(kit, (), NOW)
    assert row(found, "Gauges", "BG-3") == ("✓", "bore gauge | 0.00005 in | 0.00013 in | in date to 2036-02-16")
    assert row(found, "Gauges", "MIC-4") == ("✓", "micrometer | 0.001 mm | 0.002 mm | in date to 2036-02-16")
    assert row(found, "Gauges", "ST-1") == ("✓", "spring tester | 1 lbf | 2 lbf | in date to 2036-02-16")
    assert row(found, "Gauges", "VG-1")[1].startswith("vacuum gauge | 0.5 inHg | 0.6 inHg")
    assert row(found, "Gauges", "TH-1")[1].startswith("thermometer | 0.1 °C | 0.3 °C")
    assert row(found, "Centring cones", "C-I") == ("✓", "60° | 1.1 in to 1.75 in")
    assert said(25.4, "length") == "1 in"


def test_what_is_overdue_or_not_measured_is_said_and_counted(kit: Kit) -> None:
    ball = replace(kit.balls[0], id="B-late", measured_on="2024-01-01", due="2025-01-01")
    odd = replace(kit, balls=(ball, replace(kit.balls[0], id="B-new", measured=None, measured_on="")))
    found = sections(odd, (), NOW)
    assert row(found, "Gauges", "BG-2")[1].endswith("overdue since 2025-11-04")
    assert row(found, "Balls", "B-late") == ("■", "0.312 in | 0.312 in | measuring overdue since 2025-01-01")
    assert row(found, "Balls", "B-new")[1].endswith("not yet | takes no part in the advice before it is measured")
    assert overdue(found) == 2


def test_a_gauge_tells_whose_hands_it_is_in_and_how_old_its_last_zero_is(kit: Kit) -> None:
    def job(number: str, *held: Held) -> Summary:
        return Summary(number, "", "", "", "", "open", 0, 1, 0, (), "", 1, NOW, gauges=held)

    jobs = (
        job("1001", Held("BG-1", "07", "2026-03-02T07:20:00.000000Z"), Held("BG-3", "", "")),
        job("1002", Held("BG-1", "", "2026-03-02T07:25:00.000000Z")),
    )
    found = sections(kit, jobs, NOW)
    assert row(found, "Gauges", "BG-1")[1].endswith(" | in hand: 07 in job 1001; zeroed 35 min ago in job 1002")
    assert row(found, "Gauges", "BG-3")[1].endswith("in date to 2036-02-16")


@pytest.mark.parametrize("size", SIZES)
async def test_everything_is_in_reach_at_every_size(store: JobStore, size: tuple[int, int]) -> None:
    bring_sample(store)
    app = OneScreen(KitScreen(store))
    async with app.run_test(size=size) as pilot:
        await shown(pilot)
        lines = seen(app).splitlines()
        assert lines[0].startswith(" Kit  Tern Point Head Works   ■ 2 overdue   in ")
        assert next(line for line in lines if line.startswith(" ■ BG-2")).split()[-3:] == [
            "overdue",
            "since",
            "2025-11-04",
        ]
        assert "in hand: 07 in job 1001" in words(app)
        assert "This is the invented shop's kit." in words(app)
        assert is_in_sight(app, app.screen.query_one(KeyLine))
        gone_by = set(lines)
        for _ in range(6):
            await pilot.press("pagedown")
            gone_by |= set(seen(app).splitlines())
        text = "\n".join(gone_by)
        for title in ("Setting rings", "Balls", "Liners", "Shims", "Centring cones", "Pilots"):
            assert f" {title}" in text
        before = seen(app)
        await pilot.press("down")
        assert seen(app) == before
        await pilot.press("up")
        assert seen(app) != before


async def test_the_wheel_moves_it(store: JobStore) -> None:
    app = OneScreen(KitScreen(store))
    async with app.run_test(size=(100, 30)) as pilot:
        await shown(pilot)
        listed = app.screen.query_one(KitList)
        assert seen(app).splitlines()[1].startswith(" Gauges")
        listed.on_mouse_scroll_down()
        await pilot.pause()
        assert not seen(app).splitlines()[1].startswith(" Gauges")


async def test_every_fault_of_the_file_is_told_and_reading_again_sees_it_mended(store: JobStore, home: Path) -> None:
    own = home / "kit.toml"
    text = (shipped("sample_jobs") / "kit.toml").read_text(encoding="utf-8")
    faulty = text.replace('"0.00011 in"', '"0.00011 inch"', 1).replace('sort        = "micrometer"', "sort = 4", 1)
    own.write_text(faulty, encoding="utf-8")
    app = OneScreen(KitScreen(store))
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        said = words(app)
        assert "■ 2 problems" in said
        assert "Nothing of the kit can be used before its file is put right:" in said
        assert "unknown unit 'inch'" in said
        assert "found 4" in said
        own.write_text(text, encoding="utf-8")
        await pilot.press("r")
        await shown(pilot)
        assert "problem" not in words(app)
        assert "It is only shown here: the kit is changed in its file, with a text editor." in words(app)


async def test_hostile_names_are_shown_as_text(store: JobStore, home: Path) -> None:
    text = (shipped("sample_jobs") / "kit.toml").read_text(encoding="utf-8")
    (home / "kit.toml").write_text(text.replace("BG-1", "[/b][@click=app.quit]q[/]"), encoding="utf-8")
    app = OneScreen(KitScreen(store))
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        assert "[/b][@click=app.quit]q[/]" in seen(app)
        assert not set(seen(app)) & {"\x1b", "\x07"}


def test_the_board_opens_it_by_key_and_from_the_list_of_commands(home: Path) -> None:
    home.mkdir()
    store = open_store(home / "headwright.db")
    import_job(store, read_record(shipped("sample_jobs") / "1003.toml"))
    store.close()
    with PtyApp(HEADWRIGHT, 80, 24) as app:
        app.wait_for("1003")
        app.press("ctrl+n")
        app.wait_for("Kit  Tern Point Head Works", "BG-2")
        app.press("esc")
        app.wait_for("Jobs  1")
        app.press("ctrl+p")
        app.wait_for("What can be done here")
        app.press("kit")
        app.press("enter")
        app.wait_for("Kit  Tern Point Head Works", "BG-2")
        app.press("ctrl+c")
        assert app.ended() == 0
