"""What is typed at the bench: answers of one key, choices in full, clashes, and figures told from their limits."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from headwright.job.agenda import Next, Now, next_up
from headwright.job.events import Disposed, Disposition, Stopped, WentOff
from headwright.store.desk import Desk
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.header import Header, local
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.table import Table
from headwright.terminal.drawn import Lines, plain
from headwright.terminal.keyline import KeyLine
from tests.stories.alder_1001 import MARA, OWEN
from tests.terminal import alder_bench
from tests.terminal.alder_bench import FIRST_BALL, do, typed_reading
from tests.terminal.cards_app import seen, words
from tests.terminal.idle import settled

if TYPE_CHECKING:
    from headwright.store import JobStore

HERE = "this bench"
CRACK_CHECK = ("crack-check", "head:A")
SIZES = [(80, 24), (100, 30), (160, 45)]


def opened(store: JobStore, operation: str = "") -> Desk:
    """Open job 7 with two people on, the cautions read, worked up to an operation and its first step ticked."""
    return alder_bench.opened(store, up_to=operation, ticked=bool(operation), terminal=HERE)


def read(desk: Desk, at: tuple[str, str], reading: str, typed: str, operator: str = MARA.operator) -> None:
    """Take the first point of a reading, of an operation at a place, from another terminal."""
    found = Next(Now.READING, "", *at, reading, desk.state.index.points(at[0], reading)[0])
    do(desk, typed_reading(desk, found, typed), operator)


def text(app: HeadwrightApp, kind: type[Lines]) -> str:
    """Give what a part of the bench shows, as many lines as it has room for."""
    part = app.screen.query_one(kind)
    return "\n".join(plain(line).rstrip() for line in part.lines[: part.size.height])


def row(app: HeadwrightApp, label: str) -> str:
    """Give the line of the table that has a text."""
    return next(line for line in text(app, Table).splitlines() if label in line)


# A field that is filled from elsewhere while a figure is typed here


async def test_a_field_that_another_terminal_fills_meanwhile_is_replaced_only_when_asked_again(store: JobStore) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*".3139")
        elsewhere = Desk.open(store, "7", "elsewhere")
        read(elsewhere, ("size", "1I"), "ball", ".31400", OWEN.operator)
        await pilot.press("5", "enter")
        await settled(pilot)
        assert "02 has read .31400 in at this point. Enter it again to replace that" in words(app)
        assert ".31395▏" in text(app, Table), "what was typed stays"
        elsewhere.refresh()
        assert [t.event.typed for t in elsewhere.state.attempt("size", "1I").readings.values()] == [".31400"]
        await pilot.press("enter")
        await settled(pilot)
        elsewhere.refresh()
        attempt = elsewhere.state.attempt("size", "1I")
        assert [t.event.typed for t in attempt.readings.values()] == [".31395"]
        assert [(t.event.typed, why) for t, why in attempt.struck] == [(".31400", "keyed again")]


# Choices and answers of one key


@pytest.mark.parametrize("size", SIZES)
async def test_every_choice_is_in_sight_at_every_size(store: JobStore, size: tuple[int, int]) -> None:
    desk = opened(store, "crack-check")
    read(desk, CRACK_CHECK, "yoke_lift", "12")
    read(desk, CRACK_CHECK, "field_shown", "yes")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        shown = " ".join(text(app, Strip).split())
        choices = desk.state.index.readings["crack-check", "indication"].choices
        assert len(choices) > 4
        for number, choice in enumerate(choices, 1):
            assert f"{number} {choice}" in shown, shown


async def test_an_answer_that_passes_takes_one_key_and_one_that_does_not_takes_enter(store: JobStore) -> None:
    desk = opened(store, "crack-check")
    read(desk, CRACK_CHECK, "yoke_lift", "12")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("n")
        await settled(pilot)
        assert "no: does not pass; Enter saves it." in text(app, Strip)
        assert len(Desk.open(store, "7", "x").state.attempt("crack-check", "head:A").readings) == 1
        await pilot.press("escape", "y")
        await settled(pilot)
        assert "Line of powder found" in text(app, Strip)
        await pilot.pause(0.7)  # the rest of a word that was typed out has no more time to come
        await pilot.press("2")
        await settled(pilot)
        assert "between seats: does not pass; Enter saves it." in text(app, Strip)
        state = Desk.open(store, "7", "x").state
        assert len(state.attempt("crack-check", "head:A").readings) == 2
        assert not state.stopped
        await pilot.press("escape", "1")
        await settled(pilot)
        taken = Desk.open(store, "7", "x").state.attempt("crack-check", "head:A").readings
        assert [t.event.word for t in taken.values() if t.event.word] == ["yes", "none"]


async def test_which_of_yes_and_no_is_saved_by_its_key_is_said_beside_them(store: JobStore) -> None:
    desk = opened(store, "crack-check")
    read(desk, CRACK_CHECK, "yoke_lift", "12")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "y yes  n no  y saves at once, n then Enter" in text(app, Strip)


async def test_the_other_answer_takes_the_place_of_one_that_is_not_saved_yet(store: JobStore) -> None:
    desk = opened(store, "crack-check")
    read(desk, CRACK_CHECK, "yoke_lift", "12")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("n", "o")
        await settled(pilot)
        assert "no▏" in text(app, Table), "a word may be typed out"
        await pilot.press("escape", "n", "y")
        await settled(pilot)
        taken = Desk.open(store, "7", "x").state.attempt("crack-check", "head:A").readings
        assert [t.event.word for t in taken.values() if t.event.word] == ["yes"]


# What is not taken as it stands


async def test_a_letter_meant_for_a_card_is_not_in_the_way_of_the_figure_after_it(store: JobStore) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("a")
        await pilot.pause(0.3)
        await pilot.press(*".3140")
        await settled(pilot)
        assert ".3140▏" in text(app, Strip)
        assert "a.3140" not in text(app, Strip)
        await pilot.press("escape", *"c3424")
        await settled(pilot)
        assert "c3424▏" in text(app, Strip), "a tag that is scanned keeps its letter, and is no figure"


async def test_after_a_figure_that_is_refused_the_next_one_begins_anew(store: JobStore) -> None:
    desk = opened(store, "size")
    do(desk, Stopped("head:A", "smoke"), MARA.operator)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*".3140", "enter")
        await settled(pilot)
        assert "head A is stopped: smoke. A lead resumes it" in words(app)
        assert ".3140▏" in text(app, Strip), "it stays, to be entered once nothing is in its way"
        await pilot.press(*".3133")
        await settled(pilot)
        assert ".3133▏" in text(app, Strip)
        assert ".3140" not in text(app, Strip)


@pytest.mark.parametrize(
    ("wrong", "said"), [("-", "'-' is not a figure"), ("31.4", "is far from"), (".3140.3133", "two decimal points")]
)
async def test_after_a_figure_that_is_not_taken_the_next_digit_begins_anew(
    store: JobStore, wrong: str, said: str
) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*wrong, "enter")
        await settled(pilot)
        assert said in words(app)
        await pilot.press(*".3140")
        assert ".3140▏" in text(app, Table)
        assert f"{wrong}.3140" not in text(app, Table)


async def test_a_figure_that_is_not_taken_can_be_mended_from_its_end(store: JobStore) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*".314x", "enter")
        await settled(pilot)
        await pilot.press("backspace", "0")
        assert ".3140▏" in text(app, Table)


@pytest.mark.parametrize(
    ("typed", "said"),
    [(".3140.3133", "Not saved: '.3140.3133' has two"), (".3140", "'.3140' is not saved yet: Enter enters it")],
)
async def test_what_is_said_of_an_unsaved_figure_is_what_enter_would_do(store: JobStore, typed: str, said: str) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press(*typed, "down")
        await settled(pilot)
        assert said in words(app)
        assert f"{typed}▏" in text(app, Table)


# Work that goes back


async def test_work_that_goes_back_says_why_and_shows_nothing_of_the_last_time(store: JobStore) -> None:
    """The washed head soaks again: its old temperatures answer nothing now."""
    desk, counted = opened(store, "wash"), alder_bench.opened(store, job="8", up_to="wash", terminal=HERE)
    before = counted.state.number
    while next_up(counted.state, MARA.operator).operation == "wash":
        before = counted.state.number
        alder_bench.go_on(counted)
    while desk.state.number < before:
        alder_bench.go_on(desk)
    last = next_up(desk.state, MARA.operator)
    assert (last.operation, last.now) == ("wash", Now.READING)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("y")
        await settled(pilot)
        assert "SOAK" in text(app, Header)
        assert "Soak to one temperature again: 'Verify the guide' needs 'at room temperature'" in words(app)
        assert "✓" not in text(app, Table)
        assert " in" not in row(app, "Head warmer")[:40]


@pytest.mark.parametrize(("operation", "keys"), [("size", ".313"), ("crack-check", "n")])
async def test_a_question_mark_asks_why_in_the_middle_of_a_figure_too(
    store: JobStore, operation: str, keys: str
) -> None:
    desk = opened(store, operation)
    if operation == "crack-check":
        read(desk, CRACK_CHECK, "yoke_lift", "12")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*keys, "?")
        await settled(pilot)
        assert type(app.screen).__name__ == "WhyCard"
        await pilot.press("escape")
        await settled(pilot)
        assert f"{keys}▏" in text(app, Strip), "what was typed stays"


# Figures, limits and verdicts


async def test_the_strip_is_whole_at_once_when_one_comes_back_from_the_jobs(store: JobStore) -> None:
    desk = opened(store, "size")
    read(desk, ("size", "1I"), "ball", FIRST_BALL["1I"][0])
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("f9")
        await settled(pilot)
        await pilot.press("escape")
        await settled(pilot)
        whole = text(app, Strip)
        assert "Spring-back" in whole
        await pilot.press("f8")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, BenchScreen)
        assert text(app, Strip) == whole


@pytest.mark.parametrize("size", SIZES)
async def test_a_bore_is_drawn_in_the_limits_that_the_clearance_leaves_it(
    store: JobStore, size: tuple[int, int]
) -> None:
    """By hand: a stem of .3118 in and a clearance of .0010 to .0020 in leave the bore .3128 to .3138 in.

    Five of six sizes are still to be read, so nothing has its tick yet.
    """
    desk = opened(store, "size")
    read(desk, ("size", "1I"), "ball", FIRST_BALL["1I"][0])
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        for typed, said in (("", ""), (".3127", "■ low"), (".3128", "~ near"), (".3133", "· ok"), (".3139", "■ high")):
            await pilot.press(*typed)
            await settled(pilot)
            first = next(line for line in text(app, Strip).splitlines() if line.endswith("by clearance"))
            limits = [word for word in first.split() if word.startswith(".31")]
            assert limits[bool(typed) :][:2] == [".3128", ".3138"], first
            assert said in first
            assert "possible" not in first
            await pilot.press("escape")


async def test_nothing_stands_where_a_figure_will_be_until_there_is_one(store: JobStore) -> None:
    """The unit alone, `in`, would read like the verdict."""
    desk = opened(store, "size")
    read(desk, ("size", "1I"), "ball", FIRST_BALL["1I"][0])
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        first = next(line for line in text(app, Strip).splitlines() if "├" in line)
        assert " in" not in first, first


async def test_an_out_of_limit_figure_never_reads_like_its_limit(store: JobStore) -> None:
    """The yoke has to lift 10 lbf, shown in whole pounds: 9.7 is out, and is not shown as 10."""
    opened(store, "crack-check")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press(*"9.7")
        await settled(pilot)
        line = next(line for line in text(app, Strip).splitlines() if "9.7▏" in line)
        assert "10.0" in line
        assert "9.7 lbf" in line
        assert "■ low" in line
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("escape")
        await settled(pilot)
        assert "9.7 lbf" in row(app, "Yoke lifts")
        assert "at least 10.0 lbf" in row(app, "Yoke lifts")


async def test_a_conceded_item_of_a_list_is_no_longer_held(store: JobStore) -> None:
    desk = opened(store, "crack-check")
    read(desk, CRACK_CHECK, "yoke_lift", "8")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        if not isinstance(app.screen, BenchScreen):
            await pilot.press("escape")
            await settled(pilot)
        assert row(app, "Yoke lifts").startswith("■")
        assert row(app, "Yoke lifts").endswith("at least 10 lbf  ■ low")
        wanted = Disposed(*CRACK_CHECK, "yoke_lift", Disposition.CONCESSION, "new yoke is on its way")
        do(Desk.open(store, "7", "office"), wanted, OWEN.operator)
        await pilot.pause(1.5)
        await settled(pilot)
        assert row(app, "Yoke lifts").startswith("✓")
        assert row(app, "Yoke lifts").endswith("conceded")


async def test_a_verdict_has_its_sign_so_that_in_is_not_read_as_inches(store: JobStore) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        ball, sizes = FIRST_BALL["2I"]
        for figure in (ball, *sizes[:4]):
            await pilot.press(*figure, "enter")
            await settled(pilot)
        assert "■ low" in next(line for line in text(app, Strip).splitlines() if line.startswith("Clearance"))
        assert "· ok" in next(line for line in text(app, Strip).splitlines() if line.startswith("Out of round"))
        assert row(app, "1I").endswith("■ low")


# What to do now, keys, time, people


@pytest.mark.parametrize("size", SIZES)
async def test_what_to_do_now_goes_on_on_a_second_line(store: JobStore, size: tuple[int, int]) -> None:
    desk = opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await pilot.press(*FIRST_BALL["1I"][0], "enter")
        await settled(pilot)
        how = desk.state.index.readings["size", "finished_id"].how
        assert how in " ".join(text(app, Strip).split())


async def test_a_roomy_line_shows_more_keys_than_six(store: JobStore) -> None:
    opened(store, "size")
    for width, most in ((80, 6), (100, 10), (160, 12)):
        app = HeadwrightApp(store, HERE, "7")
        async with app.run_test(size=(width, 30)) as pilot:
            await settled(pilot)
            shown = text(app, KeyLine)
            found = [sign for sign in ("F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8") if sign in shown]
            assert len(found) == (5 if most == 6 else 8), shown
            assert len(shown) <= width


def test_a_time_that_is_not_todays_has_its_date() -> None:
    now = datetime(2025, 3, 4, 12, 0, tzinfo=UTC)
    assert local("2025-03-04T11:33:00.000000Z", now, 80) == "11:33"
    assert local("2025-03-03T11:33:00.000000Z", now, 80) == "2025-03-03"
    assert local("2025-03-03T11:33:00.000000Z", now, 100) == "2025-03-03 11:33"
    assert local("2025-03-02T11:33:00.000000Z", now, 80) == "2 days ago", "beyond 48 hours, days tell more"
    assert local("2024-06-16T11:33:00.000000Z", now, 100) == "261 days ago"
    assert local("long ago", now, 100) == ""


async def test_who_it_was_is_kept_while_the_program_runs(store: JobStore) -> None:
    """Both came on elsewhere; chosen once here, Mara is still there after a look at the list of jobs."""
    opened(store, "size")
    app = HeadwrightApp(store, "another bench", "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert type(app.screen).__name__ == "WhoCard"
        people = [p.operator for p in Desk.open(store, "7", "x").state.people.values() if p.on]
        await pilot.press(str(people.index(MARA.operator) + 1), "enter")
        await settled(pilot)
        assert "07 Mara Quill" in text(app, Header)
        await pilot.press("f8")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, BenchScreen)
        assert "07 Mara Quill" in text(app, Header)


@pytest.mark.parametrize("off", [False, True])
async def test_with_nobody_there_the_next_operation_is_looked_at(store: JobStore, *, off: bool) -> None:
    desk = opened(store, "size")
    for person in (OWEN, MARA) if off else ():
        do(desk, WentOff(person.operator), person.operator)
    app = HeadwrightApp(store, "another bench", "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert type(app.screen).__name__ == "WhoCard"
        await pilot.press("escape")
        await settled(pilot)
        assert "SIZE THE LINER" in text(app, Header)


@pytest.mark.parametrize(("size", "small"), [((59, 30), True), ((80, 17), True), ((20, 5), True), ((60, 18), False)])
async def test_a_terminal_that_is_too_small_says_so(store: JobStore, size: tuple[int, int], *, small: bool) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*".31")
        await pilot.resize_terminal(*size)
        await settled(pilot)
        shown = words(app)
        assert shown.startswith(f"Too small: {size[0]}×{size[1]}"[: size[0] - 1]) is small, shown
        assert ("1I" in shown) is not small
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert ".31▏" in text(app, Table)


async def test_a_card_in_a_terminal_that_is_too_small_says_so_too(store: JobStore) -> None:
    opened(store, "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(50, 12)) as pilot:
        await settled(pilot)
        await pilot.press("f1")
        await settled(pilot)
        assert words(app) == "Too small: 50×12. At least 60×18 is needed."
        await pilot.resize_terminal(40, 12)
        await pilot.pause()
        assert [line.strip() for line in seen(app).splitlines()[:2]] == [
            "Too small: 40×12.",
            "At least 60×18 is needed.",
        ]
        await pilot.resize_terminal(20, 2)
        await pilot.pause()
        assert words(app) == "Too small: 20×2. 60×18 needed."
