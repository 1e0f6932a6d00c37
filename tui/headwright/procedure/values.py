"""The sorts of value in a definition, and what a person is told where one does not fit."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, PlainValidator
from pydantic_core import PydanticCustomError

from headwright import units
from headwright.procedure import formula
from headwright.procedure.problems import listed, nearest
from headwright.units import Quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from enum import StrEnum

TEXT_LENGTH = 2000
NAME_LENGTH = 60
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_HANDLE = re.compile(r"[a-z][a-z0-9_]*")
_RESERVED = ("spec",)


def fault(message: str, at: tuple[str, ...] = ()) -> PydanticCustomError:
    """Make an error that pydantic hands through word for word; `at` is the key inside the table that is at fault."""
    return PydanticCustomError("definition", "{message}", {"message": message, "at": at})


def shown(value: object) -> str:
    """Give a TOML value as it would stand in the file, shortened."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= NAME_LENGTH else f"{text[: NAME_LENGTH - 1]}…"


def _text(value: str) -> str:
    if not value.strip():
        raise fault("is empty")
    if len(value) > TEXT_LENGTH:
        raise fault(f"has {len(value)} characters; the most is {TEXT_LENGTH}")
    if any(not (sign.isprintable() or sign == "\n") for sign in value):
        raise fault("holds a control character; only plain text and line breaks may stand here")
    return value


def is_id(text: str) -> bool:
    """Tell whether a text can be an id: lower-case letters, digits and hyphens."""
    return bool(_ID.fullmatch(text)) and len(text) <= NAME_LENGTH


def _id(value: str) -> str:
    if not is_id(value):
        raise fault(f'"{value}" is not an id; expected lower-case letters, digits and hyphens')
    return value


def _handle(value: str) -> str:
    if not _HANDLE.fullmatch(value) or len(value) > NAME_LENGTH:
        raise fault(f'"{value}" is not a name; expected lower-case letters, digits and underscores')
    if value in _RESERVED:
        raise fault(f'"{value}" has a meaning of its own in formulas; take another name')
    return value


def _measure(value: object, *, difference: bool = False) -> Quantity:
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise fault(f'{value} has no unit; expected a quantity in quotes, as "{value} in"')
    if not isinstance(value, str):
        raise fault(f'expected a quantity in quotes, as "0.0015 in", found {shown(value)}')
    try:
        return units.quantity(value, difference=difference)
    except units.UnitFault as error:
        raise fault(str(error)) from error


def _span(value: object) -> Quantity:
    span = _measure(value, difference=True)
    if span.value <= 0:
        raise fault(f"{span.text} is not above zero")
    return span


def _duration(value: object) -> Quantity:
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise fault(f'{value} has no unit; expected a time in quotes, as "{value} min"')
    span = _span(value)
    if span.dimension != "time":
        raise fault(f"{span.dimension} ({span.text}) where time belongs")
    return span


def _sum(value: object) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise fault(f'{value} has no unit; expected a formula, or a quantity in quotes, as "{value} in"')
    if not isinstance(value, str):
        raise fault(f"expected a formula or a quantity in quotes, found {shown(value)}")
    if units.looks_like_quantity(value):
        return _measure(value).text
    try:
        formula.parse(value)
    except formula.FormulaFault as error:
        raise fault(f"{error} in '{value[:NAME_LENGTH]}'") from error
    return value


def _unit_name(value: str) -> str:
    try:
        return units.unit(value).name
    except units.UnitFault as error:
        raise fault(str(error)) from error


def _decision(value: object) -> str:
    words = ("plain", "proof")
    if not isinstance(value, str) or value not in words:
        near = nearest(value, words) if isinstance(value, str) else ""
        raise fault(f"expected {listed(words)}, found {shown(value)}{near}")
    return value


def one_of(sort: type[StrEnum]) -> Callable[[object], object]:
    """Make a check that a value is one of the words of a sort."""
    words = [each.value for each in sort]

    def check(value: object) -> object:
        if not isinstance(value, str) or value not in words:
            near = nearest(value, words) if isinstance(value, str) else ""
            raise fault(f"expected {listed(words)}, found {shown(value)}{near}")
        return sort(value)

    return check


Text = Annotated[str, AfterValidator(_text)]
Decision = Annotated[str, PlainValidator(_decision)]
Id = Annotated[str, AfterValidator(_id)]
Handle = Annotated[str, AfterValidator(_handle)]
Measure = Annotated[Quantity, PlainValidator(_measure)]
Span = Annotated[Quantity, PlainValidator(_span)]
Duration = Annotated[Quantity, PlainValidator(_duration)]
Sum = Annotated[str, PlainValidator(_sum)]
UnitName = Annotated[str, AfterValidator(_unit_name)]
Texts = Annotated[tuple[Text, ...], Field(strict=False)]
Ids = Annotated[tuple[Id, ...], Field(strict=False)]


def doubles(names: Iterable[str]) -> Iterator[str]:
    """Give each name that stands a second time."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            yield name
        seen.add(name)


def once_each(what: str, names: Iterable[str]) -> None:
    """Refuse a name that stands twice; `what` says what is named."""
    for name in doubles(names):
        raise fault(f"{what} '{name}' stands twice")


def station_handle(station: str) -> str:
    """Give the name of a station in formulas: lower case, blanks and hyphens as underscores."""
    return re.sub(r"[^a-z0-9]+", "_", station.lower()).strip("_")


class Definition(BaseModel):
    """What every table has in common."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)
