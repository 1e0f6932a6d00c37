"""The trends: finished bores in their limits by position and by job, and springback over interference."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

import pytest
import statsmodels.api as sm

from headwright.calc.springback import Sizing, learn
from headwright.job.events import ReadingTaken
from headwright.job.evolve import fold
from headwright.job.figures import Bench
from headwright.job.sizing import sizings
from headwright.job.state import begin
from headwright.job.verdict import Verdict, judge, prove
from headwright.store import open_store
from headwright.store.record import import_job
from headwright.terminal.bench.verdicts import said, style_of, word_of
from headwright.terminal.views.sizes import Finished, Push, Share, Springs, finished, share_of, springs
from headwright.terminal.views.trends import drawn_jobs, drawn_positions, drawn_springs
from headwright.terminal.views.trends_screen import NO_SIZING, TITLES, TrendsScreen
from tests.terminal.cards_app import SIZES, seen
from tests.terminal.views_jobs import HOSTILE_NAMES, JOBS, PARTS, ViewScreen, fits, is_plain, record, state_of, texts

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from headwright.store import JobStore

    Limits = tuple[float | None, float | None]

WIDTHS = (30, 44, 60, 78, 98, 158)


LIMITS = (8.0, 8.1)


def _bore(name: str, least: float, most: float, limits: Limits = LIMITS, guard: float = 0.0) -> Finished:
    """Give a bore in limits, mm."""
    low, high = limits
    proof = guard or None
    verdict = judge(least, most, low, high) if proof is None else prove(least, most, low, high, proof)
    low_text, high_text = ("" if limit is None else f"{limit:.3f}" for limit in limits)
    return Finished(
        name, name, "intake", 1, least, most, low, high, f"{least:.3f}–{most:.3f} mm", low_text, high_text,
        said(verdict), style_of(verdict), verdict, guard,
    )  # fmt: skip


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
def test_every_position_of_a_finished_job_has_its_line_in_working_order(job: str) -> None:
    """All intakes of a head, then its exhausts, as the tables have them."""
    state = state_of(job)
    bores = finished(state)
    assert sorted(bore.place for bore in bores) == sorted(p.id for p in state.index.positions)
    for head in state.index.heads:
        kinds = [bore.kind for bore in bores if bore.place in state.index.inside(head.id)]
        assert kinds == sorted(kinds, reverse=True)
    tables = {tuple(p for p in state.index.places_of(op) if p in state.held) for op in state.plan.operations}
    assert tuple(bore.place for bore in bores) in tables
    for width in WIDTHS:
        lines = drawn_positions(bores, width)
        assert fits(lines, width)
        assert [text.split()[0] for text in texts(lines)] == [state.index.places[b.place].name for b in bores]
        assert all("✓ ok" in text or "~ near" in text for text in texts(lines))


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
    one_limit = _bore("c", 8.0, 8.02, (8.0, None))
    assert share_of(state, [one_limit]) is None, "without both limits there is no share"


def test_a_job_counts_what_is_out_what_is_not_proven_and_what_was_conceded_apart() -> None:
    bores = [
        _bore("a", 8.0, 8.12),
        _bore("b", 8.01, 8.05, guard=0.02),
        _bore("c", 8.05, 8.06, guard=0.02),
        _bore("d", 7.9, 8.0)._replace(conceded=True),
    ]
    share = share_of(state_of("1001"), bores)
    assert share is not None
    assert (share.out, share.unproven, share.conceded) == (1, 1, 1)
    assert share.guard == pytest.approx(0.2)
    (line,) = texts(drawn_jobs([share], 120))
    assert "4 bores, ■ 1 out, ■ 1 not proven, ~ 1 conceded" in line
    assert line.index("├") < line.index("┤"), "limits show where the bores go beyond them"
    inside = texts(drawn_jobs([share._replace(least=0.4, most=0.5)], 120))[0]
    assert abs(inside.count("·") - 2 * 0.2 * (inside.index("┤") - inside.index("├"))) <= 3, "the widest guard band"
    assert "1 bore, ✓ all ok" in texts(drawn_jobs([share._replace(bores=1, out=0, unproven=0, conceded=0)], 120))[0]


def test_a_bore_that_is_read_half_is_in_so_far_and_no_finished_bore_of_the_job() -> None:
    """The first job, stopped at each entry of its first bore: in so far until its last point, then in."""
    known, seen_words = record("1001"), []
    state = begin(known.plan)
    for entry in known.entries:
        state = fold(state, (entry,))
        if isinstance(entry.event, ReadingTaken) and entry.event.reading == "finished_id":
            (bore, *_) = [b for b in finished(state) if b.place == entry.event.place]
            seen_words.append(bore.word)
            assert (share_of(state, [bore]) is None) is bore.so_far
            if not bore.so_far:
                break
    assert seen_words[:-1] == ["· ok so far"] * (len(seen_words) - 1)
    assert len(seen_words) >= 6
    assert seen_words[-1] == "✓ ok"


def test_the_guard_band_is_drawn_inside_both_limits_of_every_bore() -> None:
    plain_limits, proved = texts(drawn_positions([_bore("a", 8.05, 8.05), _bore("b", 8.08, 8.09, guard=0.02)], 100))
    assert "·" not in plain_limits
    assert "├···" in proved
    assert "■ not proven" in proved
    dots = proved[: proved.index("●")].count("·")
    wide = proved.index("┤") - proved.index("├")
    assert abs(dots - 0.2 * wide) <= 1


def test_a_bore_with_one_limit_is_drawn_to_that_limit() -> None:
    low, high = texts(
        drawn_positions([_bore("a", 8.01, 8.02, (8.0, None)), _bore("b", 8.01, 8.02, (None, 8.015))], 100)
    )
    assert "├" in low
    assert "┤" not in low
    assert "✓ ok" in low
    assert "┤" in high
    assert "├" not in high
    assert "■ high" in high


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("part", PARTS)
def test_a_bore_stands_as_the_job_says_and_not_by_a_judgement_of_its_own(job: str, part: float) -> None:
    state = state_of(job, part)
    for bore in finished(state):
        operation = next(
            op for op in state.plan.operations for where in state.index.around(bore.place, op.per)
            if any(t.number == bore.number for t in state.attempt(op.id, where).readings.values())
        )  # fmt: skip
        figures = [f for f in Bench(state, operation, bore.place).figures() if f.judged]
        words = {word_of(state, f)[0] for f in figures}
        word = bore.word.partition(",")[0]
        if bore.so_far:
            assert "✓" not in word
            word = word.removesuffix(" so far").replace("· ", "✓ ")
        assert word.removeprefix("~ ") in {w.removeprefix("~ ") for w in words}
        if not any(f.verdict.fails for f in figures):
            assert not bore.verdict.fails
        clearance = next(f for f in figures if f.item == "clearance")
        assert bore.guard == clearance.guard
        if clearance.verdict.fails:
            assert bore.verdict.fails


def test_a_bore_whose_size_is_in_says_what_else_is_out() -> None:
    """4E of the first job after its first ball: its clearance is in, and it is out of round."""
    full = record("1001")
    state = begin(full.plan)
    found: dict[str, str] = {}
    for entry in full.entries:
        state = fold(state, (entry,))
        if isinstance(entry.event, ReadingTaken) and (entry.event.operation, entry.event.place) == ("size", "4E"):
            found |= {bore.name: bore.word for bore in finished(state) if bore.verdict is Verdict.HIGH}
    assert found == {"4E": "■ high, out of round"}


def test_jobs_stand_under_one_another_with_their_mean_and_what_is_out() -> None:
    shares = [Share("1001", "Alder", 0.2, 0.8, 0.5, 8, 0), Share("1002", "Brant", -0.5, 0.4, 0.1, 16, 2)]
    for width in WIDTHS:
        lines = texts(drawn_jobs(shares, width))
        assert fits(drawn_jobs(shares, width), width)
        assert "8 bores, ✓ all ok" in lines[0]
        assert "16 bores, ■ 2 out" in lines[1]
        if width >= 44:
            first, second = (line.index("◆") for line in lines)
            assert second < first
            assert abs(first - (lines[0].index("├") + lines[0].index("┤")) / 2) <= 1


def _springs(pushes: list[tuple[float, float]], *, mine: bool = True) -> Springs:
    known = [Sizing(8.0, 8.0 + x, 8.0 + x - y) for x, y in pushes]
    points = tuple(Push(x, y, mine, each.usable) for (x, y), each in zip(pushes, known, strict=True))
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


def test_line_and_band_lie_where_statsmodels_says() -> None:
    """Statsmodels' OLS on the same points: its line and its 95 % interval for the next one, to a cell and a half."""
    width, height = 100, 40
    found = _springs(LINE)
    model = sm.OLS([y for _, y in LINE], sm.add_constant([x for x, _ in LINE])).fit()
    lines = texts(drawn_springs(found, width, height))
    plot = [line.ljust(width) for line in lines[1:] if "│" in line or "┤" in line]
    left = (plot[0].index("│") if "│" in plot[0] else plot[0].index("┤")) + 1
    points = sorted((x, y) for x, y, _ in _points(lines))
    (x1, _), (x2, _) = points[0], points[-1]
    per_cell = (LINE[-1][0] - LINE[0][0]) / (x2 - x1)
    low_y, high_y = (next(y for x, y, _ in _points(lines) if x == at) for at in (x1, x2))
    per_line = (LINE[-1][1] - LINE[0][1]) / (low_y - high_y)
    for x in range(x1, x2, 3):
        column = [line[left + x] for line in plot]
        if any(sign in "●○" for sign in column):
            continue
        frame = model.get_prediction([[1, LINE[0][0] + (x - x1) * per_cell]]).summary_frame(alpha=0.05)
        drawn = {
            "mean": next(y for y, sign in enumerate(column) if sign in "▁─▔"),
            "obs_ci_upper": next(y for y, sign in enumerate(column) if sign in "░▁─▔"),
            "obs_ci_lower": max(y for y, sign in enumerate(column) if sign in "░▁─▔"),
        }
        for name, line in drawn.items():
            assert line == pytest.approx(low_y - (frame[name][0] - LINE[0][1]) / per_line, abs=1.5), (x, name)


