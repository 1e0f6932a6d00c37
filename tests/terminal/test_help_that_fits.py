"""The why-card of every reading that ships: a drawing where one helps, and all of it seen on a small terminal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

from headwright import terminal
from headwright.procedure.library import load
from headwright.procedure.plan import Sort
from headwright.procedure.resolve import build_plan
from headwright.terminal.cards.why import WhyCard
from headwright.terminal.views.where import where_of
from headwright.terminal.views.where_panel import WherePanel
from tests.stories.write import ROOT
from tests.terminal.cards_app import OneScreen, words

if TYPE_CHECKING:
    from headwright.job.index import PointKey
    from headwright.procedure.plan import Operation, Reading

SHAPES = {
    "bore gauge": "inside",
    "bore micrometer": "inside",
    "micrometer": "outside",
    "straightedge and feelers": "lines",
    "depth micrometer": "corners",
}
"""What a gauge that is read at several points is held to; common practice, no source."""


class Asked(NamedTuple):
    """A reading of an operation, and the last of its points."""

    operation: Operation
    reading: Reading
    point: PointKey


class _Drawn(OneScreen[None]):
    def __init__(self, shown: WhyCard) -> None:
        super().__init__(shown)
        self.css_path = [*self.css_path, Path(terminal.__file__).with_name("views.tcss")]


def _shipped() -> list[Asked]:
    library = load(ROOT / "procedures")
    found: dict[tuple[str, str], Asked] = {}
    for name, family in library.families.items():
        for route in family.definition.routes:
            plan = build_plan(library, route, name, next(iter(family.definition.application)))
            for operation in plan.operations:
                for reading in operation.readings:
                    point = (reading.name, (reading.stations or ("",))[-1], (reading.angles or (None,))[-1])
                    found.setdefault((operation.id, reading.name), Asked(operation, reading, point))
    return list(found.values())


ALL = _shipped()
DRAWN = [asked for asked in ALL if where_of(asked.reading, asked.point) is not None]


def test_every_length_at_several_points_has_the_drawing_of_its_gauge_and_nothing_else_has_one() -> None:
    assert len(ALL) > len(DRAWN) > 10
    for asked in ALL:
        reading, found = asked.reading, where_of(asked.reading, asked.point)
        several = reading.sort is Sort.NUMBER and (reading.stations or reading.angles)
        where = f"{asked.operation.id}.{reading.name}"
        assert (found is not None) is bool(several and reading.dimension == "length"), where
        if found is not None:
            assert found.shape == SHAPES[reading.gauge], where


def test_every_figure_that_is_measured_says_with_what_or_how() -> None:
    untold = {
        (asked.operation.id, asked.reading.name)
        for asked in ALL
        if asked.reading.sort is Sort.NUMBER and not (asked.reading.how or asked.reading.gauge or asked.reading.why)
    }
    assert not untold


@pytest.mark.parametrize("asked", DRAWN, ids=lambda asked: f"{asked.operation.id}-{asked.reading.name}")
async def test_how_where_and_why_are_seen_at_once_on_a_small_terminal(asked: Asked) -> None:
    reading = asked.reading
    how = f"{reading.how} With: {reading.gauge}.".strip()
    card = WhyCard(f"1I: {reading.label}", [("How", how), ("Why", reading.why)], WherePanel(reading, asked.point))
    app = _Drawn(card)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.pause()
        seen = words(app)
    assert how in seen
    assert "here" in seen
    assert reading.why in seen
