"""Files of figures: rows of numbers, with or without a heading, with or without units."""

from __future__ import annotations

import csv
import re
from pathlib import Path
from typing import TYPE_CHECKING

from headwright.sums.dimensions import ANY, RATIO, Dimension
from headwright.sums.written import Amount, Unread, dimension_of, read

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.sums.model import Column

_MOST_BYTES = 5_000_000
_HEADING = re.compile(r"(.*?)\s*[\[(]([^\])]*)[\])]")
_NOT_NUMBERS = {"nan", "inf", "infinity"}

Row = tuple[Amount, ...]


def read_table(file: str, columns: Sequence[Column], bare: Amount | None) -> list[Row]:
    """Read a file of figures.

    Values stand between commas, semicolons, tabs or blanks. A heading may name the columns, in any order, with their
    unit as in "x [mm]". Lines that begin with # say nothing.

    Args:
        file: its name.
        columns: what each row holds.
        bare: an input whose unit a number without unit takes; None for the metric unit of its column.

    Returns:
        One amount a column for each row.

    Raises:
        Unread: the file cannot be read, or a row is not what is asked for; the message names the line.
    """
    path = Path(file).expanduser()
    lines = [(n, line) for n, line in enumerate(_text(path).splitlines(), 1) if line.strip() and line.strip()[0] != "#"]
    if not lines:
        raise Unread(f"{path.name} holds no figures; expected rows of {_named(columns)}")
    delimiter = next((sign for sign in ";\t," if sign in lines[0][1]), None)
    rows = [(n, _cells(line, delimiter)) for n, line in lines]
    units = [_usual(column, bare) for column in columns]
    order = list(range(len(columns)))
    if _is_heading(rows[0][1]):
        number, heading = rows.pop(0)
        try:
            order, units = _headed(heading, columns, units)
        except Unread as fault:
            raise Unread(f"{path.name} line {number}: {fault}") from None
        if not rows:
            raise Unread(f"{path.name} holds a heading only; expected rows of {_named(columns)}")
    return [_row(f"{path.name} line {number}", cells, columns, order, units) for number, cells in rows]


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise Unread(f"{path} is too long for a file of figures")
        return path.read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as error:
        if isinstance(error, Unread):
            raise
        why = error.strerror if isinstance(error, OSError) and error.strerror else "it is not a text"
        raise Unread(f"{path} cannot be read: {why}") from None


def _cells(line: str, delimiter: str | None) -> list[str]:
    if delimiter is None:
        return line.split()
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter))]
    except csv.Error:
        return [line]


def _is_heading(cells: Sequence[str]) -> bool:
    return not any(cell[:1].isdigit() or cell[:1] in {"+", "-", ".", ","} for cell in cells if cell) and not (
        {cell.lower() for cell in cells} & _NOT_NUMBERS
    )


def _usual(column: Column, bare: Amount | None) -> str:
    if bare is not None and column.dimension in {ANY, bare.dimension}:
        return bare.unit
    return column.dimension.metric


def _headed(heading: Sequence[str], columns: Sequence[Column], units: list[str]) -> tuple[list[int], list[str]]:
    """Give where each column stands (-1: left out), and its unit."""
    names, written = [], []
    for cell in heading:
        match = _HEADING.fullmatch(cell)
        names.append(re.sub(r"[\s-]+", "_", (match[1] if match else cell).strip().lower()))
        written.append(match[2].strip() if match else "")
    keys = [column.key for column in columns]
    if any(key in names for key in keys):
        missing = [column for column in columns if column.default is None and column.key not in names]
        if missing:
            raise Unread(f"the heading lacks {_named(missing)}; expected {_named(columns)}")
        order = [names.index(key) if key in names else -1 for key in keys]
    else:
        order = [place if place < len(heading) else -1 for place in range(len(columns))]
        if len(heading) > len(columns):
            raise Unread(f"{len(heading)} columns; expected {_named(columns)}")
    for index, (place, column) in enumerate(zip(order, columns, strict=True)):
        if place >= 0 and written[place]:
            unit = written[place]
            if column.dimension is ANY:
                dimension_of(unit)
            else:
                read(f"1 {unit}", column.dimension)
            units[index] = unit
    return order, units


def _row(
    where: str, cells: Sequence[str], columns: Sequence[Column], order: Sequence[int], units: Sequence[str]
) -> Row:
    widest = max(order) + 1
    least = sum(column.default is None for column in columns)
    if len(cells) < least or (len(cells) > widest and widest == len(columns)):
        count = "1 value" if len(cells) == 1 else f"{len(cells)} values"
        raise Unread(f"{where}: {count}; expected {_named(columns)}")
    row = []
    for column, place, unit in zip(columns, order, units, strict=True):
        cell = cells[place] if 0 <= place < len(cells) else ""
        try:
            row.append(_amount(cell, column, unit))
        except Unread as fault:
            raise Unread(f"{where}, {column.key}: {fault}") from None
    return tuple(row)


def _amount(cell: str, column: Column, unit: str) -> Amount:
    if not cell and column.default is not None:
        return Amount(column.default, _pure(column.dimension), "")
    if not cell:
        raise Unread(f"nothing stands there; expected {column.dimension.called}")
    word = column.words.get(cell.lower())
    if word is not None:
        return Amount(word, _pure(column.dimension), "")
    has_unit = bool(re.search(r"[^\d\s.,+\-eE]\s*$", cell))
    return read(cell if has_unit or not unit else f"{cell} {unit}", column.dimension, difference=column.difference)


def _pure(dimension: Dimension) -> Dimension:
    return RATIO if dimension is ANY else dimension


def _named(columns: Sequence[Column]) -> str:
    return ", ".join(column.key for column in columns)
