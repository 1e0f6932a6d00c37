"""The figure across the shop: its digits, unit, sign, verdict and place, large and in ordinary letters."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.screen import Screen

from headwright.job.arrivals import twice
from headwright.job.events import ReadingTaken
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.store.record import import_job
from headwright.terminal.bench.counsel import Counsel
from headwright.terminal.bench.hand import Hand
from headwright.terminal.bench.spots import Spot
from headwright.terminal.views.big import Big, drawn_big
from headwright.terminal.views.big_panel import BigPanel, big_of
from headwright.terminal.views.glyphs import (
    FIGURE_SIZES,
    FONTS,
    INK,
    SIZES,
    WORD_SIZES,
    Size,
    can_write,
    fitting,
    width_of,
    written,
)
from tests.terminal.cards_app import seen
from tests.terminal.views_jobs import HOSTILE_NAMES, ViewScreen, fits, is_plain, record, texts

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.app import ComposeResult

LETTERS = sorted(FONTS[7])
IN = Big("3I", "Finished ID, top, 0°", ".3134", "in", "✓", "ok", "Clearance .0016, limits .0010 to .0020 in", "good", 5)


@pytest.mark.parametrize(("lines", "face"), FONTS.items())
def test_the_letters_of_a_face_are_even_and_none_looks_like_another(lines: int, face: dict[str, str]) -> None:
    assert sorted(face) == LETTERS
    for letter, rows in face.items():
        assert len(rows.split()) == lines, letter
        assert len({len(row) for row in rows.split()}) == 1, letter
        assert set(rows) <= set("#. ")
    digits = [face[digit] for digit in "0123456789"]
    assert len(set(digits)) == 10
    apart = [rows for letter, rows in face.items() if letter not in {"0", "O", "5", "S", "2", "Z"}]
    assert len(set(apart)) == len(apart)


def _read(lines: list[str], text: str) -> bool:
    """Tell whether a text stands in the lines in large letters of some size, all of its rows under one another."""
    for size in SIZES:
        rows = [row.rstrip() for row in written(text, size)]
        for y in range(len(lines) - len(rows) + 1):
            part = lines[y : y + len(rows)]
            ats = range(len(part[0]))
            if any(all(line[at : at + len(row)] == row for line, row in zip(part, rows, strict=True)) for at in ats):
                return True
    return False


@settings(deadline=None)
@given(
    st.from_regex(r"[+-]?[0-9]{0,2}\.[0-9]{3,5}", fullmatch=True),
    st.sampled_from(["✓ ok", "· ok", "■ low", "■ high"]),
)
def test_a_figure_as_it_is_typed_fits_eighty_columns_with_its_verdict_and_its_place(figure: str, verdict: str) -> None:
    """At least five lines a digit, on a terminal of 80 × 24."""
    sign, word = verdict.split()
    lines = texts(drawn_big(IN._replace(figure=figure, sign=sign, word=word, usual=len(figure)), 78, 22))
    assert _read(lines, figure)
    assert _read(lines, verdict)
    assert _read(lines, "3I")
    assert sum(" in" in line for line in lines) >= 1
    assert lines[0].startswith("3I  Finished ID, top, 0°")
    assert lines[-1].startswith(verdict)


@pytest.mark.parametrize("word", ["ok", "near", "low", "high", "wrong", "conceded", "not proven", "out"])
@pytest.mark.parametrize("place", ["2I", "H07-IA", "head A", "L1I"])
def test_every_verdict_is_a_large_word_beside_its_place(word: str, place: str) -> None:
    lines = texts(drawn_big(IN._replace(place=place, word=word, sign="■"), 78, 22))
    assert _read(lines, f"■ {word}")
    assert place in lines[0]


def test_the_digits_keep_their_size_and_place_while_a_figure_is_typed() -> None:
    begins = []
    for typed in (".3", ".31", ".313", ".3134"):
        lines = texts(drawn_big(IN._replace(figure=typed, sign="", word=""), 78, 22))
        assert _read(lines, typed)
        body = lines[8:-1]
        begins.append(
            (min(len(line) - len(line.lstrip()) for line in body if INK in line), sum(INK in x for x in body))
        )
    assert len(set(begins)) == 1


@pytest.mark.parametrize(("width", "height"), [(78, 15), (78, 17), (98, 20), (118, 27), (158, 36)])
def test_at_every_size_a_blank_line_parts_figure_from_verdict_and_no_verdict_changes_a_size(
    width: int, height: int
) -> None:
    """Place and figure stay as they are while a verdict comes and goes, in one face that grows with the screen."""
    shown = []
    for sign, word in (("", ""), ("✓", "ok"), ("~", "near"), ("■", "low"), ("■", "high")):
        lines = texts(drawn_big(IN._replace(place="1I", sign=sign, word=word), width, height))
        assert _read(lines, ".3134")
        assert not word or _read(lines, f"{sign} {word}")
        body = lines[1:-1]
        begins = next(y for y, line in enumerate(body) if " in" in line) - _lines_of(body, ".3134", FIGURE_SIZES) + 1
        assert not body[begins - 1].strip()
        place, figure = _lines_of(body, "1I", WORD_SIZES), _lines_of(body, ".3134", FIGURE_SIZES)
        shown.append((place, figure, begins))
    assert len(set(shown)) == 1
    assert shown[0][1] >= 7


def _lines_of(lines: list[str], text: str, sizes: tuple[Size, ...]) -> int:
    """Give the lines of the first of these sizes in which a text stands there."""
    return next(size.lines for size in sizes if all(any(r.strip() in x for x in lines) for r in written(text, size)))


@pytest.mark.parametrize("figure", ["1" * 60, "8.73 mm, read twice", "漢字", "yes", "…"])
def test_what_large_letters_cannot_write_stands_in_ordinary_ones(figure: str) -> None:
    lines = texts(drawn_big(IN._replace(figure=figure), 78, 22))
    large = can_write(figure) and fitting(figure, 78, 20) is not None
    assert _read(lines, figure) if large else any(figure in line for line in lines)


def test_nothing_typed_and_nothing_read_says_so() -> None:
    lines = texts(drawn_big(Big("3I", "Finished ID", "", "in", "", "", "", "", 5), 60, 18))
    assert any("nothing read here yet in" in line for line in lines)
    assert lines[-1].startswith("no verdict yet")


@pytest.mark.parametrize("width", [20, 30, 40, 60, 78, 158])
@pytest.mark.parametrize("height", [4, 8, 12, 22, 43])
def test_it_fits_every_screen_in_any_script_and_in_plain_ascii(width: int, height: int) -> None:
    for name in (*HOSTILE_NAMES, "3I", "w" * 99):
        for figure in (".3134", "-12.0505", name):
            big = IN._replace(place=name, point=name, figure=figure, unit="µm", word=name[:12], by=name * 4)
            lines = drawn_big(big, width, height)
            assert len(lines) == height
            assert fits(lines, width)
            assert is_plain(lines)


@given(st.text(LETTERS, min_size=1, max_size=12))
def test_a_text_takes_the_cells_that_it_is_said_to_take(text: str) -> None:
    for size in SIZES:
        rows = written(text, size)
        assert len(rows) == size.lines
        assert {cell_len(row) for row in rows} == {width_of(text, size)}


@pytest.fixture
def hand(tmp_path: Path) -> Iterator[Hand]:
    """Give a hand at 3I in sizing, at the bench of the sample job that is finished."""
    store = open_store(tmp_path / "jobs.db")
    known = record("1001")
    until = next(e.number for e in known.entries if getattr(e.event, "operation", "") == "verify") - 1
    import_job(store, known, until)
    at = Hand(Desk.open(store, "1001", "t"), "t", Counsel(store))
    at.look_at("size")
    at.pick(Spot("3I", "finished_id", ("finished_id", "top", 0)))
    yield at
    store.close()


def test_without_typing_the_figure_on_record_is_shown_and_the_clearance_judges_it(hand: Hand) -> None:
    big = big_of(hand, hand.live())
    assert (big.place, big.point, big.unit) == ("3I", "Finished ID, top, 0°", "in")
    assert big.figure == ".3134"
    assert (big.sign, big.word, big.style) == ("✓", "ok", "good")
    assert big.by == "Clearance .0014–.0016, limits .0010 to .0020 in"


def test_while_sizes_are_still_to_be_read_nothing_has_its_tick(tmp_path: Path) -> None:
    """The ball and three of six sizes of 1I are read, and the fourth is typed."""
    store = open_store(tmp_path / "jobs.db")
    known = record("1001")
    sizes = (e.number for e in known.entries if getattr(e.event, "reading", "") == "finished_id")
    import_job(store, known, list(sizes)[2])
    at = Hand(Desk.open(store, "1001", "t"), "t", Counsel(store))
    at.look_at("size")
    at.pick(Spot("1I", "finished_id", ("finished_id", "middle", 90)))
    for typed in ("", ".3132"):
        at.type(typed)
        big = big_of(at, at.live())
        assert (big.sign, big.word, big.style) == ("·", "ok", "")
        assert big.by.startswith("Clearance so far .001")
    assert _read(texts(drawn_big(big, 80, 18)), "· ok")
    store.close()


def test_while_it_is_typed_the_verdict_is_that_of_the_figure(hand: Hand) -> None:
    hand.type(".3142")
    big = big_of(hand, hand.live())
    assert (big.figure, big.sign, big.word, big.style) == (".3142", "■", "high", "bad")
    assert big.by.startswith("Clearance .0014–.0024")


def test_another_result_that_fails_is_not_taken_for_the_size(hand: Hand) -> None:
    """.3129 is well in its clearance: only the hole is no longer round, and `high` would be read as the size."""
    hand.type(".3129")
    big = big_of(hand, hand.live())
    assert (big.sign, big.word) == ("■", "out")
    assert big.by.startswith("Out of round")
    assert big.by.endswith("■ high")


def test_beside_a_ball_the_clearance_that_fails_is_not_read_as_the_size_of_the_ball(tmp_path: Path) -> None:
    """2I of the first job was undersize after its first ball, and held."""
    store = open_store(tmp_path / "jobs.db")
    known = record("1001")
    of_2i = [
        e.number
        for e in known.entries
        if isinstance(e.event, ReadingTaken) and (e.event.operation, e.event.place) == ("size", "2I")
    ]
    last = of_2i[6]
    import_job(store, known, last)
    at = Hand(Desk.open(store, "1001", "t"), "t", Counsel(store))
    at.look_at("size")
    at.pick(Spot("2I", "ball", ("ball", "", None)))
    big = big_of(at, at.live())
    assert (big.sign, big.word, big.style) == ("■", "out", "bad")
    assert big.by.startswith("held: Clearance ")
    at.pick(Spot("2I", "finished_id", ("finished_id", "top", 0)))
    big = big_of(at, at.live())
    assert (big.sign, big.word) == ("■", "low")
    store.close()


def test_while_a_figure_is_questioned_the_question_stands_where_its_verdict_would(hand: Hand) -> None:
    hand.type(".3134")
    hand.doubt = twice(".3134", "in")
    big = big_of(hand, hand.live())
    assert (big.figure, big.sign, big.word) == (".3134", "?", "sure")
    assert big.by == hand.doubt.say
    lines = texts(drawn_big(big, 80, 18))
    assert lines[-1].startswith("? sure") or lines[-2].startswith("? sure")


def test_where_nothing_is_read_no_unit_follows_the_words(tmp_path: Path) -> None:
    store = open_store(tmp_path / "jobs.db")
    known = record("1001")
    import_job(store, known, next(e.number for e in known.entries if getattr(e.event, "operation", "") == "size") - 1)
    at = Hand(Desk.open(store, "1001", "t"), "t", Counsel(store))
    at.look_at("size")
    at.pick(Spot("1I", "finished_id", ("finished_id", "top", 0)))
    big = big_of(at, at.live())
    assert (big.figure, big.unit, big.word) == ("", "", "")
    store.close()


def test_a_typed_unit_is_not_followed_by_another_and_what_cannot_be_read_says_why(hand: Hand) -> None:
    hand.type("7.96 mm")
    assert big_of(hand, hand.live()).unit == ""
    hand.clear()
    hand.type("..")
    big = big_of(hand, hand.live())
    assert (big.sign, big.word, big.style) == ("?", "", "bad")
    assert big.by


class _Shown(Screen[None]):
    def compose(self) -> ComposeResult:
        yield BigPanel()


async def test_the_panel_draws_what_is_typed(hand: Hand) -> None:
    app: ViewScreen[None] = ViewScreen(_Shown())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        panel = app.screen.query_one(BigPanel)
        hand.type(".3133")
        panel.show(hand, hand.live())
        await pilot.pause()
        lines = seen(app).splitlines()
        assert _read(lines, ".3133")
        assert _read(lines, "✓ ok")
        hand.rub()
        panel.show(hand, hand.live())
        await pilot.pause()
        assert _read(seen(app).splitlines(), ".313")
        assert not _read(seen(app).splitlines(), ".3133")
