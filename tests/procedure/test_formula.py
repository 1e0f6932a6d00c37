"""Formulas are arithmetic and nothing else."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headwright.calc import Impossible, NotEnough
from headwright.procedure.formula import LONGEST, FormulaFault, compiled, names, parse
from headwright.procedure.plan import Formula, Ref

if TYPE_CHECKING:
    from headwright.procedure.formula import Grid

REFS = {name: Ref("reading", name, "size") for name in ("a", "b", "c", "grid")}
VALUES: dict[str, float | Grid] = {"a": 3.0, "b": 4.0, "c": 0.5, "grid": ((7.95, 7.97), (7.96, 7.96), (7.92, 7.90))}


def worked_out(text: str) -> float:
    return compiled(Formula(text, refs=REFS))(VALUES)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 + 2 * 3", 7.0),
        ("(1 + 2) * 3", 9.0),
        ("10 - 4 - 3", 3.0),
        ("24 / 4 / 3", 2.0),
        ("-2 ** 2", -4.0),
        ("2 * -a", -6.0),
        ("--a", 3.0),
        ("+a", 3.0),
        ("sqrt(a ** 2 + b ** 2)", 5.0),
        ("min(a, b, c)", 0.5),
        ("max(a, b, c)", 4.0),
        ("abs(a - b)", 1.0),
        (".5e1 + 1.", 6.0),
        ("least(grid)", 7.90),
        ("greatest(grid)", 7.97),
        ("spread(grid)", 0.07),
        ("taper(grid)", 0.05),
        ("out_of_round(grid)", 0.02),
        ("bell(grid)", 0.0),
        ("crush(a, b)", -1.0),
    ],
)
def test_arithmetic_is_as_on_paper(text: str, value: float) -> None:
    assert worked_out(text) == pytest.approx(value)


@settings(deadline=None)
@given(
    st.recursive(
        st.integers(1, 9).map(str),
        lambda inner: st.one_of(
            st.tuples(inner, st.sampled_from("+-*/"), inner).map(lambda p: f"({p[0]} {p[1]} {p[2]})"),
            inner.map(lambda text: f"(-{text})"),
            st.tuples(inner, st.sampled_from("+-*/"), st.integers(1, 9).map(str)).map(" ".join),
        ),
        max_leaves=8,
    )
)
def test_order_of_operations_is_python_s(text: str) -> None:
    """Python's own arithmetic is the outside source: the same text gives the same number, or none in both."""
    try:
        expected = eval(text, {"__builtins__": {}})  # noqa: S307  text from the strategy above, digits and signs only
    except ZeroDivisionError:
        with pytest.raises(Impossible, match="division by zero"):
            worked_out(text)
        return
    assert worked_out(text) == pytest.approx(expected)


def test_a_single_number_passes_for_a_reading_of_one_point() -> None:
    assert worked_out("least(a) + greatest(b)") == 7.0


def test_a_quantity_is_a_constant() -> None:
    assert compiled(Formula("0.010 in", constant=0.254))(VALUES) == 0.254


def test_too_few_readings_are_told_apart_from_arithmetic_without_an_answer() -> None:
    VALUES["grid"], kept = ((), (7.9,), ()), VALUES["grid"]
    try:
        assert worked_out("least(grid)") == 7.9
        with pytest.raises(NotEnough):
            worked_out("taper(grid)")
    finally:
        VALUES["grid"] = kept
    with pytest.raises(Impossible, match="division by zero"):
        worked_out("a / (b - 4)")
    with pytest.raises(Impossible, match="no square root of -1"):
        worked_out("sqrt(a - b)")
    with pytest.raises(Impossible, match="beyond all bounds"):
        worked_out("((1e300 * a) ** 4)")


@pytest.mark.parametrize(
    ("text", "reason", "column"),
    [
        ("", "expected a number, a name or '(', found the end", 1),
        ("least(a) -", "expected a number, a name or '(', found the end", 11),
        ("(a + b", "expected ')', found the end", 7),
        ("a b", "expected an operator, found 'b'", 3),
        ("a + * b", "expected a number, a name or '(', found '*'", 5),
        ("a < b", "a formula works out one number; comparisons have no place in it", 3),
        ("a = b", "a formula works out one number; comparisons have no place in it", 3),
        ("a ** b", "expected a power of 2 to 4, found 'b'", 6),
        ("a ** 99", "expected a power of 2 to 4, found '99'", 6),
        ("a; b", "';' has no place in a formula", 2),
        ("a[0]", "'[' has no place in a formula", 2),
        ("__import__('os')", "''' has no place in a formula", 12),
        ("1e999", "'1e999' is not a finite number", 1),
        ("a\nb", "a formula stands on one line", 2),
        ("(" * 40 + "a" + ")" * 40, "more than 30 brackets or signs within one another", 31),
        ("-" * 40 + "a", "more than 30 brackets or signs within one another", 31),
        ("a" * (LONGEST + 1), "longer than 300 characters", 301),
    ],
)
def test_what_is_no_formula_is_told_with_its_column(text: str, reason: str, column: int) -> None:
    with pytest.raises(FormulaFault) as caught:
        parse(text)
    assert (caught.value.reason, caught.value.column) == (reason, column)


@settings(deadline=None)
@given(st.text(max_size=LONGEST))
def test_no_text_does_more_than_be_refused(text: str) -> None:
    """Procedure files come from other shops: any text is a formula or a fault with a place in it, never a crash."""
    column = 1
    try:
        names(parse(text))
    except FormulaFault as fault:
        column = fault.column
    assert 1 <= column <= len(text) + 1


def test_names_are_found_where_they_stand() -> None:
    found = names(parse("least(finished_id.top) - spec.stem * clean_bore.bored_id"))
    assert [(name.text, name.column) for name in found] == [
        ("finished_id.top", 7),
        ("spec.stem", 26),
        ("clean_bore.bored_id", 38),
    ]


def test_the_bench_needs_neither_pint_nor_pydantic() -> None:
    """A plan that was checked once opens and works out its figures without the libraries that check."""
    code = """
import sys
from headwright.procedure import formula, order, plan
text = plan.Formula("least(a) - 1", refs={"a": plan.Ref("reading", "a", "size")})
assert formula.compiled(text)({"a": ((3.0, 4.0),)}) == 2.0
loaded = {"pint", "pydantic", "tree_sitter", "tomllib", "scipy", "numpy"} & set(sys.modules)
assert not loaded, loaded
"""
    subprocess.run([sys.executable, "-c", code], check=True)
