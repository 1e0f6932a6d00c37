"""The trends: finished bores in their limits by position and by job, and springback over interference."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from headwright.calc.springback import Sizing, learn
from headwright.job.sizing import sizings
from headwright.store import open_store
from headwright.store.record import import_job
from headwright.terminal.views.sizes import Finished, Push, Share, Springs, finished, share_of, springs
from headwright.terminal.views.trends import drawn_jobs, drawn_positions, drawn_springs
from headwright.terminal.views.trends_screen import NO_SIZING, TITLES, TrendsScreen
from tests.terminal.cards_app import SIZES, seen
from tests.terminal.views_jobs import HOSTILE_NAMES, JOBS, ViewScreen, fits, is_plain, record, state_of, texts

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore

WIDTHS = (30, 44, 60, 78, 98, 158)


def _bore(name: str, least: float, most: float) -> Finished:
    """Give a bore in limits from 8.00 to 8.10 mm."""
    word, style = ("■ high", "bad") if most > 8.1 else ("■ low", "bad") if least < 8 else ("✓ in", "good")
    text = f"{least:.3f}–{most:.3f} mm"
    return Finished(name, name, "intake", 1, least, most, 8.0, 8.1, text, "8.000", "8.100", word, style)


def test_a_bore_is_drawn_between_its_limits_where_its_sizes_lie() -> None:
    low, middle, high = texts(
        drawn_positions([_bore(*b) for b in (("a", 8, 8), ("b", 8.05, 8.05), ("c", 8.1, 8.1))], 90)
    )
    begin, end = middle.index("├"), middle.index("┤")
    assert low.index("●") == begin
    assert abs(middle.index("●") - (begin + end) / 2) <= 1
    assert high.index("●") == end


def test_the_limits_stand_under_one_another_and_what_is_further_out_points_there() -> None:
    lines = texts(drawn_positions([_bore("a", 8.01, 8.02), _bore("b", 7.5, 8.05), _bore("c", 8.05, 9)], 90))
    assert lines[0].index("┤") == lines[1].index("┤")
    assert lines[0].index("├") == lines[2].index("├")
    assert "«" in lines[1]
    assert "■ low" in lines[1]
    assert "»" in lines[2]
    assert "■ high" in lines[2]


@pytest.mark.parametrize("job", ["1001", "1002", "1004", "1005"])
def test_every_position_of_a_finished_job_has_its_line_in_standing_order(job: str) -> None:
    state = state_of(job)
    bores = finished(state)
    assert [bore.place for bore in bores] == [p.id for p in state.index.positions]
    for width in WIDTHS:
        lines = drawn_positions(bores, width)
        assert fits(lines, width)
        assert [text.split()[0] for text in texts(lines)] == [p.name for p in state.index.positions]
        assert all("✓ in" in text or "~ near" in text for text in texts(lines))


def test_the_size_that_counts_is_the_one_read_last() -> None:
    state = state_of("1001")
    for bore in finished(state):
        taken = [t for p, t in state.attempt("verify", bore.place).readings.items() if p[0] == "verified_id"]
        assert bore.least == min(t.event.value for t in taken if t.event.value is not None)
        assert bore.most == max(t.event.value for t in taken if t.event.value is not None)


def test_a_job_sums_its_bores_up() -> None:
    state = state_of("1001")
    share = share_of(state, [_bore("a", 8.0, 8.02), _bore("b", 8.06, 8.12)])
    assert share is not None
    assert (share.job, share.bores, share.out) == ("1001", 2, 1)
    assert (share.least, share.most, share.mean) == pytest.approx((0.0, 1.2, (0.1 + 0.9) / 2))
    assert share_of(state, []) is None


def test_jobs_stand_under_one_another_with_their_mean_and_what_is_out() -> None:
    shares = [Share("1001", "Alder", 0.2, 0.8, 0.5, 8, 0), Share("1002", "Brant", -0.5, 0.4, 0.1, 16, 2)]
    for width in WIDTHS:
        lines = texts(drawn_jobs(shares, width))
        assert fits(drawn_jobs(shares, width), width)
        assert "8 bores, ✓ all in" in lines[0]
        assert "16 bores, ■ 2 out" in lines[1]
        if width >= 44:
            first, second = (line.index("◆") for line in lines)
            assert second < first
            assert abs(first - (lines[0].index("├") + lines[0].index("┤")) / 2) <= 1


def _springs(pushes: list[tuple[float, float]], *, mine: bool = True) -> Springs:
    known = [Sizing(8.0, 8.0 + x, 8.0 + x - y) for x, y in pushes]
    points = tuple(Push(x, y, mine) for x, y in pushes)
    return Springs(points, learn(known), later=False, unit="mm", factor=1.0, write=lambda value: f"{value:.3f}")


LINE = [(0.02 + 0.004 * i, 0.010 + 0.001 * i + 0.0008 * (-1) ** i) for i in range(12)]


def _points(lines: list[str]) -> list[tuple[int, int, int]]:
    """Give the points of a plot: cell across, line, and how many there are in it."""
    plot = [line for line in lines[1:] if "│" in line or "┤" in line]
    found = []
    for y, line in enumerate(plot):
        edge = line.index("│") if "│" in line else line.index("┤")
        for x, sign in enumerate(line[edge + 1 :]):
            if sign in "●○":
                found.append((x, y, 1))
            elif sign.isdigit():
                found.append((x, y, int(sign)))
    return found


@pytest.mark.parametrize("width", [40, 60, 80, 158])
def test_every_sizing_is_a_point_and_points_stand_as_their_figures_do(width: int) -> None:
    lines = texts(drawn_springs(_springs(LINE), width, 24))
    points = _points(lines)
    assert sum(count for _, _, count in points) == len(LINE)
    apart = texts(drawn_springs(_springs([(0.02, 0.01), (0.06, 0.02)]), width, 24))
    (x1, y1, _), (x2, y2, _) = sorted(_points(apart))
    assert x1 < x2
    assert y1 > y2, "more springback stands higher"


def test_the_line_goes_through_the_middle_of_its_band_and_most_points_lie_in_it() -> None:
    found = _springs(LINE)
    lines = texts(drawn_springs(found, 100, 30))
    plot = [line for line in lines[1:] if "│" in line or "┤" in line]
    for x in range(20, 90, 10):
        column = [line[x] if x < len(line) else " " for line in plot]
        band = [y for y, sign in enumerate(column) if sign != " "]
        (middle,) = [y for y, sign in enumerate(column) if sign in "▁─▔"] or [-1]
        if middle >= 0:
            assert abs(middle - (band[0] + band[-1]) / 2) <= 1.5
    bare = [line for line in plot if "░" in line]
    assert len(bare) > 5


def test_what_the_signs_mean_and_what_the_line_rests_on_is_said() -> None:
    words = " ".join(texts(drawn_springs(_springs(LINE), 80, 24))[-5:])
    for said in (
        "● this job, 12",
        "○ other jobs, 0",
        "─ learned from 12 sizings by the first ball",
        "░ 95 % of the next",
    ):
        assert said in words
    few = " ".join(texts(drawn_springs(_springs(LINE[:3], mine=False), 80, 24))[-5:])
    assert "○ other jobs, 3" in few
    assert "assumed, brought up to date with 3 sizings" in few
    empty = Springs((), None, later=True, unit="mm", factor=1.0, write=str)
    assert texts(drawn_springs(empty, 80, 24))[0].startswith("No sizing by later balls is on record")


@pytest.mark.parametrize("width", WIDTHS)
def test_trends_fit_every_width_in_any_script_and_in_plain_ascii(width: int) -> None:
    bores = [_bore(name, 8.0, 8.2) for name in HOSTILE_NAMES]
    shares = [Share(name, name * 9, 0.1, 1.4, 0.6, 8, 1) for name in HOSTILE_NAMES]
    springs_drawn = drawn_springs(_springs(LINE), width, 20)
    for lines in (drawn_positions(bores, width), drawn_jobs(shares, width), springs_drawn):
        assert fits(lines, width)
        assert is_plain(lines)
    assert texts(drawn_positions([], width))
    assert texts(drawn_jobs([], width))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[JobStore]:
    """Give a store with every sample job."""
    found = open_store(tmp_path / "jobs.db")
    for job in JOBS:
        import_job(found, record(job))
    yield found
    found.close()


def test_springback_is_that_of_the_store_with_this_jobs_own_marked(store: JobStore) -> None:
    state = state_of("1001")
    first, later = springs(state, store, later=False), springs(state, store, later=True)
    assert first is not None
    assert later is not None
    own = sizings(state)
    assert len(first.pushes) + len(later.pushes) >= len(own)
    assert sum(push.mine for push in (*first.pushes, *later.pushes)) == len(own)
    assert {round(p.interference - (s.ball - s.pre_size), 9) for p in first.pushes for s in own} >= {0.0}
    assert springs(state_of("1002"), store, later=False) is None


@pytest.mark.parametrize("size", [*SIZES, (60, 18)])
async def test_each_drawing_is_one_key_away_and_esc_leaves(store: JobStore, size: tuple[int, int]) -> None:
    app: ViewScreen[None] = ViewScreen(TrendsScreen(state_of("1001"), store))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert TITLES[0][:40] in seen(app)
        assert "✓ in" in seen(app)
        await pilot.press("2")
        for _ in range(60):
            await pilot.pause(0.05)
            if "1002" in seen(app) and "reading" not in seen(app):
                break
        assert all(job in seen(app) for job in ("1001", "1002", "1004"))
        await pilot.press("3")
        await pilot.pause()
        assert "this job, 8" in seen(app)
        await pilot.press("tab")
        await pilot.pause()
        assert "this job, 2" in seen(app)
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_a_job_without_liners_has_no_springback(store: JobStore) -> None:
    app: ViewScreen[None] = ViewScreen(TrendsScreen(state_of("1002"), store))
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("3")
        await pilot.pause()
        assert NO_SIZING in " ".join(seen(app).split())
