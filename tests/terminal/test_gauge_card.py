"""The gauge card: which gauge, which ring, what it shows there; and how readings go on with it.

A tenth of drift and the count of readings are the rules of the small plan; all shops, gauges and sizes are invented.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from textual.widgets import Input

from headwright.errors import StoreError
from headwright.job.entry import Misread
from headwright.job.events import GaugeChecked, GaugeTaken, ReadingTaken, ToolChosen
from headwright.job.gauges import in_hand, mastering_of
from headwright.procedure.kit import load_kit
from headwright.store import open_store
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.gauging import (
    gauge_lines,
    only_one,
    reading_with,
    ring_lines,
    shown_in_ring,
    with_words,
    zero_words,
)
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.cards.choices import CHOOSE, FROM_A_GAUGE
from headwright.terminal.cards.figure_line import UNREAD
from headwright.terminal.cards.gauge import GaugeCard
from headwright.terminal.cards.ring import MOST_BARRED, TOO_EARLY, Asked
from tests.job.small import INCH, MACHINIST
from tests.job.strict import RULES, strict_plan
from tests.terminal.cards_app import HOSTILE, OneScreen, seen, words
from tests.terminal.strict_bench import (
    ELSEWHERE,
    JOB,
    KIT,
    at_bench,
    desk_at,
    do,
    job_at,
    read,
    ready_to_read,
    state_at,
    to_bore,
    to_survey,
)

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.state import State
    from headwright.procedure.kit import Kit

NOW = "2026-11-25T08:00:00.000000Z"


@pytest.fixture
def kit(home: Path) -> Kit:
    home.mkdir(exist_ok=True)
    (home / "kit.toml").write_text(KIT, encoding="utf-8")
    return load_kit(home / "kit.toml")


def figures(state: State, place: str) -> list[tuple[str, str, float | None]]:
    """Give the gauge, the text and the size in inches of the bores read at a place."""
    taken = state.attempt("bore", place).readings.values()
    return [(t.event.gauge, t.event.typed, t.event.value and round(t.event.value / INCH, 6)) for t in taken]


# By keys, in a real terminal


def test_a_gauge_is_taken_zeroed_and_read_with_and_a_stale_zero_costs_two_keys(home: Path) -> None:
    """Cutter, gauge, ring and zero; graduations count from the ring; after two readings the zero is asked for again."""
    mastering = RULES.mastering
    assert mastering is not None
    few = replace(RULES, mastering=replace(mastering, readings=1))
    to_bore(job_at(home, plan=replace(strict_plan(heads=("A",)), rules=few)))
    with at_bench(home) as app:
        app.wait_for("which cutter?", "1I is the first piece")
        app.enter("K-3425", "as measured")
        app.press(".3425")
        app.press("enter")
        app.wait_for("Which bore gauge?", "1I: Bored id, top", "BG-3", "Overdue since 2025-11-04")
        app.press("3", "enter")
        app.wait_for("BG-2 cannot be taken")
        app.press("1", "enter")
        app.wait_for("▸ 1 R-3420 ", ".34200 in", "R-3730", "too far from .3415 in")
        app.press("enter")
        app.wait_for("It shows", "R-3420, .34200 in ±.00003 in")
        app.press("0")
        app.wait_for("within the .00010 in that it may drift")
        app.press("enter")
        app.wait_for("▸ 1I: Bored id, top  with BG-3, zero 0 min, 0 readings")
        app.press("+4")
        app.wait_for("+4 is taken as 0.34240 in")
        app.press("enter")
        # One reading is as much as this zero counts for: the card opens on its last line, and 0 Enter is enough.
        app.wait_for("It shows", "1I: Bored id, bottom", "1 reading")
        app.read(UNREAD)
        app.press("0", "enter")
        app.wait_for("▸ 1I: Bored id, bottom  with BG-3, zero 0 min, 0 readings")
        app.enter(".3424", "which cutter?")
    state = state_at(home)
    assert figures(state, "1I") == [("BG-3", "+4", 0.3424), ("BG-3", ".3424", 0.3424)]
    check = state.gauges["BG-3"].check
    assert check is not None
    assert (check.ring, round(check.size / INCH, 6), check.before, check.after) == ("R-3420", 0.342, 0.0, 0.0)


def test_a_drift_is_told_before_it_strikes_and_listed_afterwards(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3424, "top")
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Bored id, bottom")
        app.press("ctrl+r")
        app.wait_for("▸ 1 BG-3 ", "in hand, zero 0 min, 1 reading")
        app.press("enter")
        app.wait_for("It shows")
        app.press("+3")
        app.wait_for("Off by +.00030 in: beyond the .00010 in", "Would be struck", "Bore, 1I: Bored id.")
        app.press("\r\r")
        app.wait_for("1 reading would be struck")
        app.wait_for(CHOOSE)
        assert len(figures(state_at(home), "1I")) == 1, "Enter pressed twice by habit strikes nothing"
        app.press("1", "enter")
        app.wait_for("■ BG-3 had moved: 1 reading struck", "Bore, 1I: Bored id, top")
        app.press("esc")
        app.wait_for("▸ 1I: Bored id, top  with BG-3, zero 0 min, 0 readings")
        app.press("ctrl+y")
        app.wait_for("everything on record", "× .3424 in", "Bored id, top", "BG-3 came back to its ring")
    state = state_at(home)
    assert figures(state, "1I") == []
    assert [doubt.gauge for doubt in state.doubts] == ["BG-3"]


def test_digits_swapped_in_the_ring_are_named_before_anything_is_struck(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3424, "top")
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Bored id, bottom")
        app.press("ctrl+r")
        app.wait_for("▸ 1 BG-3 ", "in hand, zero 0 min, 1 reading")
        app.press("enter")
        app.wait_for("It shows")
        app.enter(".3240", "Typed wrong? Two digits swapped: .3420 in. 1 reading would be struck.")
        app.press("2", "enter")
        app.wait_for("It shows")
    assert len(figures(state_at(home), "1I")) == 1


def test_the_only_micrometer_is_taken_without_a_question_and_two_figures_must_agree(home: Path) -> None:
    to_survey(job_at(home))
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Stem  with MIC-1")
        app.enter(".3118", ".3118 ?2")
        app.wait_for("▸ 1I: Stem", "a second figure is wanted that agrees within .0001 in")
        app.enter(".3121", "do not agree within .0001 in: a third figure is wanted")
        app.enter(".3119", "▸ 1E: Stem")
        app.wait_for(".3119")
        app.enter(".3118", "?2")
        app.enter(".3119", "this is for a lead")
    state = state_at(home)
    taken = state.attempt("survey", "1I").readings["stem", "", None]
    assert [t.event.value for t in (*taken.others, taken)] == pytest.approx(
        [0.3118 * INCH, 0.3121 * INCH, 0.3119 * INCH]
    )
    assert taken.value == pytest.approx(0.3119 * INCH)
    assert {t.event.gauge for t in (*taken.others, taken)} == {"MIC-1"}
    assert state.in_hand[MACHINIST, "micrometer"] == "MIC-1"


def test_lines_pasted_beyond_what_a_zero_counts_for_are_told_of_on_the_card(home: Path) -> None:
    mastering = RULES.mastering
    assert mastering is not None
    few = replace(RULES, mastering=replace(mastering, readings=1))
    desk = job_at(home, plan=replace(strict_plan(heads=("A",)), rules=few))
    to_bore(desk)
    ready_to_read(desk)
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Bored id, top")
        app.paste(".3424\n.3424\n.3425\n")
        app.wait_for("ZERO ON THE RING", "1 of 3 lines are saved.")
        app.press("esc")
        app.wait_for("ZERO ON THE RING", gone=True)
        app.wait_for("▸ 1I: Bored id, bottom")
    assert figures(state_at(home), "1I") == [("BG-3", ".3424", 0.3424)]


# The card by itself


async def test_a_reason_typed_on_the_card_by_mistake_is_asked_about_before_it_is_a_gauge(home: Path, kit: Kit) -> None:
    """Whoever takes it for a hold's card: F4 says that it waits, and neither reason nor PIN gets in hand."""
    app = OneScreen(GaugeCard(asked(home), kit, "", lambda: NOW, choose=True))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("f4")
        assert "F4 (hold) waits: choose a bore gauge first, or Esc leaves this card." in words(app)
        await pilot.press("9", "enter")
        await pilot.press("f4")
        assert "F4 (hold) waits: name the bore gauge first" in words(app)
        await pilot.press(*"customer agreed", "enter", *"7391", "enter")
        assert "The kit has no 'customer agreed7391'." in words(app)
        await pilot.press("escape")
    assert app.answers == [None]


