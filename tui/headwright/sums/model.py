"""What a sum is: a declaration, and one function from numbers to numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from headwright.sums.dimensions import Dimension

Value = float | bool | str | tuple[float, ...] | None
"""An answer in canonical units; None where there is none."""

System = Literal["mm", "in"]
"""Whose units a bare number and the answers are in."""

Show = Callable[[float, "Dimension"], str]
"""Writes a canonical value in the reader's unit, with that unit."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a file.

    Attributes:
        key: its heading.
        dimension: what its numbers are.
        default: what a row means that leaves it out; None asks for it in every row.
        words: words that may stand for a number.
        difference: of temperatures, it is one taken from another.
    """

    key: str
    dimension: Dimension
    default: float | None = None
    words: Mapping[str, float] = field(default_factory=dict)
    difference: bool = False


@dataclass(frozen=True, slots=True)
class Input:
    """An input.

    Attributes:
        key: its name.
        label: what it is, for people.
        dimension: what it measures.
        required: the sum cannot do without.
        many: a list, separated by commas.
        columns: it is a file with these columns.
        unit_of: inputs whose unit a bare number of the file takes, the first that is given; else it is the metric
            unit of the column.
        difference: of temperatures, it is one taken from another.
    """

    key: str
    label: str
    dimension: Dimension
    required: bool = True
    many: bool = False
    columns: tuple[Column, ...] = ()
    unit_of: tuple[str, ...] = ()
    difference: bool = False


@dataclass(frozen=True, slots=True)
class Result:
    """An answer.

    Attributes:
        key: its name.
        label: what it is, for people.
        dimension: what it measures; None for a word or a yes or no.
        needs: inputs without which it stays empty.
        difference: of temperatures, it is one taken from another.
        inward: it is a limit, which is rounded up (1) or down (-1) so that it never allows more.
    """

    key: str
    label: str
    dimension: Dimension | None
    needs: tuple[str, ...] = ()
    difference: bool = False
    inward: int = 0


def _silent(show: Show) -> Sequence[str]:
    del show
    return ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the function of a sum gives: answers by key in canonical units, and what to say of them."""

    results: Mapping[str, Value]
    remarks: Callable[[Show], Sequence[str]] = _silent


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum.

    Attributes:
        name: as it is asked for.
        purpose: what it tells, in one line.
        inputs: what goes in.
        results: what comes out.
        formula: how, in one line or a few.
        source: where the formula is from.
        compute: from inputs by key, in canonical units and without those not given, to the outcome.
        note: what to bear in mind.
        example: inputs that show how it is asked for.
        slow: it loads what takes longer than a key press.
    """

    name: str
    purpose: str
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    formula: str
    source: str
    compute: Callable[[Mapping[str, Any]], Outcome]
    example: Mapping[str, str]
    note: str = ""
    slow: bool = False

    def input(self, key: str) -> Input:
        """Give an input by its key."""
        return next(each for each in self.inputs if each.key == key)
