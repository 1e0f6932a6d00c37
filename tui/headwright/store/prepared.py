"""A statement whose text is made once, and which then runs on the driver itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy import ClauseElement, Dialect
    from sqlalchemy.engine.interfaces import DBAPICursor


class Prepared:
    """One statement for one kind of database; its values must be such as the driver takes as they are."""

    def __init__(self, statement: ClauseElement, dialect: Dialect) -> None:
        compiled: Any = statement.compile(dialect=dialect)
        self._text = str(compiled)
        self._order: list[str] | None = compiled.positiontup

    def run(self, cursor: DBAPICursor, rows: Sequence[Mapping[str, object]]) -> None:
        """Run the statement with the values of each row, by name."""
        cursor.executemany(self._text, [self._values(row) for row in rows])

    def one(self, cursor: DBAPICursor, values: Mapping[str, object]) -> Sequence[Any] | None:
        """Run the statement with values by name, and give the first row that it finds."""
        cursor.execute(self._text, self._values(values))
        return cursor.fetchone()

    def _values(self, row: Mapping[str, object]) -> Any:
        return row if self._order is None else [row[name] for name in self._order]
