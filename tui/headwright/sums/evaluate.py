"""One sum worked: from texts with units to answers in canonical units, or one message that says what is wrong."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any

from headwright.calc.errors import CalcError
from headwright.errors import UsageError
from headwright.nearest import nearest
from headwright.sums.dimensions import ANY, DIFFERENCE, RATIO, TEMPERATURE, Dimension
from headwright.sums.tables import read_table
from headwright.sums.written import Unread, digits, into, read, read_many, scales, usual

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from headwright.sums.model import Input, Result, Show, Sum, System, Value
    from headwright.sums.written import Amount


class SumFault(UsageError):
    """A sum cannot be worked: `why`, at the input `key` where it is one, or because inputs are `missing`."""

    def __init__(self, sum_: Sum, why: str, hint: str = "", key: str = "", missing: tuple[str, ...] = ()) -> None:
        super().__init__(f"{sum_.name}: {key}{': ' if key else ''}{why}", hint)
        self.why = why
        self.key = key
        self.missing = missing


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer as it is shown: a number, several, a word, a yes or no, or None; with its unit."""

    value: Value
    unit: str
    inward: int = 0

    @property
    def text(self) -> str:
        """The value with as many digits as serve, without the unit."""
        if self.value is None:
            return "–"
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, str):
            return self.value
        if isinstance(self.value, tuple):
            return " + ".join(digits(each, self.unit) for each in self.value) or "none"
        return digits(self.value, self.unit, self.inward)


@dataclass(frozen=True, slots=True)
class Worked:
    """A sum with its answers in canonical units."""

    sum: Sum
    results: Mapping[str, Value]
    shared: Dimension
    say: Callable[[Show], Sequence[str]]

    def dimension(self, result: Result) -> Dimension | None:
        """Give what a result measures; None for a word or a yes or no."""
        if result.dimension is not ANY:
            return result.dimension
        return DIFFERENCE if result.difference and self.shared is TEMPERATURE else self.shared

    def answers(self, system: System = "mm", asked: Iterable[str] = ()) -> dict[str, Answer]:
        """Give the answers by key.

        Args:
            system: whose units they are in.
            asked: units that go before those, each for the answers that can be given in it.
        """
        wanted = list(asked)
        found = {}
        for result in self.sum.results:
            value, dimension = self.results[result.key], self.dimension(result)
            unit = self._unit(dimension, system, wanted) if dimension is not None else ""
            if dimension is None or value is None or isinstance(value, str | bool):
                found[result.key] = Answer(value, unit if value is None else "")
            elif isinstance(value, tuple):
                found[result.key] = Answer(tuple(into(each, dimension, unit) for each in value), unit)
            else:
                found[result.key] = Answer(into(value, dimension, unit), unit, result.inward)
        return found

    def remarks(self, system: System = "mm", asked: Iterable[str] = ()) -> tuple[str, ...]:
        """Give what is to be said of the answers, in sentences, with quantities as `answers` gives them."""
        wanted = list(asked)

        def show(value: float, dimension: Dimension) -> str:
            unit = self._unit(dimension, system, wanted)
            return f"{digits(into(value, dimension, unit), unit)} {unit}"

        return tuple(self.say(show))

    def _unit(self, dimension: Dimension, system: System, asked: Sequence[str]) -> str:
        return next((unit for unit in asked if unit and unit in scales(dimension)), usual(dimension, system))


