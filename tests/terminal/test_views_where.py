"""The small drawings of where a reading is taken."""

from __future__ import annotations

import re

import pytest
from textual.screen import Screen

from headwright.job.index import points_of
from headwright.procedure.plan import Sort
from headwright.terminal.views.where import CORNERS, LINES, Where, drawn_where, where_of
from headwright.terminal.views.where_panel import WherePanel
from tests.terminal.cards_app import seen
from tests.terminal.views_jobs import JOBS, ViewScreen, fits, is_plain, state_of, texts

WIDTHS = (30, 44, 61, 62, 80, 120)


def _drawn(found: Where, width: int = 80) -> str:
    return "\n".join(texts(drawn_where(found, width)))


@pytest.mark.parametrize("job", JOBS)
def test_every_reading_at_points_of_a_length_is_drawn_with_all_of_its_points(job: str) -> None:
    for operation in state_of(job).plan.operations:
        for reading in operation.readings:
            points = list(points_of(reading))
            found = where_of(reading, points[-1])
            if reading.sort is not Sort.NUMBER or len(points) == 1 or reading.dimension != "length":
                assert found is None
                continue
            assert found is not None
            for width in WIDTHS:
                lines = drawn_where(found, width)
                assert fits(lines, width)
                text = "\n".join(texts(lines))
                if found.shape != "lines":
                    assert all(station in text for station in reading.stations)
                assert all(f"{angle}°" in text for angle in reading.angles)
                assert points[-1][1] in text


def test_only_the_point_at_hand_is_marked() -> None:
    bore = Where("inside", ("top", "middle", "bottom"), (0, 90), "middle", 90)
    lines = _drawn(bore).splitlines()
    (station,) = [line for line in lines if re.search(r"^middle .*◂━+▸.* ◂ here", line)]
    assert "━" not in "".join(line for line in lines if line is not station)
    assert sum(line.count("◂ here") for line in lines) == 2, "the station and the angle"
    assert "90° ◂ here" in _drawn(bore)
    unmarked = _drawn(bore._replace(station="", angle=None))
    assert "here" not in unmarked
    assert "━" not in unmarked


def test_stations_stand_in_their_order_from_the_top() -> None:
    lines = _drawn(Where("inside", ("top", "middle", "bottom"), (), "", None)).splitlines()
    at = [next(y for y, line in enumerate(lines) if line.startswith(name)) for name in ("top", "middle", "bottom")]
    assert at == sorted(at)


def test_inside_is_measured_between_the_walls_and_outside_over_them() -> None:
    inside = next(x for x in _drawn(Where("inside", ("top", "low"), (), "", None)).splitlines() if x.startswith("top"))
    outside = next(
        x for x in _drawn(Where("outside", ("top", "low"), (), "", None)).splitlines() if x.startswith("top")
    )
    assert re.search(r"╱│◂─+▸│╱", inside)
    assert re.search(r"──▸╱+◂──", outside)


def test_the_lines_and_corners_of_a_face_are_where_they_are_called() -> None:
    corners = _drawn(Where("corners", CORNERS, (), "rear left", None)).splitlines()
    rows = {name: next(y for y, line in enumerate(corners) if name in line) for name in CORNERS}
    assert rows["front left"] < rows["front right"]
    assert rows["rear left"] < rows["rear right"]
    assert corners[rows["front left"]].index("front left") < corners[rows["rear left"]].index("rear left")
    assert "rear left ◂" in corners[rows["rear left"]]
    for name, sign in (("left side", "━━━"), ("across", "┃"), ("diagonal 1", "●"), ("middle", "━━━")):
        lines = _drawn(Where("lines", LINES, (), name, None)).splitlines()
        assert any(sign in line.strip().strip("┃") for line in lines[2:-2])
        assert lines[-1].strip() == f"◂ here: {name}"


@pytest.mark.parametrize("width", WIDTHS)
def test_any_name_fits_and_plain_ascii_has_nothing_else(width: int) -> None:
    wild = ("漢字漢字漢字", "\u202e" + "w" * 40, "e\u0301")
    for found in (
        Where("inside", wild, (0, 45, 90, 135), wild[1], 45),
        Where("outside", wild, (), wild[0], None),
        Where("inside", (), (0, 60, 120), "", 120),
        Where("lines", (*LINES, *wild), (), wild[1], None),
        Where("corners", (*CORNERS, *wild), (), "front left", None),
    ):
        lines = drawn_where(found, width)
        assert fits(lines, width)
        assert is_plain(lines)


async def test_the_panel_is_as_high_as_its_drawing() -> None:
    reading = state_of("1001").index.readings["size", "finished_id"]
    panel = WherePanel(reading, ("finished_id", "top", 0))
    app: ViewScreen[None] = ViewScreen(Screen())
    async with app.run_test(size=(80, 24)) as pilot:
        await app.screen.mount(panel)
        await pilot.pause()
        assert panel.size.height == 8
        assert "top    ╱╱╱╱│◂━━━━━━━━▸│╱╱╱╱ ◂ here" in seen(app)
