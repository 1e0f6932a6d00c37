"""The line for words: whole and wrapped however long, with its cursor in sight, and by the mouse too."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from headwright.terminal.cards.confirm import ReasonCard
from headwright.terminal.cards.words_line import LONGEST, WordsLine, rows
from tests.terminal.cards_app import OneScreen, is_in_sight, seen, words

if TYPE_CHECKING:
    from textual.pilot import Pilot

REASON = "The customer was told of it on the telephone and takes the head as it is, without any warranty of ours."


@given(st.text(alphabet="ab  日é", max_size=60), st.integers(2, 12))
def test_rows_leave_nothing_out_and_fit(text: str, width: int) -> None:
    found = rows(text, width)
    assert [start for start, _ in found] == [0, *(end for _, end in found[:-1])]
    assert found[-1][1] == len(text) + 1
    assert all(cell_len(f"{text} "[start:end].rstrip()) <= width for start, end in found)


@pytest.mark.parametrize(
    ("text", "width", "expected"),
    [
        ("", 8, [""]),
        ("one two", 8, ["one two"]),
        ("one two three", 8, ["one two ", "three"]),
        ("abcdefghijk", 4, ["abcd", "efgh", "ijk"]),
    ],
)
def test_words_are_broken_at_blanks_and_only_else_inside(text: str, width: int, expected: list[str]) -> None:
    assert [text[start:end] for start, end in rows(text, width)] == expected


async def _typed(pilot: Pilot[None], text: str) -> WordsLine:
    await pilot.pause()
    await pilot.press(*text)
    await pilot.pause()
    return pilot.app.screen.query_one(WordsLine)


async def test_a_long_reason_is_seen_whole_while_it_is_typed() -> None:
    app = OneScreen(ReasonCard("Concession", "It goes on the sheet.", "Reason"))
    async with app.run_test(size=(80, 24)) as pilot:
        line = await _typed(pilot, REASON)
        assert REASON in words(app)
        assert line.size.height == 2
        await pilot.press("enter")
        await pilot.pause()
    assert app.answers == [REASON]


async def test_the_longest_reason_keeps_its_cursor_and_the_keys_in_sight() -> None:
    app = OneScreen(ReasonCard("Concession", "It goes on the sheet.", "Reason"))
    async with app.run_test(size=(80, 24)) as pilot:
        line = await _typed(pilot, "word " * (LONGEST // 5 - 1) + "end")
        assert is_in_sight(app, line)
        assert "end" in words(app)
        assert "Enter give it" in words(app)
        assert line.region.contains_point(line.cursor_screen_offset)
        await pilot.press("home")
        await pilot.pause()
        assert "end" not in words(app).replace("Enter", "")
        assert line.region.contains_point(line.cursor_screen_offset)


async def test_a_click_on_a_lower_row_goes_there() -> None:
    app = OneScreen(ReasonCard("Concession", "It goes on the sheet.", "Reason"))
    async with app.run_test(size=(80, 24)) as pilot:
        line = await _typed(pilot, REASON)
        start = rows(REASON, line.size.width)[1][0]
        assert seen(app).splitlines()[line.region.y + 1][line.region.x :].startswith(REASON[start : start + 10])
        await pilot.click(line, offset=(3, 1))
        assert line.cursor_position == start + 3
