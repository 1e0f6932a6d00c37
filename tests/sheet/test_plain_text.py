"""Text that was typed reaches the sheet as signs that print, whatever it holds."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st

from headwright.sheet.plain import columns, counted, json_lines, lines_of, plain, wrapped


@given(st.text())
def test_no_text_keeps_a_sign_that_does_not_print(text: str) -> None:
    assert plain(text).isprintable()
    assert all(line.isprintable() for line in lines_of(text).split("\n"))


@given(st.text())
def test_a_text_has_as_many_lines_as_it_was_given(text: str) -> None:
    assert lines_of(text).count("\n") == text.count("\n")
    assert "\n" not in plain(text)


def test_escapes_are_written_out_and_blanks_run_together() -> None:
    assert plain("a\x1b[31m  b\r\n\tc\u202e\u2028d\U000e0001") == "a\\x1b[31m b c\\u202e d\\U000e0001"


@given(st.text(alphabet=st.characters(codec="ascii", categories=("L", "N", "Zs")), min_size=1))
def test_wrapped_lines_keep_their_width_unless_a_word_is_longer(text: str) -> None:
    for line in wrapped(text, 20, "  x  "):
        assert len(line) <= 20 or len(line.split()) <= 2


def test_a_hash_stays_in_one_piece() -> None:
    assert wrapped("a" * 64, 20, "  SHA  ") == ["  SHA  " + "a" * 64]


def test_columns_are_as_wide_as_their_widest_cell() -> None:
    assert columns([("a", "bb"), ("ccc", "d")]) == ["a    bb", "ccc  d"]


@given(st.text(st.characters(codec="utf-8")))
def test_json_stays_the_same_json_and_prints(text: str) -> None:
    written = json_lines(json.dumps({"a": text}, ensure_ascii=False, indent=1))
    assert json.loads(written) == {"a": text}
    assert all(line.isprintable() for line in written.split("\n"))


def test_one_is_one() -> None:
    assert [counted(1, "event"), counted(2, "event")] == ["1 event", "2 events"]
