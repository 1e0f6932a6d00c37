"""Formulas: one line of arithmetic, read into a small tree and turned into a function that runs at the bench.

Procedure files are passed around between shops, so a formula is never run as Python: only the signs, names and calls
below exist, and its length, depth and powers are bounded.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from math import inf, isfinite
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NoReturn, Protocol

from headwright.calc import Impossible, NotEnough
from headwright.procedure.functions import FUNCTIONS, Shape

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from headwright.procedure.plan import Formula

    Grid = tuple[Sequence[float], ...]

    class Values(Protocol):
        """What names stand for: a number each, or a grid of them for a reading with several points."""

        def __getitem__(self, at: Any, /) -> Any: ...

    Compiled = Callable[[Values], float]

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
_OVER_POINTS = (Shape.GRID, Shape.GRID_DIFFERENCE)


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
    if isinstance(node, Name):
        return (node,)
    return tuple(name for part in _inside(node) for name in names(part))


def operands(node: Node) -> tuple[Name | Call, ...]:
    """Give what a tree is worked out from, left to right: names, and each call over the points of a reading as one."""
    if isinstance(node, Name) or (isinstance(node, Call) and FUNCTIONS[node.name].shape in _OVER_POINTS):
        return (node,)
    return tuple(operand for part in _inside(node) for operand in operands(part))


def _inside(node: Node) -> tuple[Node, ...]:
    match node:
        case Negative(operand):
            return (operand,)
        case Power(base):
            return (base,)
        case Binary(left=left, right=right):
            return (left, right)
        case Call(arguments=arguments):
            return arguments
    return ()


def compiled(formula: Formula, slots: Mapping[str, Any] | None = None) -> Compiled:
    """Turn a formula into a function of the values that its names stand for; keep the function, it is costly.

    Args:
        formula: one that was checked.
        slots: where among the values the one of each name is found; under the name itself where this is left out. A
            call over the points of a reading, as it is written without blanks, may have a slot with its answer.

    A value is a float, or for a reading with several points one row a station with the readings not taken left out.

    Raises (the function, when it runs):
        NotEnough: too few readings to say.
        Impossible: the arithmetic has no answer, such as a division by zero.
    """
    if formula.constant is not None:
        constant = formula.constant
        return lambda _values: constant
    node = parse(formula.text)
    run = _closure(node, {name: name for name in formula.refs} if slots is None else slots)
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
    def guarded(values: Values) -> float:
        try:
            found = run(values)
        except ZeroDivisionError:
            raise Impossible("division by zero") from None
        except OverflowError:
            found = inf
        if not isfinite(found):
            raise Impossible("the number grows beyond all bounds")
        return found

    return guarded


def _closure(node: Node, slots: Mapping[str, Any]) -> Compiled:
    match node:
        case Number(value):
            return lambda _values: value
        case Name(text):
            return itemgetter(slots[text])
        case Negative(operand):
            inner = _closure(operand, slots)
            return lambda values: -inner(values)
        case Power(base, exponent):
            raised = _closure(base, slots)
            return lambda values: float(raised(values) ** exponent)
        case Call(name, arguments):
            return _call(name, arguments, slots)
        case Binary(sign, left, right):
            return _binary(sign, _closure(left, slots), _closure(right, slots))


def _binary(sign: str, left: Compiled, right: Compiled) -> Compiled:
    if sign == "+":
        return lambda values: left(values) + right(values)
    if sign == "-":
        return lambda values: left(values) - right(values)
    if sign == "*":
        return lambda values: left(values) * right(values)
    return lambda values: left(values) / right(values)


def _call(name: str, arguments: tuple[Node, ...], slots: Mapping[str, Any]) -> Compiled:
    function = FUNCTIONS[name]
    call = function.call
    if function.shape in _OVER_POINTS:
        (argument,) = arguments
        if not isinstance(argument, Name):
            raise TypeError(f"{name} takes the name of a reading")
        ready = slots.get(f"{name}({argument.text})")
        return itemgetter(ready) if ready is not None else over_points(name, slots[argument.text])
    inner = tuple(_closure(argument, slots) for argument in arguments)
    if len(inner) == 1:
        (only,) = inner
        return lambda values: call(only(values))
    if len(inner) == 2:
        one, other = inner
        return lambda values: call(one(values), other(values))
    return lambda values: call(*[each(values) for each in inner])


def over_points(name: str, slot: Any) -> Compiled:
    """Give a function over the points of a reading as one of values, with the slot that the reading stands in."""
    call = FUNCTIONS[name].call

    def over(values: Values) -> float:
        found = values[slot]
        return call(found if isinstance(found, tuple) else ((found,),))

    return over


def over_whole(name: str, rows: Any, line: Any, shape: tuple[int, int]) -> Compiled:
    """Give the same for a reading whose points are all there and finite.

    Args:
        name: the function.
        rows: the slot in which the reading stands by rows.
        line: the slot in which it stands in one line.
        shape: how many rows there are, and readings in each.
    """
    function = FUNCTIONS[name]
    many, across = shape
    try:
        function.call(((1.0,) * across,) * many)
    except NotEnough:  # it has too few points at best
        return over_points(name, rows)
    if function.line is not None:
        in_line = function.line
        return lambda values: in_line(values[line])
    if function.rows is not None:
        by_rows = function.rows
        return lambda values: by_rows(values[rows])
    return over_points(name, rows)
