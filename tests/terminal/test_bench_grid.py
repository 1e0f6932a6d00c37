"""All figures under the table share one grid: limits, brackets, values and verdicts stand under one another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from rich.cells import cell_len

from headwright.job.figures import Bench
from headwright.terminal.app import HeadwrightApp
from headwright.terminal.bench.grid import Grid, Scale, grid_of, line
from headwright.terminal.bench.scale import Held
from headwright.terminal.bench.scales import result_scale
from headwright.terminal.bench.strip import Strip
from headwright.terminal.drawn import plain
from tests.terminal.alder_bench import FIRST_BALL, opened
from tests.terminal.test_bench_layout import HERE, settled, shown
from tests.terminal.views_jobs import JOBS, state_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from headwright.store import JobStore

WIDTHS = (60, 66, 72, 80, 100, 140, 160)


def scale(low: float | None, high: float | None, text: str = "", **more: Any) -> Scale:
    """Give a result of a hundredth between limits."""
    first, last = ("" if end is None else f"{end:.2f}" for end in (low, high))
    made = Scale("Result", Held(low, high), first, last, 0.01, 5, text=text)
    return made._replace(**more)


def lines_of(scales: Sequence[Scale], width: int = 80) -> list[str]:
    grid = grid_of(scales, width)
    return [plain(line(each, grid, (each.name, ""))) for each in scales]


def shipped_results() -> Iterator[list[Scale]]:
    """Give the results of each operation of the sample jobs, as one place has them at the end."""
    for job in JOBS:
        state = state_of(job)
        for operation in state.plan.operations:
            place = next((p for p in state.index.places_of(operation) if state.applies(operation, p)), None)
            if place is not None and operation.results:
                bench = Bench(state, operation, place)
                yield [result_scale(state, bench.figure(result.name)) for result in operation.results]


@pytest.mark.parametrize("width", WIDTHS)
def test_every_limit_of_an_operation_has_its_bracket_in_the_same_column_as_the_others(width: int) -> None:
    """Over every operation of the sample jobs: the brackets, and the printed limits by their decimal points."""
    seen = 0
    for scales in shipped_results():
        drawn = lines_of([each._replace(figure=None) for each in scales], width)
        assert all(cell_len(text) <= width for text in drawn), drawn
        for sign, held in (("├", [s.limits.low for s in scales]), ("┤", [s.limits.high for s in scales])):
            columns = {text.index(sign) for text, limit in zip(drawn, held, strict=True) if limit is not None}
            assert len(columns) <= 1, "\n".join(drawn)
            assert all((sign in text) == (limit is not None) for text, limit in zip(drawn, held, strict=True))
            seen += len(columns)
    assert seen > 30


@pytest.mark.parametrize("width", WIDTHS)
def test_decimal_points_stand_under_one_another(width: int) -> None:
    scales = [scale(-1.5, 10.25, "9.75"), scale(0.5, 1.0, "0.60–0.70"), scale(None, 100.0, "12.00 mm")]
    drawn = lines_of(scales, width)
    grid = grid_of(scales, width)
    first = grid.name + grid.gap
    high = first + grid.low.width + 2 + grid.scale
    value = high + grid.high.width
    for at in (high, value):
        assert len({text.index(".", at) for text in drawn}) == 1, "\n".join(drawn)
    assert len({text.index(".", first) for text in drawn[:2]}) == 1, "\n".join(drawn)


def test_an_open_end_runs_on_and_nought_ends_what_cannot_be_less() -> None:
    both, most, least = lines_of([scale(1.0, 2.0), scale(None, 2.0), scale(1.0, None)])
    assert most.rindex("─") + 1 == most.index("┤") == both.index("┤")
    assert most.index("─") == both.index("├"), "nought stands where the others have their low limit"
    assert "├" not in most
    assert least.index("├") == both.index("├")
    assert "┤" not in least
    assert least.rindex("─") > both.index("┤"), "no end is drawn where there is none"


def test_what_is_only_expected_has_no_brackets() -> None:
    (drawn,) = lines_of([scale(1.0, 2.0)._replace(limits=Held(1.0, 2.0, firm=False))])
    assert "├" not in drawn
    assert "┤" not in drawn
    (limits,) = lines_of([scale(1.0, 2.0)])
    assert limits.replace("├", "─").replace("┤", "─") == drawn, "its ends are where limits would be"


@pytest.mark.parametrize("size", [1.0, 1.0 - 1e-4, 2.0, 2.0 + 1e-4])
def test_the_drawing_never_says_otherwise_than_the_verdict(size: float) -> None:
    """What is out by less than a cell stands beside the bracket, what lies on a limit in its place."""
    plain_limits, drawn = lines_of([scale(1.0, 2.0), scale(1.0, 2.0, figure=(size, size))])
    low, high = plain_limits.index("├"), plain_limits.index("┤")
    assert drawn.index("●") == {1.0: low, 2.0: high}.get(size, low - 1 if size < 1 else high + 1)


def test_values_beyond_the_drawing_point_to_where_they_went() -> None:
    below, above = lines_of([scale(1.0, 2.0, figure=(-3.0, 1.5)), scale(1.0, 2.0, figure=(1.5, 9.0))])
    assert below.index("«") < below.index("├") < below.index("●")
    assert above.index("●") < above.index("┤") < above.index("»")
    (both,) = lines_of([scale(1.0, 2.0, figure=(-3.0, 0.75))])
    assert "«" in both, "an end that is just in sight does not cover the one that is not"


def test_a_note_is_left_out_where_it_would_leave_the_scale_no_room() -> None:
    scales = [scale(1.0, 2.0, "1.50", note="by clearance"), scale(None, 2.0)]
    assert "by clearance" not in lines_of(scales, 60)[0]
    assert lines_of(scales, 80)[0].endswith("by clearance")


def test_a_name_is_shown_whole_where_the_scale_can_spare_the_room() -> None:
    scales = [scale(1.0, 2.0)._replace(name="Head warmer than gauge by")]
    assert "Head warmer than gauge by " in lines_of(scales, 80)[0]
    assert "… " in lines_of(scales, 60)[0]


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (100, 30), (160, 45)])
async def test_nothing_moves_sideways_while_a_place_is_read(store: JobStore, size: tuple[int, int]) -> None:
    """From the first key to the last figure, whether it is in, out or far out: each column stays where it is."""
    opened(store, up_to="size", ticked=True, terminal=HERE)
    app = HeadwrightApp(store, HERE, "7")
    columns: set[tuple[int, int, int]] = set()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await pilot.press(*FIRST_BALL["1I"][0], "enter")
        await settled(pilot)
        for figure in FIRST_BALL["1I"][1]:
            for key in figure:
                await pilot.press(key)
                await settled(pilot)
                clearance = next(text for text in shown(app, Strip) if text.startswith("Clearance"))
                taper = next(text for text in shown(app, Strip) if text.startswith("Taper"))
                columns.add((clearance.index(".0010"), clearance.index(".0020"), taper.index(".00030")))
            await pilot.press("enter")
            await settled(pilot)
    assert len(columns) == 1
    ((_, high, taper_high),) = columns
    assert high == taper_high


def test_a_grid_without_room_for_a_scale_still_tells_limits_and_values() -> None:
    grid: Grid = grid_of([scale(1.0, 2.0, "x" * 40)], 60)
    assert grid.scale == 0
