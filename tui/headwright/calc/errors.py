"""What a sum says when it cannot be done.

CalcError (a ValueError)
├── NotEnough    too few readings or values to say
└── Impossible   a value that is no number or a shape that cannot exist
"""

from itertools import pairwise
from math import isfinite


class CalcError(ValueError):
    """Any reason why a sum has no answer."""


class NotEnough(CalcError):
    """Too few readings or values to say."""


class Impossible(CalcError):
    """A value that is no number, out of its range, or a shape that cannot exist."""


def finite(**values: float) -> None:
    """Refuse any value that is not a finite number.

    Args:
        **values: each value under the name that the reader knows it by.

    Raises:
        Impossible: naming the first value that is infinite or not a number.
    """
    for name, value in values.items():
        if not isfinite(value):
            raise Impossible(f"{_words(name)} must be a number, not {value}")


def positive(**values: float) -> None:
    """Refuse any value that is not a finite number above zero.

    Args:
        **values: each value under the name that the reader knows it by.

    Raises:
        Impossible: naming the first value at or below zero, or no number.
    """
    finite(**values)
    for name, value in values.items():
        if value <= 0:
            raise Impossible(f"{_words(name)} must be above zero, not {value:g}")


def not_negative(**values: float) -> None:
    """Refuse any value that is not a finite number of zero or more.

    Args:
        **values: each value under the name that the reader knows it by.

    Raises:
        Impossible: naming the first value below zero, or no number.
    """
    finite(**values)
    for name, value in values.items():
        if value < 0:
            raise Impossible(f"{_words(name)} must not be below zero, not {value:g}")


def in_order(**values: float) -> None:
    """Refuse values that do not grow from the first to the last (equal neighbours are allowed).

    Args:
        **values: each value under the name that the reader knows it by, smallest first.

    Raises:
        Impossible: naming the first pair that is out of order, or a value that is no number.
    """
    finite(**values)
    names = list(values)
    for smaller, larger in pairwise(names):
        if values[smaller] > values[larger]:
            raise Impossible(
                f"{_words(smaller)} ({values[smaller]:g}) must not be above {_words(larger)} ({values[larger]:g})"
            )


ZERO_CELSIUS = 273.15
"""0 °C in kelvin (exact by definition)."""


def kelvin(temperature: float) -> float:
    """Turn a temperature into kelvin.

    Args:
        temperature: °C, above absolute zero.

    Raises:
        Impossible: it is at or below absolute zero, or no number.
    """
    finite(temperature=temperature)
    if temperature <= -ZERO_CELSIUS:
        raise Impossible(f"temperature must be above absolute zero, not {temperature:g} °C")
    return temperature + ZERO_CELSIUS


def _words(name: str) -> str:
    return name.replace("_", " ")
