"""The rows of the table follow the figure being typed, and agree with the strip below them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.agenda import Next, Now
from headwright.job.verdict import Verdict
from headwright.store.desk import Desk
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.counsel import Counsel
from headwright.terminal.bench.digits import figure_text
from headwright.terminal.bench.hand import Hand
from headwright.terminal.bench.screen import BenchScreen
from headwright.terminal.bench.strip import Strip
from headwright.terminal.bench.table import Table
from headwright.terminal.bench.tall import Tall
from headwright.terminal.bench.verdicts import worst
from headwright.terminal.bench.wide import Wide
from headwright.terminal.drawn import plain
from headwright.terminal.views.standing import castings, told
from tests.stories.alder_1001 import OWEN
from tests.terminal.alder_bench import FIRST_BALL, do, opened, typed_reading

if TYPE_CHECKING:
    from headwright.store import JobStore

HERE = "this bench"
WIDTH = 120


def at_sizing(store: JobStore) -> Hand:
    """Give a hand at the first place whose liner is to be sized."""
    hand = Hand(opened(store, up_to="size", ticked=True, terminal=HERE), HERE, Counsel(store))
    hand.follow()
    return hand


def entered(hand: Hand, *figures: str) -> None:
    """Enter figures one after the other, each where the next one goes."""
    for figure in figures:
        hand.type(figure)
        entered_typed(hand)


def entered_typed(hand: Hand) -> None:
    """Enter what is typed."""
    assert hand.enter().entries, hand.say
    hand.follow()


def _on_map(hand: Hand) -> tuple[str, str]:
    """Give sign and word of the place at hand on the map."""
    assert hand.spot is not None
    heads = castings(hand.state, hand.operation, hand.next.place)
    valves = [valve for head in heads for _, valves in head.cylinders for valve in valves]
    return next((valve.sign, valve.word) for valve in valves if valve.place == hand.spot.place)


def row(hand: Hand) -> str:
    """Give the row of the place at hand as the table draws it now."""
    assert hand.spot is not None
    face, live = Wide(hand.state, hand.operation), hand.live()
    face.arrange(WIDTH, hand.spot)
    figures = live.figures if hand.typed else ()
    number = face.row_of(hand.spot)
    assert number is not None
    return plain(face.line(number, hand.spot, hand.typed, hand.next.place, figures)).rstrip()


def test_the_row_tells_the_verdict_of_what_is_typed_before_it_is_saved(store: JobStore) -> None:
    """The stem of 1I is .3118 in: .3134 leaves .0016 in, .3142 leaves .0024 in, beyond .0020 in."""
    hand = at_sizing(store)
    ball, (first, *_) = FIRST_BALL["1I"]
    entered(hand, ball, first)
    hand.type(".3142")
    assert ".0015–.0024" in row(hand)
    assert row(hand).endswith("■ high")
    hand.clear()
    assert ".0024" not in row(hand)
    assert "■" not in row(hand)
    hand.type(".3134")
    assert ".0015–.0016" in row(hand)


async def test_a_key_draws_its_row_anew_and_no_other(store: JobStore) -> None:
    opened(store, up_to="size", ticked=True, terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    async with app.run_test(size=(160, 45)) as pilot:
        for _ in range(3):
            await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        hand, table, strip = app.screen.hand, app.screen.query_one(Table), app.screen.query_one(Strip)
        ball, sizes = FIRST_BALL["1I"]
        for figure in (ball, sizes[0]):
            await pilot.press(*figure, "enter")
            await pilot.pause(0.25)
        at = next(number for number, line in enumerate(table.lines) if "1I" in plain(line))
        for key, word in ((".", ""), ("3", ""), ("1", ""), ("4", ""), ("2", "■ high")):
            before = table.lines
            await pilot.press(key)
            await pilot.pause()
            drawn = [n for n, pair in enumerate(zip(before, table.lines, strict=True)) if pair[0] is not pair[1]]
            assert drawn == [at], (key, drawn)
            assert word in plain(table.lines[at])
        assert any(plain(line).startswith("Clearance") and "■ high" in plain(line) for line in strip.lines)
        assert hand.typed == ".3142"


def listed(hand: Hand) -> list[str]:
    """Give those rows of a list that what is typed changes, as they are drawn now."""
    assert hand.spot is not None
    face = Tall(hand.state, hand.operation)
    face.arrange(WIDTH, hand.spot)
    live, rows = hand.live(), face.rows_with(hand.spot)
    return [plain(face.line(row, hand.spot, hand.typed, hand.next.place, live.figures)).rstrip() for row in rows]


def test_a_list_follows_what_is_typed_as_a_table_does(store: JobStore) -> None:
    hand = Hand(opened(store, up_to="clean", ticked=True, terminal=HERE), HERE, Counsel(store))
    hand.follow()
    hand.type("110")
    (bath,) = listed(hand)
    assert bath.startswith("▸ Bath temperature")
    assert bath.endswith("■ high")


def test_the_results_of_a_list_follow_too(store: JobStore) -> None:
    hand = Hand(opened(store, up_to="soak", ticked=True, terminal=HERE), HERE, Counsel(store))
    hand.follow()
    entered(hand, "20", "24")
    hand.type("20")
    gauge, over = listed(hand)
    assert "20▏" in gauge
    assert "4.0 °C" in over
    hand.type(".5")
    assert "3.5 °C" in listed(hand)[1]


def test_the_row_names_the_way_in_which_the_first_figure_is_out(store: JobStore) -> None:
    """A bore .1 in too large: the clearance is high, and the spring-back, which comes after it, low."""
    hand = at_sizing(store)
    ball, _ = FIRST_BALL["1I"]
    entered(hand, ball)
    hand.type(".4133")
    verdicts = {figure.item: figure.verdict for figure in hand.live().figures}
    assert (verdicts["clearance"], verdicts["springback"]) == (Verdict.HIGH, Verdict.LOW)
    assert row(hand).endswith("■ high")
    figures = hand.live().figures
    assert worst(figures) is Verdict.HIGH
    assert worst(figures[::-1]) is Verdict.LOW


def test_no_tick_stands_in_the_row_before_the_last_reading_is_there(store: JobStore) -> None:
    hand = at_sizing(store)
    ball, (*sizes, last) = FIRST_BALL["1I"]
    entered(hand, ball)
    for size in sizes:
        hand.type(size)
        assert row(hand).endswith("· ok")
        entered_typed(hand)
        assert row(hand).endswith("· ok")
        assert _on_map(hand) == ("▸", "ok so far")
        assert any("ok so far" in sentence for sentence in told(hand.state, hand.operation, "1I"))
    hand.type(last)
    assert row(hand).endswith("✓ ok")
    entered_typed(hand)
    assert told(hand.state, hand.state.index.operations["size"], "1I")[0].endswith("✓ ok.")


def test_a_figure_that_is_out_shows_before_the_last_reading_is_there(store: JobStore) -> None:
    hand = at_sizing(store)
    entered(hand, *FIRST_BALL["2I"][:1], FIRST_BALL["2I"][1][3])
    assert row(hand).endswith("■ low")
    assert _on_map(hand) == ("▸", "low")


def test_a_question_of_two_that_passes_has_no_tick_for_the_place(store: JobStore) -> None:
    hand = Hand(opened(store, up_to="trim", ticked=True, terminal=HERE), HERE, Counsel(store))
    hand.follow()
    while hand.step is not None:
        assert hand.tick().entries
        hand.follow()
    assert hand.spot is not None
    place = hand.spot.place
    entered(hand, "yes")
    assert hand.spot.place == place
    assert row(hand).endswith("· ok")
    assert told(hand.state, hand.operation, place)[0].endswith(": ok so far.")


def read_elsewhere(hand: Hand, place: str, angle: int, size: str) -> None:
    """Read the top of a bore from another terminal, and take that in at this one."""
    elsewhere = Desk.open(hand.counsel.store, "7", "elsewhere")
    found = Next(Now.READING, "", "size", place, "finished_id", ("finished_id", "top", angle))
    do(elsewhere, typed_reading(elsewhere, found, size), OWEN.operator)
    assert hand.refresh()


def test_row_and_strip_agree_when_another_terminal_reads_where_a_figure_is_typed(store: JobStore) -> None:
    """Read elsewhere, .0001 in out of round; with the .3133 in that is typed here over one of them, round."""
    hand = at_sizing(store)
    entered(hand, FIRST_BALL["1I"][0])
    hand.type(".3133")
    read_elsewhere(hand, "1I", 0, ".3134")
    read_elsewhere(hand, "1I", 90, ".3133")
    (below,) = (figure_text(hand.state, f) for f in hand.live().figures if f.item == "out_of_round")
    assert below == ".0000"
    assert ".0000" in row(hand)
    assert ".0001" not in row(hand)
    hand.clear()
    assert ".0001" in row(hand)


def test_a_row_that_another_terminal_changed_is_drawn_anew_whichever_was_named(store: JobStore) -> None:
    hand = at_sizing(store)
    entered(hand, FIRST_BALL["1I"][0])
    face = Wide(hand.state, hand.operation)
    face.arrange(WIDTH, hand.spot)
    read_elsewhere(hand, "1I", 0, ".3134")
    rows = face.look(hand.state, ())
    assert rows is None or face.first_row_at("1I") in rows
    assert ".3134" in plain(face.line(0, None, "", ""))
    assert face.look(hand.state, ()) == ()