@pytest.mark.parametrize("count", [1, 2, 6, 40, 500])
@pytest.mark.parametrize("size", [(30, 10), (78, 20), (158, 40)])
def test_one_sizing_or_hundreds_each_is_drawn_or_counted(count: int, size: tuple[int, int]) -> None:
    chance = Random(count)  # noqa: S311 - not a secret
    pushes = [(x := chance.uniform(0.02, 0.06), 0.008 + 0.1 * x + chance.gauss(0, 0.0015)) for _ in range(count)]
    for each in (pushes, [(0.04, 0.012)] * count):
        lines = drawn_springs(_springs(each), *size)
        assert fits(lines, size[0])
        shown = texts(lines)
        words = " ".join(shown)
        crowded = "# more than nine" in words
        total = sum(number for _, _, number in _points(shown))
        assert total == count or (crowded and total < count)
        assert "2–9 so many" in words or all(number == 1 for _, _, number in _points(shown))
        assert f"this job, {count}" in words


def test_what_is_not_plausible_is_marked_and_does_not_press_the_others_flat() -> None:
    wild = [(0.04, 0.6), (0.05, -0.2)]
    lines = texts(drawn_springs(_springs([*LINE, *wild]), 100, 26))
    words = " ".join(lines)
    assert sum(line.count("×") for line in lines if "│" in line or "┤" in line) == 2
    assert "× not plausible, 2 left out" in words
    assert "at an edge: further out" in words
    heights = {y for _, y, _ in _points(lines)}
    assert len(heights) > 4, "the others still tell their heights apart"


@pytest.mark.parametrize("width", [30, 60, 98, 158])
def test_figures_on_the_scales_are_those_that_they_stand_at(width: int) -> None:
    """Two marks never have the same figure: a scale finer than its digits would seem to say so."""
    found = _springs([(0.04, 0.012), (0.0401, 0.0121)])._replace(write=lambda v: f"{v:.3f}", grain=0.001)
    lines = texts(drawn_springs(found, width, 24))
    ups = [line[: line.index("┤")].strip() for line in lines if "┤" in line]
    below = next(lines[y + 1] for y, line in enumerate(lines) if line.lstrip().startswith("└"))
    across = below.partition("interference")[0].split()
    assert ups
    assert len(set(ups)) == len(ups)
    assert len(set(across)) == len(across)


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
    for told in (
        "● this job, 12",
        "○ other jobs, 0",
        "─ learned from 12 sizings by the first ball",
        "░ 95 % of the next",
    ):
        assert told in words
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
        assert "✓ ok" in seen(app)
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
