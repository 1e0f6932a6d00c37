"""Whatever a row, a column or the heading is called stays legible in the operations of every sample job."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.terminal.bench.columns import groups_of, laid_out, roomy
from headwright.terminal.bench.header import labels_of
from headwright.terminal.bench.spots import is_tall
from headwright.terminal.bench.tall import INSET, Tall
from headwright.terminal.drawn import plain
from tests.terminal.views_jobs import JOBS, state_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.state import State
    from headwright.procedure.plan import Operation

LEFT = 6
"""Cells before the first column, about."""


def operations(*, tall: bool) -> Iterator[tuple[State, Operation]]:
    for job in JOBS:
        state = state_of(job)
        yield from ((state, operation) for operation in state.plan.operations if is_tall(operation) is tall)


def rows_of(state: State, operation: Operation, width: int) -> list[str]:
    face = Tall(state, operation)
    face.arrange(width, None)
    return [plain(face.line(row, None, "", "")) for row in range(face.count)]


def test_no_row_of_a_list_is_cut_where_nothing_else_wants_its_room() -> None:
    for state, operation in operations(tall=True):
        labels = [reading.label for reading in operation.readings]
        text = "\n".join(rows_of(state, operation, Tall(state, operation).whole))
        for label in labels:
            assert label in text, (operation.id, label)


def test_no_label_begins_with_a_blank_or_is_nothing_but_its_end() -> None:
    for state, operation in operations(tall=True):
        for row in rows_of(state, operation, 58):
            assert not row[2:].startswith("…"), (operation.id, row)
            if row.startswith(("▸ ", "· ", "✓ ", "= ")) and not row[2:].startswith(INSET):
                assert row[2:3].strip(), (operation.id, row)


def test_many_points_stand_under_the_name_of_their_reading_and_are_never_cut() -> None:
    seen = 0
    for state, operation in operations(tall=True):
        for reading in operation.readings:
            if len(reading.stations) < 3:
                continue
            for width in (58, 72, 80):
                rows = rows_of(state, operation, width)
                under = rows.index(next(row for row in rows if row.rstrip() == f"  {reading.label}"))
                for number, station in enumerate(reading.stations, 1):
                    assert rows[under + number][2:].startswith(f"{INSET}{station} "), (operation.id, width)
            seen += 1
    assert seen, "the sample jobs measure the deck along several lines"


def cut_labels(state: State, operation: Operation, *, less: int) -> list[str]:
    """Give what is cut of the headings where the table has so many cells less than all it wants."""
    groups = groups_of(state, operation, lambda _: 0)
    at = (operation.readings[0].name, None) if operation.readings else ("", None)
    layout = laid_out(groups, LEFT, LEFT + sum(roomy(group).width for group in groups) - less, at)
    return [text for line in layout.heads for _, width, text in line if len(text) > width]


def test_labels_of_columns_are_whole_where_the_table_has_all_it_wants() -> None:
    for state, operation in operations(tall=False):
        assert cut_labels(state, operation, less=0) == [], operation.id


def test_one_cell_that_is_missing_cuts_one_label_and_not_all() -> None:
    for state, operation in operations(tall=False):
        assert len(cut_labels(state, operation, less=1)) <= 1, operation.id


@pytest.mark.parametrize(
    ("room", "told"),
    [(60, "SIZE  3 of 8, intakes first"), (20, "SIZE  3 of 8"), (12, "SIZE  3/8"), (8, "SIZE")],
)
def test_the_heading_counts_in_fewer_words_before_it_cuts_any(room: int, told: str) -> None:
    assert next(text for text in labels_of("SIZE", 3, 8, order=True) if len(text) < room) == told
