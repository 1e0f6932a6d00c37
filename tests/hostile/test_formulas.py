"""A formula is arithmetic over names of readings: nothing in it reaches Python, and nothing in it grows without end."""

from __future__ import annotations

from contextlib import suppress
from math import isfinite
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headwright.calc import Impossible
from headwright.procedure.formula import FormulaFault, compiled, names, parse
from headwright.procedure.functions import FUNCTIONS
from headwright.procedure.plan import Formula, Ref

ESCAPES = (
    *("().__class__", "a.__class__", "a.b.__dict__", "''.join", "__import__('os')", "lambda: 1", "[x for x in a]"),
    *("{1: 2}", "a if b else c", "a := 1", "a and b", "a[0]", "f'{a}'", "a; b", "a\nb", "a @ b", "a // b", "a % b"),
    *("a ** b", "a ** -1", "a ** 5", "a ** 0.5", "9 ** 9 ** 9", "2 ** 3 ** 4", "1e999", "-1e999", "a ** 1e9", "`id`"),
    *("a == b", "a < b", "~a", "a ! b", "a…b", "0x10", "1_000", "1j", "10 a", "a\x00b", "a\x1b[31m", "‹a›", "a\u202eb"),
)
"""None of these is a formula; the first few are how one gets out of a Python that is fenced in."""


@pytest.mark.parametrize("text", ESCAPES)
def test_what_is_not_arithmetic_is_no_formula(text: str) -> None:
    """Where a text can be read, it names what no plan has: two underscores never begin a name of ours."""
    try:
        node = parse(text)
    except FormulaFault:
        pass
    else:
        assert any("__" in name.text for name in names(node))
        with pytest.raises(KeyError):
            compiled(Formula(text))


@pytest.mark.parametrize(
    "text", ["nan", "inf", "infinity", "NaN", "True", "None", "eval", "exec", "ａ", "а", "ｌeast(a)", "²"]
)
def test_words_that_mean_something_to_python_mean_nothing_here(text: str) -> None:
    """No number, no function: a name like any other, and no formula that runs; look-alikes are other names."""
    try:
        node = parse(text)
    except FormulaFault:
        return
    assert text.partition("(")[0] not in FUNCTIONS
    assert [name.text for name in names(node)] in ([text], ["a"])
    with pytest.raises(KeyError):
        compiled(Formula(text, refs={"a": Ref("reading", "a")}))


@pytest.mark.parametrize(
    "text",
    [
        "(" * 100_000 + "1" + ")" * 100_000,
        "-" * 100_000 + "1",
        "1+" * 500_000 + "1",
        "a" * 1_000_000,
        " " * 1_000_000 + "1",
        "((" * 70 + "1" + "))" * 70,
        "sqrt(" * 40 + "1" + ")" * 40,
        "-" * 200 + "1",
    ],
    ids=["brackets", "signs", "sums", "a name", "blanks", "brackets that fit", "calls that fit", "signs that fit"],
)
def test_a_long_or_deep_formula_is_refused_at_once(text: str) -> None:
    before = process_time()
    with pytest.raises(FormulaFault, match=r"longer than|within one another"):
        parse(text)
    assert process_time() - before < 1.0


SUMS = (
    "a / b",
    "a ** 4 ",
    "a * a * a",
    "a + a",
    "a - b - a",
    "1e308 * 10",
    "1e308 ** 2",
    "sqrt(a)",
    "1e308 + 1e308",
    "1 / (a - a)",
)


@pytest.mark.parametrize("text", SUMS)
@pytest.mark.parametrize("a", [0.0, -1.0, 1e308, -1e308, 1e-308, 5e-324])
@pytest.mark.parametrize("b", [0.0, 1e-308, -1e308])
def test_a_sum_without_an_answer_gives_no_figure(text: str, a: float, b: float) -> None:
    given_ = {"a": a, "b": b}
    run = compiled(Formula(text, refs={name: Ref("reading", name) for name in given_}))
    try:
        found = run(given_)
    except Impossible:
        return
    assert isfinite(found)


def test_a_sum_that_grows_beyond_all_bounds_says_so() -> None:
    """These gave a figure that is infinite, and the screens failed at showing it."""
    for text in ("1e308 * 10", "1e308 + 1e308", "1e308 * 10 - 1e308 * 10"):
        with pytest.raises(Impossible, match="beyond all bounds"):
            compiled(Formula(text))({})


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="ab.()+-*/,19e _²٣\t\x1b=", max_size=40) | st.text(max_size=40))
def test_any_text_is_a_tree_or_a_fault(text: str) -> None:
    with suppress(FormulaFault):
        parse(text)
