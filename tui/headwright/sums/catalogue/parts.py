"""What the declarations of sums share."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from headwright.sums.model import Input, Outcome

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from headwright.sums.dimensions import Dimension
    from headwright.sums.model import Show, Value

GEOMETRY = "Geometry."


def optional(key: str, label: str, dimension: Dimension) -> Input:
    """Declare an input that may be left out."""
    return Input(key, label, dimension, required=False)


def by_fields(
    function: Callable[..., Any], remarks: Callable[[Any, Mapping[str, Any], Show], Sequence[str]] | None = None
) -> Callable[[Mapping[str, Any]], Outcome]:
    """Make the function of a sum from one that takes the inputs by key and gives a dataclass with the answers.

    Args:
        function: the engineering.
        remarks: what to say, from the dataclass, the inputs and a way to write quantities.
    """

    def compute(given: Mapping[str, Any]) -> Outcome:
        found = function(**given)
        answers: dict[str, Value] = {each.name: getattr(found, each.name) for each in fields(found)}
        if remarks is None:
            return Outcome(answers)
        return Outcome(answers, lambda show: remarks(found, given, show))

    return compute