def evaluate(sum_: Sum, texts: Mapping[str, str], *, system: System | None = None) -> Worked:
    """Work a sum.

    Args:
        sum_: which.
        texts: what was written for each input.
        system: whose units a bare number is in; None refuses one where a unit belongs.

    Returns:
        The answers, by the keys of the sum.

    Raises:
        SumFault: an input is unknown, unread or missing, or the figures cannot be.
    """
    keys = [each.key for each in sum_.inputs]
    for key in texts:
        if key not in keys:
            near = nearest(key, keys)
            hint = f"Nearest: {near}." if near else f"It takes {', '.join(keys)}."
            raise SumFault(sum_, f"there is no input '{key}'", hint)
    given = _taken(sum_, texts, system)
    missing = [each.key for each in sum_.inputs if each.required and each.key not in texts]
    if missing:
        *most, last = missing
        verb = "is" if not most else "are"
        listed = " and ".join(filter(None, (", ".join(most), last)))
        raise SumFault(sum_, f"{listed} {verb} missing", missing=tuple(missing))
    try:
        outcome = sum_.compute(given.values)
        results = {each.key: _finite(outcome.results[each.key]) for each in sum_.results}
    except CalcError as fault:
        hint = (
            "Lengths in this message are in mm, pressures in MPa."
            if given.foreign and re.search(r"\d", str(fault))
            else ""
        )
        raise SumFault(sum_, str(fault), hint) from None
    except ArithmeticError:
        raise SumFault(sum_, "the figures lead out of any range") from None
    return Worked(sum_, results, given.shared.dimension, outcome.remarks)


def _finite(value: Value) -> Value:
    if isinstance(value, float) and not isfinite(value):
        raise ArithmeticError
    return value


class _Given:
    """The inputs of a sum as they are read: values in canonical units, and what the units tell."""

    def __init__(self, system: System | None) -> None:
        self.values: dict[str, Any] = {}
        self.shared = _Shared()
        self.foreign = False
        self._system = system
        self._amounts: dict[str, Amount] = {}

    def take(self, each: Input, text: str) -> None:
        """Read one input."""
        if each.columns:
            bare = next((self._amounts[key] for key in each.unit_of if key in self._amounts), None)
            rows = read_table(text, each.columns, bare)
            self.shared.of_rows(each, rows)
            self.values[each.key] = [tuple(amount.value for amount in row) for row in rows]
        elif each.many:
            several = read_many(text, each.dimension, system=self._system)
            self.foreign = self.foreign or any(amount.unit != each.dimension.metric for amount in several)
            self.values[each.key] = tuple(amount.value for amount in several)
        else:
            amount = read(text, each.dimension, system=self._system, difference=each.difference)
            self.foreign = self.foreign or amount.unit not in {"", amount.dimension.metric}
            self.shared.of_input(each, amount)
            self._amounts[each.key] = amount
            self.values[each.key] = amount.value


def _taken(sum_: Sum, texts: Mapping[str, str], system: System | None) -> _Given:
    given = _Given(system)
    for each in sorted(sum_.inputs, key=lambda one: bool(one.columns)):  # files last: their unit may be another's
        if each.key not in texts:
            continue
        text = texts[each.key].strip()
        try:
            if text:
                given.take(each, text)
                continue
        except Unread as fault:
            raise SumFault(sum_, str(fault), key=each.key) from None
        raise SumFault(sum_, "nothing is given", key=each.key)
    return given


class _Shared:
    """The one dimension of the inputs that may have any."""

    def __init__(self) -> None:
        self._first: tuple[str, Dimension] | None = None

    @property
    def dimension(self) -> Dimension:
        return self._first[1] if self._first else RATIO

    def of_input(self, taken: Input, amount: Amount) -> None:
        if taken.dimension is ANY:
            self._hold(taken.key, amount.dimension, difference=taken.difference)

    def of_rows(self, taken: Input, rows: Sequence[Sequence[Amount]]) -> None:
        for row in rows:
            for column, amount in zip(taken.columns, row, strict=True):
                if column.dimension is ANY:
                    self._hold(column.key, amount.dimension, difference=column.difference)

    def _hold(self, key: str, dimension: Dimension, *, difference: bool) -> None:
        if self._first is None:
            self._first = (key, dimension)
            return
        first_key, first = self._first
        if dimension is first:
            return
        if {dimension, first} == {TEMPERATURE, DIFFERENCE} and (difference or first is DIFFERENCE):
            self._first = (first_key, TEMPERATURE)
            return
        raise Unread(f"it is {dimension.called}, but {first_key} is {first.called}")