def asked(home: Path, **changes: float | None) -> Asked:
    desk = job_at(home)
    to_bore(desk)
    expected = changes.get("expected", 0.3415 * INCH)
    return Asked(desk.state, MACHINIST, "bore gauge", "1I: Bored id, top", "bore", expected)


async def test_without_a_kit_a_gauge_and_a_ring_are_named_by_hand(home: Path) -> None:
    card = GaugeCard(asked(home), None, "kit.toml is not readable", lambda: NOW)
    app = OneScreen(card)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "The kit cannot be read: kit.toml is not readable. A gauge is named by hand." in words(app)
        await pilot.press("enter")
        assert "no date on which it is due is known" in words(app)
        await pilot.press(*"0.3415", "enter")
        assert "with a letter in it" in words(app)
        await pilot.press(*"old one", "enter")
        assert "The kit has no 'old one'. Enter once more takes it in hand as a bore gauge" in words(app)
        await pilot.press("enter")
        assert "R-" not in words(app)
        await pilot.pause(0.6)
        await pilot.press("enter", "enter")
        await pilot.press(*"R-9", "enter")
        await pilot.press(*"green", "enter")
        assert "a figure in" in words(app)
        for _ in "green":
            await pilot.press("backspace")
        await pilot.press(*".3420", "enter", *"+0.5", "enter")
    (events,) = app.answers
    assert events is not None
    taken, checked = events
    assert taken == GaugeTaken("old one", "bore gauge")
    assert isinstance(checked, GaugeChecked)
    assert (checked.gauge, checked.ring, checked.after) == ("old one", "R-9", 0.0)
    assert (checked.size, checked.before) == pytest.approx((0.3420 * INCH, 0.00005 * INCH))


