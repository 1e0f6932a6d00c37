"""The sheet that the views are drawn on: nothing leaves it, and nothing moves what stands beside it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from headwright.terminal.views.paper import Paper, cut, flowed
from tests.terminal.views_jobs import HOSTILE_NAMES, fits, texts


@given(st.lists(st.tuples(st.integers(-5, 25), st.integers(-2, 4), st.sampled_from(["abc", "漢字", "é", "━━"]))))
def test_nothing_drawn_leaves_the_sheet_or_moves_what_stands_beside_it(puts: list[tuple[int, int, str]]) -> None:
    paper = Paper(20, 3)
    for x, y, text in puts:
        paper.put(x, y, text, "strong")
    assert [cell_len(text) for text in texts(paper.lines())] == [20, 20, 20]


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_a_text_is_cut_to_its_cells_and_stays_on_one_line(name: str) -> None:
    for width in range(8):
        assert cell_len(cut(name, width)) <= width
        assert cut(name, width).isprintable()


@given(st.lists(st.text("abc def漢", min_size=1, max_size=60), max_size=6), st.integers(8, 40))
def test_words_flow_into_lines_and_none_of_them_is_lost_while_there_are_lines(pieces: list[str], width: int) -> None:
    lines = flowed([[(piece, "")] for piece in pieces], width, 999)
    assert fits(lines, width)
    short = [word for piece in pieces for word in piece.split() if cell_len(word) < width]
    assert all(word in " ".join(texts(lines)) for word in short)
    short_of_room = flowed([[(piece, "")] for piece in pieces], width, 2)
    assert len(short_of_room) <= 2
    assert fits(short_of_room, width)
    whole = len([line for line in texts(lines) if line.strip()])
    assert whole <= 2 or texts(short_of_room)[-1].endswith("…"), "what is left out is not left out in silence"
