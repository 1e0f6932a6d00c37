"""The hold card: what failed and by how much, the ways out, and that nothing is decided by accident."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from textual.widgets import Input

from headwright.job.events import Disposed, Disposition, Stopped
from headwright.job.holds import hold_at
from headwright.job.index import PlanIndex
from headwright.procedure.plan import Rules
from headwright.terminal.cards.choices import CHOOSE, READ, Numbered
from headwright.terminal.cards.hold import BY_LEAD, HoldCard, set_aside
from headwright.terminal.cards.words_line import WordsLine
from headwright.terminal.keyline import KeyLine
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop, plan
from tests.terminal.cards_app import HOSTILE, SIZES, OneScreen, is_in_sight, seen, words

if TYPE_CHECKING:
    from headwright.job.holds import Hold
    from headwright.procedure.plan import Plan


def _low(the_plan: Plan | None = None) -> tuple[Shop, Hold]:
    """1I sized too small: .0006 to .0007 in where .0010 to .0020 is asked for."""
    shop = Shop(the_plan)
    shop.to_size()
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    return shop, hold


def _app(operator: str = MACHINIST) -> tuple[Shop, OneScreen[Disposed | Stopped | None]]:
    shop, hold = _low()
    return shop, OneScreen(HoldCard(shop.state, hold, operator))


async def test_it_tells_what_failed_its_limits_by_how_much_and_why_it_matters() -> None:
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
    assert "■ 1I is held in 'Size'" in text
    assert "Clearance: .0006–.0007 in, low by .0004 in" in text
    assert "Expected .0010 to .0020 in (sheet)" in text
    assert "Why it matters Sizing sets the clearance." in text
    assert "Attempt" not in text, "the first goes without saying"


@pytest.mark.parametrize(("others", "told"), [(1, 1), (3, 3), (5, 2)])
async def test_every_figure_that_fails_at_the_place_is_told(others: int, told: int) -> None:
    """Other results of the same readings, held to the same limits: what cannot be listed is counted."""
    base = plan()
    operations = []
    for operation in base.operations:
        again = [
            replace(result, name=f"r{n}", label=f"Result {n}") for result in operation.results for n in range(others)
        ]
        operations.append(replace(operation, results=(*operation.results, *again)))
    shop, hold = _low(replace(base, operations=tuple(operations)))
    app = OneScreen(HoldCard(shop.state, hold, MACHINIST))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
    assert "What failed Clearance: .0006–.0007 in, low by .0004 in Also out Result 0: .0006–.0007 in, low by" in text
    assert sum(f"Result {n}:" in text for n in range(others)) == told
    assert ("and 3 more" in text) == (others == 5)


async def test_a_second_attempt_tells_how_the_first_ended() -> None:
    shop, _ = _low()
    shop.do(Disposed("size", "1I", "clearance", Disposition.REWORK, "went up in ball", redo="size"))
    shop.inch("size", "1I", "finished_id", 0.3125, 0.3124)
    hold = hold_at(shop.state, ("size", "1I"))
    assert hold is not None
    app = OneScreen(HoldCard(shop.state, hold, MACHINIST))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Attempt 2, after: went up in ball" in words(app)


async def test_each_way_out_tells_what_it_undoes() -> None:
    shop = Shop()
    shop.to_size()
    for place, inches in (("1I", 0.3133), ("1E", 0.3131)):
        shop.inch("size", place, "finished_id", inches, inches)
        shop.tick("wash", place, "wash")
    shop.tick("soak", "head:A", "wait")
    shop.word("verify", "1I", "drops", "no")
    hold = hold_at(shop.state, ("verify", "1I"))
    assert hold is not None
    app = OneScreen(HoldCard(shop.state, hold, MACHINIST))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
        assert "Valve drops freely: no, wrong" in text
        assert "Expected yes" in text
        await pilot.press("2")
        await pilot.pause()
        # Two sizes (top, bottom) and the fit of the valve are read anew; to measure again, the fit alone.
        assert "What to do Size it again. Goes back to Size Sets aside 3 readings; they stay on record" in words(app)
        assert "Undoes Size, Wash at 1I" in words(app)
        await pilot.press("1")
        await pilot.pause()
        assert "take these readings again. Sets aside 1 reading; they stay on record" in words(app)


async def test_a_number_then_enter_twice_decides_with_the_words_of_the_procedure() -> None:
    shop, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2", "enter")
        assert app.answers == []
        await pilot.press("enter")
        await pilot.pause()
    assert app.answers == [
        Disposed("size", "1I", "clearance", Disposition.REWORK, "Go up in ball.", redo="size"),
    ]
    assert isinstance(app.answers[0], Disposed)
    shop.do(app.answers[0])


async def test_enter_alone_decides_nothing_however_often_it_comes() -> None:
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.screen.query_one(Numbered).highlighted is None
        assert app.screen.query_one(Input).value == ""
        await pilot.press("enter", "enter", "enter")
        assert CHOOSE in words(app)
        await pilot.press(*"it has to be", "enter", "enter")
        assert CHOOSE in words(app)
        assert app.answers == []


async def test_words_of_ones_own_take_the_place_of_the_procedures() -> None:
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "enter", *"gauge was dirty", "enter")
        await pilot.pause()
    assert app.answers == [Disposed("size", "1I", "clearance", Disposition.REMEASURE, "gauge was dirty")]


async def test_a_concession_wants_the_leads_own_words() -> None:
    shop, app = _app(LEAD)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("8", "enter", "enter")
        assert "A reason is expected: say why, in your own words." in words(app)
        assert app.answers == []
        await pilot.press(*"race engine", "enter")
        await pilot.pause()
    wanted = Disposed("size", "1I", "clearance", Disposition.CONCESSION, "race engine")
    assert app.answers == [wanted]
    shop.do(wanted, LEAD)


@pytest.mark.parametrize(
    ("leads", "said"), [(True, BY_LEAD), (False, "No lead has a PIN yet: Esc, then F5, where one")]
)
async def test_what_takes_a_lead_says_how_one_signs(leads: bool, said: str) -> None:  # noqa: FBT001 - two shops
    shop, hold = _low()
    pins = PlanIndex(replace(shop.state.plan, rules=Rules(pins=True)))
    app = OneScreen(HoldCard(dataclasses.replace(shop.state, index=pins, known=None), hold, MACHINIST, leads=leads))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("8")
        await pilot.pause()
        assert said in words(app)


@pytest.mark.parametrize(("operator", "role"), [(MACHINIST, "machinist"), (TRAINEE, "trainee")])
async def test_what_the_role_does_not_reach_says_who_may_and_is_not_taken(operator: str, role: str) -> None:
    _, app = _app(operator)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("9", "enter")
        assert f"({operator}) is at the bench as {role}." in words(app)
        assert "Not open to you: this is for a lead;" in words(app)
        assert not is_in_sight(app, app.screen.query_one(WordsLine)), "there is no line for what cannot be chosen"
        await pilot.press(*"give it up", "enter")
        assert "'give it up' is not taken: nothing is chosen yet." in words(app)
        assert app.answers == []


async def test_a_trainee_is_told_that_nothing_is_open_to_them() -> None:
    _, app = _app(TRAINEE)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("1", "enter", "enter")
        assert app.answers == []
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_a_stop_is_handed_back_as_a_stop_of_the_head() -> None:
    base = plan()
    remedy = replace(base.operations[0].readings[0].remedies[0], say="Do not go on: call the lead.")
    mend = replace(remedy, say="Weld it.", stop=False, redo="receive")
    reading = replace(base.operations[0].readings[0], remedies=(remedy, mend))
    operations = (replace(base.operations[0], readings=(reading,)), *base.operations[1:])
    shop = Shop(replace(base, operations=operations))
    shop.word("receive", "head:A", "cracked", "yes")
    hold = hold_at(shop.state, ("receive", "head:A"))
    assert hold is not None
    app = OneScreen(HoldCard(shop.state, hold, TRAINEE))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "7 Stop head A waits for a lead" in words(app)
        await pilot.press("7")
        await pilot.pause()
        assert "What to do Do not go on: call the lead. Stops head A, until a lead resumes it" in words(app)
        await pilot.press("enter", "enter")
        await pilot.pause()
    assert app.answers == [Stopped("head:A", "Cracks seen, head A: Do not go on: call the lead.")]
    assert isinstance(app.answers[0], Stopped)
    shop.do(app.answers[0], TRAINEE)
    assert shop.state.stopped == {"head:A": "Cracks seen, head A: Do not go on: call the lead."}


async def test_what_is_measured_again_only_after_a_lead_was_asked_is_called_a_stop_and_says_where_it_was() -> None:
    """Nothing is held once the readings are set aside: the reason for the stop is all that tells of the place."""
    base = plan()
    operations = []
    for operation in base.operations:
        results = tuple(
            replace(r, remedies=tuple(replace(m, stop=True, remeasure=True, redo="") for m in r.remedies))
            for r in operation.results
        )
        operations.append(replace(operation, results=results))
    shop, hold = _low(replace(base, operations=tuple(operations)))
    app = OneScreen(HoldCard(shop.state, hold, MACHINIST))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "7 Stop head A waits for a lead, then this is taken again" in words(app)
        assert "Remeasure" not in words(app)
        await pilot.press("7", "enter", "enter")
        await pilot.pause()
    assert isinstance(app.answers[0], Disposed)
    shop.do(app.answers[0])
    assert hold_at(shop.state, ("size", "1I")) is None
    assert shop.state.stopped["head:A"] == "Clearance, 1I: Go up in ball."


@pytest.mark.parametrize("typed", ["0.3132", ".3132", "3132", "+2", "8.73 mm", "ERR"])
async def test_readings_that_a_gauge_types_into_the_card_decide_nothing(typed: str) -> None:
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(3):
            await pilot.press(*typed, "enter")
        await pilot.press("2", "enter")
        for _ in range(3):
            await pilot.press(*typed, "enter")
            assert "looks like a reading from a gauge" in words(app)
        assert app.answers == []
        assert app.screen.query_one(Input).value == "Go up in ball."
        await pilot.press("right", *typed, "enter")
        assert app.answers == []


async def digits_of(hold: Hold, shop: Shop) -> dict[str, str]:
    """Give what each digit chooses on the card of a hold; where there are several reworks, of the last of them."""
    app = OneScreen(HoldCard(shop.state, hold, LEAD))
    found = {}
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.pause()
        for digit in "123456789":
            await pilot.press(digit)
            await pilot.pause()
            chosen = app.screen.query_one(Numbered).highlighted
            line = f" {digit} "
            if "There is no choice" not in words(app):
                assert chosen is not None
                found[digit] = next(row.split(line)[1].split()[0] for row in seen(app).splitlines() if line in row[:9])
    return found


async def test_a_way_out_has_the_same_digit_on_every_card() -> None:
    """Whatever stands beside it: a practised thumb must not scrap a head where it measured again a minute before."""
    shop, low = _low()
    assert await digits_of(low, shop) == {"1": "Remeasure", "2": "Rework", "8": "Concession", "9": "Scrap"}
    rework = next(way for way in low.ways if way.disposition is Disposition.REWORK)
    stop = replace(rework, disposition=None, redo="", stop=True, undoes={})
    many = replace(low, ways=(rework, stop, *low.ways, rework))
    assert await digits_of(many, shop) == {
        "1": "Remeasure",
        "2": "Rework",
        "3": "Rework",
        "4": "Rework",
        "7": "Stop",
        "8": "Concession",
        "9": "Scrap",
    }


async def test_a_firm_limit_says_that_nobody_concedes_it_and_leaves_the_other_digits_where_they_are() -> None:
    base = plan()
    operations = tuple(
        replace(o, results=tuple(replace(r, firm=True) for r in o.results)) if o.id == "size" else o
        for o in base.operations
    )
    shop, hold = _low(replace(base, operations=operations))
    assert await digits_of(hold, shop) == {"1": "Remeasure", "2": "Rework"}
    app = OneScreen(HoldCard(shop.state, hold, LEAD))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Firm A limit of safety or law: nobody concedes it." in words(app)


async def test_escape_goes_from_the_reason_to_the_choices_and_then_leaves_all_as_it_is() -> None:
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2", "enter")
        assert app.screen.query_one(Input).has_focus
        await pilot.press("escape")
        assert app.screen.query_one(Numbered).has_focus
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_what_is_set_aside_is_what_the_decision_then_sets_aside() -> None:
    shop, hold = _low()
    before = len(shop.state.attempt("size", "1I").readings)
    wanted = Disposed("size", "1I", "clearance", Disposition.REMEASURE, "gauge was dirty")
    told = set_aside(shop.state, wanted)
    shop.do(wanted)
    assert told == before - len(shop.state.attempt("size", "1I").readings) == 2
    assert hold.ways


def _wordy(times: int) -> Plan:
    base = plan()
    operations = []
    for operation in base.operations:
        results = tuple(
            replace(
                r,
                why="It matters. " * times,
                remedies=tuple(replace(m, say=f"Go up in ball, {'and measure ' * 12}at last.") for m in r.remedies),
            )
            for r in operation.results
        )
        operations.append(replace(operation, results=results))
    return replace(base, operations=tuple(operations))


async def test_where_a_card_is_longer_than_the_screen_it_says_so_and_page_down_reads_on() -> None:
    shop, hold = _low(_wordy(60))
    app = OneScreen(HoldCard(shop.state, hold, MACHINIST))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.pause()
        read, ways = app.screen.query_one(".card-facts"), app.screen.query_one(Numbered)
        assert read.max_scroll_y > 0
        assert "More stands below: PgDn reads on." in words(app)
        assert "PgDn further" in words(app)
        for _ in range(12):
            await pilot.press("pagedown")
            await pilot.pause()
        assert read.scroll_offset.y == read.max_scroll_y
        assert "More stands below" not in words(app)
        assert ways.highlighted is None
        await pilot.press("1")
        for _ in range(12):
            await pilot.press("pageup")
            await pilot.pause()
        assert read.scroll_offset.y == 0
        assert ways.highlighted == 0, "the choice stays"


async def test_all_ways_out_stand_at_once_and_what_is_signed_is_read_whole_on_a_small_terminal() -> None:
    shop, hold = _low(_wordy(6))
    app = OneScreen(HoldCard(shop.state, hold, MACHINIST))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.pause()
        for title in ("1 Remeasure", "2 Rework", "8 Concession", "9 Scrap"):
            assert title in words(app)
        assert "1 2 8 9 choose Enter take it Esc leave" in words(app), "nothing further: no key for it"
        ways = [line for line in seen(app).splitlines() if "Remeasure" in line]
        await pilot.press("2")
        await pilot.pause()
        assert f"What to do {hold.ways[0].say}" in words(app)
        assert [line for line in seen(app).splitlines() if "Remeasure" in line] == ways, "nothing moves"
        await pilot.press("8")
        await pilot.pause()
        assert "Not open × this is for a lead; Mara (07) is at the bench as machinist." in words(app)
        await pilot.pause(READ)
        await pilot.press("2", "enter")
        await pilot.pause()
        await pilot.pause()
        assert f"Reason {hold.ways[0].say}" in words(app)
        assert words(app).count(hold.ways[0].say) == 1
        assert "Sets aside 2 readings; they stay on record Undoes nothing else that is done" in words(app)
        await pilot.press(*"so")
        assert app.screen.query_one(Input).value == "so", "typing takes its place"


async def test_a_letter_hit_by_mistake_does_not_spoil_the_number_after_it() -> None:
    """In one go they are words, or what a gauge sends, and choose nothing."""
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("d", "1", "enter")
        await pilot.pause()
        assert "'d1' is not taken" in words(app)
        await pilot.press("d")
        await pilot.pause(READ)
        await pilot.press("1", "enter")
        await pilot.pause()
        assert app.screen.query_one(Input).has_focus


async def test_the_mouse_chooses_too() -> None:
    _, app = _app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        row = next(y for y, line in enumerate(seen(app).splitlines()) if "Remeasure" in line)
        await pilot.click(offset=(10, row))
        await pilot.pause()
        assert app.screen.query_one(Input).has_focus
        assert app.screen.query_one(Numbered).highlighted == 0


@pytest.mark.parametrize("size", SIZES)
async def test_long_and_hostile_text_is_shown_as_text_and_leaves_everything_in_reach(size: tuple[int, int]) -> None:
    base = plan()
    operations = []
    for operation in base.operations:
        results = tuple(
            replace(
                result,
                label=HOSTILE,
                why=f"{HOSTILE} " * 5,
                remedies=tuple(replace(remedy, say=f"{HOSTILE} " * 2) for remedy in result.remedies),
            )
            for result in operation.results
        )
        operations.append(replace(operation, title=HOSTILE, results=results))
    shop, hold = _low(replace(base, operations=tuple(operations)))
    app = OneScreen(HoldCard(shop.state, hold, LEAD))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.pause()
        screen = app.screen
        assert "[/b][@click=app.quit]q[/]" in words(app)
        assert not set(seen(app)) & {"\x1b", "\x07", "\u202e"}
        for widget in (screen.query_one(Numbered), screen.query_one(KeyLine)):
            assert is_in_sight(app, widget)
        for number, digit in enumerate("1289"[: len(hold.ways)]):
            await pilot.press(digit)
            assert screen.query_one(Numbered).highlighted == number
        await pilot.press("enter")
        await pilot.pause()
        assert CHOOSE in words(app)
        assert is_in_sight(app, screen.query_one(KeyLine))
        await pilot.press("8", "enter")
        await pilot.pause()
        await pilot.pause()
        assert is_in_sight(app, screen.query_one(Input))
        assert is_in_sight(app, screen.query_one(KeyLine))
        await pilot.press("escape", "9", "enter", *"beyond repair", "enter")
        await pilot.pause()
    assert app.answers == [Disposed("size", "1I", "clearance", Disposition.SCRAP, "beyond repair")]