def test_before_the_last_reading_that_a_zero_counts_for_the_ring_is_announced(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    state = desk.state
    (known,) = [gauge for gauge in state.gauges.values() if gauge.sort == "bore gauge"]
    rule = mastering_of(state, known.sort)
    assert rule is not None
    bored = state.index.readings["bore", "bored_id"]
    said = []
    for count in range(rule.readings):
        state.gauges[known.gauge] = replace(known, after=tuple(range(count)))
        said.append(with_words(state, MACHINIST, bored, desk.now()).endswith(", then the ring"))
    assert said == [False] * (rule.readings - 1) + [True]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_the_card_fits_and_shows_no_markup(home: Path, kit: Kit, size: tuple[int, int]) -> None:
    hostile = replace(kit.gauges[0], id=HOSTILE)
    card = GaugeCard(asked(home), replace(kit, gauges=(*kit.gauges, hostile)), "", lambda: NOW)
    app = OneScreen(card)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert "[/b][@click=app.quit]" in words(app)
        assert "Ctrl+R" not in words(app), "there is nothing to go back to from the gauges"


async def test_gauges_rings_and_the_figure_have_titles_of_their_own_and_ctrl_r_says_where_it_leads(
    home: Path, kit: Kit
) -> None:
    app = OneScreen(GaugeCard(asked(home), kit, "", lambda: NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Which bore gauge?" in words(app)
        await pilot.press("1", "enter")
        await pilot.pause()
        assert "Which ring for BG-3?" in words(app)
        assert "Ctrl+R gauges" in words(app)
        shown = [line for line in seen(app).splitlines() if "too far from" in line]
        assert len(shown) <= MOST_BARRED, "rings that do not serve are counted, not listed"
        await pilot.press("1", "enter")
        await pilot.pause()
        assert "ZERO ON THE RING: bore gauge BG-3" in words(app)
        assert "Ctrl+R rings" in words(app)
        await pilot.press("?")
        await pilot.pause()
        assert "Every reading is traced to a gauge." in words(app)
        assert app.screen.query_one(Input).value == "", "the question is no figure"


async def test_a_ring_of_another_size_is_not_zeroed_on_before_the_old_zero_was_looked_at(home: Path, kit: Kit) -> None:
    """Else what was read since would never be held to a check."""
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3424, "top")
    wanted = Asked(desk.state, MACHINIST, "bore gauge", "1I", "bore", 0.3440 * INCH)
    app = OneScreen(GaugeCard(wanted, kit, "", lambda: NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("ctrl+r", "1", "enter")
        assert "First once more in R-3420: 1 readings rest on its zero there." in words(app)
        await pilot.press("0", "enter")
        assert "R-3440, .34400 in" in words(app)
        await pilot.press("0", "enter")
    (events,) = app.answers
    assert events is not None
    assert [(e.ring, e.before) for e in events if isinstance(e, GaugeChecked)] == [("R-3420", 0.0), ("R-3440", 0.0)]


async def test_what_a_cable_sends_there_strikes_nothing_by_itself(home: Path, kit: Kit) -> None:
    """The gauge's button is pressed twice too often: a full size beyond the drift strikes by its number only."""
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3424, "top")
    wanted = Asked(desk.state, MACHINIST, "bore gauge", "1I", "bore", 0.3415 * INCH)
    app = OneScreen(GaugeCard(wanted, kit, "", lambda: NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(UNREAD)
        for _ in range(3):
            await pilot.press(*".3424", "enter")
            assert app.answers == []
        assert "1 reading would be struck" in words(app) or FROM_A_GAUGE in words(app)
        await pilot.press("2", "enter")
        assert "It shows" in words(app)
        await pilot.press("escape")
    assert app.answers == [None]


async def test_a_size_of_the_work_typed_for_the_ring_is_told_before_enter(home: Path, kit: Kit) -> None:
    """Within the drift that may be, only where the figure comes from tells the bore from the ring."""
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3421, "top")
    app = OneScreen(GaugeCard(Asked(desk.state, MACHINIST, "bore gauge", "1I", "bore"), kit, "", lambda: NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(UNREAD)
        for key in ".342":
            await pilot.press(key)
            await pilot.pause()
            assert "■ Off by" not in words(app), "the first digits of a size are off by nothing yet"
        await pilot.press("1")
        await pilot.pause()
        assert (
            "Off by +.00010 in, within the .00010 in that it may drift. But .3421 in is a size of the work:"
            in words(app)
        )
        assert "is the gauge in the ring? What is entered here becomes its zero." in words(app)
        for other in (".3420", ".3419", "+1", "0"):
            await pilot.press(*["backspace"] * 6, *other)
            await pilot.pause()
            assert "Set the zero, then Enter." in words(app), other
        await pilot.press(*["backspace"] * 6, *".3421", "enter")
    (events,) = app.answers
    assert events is not None
    (checked,) = events
    assert isinstance(checked, GaugeChecked), "it is told, and not forbidden: a drift looks the same"


async def test_figures_typed_in_rhythm_while_the_card_comes_up_are_not_taken_for_the_ring(home: Path, kit: Kit) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    wanted = Asked(desk.state, MACHINIST, "bore gauge", "1I", "bore", 0.3415 * INCH)
    app = OneScreen(GaugeCard(wanted, kit, "", lambda: NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*".3420", "enter")
        assert TOO_EARLY in words(app)
        assert "ZERO ON THE RING: bore gauge BG-3" in words(app)
        assert "In the ring R-3420 (.34200 in), not in the bore." in words(app)
        assert app.answers == []
        await pilot.pause(UNREAD)
        await pilot.press("0", "enter")
    (events,) = app.answers
    assert events is not None
    assert [(e.ring, e.before) for e in events if isinstance(e, GaugeChecked)] == [("R-3420", 0.0)]


async def test_a_zero_that_cannot_be_kept_stays_on_the_card(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = job_at(home)
    to_bore(desk)
    do(desk, ToolChosen("bore", "1I", "cutter", "K-1"))
    store = open_store(home / "headwright.db")
    app = HeadwrightApp(store, ELSEWHERE, JOB)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        bench = app.screen_stack[1]
        assert isinstance(bench, BenchScreen)
        bench.hand.operator = MACHINIST
        while not isinstance(app.screen, BenchScreen):
            await pilot.press("escape")
        bench.ask_gauge("bore gauge")
        await pilot.pause()
        await pilot.press("1", "enter", "enter", *"+0.5")
        full = StoreError("the disk is full", "Make room, then try again.")

        def refuse(*_: object) -> None:
            raise full

        with monkeypatch.context() as patch:
            patch.setattr(store, "append", refuse)
            await pilot.press("enter")
            await pilot.pause()
            assert "Not saved: the disk is full. Make room, then try again." in words(app)
            assert isinstance(app.screen, GaugeCard)
        await pilot.press("enter")
        await pilot.pause()
        assert not isinstance(app.screen, GaugeCard)
    check = state_at(home).gauges["BG-3"].check
    assert check is not None
    assert check.before == pytest.approx(0.00005 * INCH)


# What it offers


def test_gauges_stand_in_the_order_in_which_they_are_likely_wanted(home: Path, kit: Kit) -> None:
    desk = job_at(home)
    to_bore(desk)
    lines = gauge_lines(desk.state, MACHINIST, "bore gauge", kit, NOW)
    assert [(line.taken.gauge, bool(line.barred)) for line in lines] == [
        ("BG-3", False),
        ("BG-4", False),
        ("BG-2", True),
    ]
    do(desk, GaugeTaken("BG-4", "bore gauge", due="2036-02-16"))
    lines = gauge_lines(desk.state, MACHINIST, "bore gauge", kit, NOW)
    assert [(line.taken.gauge, line.at_hand) for line in lines][:2] == [("BG-4", True), ("BG-3", False)]


def test_only_a_gauge_without_a_zero_is_taken_without_a_question(home: Path, kit: Kit) -> None:
    desk = job_at(home)
    found = only_one(desk.state, MACHINIST, "micrometer", kit, NOW)
    assert found is not None
    assert (found.gauge, found.due) == ("MIC-1", "2036-02-16")
    assert only_one(desk.state, MACHINIST, "bore gauge", kit, NOW) is None
    assert only_one(desk.state, MACHINIST, "micrometer", None, NOW) is None
    two = replace(kit, gauges=(*kit.gauges, replace(kit.gauges[-1], id="MIC-2")))
    assert only_one(desk.state, MACHINIST, "micrometer", two, NOW) is None
    assert only_one(desk.state, MACHINIST, "micrometer", kit, "2036-02-17T00:00:00.000000Z") is None


def test_rings_in_reach_come_first_and_others_cannot_be_taken(home: Path, kit: Kit) -> None:
    state = job_at(home).state
    lines = ring_lines(state, "bore gauge", kit, 0.3415 * INCH, NOW)
    assert [(line.ring, bool(line.barred)) for line in lines] == [
        ("R-3420", False),
        ("R-3440", False),
        ("R-3415", True),
        ("R-3730", True),
    ]
    assert [line.ring for line in ring_lines(state, "bore gauge", kit, None, NOW) if line.barred] == ["R-3415"]


@pytest.mark.parametrize(
    ("typed", "off"),
    [("0", 0.0), ("0.0", 0.0), ("+1", 0.0001), ("-0.5", -0.00005), (".34205", 0.00005), ("3421", 0.0001)],
)
def test_what_a_gauge_shows_is_graduations_or_a_size(home: Path, typed: str, off: float) -> None:
    state = job_at(home).state
    reading = reading_with(state, "bore gauge", "bore")
    assert reading is not None
    assert shown_in_ring(state, reading, "R", 0.3420 * INCH, typed) == pytest.approx(off * INCH, abs=1e-9)


@pytest.mark.parametrize("typed", ["1", "", "green", ".5420", "+400"])
def test_what_no_gauge_shows_in_a_ring_is_told(home: Path, typed: str) -> None:
    state = job_at(home).state
    reading = reading_with(state, "bore gauge", "bore")
    assert reading is not None
    assert isinstance(shown_in_ring(state, reading, "R", 0.3420 * INCH, typed), Misread)


def test_a_reading_names_the_gauge_in_hand_and_no_other(home: Path) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    read(desk, ("bore", "1I"), "bored_id", 0.3424, "top")
    again = desk_at(home)
    assert in_hand(again.state, MACHINIST, "bore gauge") is not None
    last = next(e.event for e in reversed(again.entries) if isinstance(e.event, ReadingTaken))
    assert last.gauge == "BG-3"


@pytest.mark.parametrize(
    ("hours", "words"),
    [(1, "zero 60 min, "), (47, "zero 47 h, "), (49, "zero 2 days old, "), (6269, "zero 261 days old")],
)
def test_beyond_two_days_the_age_of_a_zero_is_told_in_days(home: Path, hours: int, words: str) -> None:
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    gauge = in_hand(desk.state, MACHINIST, "bore gauge")
    assert gauge is not None
    assert gauge.check is not None
    now = datetime.fromisoformat(gauge.check.time) + timedelta(hours=hours)
    assert zero_words(desk.state, gauge, now.isoformat()).startswith(words)


def test_a_figure_that_a_cable_sends_twice_is_one_figure_until_somebody_says_otherwise(home: Path) -> None:
    """The gauge's button bounces: two lines within a few milliseconds, as data cables send them."""
    desk = job_at(home)
    to_bore(desk)
    ready_to_read(desk)
    with at_bench(home) as app:
        app.wait_for("▸ 1I: Bored id, top")
        app.press(".3424\r.3424\r")
        app.wait_for("Two arrivals within 150 ms", "K keeps", ", Esc clears it.")
        assert len(figures(state_at(home), "1I")) == 1
        app.press("esc")
        app.wait_for("Two arrivals", gone=True)
        app.press("ctrl+r")  # the kit is loaded once this card is there
        app.wait_for("Which bore gauge?", "in hand")
        app.press("esc")
        app.wait_for("Which bore gauge?", gone=True)
        app.enter("BG-4", "is the tag of BG-4, nothing of it is taken")
        app.enter(".3425", "which cutter?")
    assert figures(state_at(home), "1I") == [("BG-3", ".3424", 0.3424), ("BG-3", ".3425", 0.3425)]
