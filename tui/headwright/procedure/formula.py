"""Formulas: one line of arithmetic, read into a small tree and turned into a function that runs at the bench.

Procedure files are passed around between shops, so a formula is never run as Python: only the signs, names and calls
below exist, and its length, depth and powers are bounded.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from math import inf, isfinite
from typing import TYPE_CHECKING, NoReturn

from headwright.calc import Impossible
from headwright.procedure.functions import FUNCTIONS, Shape

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from headwright.procedure.plan import Formula, Ref

    Grid = tuple[tuple[float, ...], ...]
    Look = Callable[[Ref], float | Grid]
    Compiled = Callable[[Look], float]

LONGEST = 300
"""Characters in a formula: far more than any sum at the bench, and small enough to read."""
DEEPEST = 30
"""Brackets and signs within one another."""
POWERS = (2, 3, 4)
"""Exponents that may be written: areas, volumes, and the fourth power of a wire."""

_TOKEN = re.compile(
    r"\s*(?:(?P<number>(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)|(?P<name>[^\W\d]\w*(?:\.[^\W\d]\w*)*)"
    r"|(?P<sign>\*\*|[-+*/(),])|(?P<other>\S))"
)
_COMPARISONS = "<>=!"


class FormulaFault(ValueError):
    """The text is not a formula; `column` counts characters from 1."""

    def __init__(self, reason: str, column: int) -> None:
        super().__init__(f"{reason} (column {column})")
        self.reason = reason
        self.column = column


@dataclass(frozen=True, slots=True)
class Number:
    """A number written in the formula; it has no dimension."""

    value: float


@dataclass(frozen=True, slots=True)
class Name:
    """A name, dots included, with the column where it stands."""

    text: str
    column: int


@dataclass(frozen=True, slots=True)
class Negative:
    """The operand with its sign changed."""

    operand: Node


@dataclass(frozen=True, slots=True)
class Binary:
    """Two operands with + - * or / between them."""

    sign: str
    left: Node
    right: Node
    column: int


@dataclass(frozen=True, slots=True)
class Power:
    """A base raised to a small whole number."""

    base: Node
    exponent: int


@dataclass(frozen=True, slots=True)
class Call:
    """A function with its arguments; whether the function exists is for the dimension check to say."""

    name: str
    arguments: tuple[Node, ...]
    column: int


Node = Number | Name | Negative | Binary | Power | Call


@dataclass(frozen=True, slots=True)
class _Token:
    sort: str
    text: str
    column: int


def _tokens(text: str) -> Iterator[_Token]:
    position = 0
    while match := _TOKEN.match(text, position):
        sort = str(match.lastgroup)
        column = match.start(sort) + 1
        if sort == "other":
            if match[sort] in _COMPARISONS:
                raise FormulaFault("a formula works out one number; comparisons have no place in it", column)
            raise FormulaFault(f"'{match[sort]}' has no place in a formula", column)
        yield _Token(sort, match[sort], column)
        position = match.end()
    yield _Token("end", "", len(text.rstrip()) + 1)


class _Parser:
    def __init__(self, text: str) -> None:
        self.tokens = list(_tokens(text))
        self.at = 0
        self.depth = 0

    def whole(self) -> Node:
        node = self.sum()
        if self.next.sort != "end":
            self.unexpected("an operator")
        return node

    @property
    def next(self) -> _Token:
        return self.tokens[self.at]

    def take(self, *signs: str) -> _Token | None:
        token = self.next
        if token.sort == "sign" and token.text in signs:
            self.at += 1
            return token
        return None

    def unexpected(self, expected: str) -> NoReturn:
        found = f"'{self.next.text}'" if self.next.text else "the end"
        raise FormulaFault(f"expected {expected}, found {found}", self.next.column)

    def deeper(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            raise FormulaFault(f"more than {DEEPEST} brackets or signs within one another", self.next.column)

    def sum(self) -> Node:
        node = self.product()
        while sign := self.take("+", "-"):
            node = Binary(sign.text, node, self.product(), sign.column)
        return node

    def product(self) -> Node:
        node = self.signed()
        while sign := self.take("*", "/"):
            node = Binary(sign.text, node, self.signed(), sign.column)
        return node

    def signed(self) -> Node:
        self.deeper()
        sign = self.take("-", "+")
        if sign:
            operand = self.signed()
            node: Node = Negative(operand) if sign.text == "-" else operand
        else:
            node = self.power()
        self.depth -= 1
        return node

    def power(self) -> Node:
        base = self.primary()
        if not self.take("**"):
            return base
        token = self.next
        if token.text not in {str(power) for power in POWERS}:
            self.unexpected(f"a power of {POWERS[0]} to {POWERS[-1]}")
        self.at += 1
        return Power(base, int(token.text))

    def primary(self) -> Node:
        token = self.next
        if token.sort == "number":
            self.at += 1
            value = float(token.text)
            if not isfinite(value):
                raise FormulaFault(f"'{token.text}' is not a finite number", token.column)
            return Number(value)
        if token.sort == "name":
            self.at += 1
            if self.take("("):
                return Call(token.text, self.arguments(), token.column)
            return Name(token.text, token.column)
        if self.take("("):
            node = self.sum()
            if not self.take(")"):
                self.unexpected("')'")
            return node
        return self.unexpected("a number, a name or '('")

    def arguments(self) -> tuple[Node, ...]:
        if self.take(")"):
            return ()
        found = [self.sum()]
        while self.take(","):
            found.append(self.sum())
        if not self.take(")"):
            self.unexpected("',' or ')'")
        return tuple(found)


@lru_cache(maxsize=1024)
def parse(text: str) -> Node:
    """Read a formula into its tree.

    Raises:
        FormulaFault: it is empty, too long or too deep, or has something in it that is not arithmetic.
    """
    if len(text) > LONGEST:
        raise FormulaFault(f"longer than {LONGEST} characters", LONGEST + 1)
    if len(lines := text.splitlines()) > 1:
        raise FormulaFault("a formula stands on one line", len(lines[0]) + 1)
    return _Parser(text).whole()


def names(node: Node) -> tuple[Name, ...]:
    """Give every name of a tree where it stands, from left to right."""
    match node:
        case Name():
            return (node,)
        case Negative(operand):
            return names(operand)
        case Power(base):
            return names(base)
        case Binary(left=left, right=right):
            return (*names(left), *names(right))
        case Call(arguments=arguments):
            return tuple(name for argument in arguments for name in names(argument))
    return ()


def compiled(formula: Formula) -> Compiled:
    """Turn a formula into a function of `look`, which gives what a name stands for; keep the function, it is costly.

    `look` gives a float, or for a reading with several points one row a station with the readings not taken left
    out; it raises NotEnough itself where a single number is not there yet.

    Raises (the function, when it runs):
        NotEnough: too few readings to say.
        Impossible: the arithmetic has no answer, such as a division by zero.
    """
    if formula.constant is not None:
        constant = formula.constant
        return lambda _look: constant
    node = parse(formula.text)
    run = _closure(node, formula.refs)
    return _guarded(run) if _may_fail(node) else run


def _may_fail(node: Node) -> bool:
    match node:
        case Number() | Name():
            return False
        case Negative(operand):
            return _may_fail(operand)
        case Call(name, arguments):
            return FUNCTIONS[name].shape is Shape.SUM or any(_may_fail(argument) for argument in arguments)
    return True


def _guarded(run: Compiled) -> Compiled:
    def guarded(look: Look) -> float:
        try:
            found = run(look)
        except ZeroDivisionError:
            raise Impossible("division by zero") from None
        except OverflowError:
            found = inf
        if not isfinite(found):
            raise Impossible("the number grows beyond all bounds")
        return found

    return guarded


def _closure(node: Node, refs: Mapping[str, Ref]) -> Compiled:
    match node:
        case Number(value):
            return lambda _look: value
        case Name(text):
            ref = refs[text]
            return lambda look: look(ref)  # type: ignore[return-value]  # the dimension check keeps grids out
        case Negative(operand):
            inner = _closure(operand, refs)
            return lambda look: -inner(look)
        case Power(base, exponent):
            raised = _closure(base, refs)
            return lambda look: float(raised(look) ** exponent)
        case Call(name, arguments):
            return _call(name, arguments, refs)
        case Binary(sign, left, right):
            return _binary(sign, _closure(left, refs), _closure(right, refs))


def _binary(sign: str, left: Compiled, right: Compiled) -> Compiled:
    if sign == "+":
        return lambda look: left(look) + right(look)
    if sign == "-":
        return lambda look: left(look) - right(look)
    if sign == "*":
        return lambda look: left(look) * right(look)
    return lambda look: left(look) / right(look)


def _call(name: str, arguments: tuple[Node, ...], refs: Mapping[str, Ref]) -> Compiled:
    function = FUNCTIONS[name]
    call = function.call
    if function.shape in (Shape.GRID, Shape.GRID_DIFFERENCE):
        (argument,) = arguments
        if not isinstance(argument, Name):
            raise TypeError(f"{name} takes the name of a reading")
        ref = refs[argument.text]

        def over_points(look: Look) -> float:
            found = look(ref)
            return call(found if isinstance(found, tuple) else ((found,),))

        return over_points
    inner = tuple(_closure(argument, refs) for argument in arguments)
    if len(inner) == 1:
        (only,) = inner
        return lambda look: call(only(look))
    return lambda look: call(*[each(look) for each in inner])
