"""Steps at the bench: what ticks them and what does not, where they stand, and those that have to last."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from textual import events

from headwright.job.events import StepTicked
from headwright.procedure.plan import Step, Tick
from headwright.store.desk import Desk
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.counsel import Counsel
from headwright.terminal.bench.hand import Hand
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.sharing import Shares, shares
from headwright.terminal.bench.spots import Spot, grid
from headwright.terminal.bench.steps import Steps
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.table import Table
from headwright.terminal.bench.waits import about, countdown
from headwright.terminal.bench.why import why
from headwright.terminal.drawn import Drawn, plain
from tests.terminal import alder_bench, idle
from tests.terminal.alder_bench import FIRST_BALL, alder

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from headwright.procedure.plan import Plan
    from headwright.store import JobStore
    from tests.frozen_clock import FrozenClock

HERE = "this bench"
SHIELD = "Face shield down"


def opened(store: JobStore, plan: Plan, operation: str = "", *, ticked: bool = False) -> Desk:
    """Open job 7 with two people on, the cautions read, worked up to an operation."""
    return alder_bench.opened(store, plan, up_to=operation, terminal=HERE, ticked=ticked)


def text(app: HeadwrightApp, kind: type[Drawn] | str) -> str:
    """Give what a part of the bench shows, as many lines as it has room for."""
    part = app.screen.query(kind).first(Drawn)
    return "\n".join(plain(line).rstrip() for line in part.lines[: part.size.height])


async def settled(pilot: Pilot[None]) -> None:
    """Wait until the bench has settled, with no card over it."""
    await idle.settled(pilot)
    assert isinstance(pilot.app.screen, BenchScreen), pilot.app.screen


def ticks(store: JobStore) -> frozenset[str]:
    """Give the steps of sizing that are ticked on disk."""
    return Desk.open(store, "7", "elsewhere").state.attempt("size", "head:A").ticks


def burst(app: HeadwrightApp, sent: str) -> None:
    """Send a figure as a gauge on a cable does: its keys one after the other, none of them waited for."""
    for character in sent:
        app.post_message(events.Key(_NAMES.get(character, character), character))


_NAMES = {"\r": "enter", "\n": "ctrl+j", " ": "space", ".": "full_stop", "+": "plus"}


@pytest.mark.parametrize("sent", [".3140", " .3140", "+2 in", "y", "abc", "a b"])
async def test_no_figure_and_no_enter_ticks_a_step(store: JobStore, sent: str) -> None:
    opened(store, alder(), "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert SHIELD in text(app, Strip)
        await pilot.press("enter")
        await settled(pilot)
        assert "Space ticks it." in text(app, Strip)
        for _ in range(2):
            burst(app, f"{sent}\r\n")
            await settled(pilot)
            assert f"{sent}▏" in text(app, Strip), "what was typed stays"
            assert "A step is at hand: Space ticks it." in text(app, Strip)
            assert "is not taken; Esc clears it." in text(app, Strip)
            assert not ticks(store)
            await pilot.press("escape")
        await settled(pilot)
        assert "▏" not in text(app, Strip)
        await pilot.press("space")
        await settled(pilot)
        assert ticks(store) == {"shield"}
        assert "1I: Ball diameter" in text(app, Strip)
        assert not Desk.open(store, "7", "elsewhere").state.attempt("size", "1I").readings


async def test_a_key_hit_by_mistake_says_at_once_that_it_is_in_the_way_of_the_tick(store: JobStore) -> None:
    opened(store, alder(), "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("a")
        await settled(pilot)
        assert "'a' is not taken; Esc clears it." in text(app, Strip)
        await pilot.press("space", "space")
        await settled(pilot)
        assert "'a' is not taken; Esc clears it." in text(app, Strip)
        assert not ticks(store)
        await pilot.press("escape", "space")
        await settled(pilot)
        assert ticks(store) == {"shield"}


async def test_a_figure_pasted_at_a_step_stays_there_too(store: JobStore) -> None:
    opened(store, alder(), "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.screen.post_message(events.Paste(".3140\r\n.3133\r\n"))
        await settled(pilot)
        assert "0 of 2 lines are saved." in text(app, Strip)
        assert "'.3140' is not taken;" in text(app, Strip)
        assert not ticks(store)


async def test_a_click_takes_a_step_in_hand(store: JobStore) -> None:
    opened(store, alder(), "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("down")
        await settled(pilot)
        assert "1I: Ball diameter" in text(app, Strip)
        await pilot.click("#steps", offset=(4, 0))
        await settled(pilot)
        assert SHIELD in text(app, Strip).splitlines()[0]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_every_place_is_in_sight_while_a_step_is_at_hand(store: JobStore, size: tuple[int, int]) -> None:
    opened(store, alder(), "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        rows = text(app, Table).splitlines()
        for place in FIRST_BALL:
            assert any(row[2:].startswith(place) for row in rows), rows
        steps = text(app, "#steps").splitlines()
        assert len(steps) >= 2
        assert any(SHIELD in line for line in steps)


def test_the_places_come_first_and_the_step_at_hand_keeps_two_lines() -> None:
    step, last = Step("a", "Do it."), Step("z", "Bleed it.", last=True)
    assert shares(Shares(4, 8, 3), 20, step) == (4, 8, 3), "all of it, where there is room"
    assert shares(Shares(9, 8, 3), 12, None) == (4, 8, 0)
    assert shares(Shares(9, 14, 3), 12, None) == (1, 11, 0)
    assert shares(Shares(9, 14, 3), 12, step) == (2, 10, 0)
    assert shares(Shares(9, 14, 3), 12, last) == (0, 10, 2)
    assert shares(Shares(9, 8, 3), 12, last) == (1, 8, 3)


def test_the_step_that_leads_to_a_reading_has_a_second_line_where_the_places_scroll_anyway() -> None:
    assert shares(Shares(9, 11, 0), 12, None, 2) == (1, 11, 0), "not for a place that would go out of sight"
    assert shares(Shares(9, 14, 0), 12, None, 2) == (2, 10, 0)
    assert shares(Shares(9, 14, 0), 12, None, 3) == (2, 10, 0)
    assert shares(Shares(9, 14, 0), 12, None, 0) == (1, 11, 0)


async def test_the_steps_follow_the_reading_at_hand(store: JobStore) -> None:
    """At the ball its measuring, at the bore the wiping before the gauge goes in; one line is enough for that."""
    opened(store, alder(), "size")
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("space")
        await settled(pilot)
        assert text(app, Steps).startswith("◆ Measure the ball")
        await pilot.press(*".3140", "enter")
        await settled(pilot)
        assert text(app, Steps).startswith("◆ Wipe the bore clean with solvent and let it dry, then measure. ")
        await pilot.press("left")
        await settled(pilot)
        assert text(app, Steps).startswith("◆ Measure the ball")


async def test_where_there_is_room_the_steps_before_a_reading_are_marked_among_the_others(store: JobStore) -> None:
    opened(store, alder(), "size", ticked=True)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        await settled(pilot)
        await pilot.press(*".3140", "enter")
        await settled(pilot)
        steps = {line[2:18].rstrip(): line[0] for line in text(app, Steps).splitlines() if line[0] != " "}
        assert steps == {
            "Face shield down": "✓",
            "Measure the ball": "–",
            "Set the oiled ba": "◆",
            "Drive it through": "◆",
            "A ball that stic": "–",
            "Wipe the bore cl": "◆",
            "Other tools, sam": "–",
        }
        assert isinstance(app.screen, BenchScreen)
        first = next(told for heading, told in why(app.screen.hand)[1] if heading == "First")
        assert first.splitlines()[-1].startswith("Wipe the bore clean")


async def test_lines_left_out_are_counted_in_words_that_fit(store: JobStore) -> None:
    base = alder()
    steps = (Step("one", "First."), Step("two", "Second."))
    sized = replace(base.operations[0], steps=(*steps, *base.operations[0].steps))
    opened(store, replace(base, operations=(sized, *base.operations[1:])))
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        part = app.screen.query_one(Steps)
        many = len(part._all)
        part.show(many - 1)
        assert plain(part.lines[-1]).rstrip().endswith("+1 line, ?")
        part.show(many - 2)
        assert plain(part.lines[-1]).rstrip().endswith("+2 lines, ?")


# Steps after the readings


async def test_steps_that_come_last_stand_after_the_readings(store: JobStore) -> None:
    """A head is demagnetised after it was looked over: that step is moved to and shown after the readings."""
    desk = opened(store, alder(), "crack-check")
    state, operation = desk.state, desk.state.index.operations["crack-check"]
    (last,) = [s.name for s in operation.steps if s.last]
    spots = [spot for row in grid(state, operation) for spot in row]
    readings = [i for i, spot in enumerate(spots) if spot.point is not None]
    assert spots[-1] == Spot("head:A", last)
    assert min(readings) > 0, "the other steps come before"
    assert max(readings) == len(spots) - 2
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        words = next(s.do for s in operation.steps if s.last)[:20]
        assert words in text(app, "#last-steps")
        assert words not in text(app, "#steps")
        assert app.screen.query_one("#last-steps").region.y > app.screen.query_one(Table).region.y
        await pilot.press("pagedown")
        await settled(pilot)
        assert words in text(app, Strip)
        await pilot.press("up")
        await settled(pilot)
        assert words not in text(app, Strip).splitlines()[0]


# Steps that have to last


def lasting() -> Plan:
    """Give the plan with a step of ten minutes at its beginning."""
    base = alder()
    soak = Step("soak", "Let it drain.", tick=Tick.ONCE, wait=600.0)
    first = replace(base.operations[0], steps=(soak, *base.operations[0].steps))
    return replace(base, operations=(first, *base.operations[1:]))


def test_a_step_that_has_to_last_is_begun_counts_down_and_is_cut_short_only_after_a_word(
    store: JobStore, clock: FrozenClock
) -> None:
    opened(store, lasting())
    desk = Desk.open(store, "7", HERE, clock)
    clock.forward(minutes=60 * 24 * 365 * 20)  # after everything that is on record
    hand = Hand(desk, HERE, Counsel(store), clock=clock)
    hand.follow()
    assert hand.at_step() == "Space begins it: 10 min"
    assert hand.tick().entries
    assert (hand.step or Step("", "")).name == "soak", "it stays at hand"
    assert hand.at_step() == "10:00 to go"
    clock.forward(minutes=1, seconds=28)
    assert hand.at_step() == "8:32 to go"
    assert not hand.tick().entries
    assert hand.say == "9 min to go; Space again ticks it all the same."
    hand.clear()
    assert not hand.tick().entries, "asked again: the line had gone"
    clock.forward(minutes=9)
    assert hand.at_step() == "The time is up: Space ticks it"
    (ticked,) = hand.tick().entries
    assert ticked.event == StepTicked("receive", "head:A", "soak")


def test_a_step_is_cut_short_by_space_twice(store: JobStore) -> None:
    opened(store, lasting())
    hand = Hand(Desk.open(store, "7", HERE), HERE, Counsel(store))
    hand.follow()
    for _ in range(3):
        came = hand.tick()
    assert [entry.event for entry in came.entries] == [StepTicked("receive", "head:A", "soak")]


async def test_the_time_runs_down_on_screen(store: JobStore) -> None:
    opened(store, lasting())
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "Space begins it: 10 min" in text(app, Strip)
        await pilot.press("space")
        await pilot.pause(2.0)
        assert "9:5" in text(app, Strip)
        assert "to go" in text(app, Strip)


def test_times_are_rounded_up_and_read_like_a_clock() -> None:
    assert [about(s) for s in (0.2, 90, 91, 600)] == ["1 s", "90 s", "2 min", "10 min"]
    assert [countdown(s) for s in (0.2, 59, 60, 512, 3725)] == ["0:01", "0:59", "1:00", "8:32", "1:02:05"]


@pytest.mark.parametrize("lines", [22, 24, 27])
async def test_no_step_is_shown_without_its_beginning(store: JobStore, lines: int) -> None:
    opened(store, alder(), "install")
    desk = Desk.open(store, "7", HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(80, lines)) as pilot:
        await settled(pilot)
        await pilot.press("space")
        await settled(pilot)
        for _ in desk.state.index.operations["install"].readings:
            first = text(app, Steps).splitlines()[0]
            assert first[:2].strip(), text(app, Steps)
            await pilot.press("right")
            await settled(pilot)
