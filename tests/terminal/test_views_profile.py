"""The profile of a bore: what was read, to a scale that is stated, between limits that follow from the clearance."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.screen import Screen

from headwright.job.figures import Bench, Figure
from headwright.job.hole import Hole, Ruling
from headwright.job.verdict import prove
from headwright.terminal.bench.verdicts import word_of
from headwright.terminal.views.bore import Bore, Digits, bore, facts
from headwright.terminal.views.profile import between, drawn_bore, station_rows
from headwright.terminal.views.profile_panel import NOTHING, ProfilePanel
from headwright.terminal.views.profile_scale import Scale
from headwright.terminal.views.profile_words import shape_words
from headwright.terminal.views.steps import round_step, rounded, ticks
from tests.terminal.cards_app import seen
from tests.terminal.views_jobs import JOBS, PARTS, ViewScreen, fits, is_plain, state_of, texts

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from headwright.terminal.views.bore import Sizes

INCH = 25.4
NAMES = ("top", "middle", "bottom")
WALL = re.compile("[▌▐]")


def _digits() -> Digits:
    state = state_of("1001")
    return Digits(state.plan, state.index.readings["size", "finished_id"])


STEM = 0.3118
"""Inches of the stem that goes into the bores drawn here."""


def _bore(
    columns: Sizes,
    before: Sizes = (),
    limits: tuple[float | None, float | None] = (0.3128, 0.3138),
    guard: float | None = None,
) -> Bore:
    """Give a bore from sizes in inches, a column for each angle; `guard` is the guard band where it is proved."""

    def mm(sizes: Sizes) -> Sizes:
        return tuple(tuple(None if v is None else v * INCH for v in column) for column in sizes)

    low, high = (None if limit is None else (limit - STEM) * INCH for limit in limits)
    angles: tuple[int | None, ...] = (0, 90)[: len(columns)]
    clearance = Figure(
        "size", "2I", "clearance", "Clearance", "in", 0.00001 * INCH, low=low, high=high, judged=True,
        proof=guard is not None, guard=(guard or 0.0) * INCH, uncertain=guard,
    )  # fmt: skip
    return Bore(
        "2I: Finished ID",
        NAMES[: len(columns[0])],
        angles,
        mm(columns),
        mm(before),
        "attempt 1",
        Hole(((Ruling("clearance", STEM * INCH, STEM * INCH), clearance),)),
        None,
        _digits(),
    )


def _openings(lines: list[str]) -> list[float]:
    """Give how wide the first section stands open on each line that has two walls, in cells."""
    found = []
    for line in lines:
        walls = [(match.start(), match[0]) for match in WALL.finditer(line)]
        if len(walls) >= 2:
            (left, sign), (right, other) = walls[:2]
            found.append(right - left - 1 + (sign == "▌") / 2 + (other == "▐") / 2)
    return found


def _at_stations(lines: list[str]) -> list[float]:
    return _openings([next(line for line in lines if line.startswith(name)) for name in NAMES])


@settings(deadline=None)
@given(st.lists(st.integers(3128, 3138), min_size=3, max_size=3))
def test_the_wider_of_two_stations_is_drawn_wider_and_equal_ones_alike(tenths: list[int]) -> None:
    sizes = tuple(t / 10000 for t in tenths)
    openings = _at_stations(texts(drawn_bore(_bore((sizes,)), 70, 24)))
    assert len(openings) == 3
    for (a, wide_a), (b, wide_b) in pairwise(zip(sizes, openings, strict=True)):
        assert (wide_a > wide_b) == (a > b)
        assert (wide_a < wide_b) == (a < b)


@settings(deadline=None)
@given(st.lists(st.integers(3120, 3145), min_size=3, max_size=3))
def test_between_stations_the_wall_goes_straight_from_one_to_the_other(tenths: list[int]) -> None:
    found = _bore((tuple(sorted(t / 10000 for t in tenths)),))
    openings = _openings(texts(drawn_bore(found, 80, 30)))
    assert len(openings) > 15
    assert openings == sorted(openings)


def test_stations_stand_in_their_order_from_the_top_with_their_figures() -> None:
    lines = texts(drawn_bore(_bore(((0.3133, 0.3131, 0.3134), (0.3132, 0.3130, 0.3135))), 78, 20))
    at = [next(y for y, line in enumerate(lines) if line.startswith(name)) for name in NAMES]
    assert at == sorted(at)
    assert [re.findall(r"\.\d+", lines[y]) for y in at] == [[".3133", ".3132"], [".3131", ".3130"], [".3134", ".3135"]]


@pytest.mark.parametrize("deep", range(3, 40))
@pytest.mark.parametrize("stations", [2, 3, 4])
def test_stations_are_spread_over_the_height_at_hand(stations: int, deep: int) -> None:
    if deep < stations:
        return
    rows = station_rows(stations, deep)
    assert rows == sorted(set(rows))
    assert rows[0] >= 0
    assert rows[-1] < deep
    assert len({below - above for above, below in pairwise(rows)}) == 1, "evenly apart"
    assert rows[-1] - rows[0] >= deep - 2 - (stations - 1), "over all the height but what is left over"
    column = tuple(float(i) for i in range(stations))
    heights = [between(rows, column, y) for y in range(deep)]
    drawn = [h for h in heights[rows[0] : rows[-1] + 1] if h is not None]
    assert len(drawn) == rows[-1] - rows[0] + 1
    assert drawn == sorted(drawn)
    assert set(heights[: rows[0]]) | set(heights[rows[-1] + 1 :]) <= {None}, "nothing was read beyond the ends"
    assert [heights[row] for row in rows] == list(column)


def test_a_size_on_a_limit_stands_on_the_line_of_that_limit() -> None:
    for size, letter in ((0.3128, "L"), (0.3138, "H")):
        lines = texts(drawn_bore(_bore(((size, size, size),)), 60, 20))
        letters = [match.start() for match in re.finditer(letter, lines[1])]
        walls = [match.start() for match in WALL.finditer(next(line for line in lines if line.startswith("middle")))]
        assert walls == letters


@settings(deadline=None)
@given(st.floats(0.3, 0.33), st.integers(1, 40), st.integers(10, 76))
def test_the_scale_that_is_stated_is_the_one_that_is_drawn_to(low: float, tenths: int, wide: int) -> None:
    """From the drawing alone: a cell is the step between the lines of the limits over the cells between them."""
    high = low + tenths / 10000
    lines = texts(drawn_bore(_bore(((low, (low + high) / 2, high),), limits=(low, high)), wide + 24, 26))
    said = " ".join(" ".join(lines[-8:]).split())
    found = re.search(r"rawn ([\d,]+) × across, .*? one cell is (\.\d+) in of diameter", said)
    assert found is not None, said
    times, cell = float(found[1].replace(",", "")), float(found[2])
    outer, inner, *_ = (match.start() for match in re.finditer("[LH]", lines[1]))
    assert abs((inner - outer) - (high - low) / cell) <= 1
    opening = _openings([next(line for line in lines if line.startswith("top"))])[0]
    true = (low / opening) / (cell / 2)
    assert times == pytest.approx(true, rel=0.12)


@settings(deadline=None)
@given(st.floats(1e-6, 1e6))
def test_steps_are_round_and_never_too_small(least: float) -> None:
    step = round_step(least)
    assert least * (1 - 1e-6) <= step <= least * 2.5 * (1 + 1e-6)
    assert f"{step:e}"[0] in "125"
    assert 0 < len(ticks(0.0, least, 5)) <= 5
    assert abs(rounded(least) - least) <= max(0.5, least * 0.05) + 1e-6


def test_an_earlier_size_far_away_does_not_press_the_present_one_flat() -> None:
    near = drawn_bore(_bore(((0.3133, 0.3132, 0.3133),), before=((0.3126, 0.3126, 0.3126),)), 70, 20)
    far = drawn_bore(_bore(((0.3133, 0.3132, 0.3133),), before=((0.3026, 0.3026, 0.3026),)), 70, 20)
    assert sum(text.count("○") for text in texts(near)) > 10
    assert sum(text.count("○") for text in texts(far)) == 1, "only in the words below"
    assert "○ before: .3026 in, attempt 1, not on the drawing" in " ".join(texts(far))
    same = drawn_bore(_bore(((0.3133, 0.3132, 0.3133),), before=((0.3133, 0.3132, 0.3133),)), 70, 20)
    assert "○ before: .3132–.3133 in, attempt 1, the same as now" in " ".join(texts(same))
    alone = drawn_bore(_bore(((0.3133, 0.3132, 0.3133),)), 70, 20)
    assert _at_stations(texts(far)) == _at_stations(texts(alone))


def test_a_size_that_is_out_says_so_in_sign_and_word() -> None:
    lines = texts(drawn_bore(_bore(((0.3139, 0.3132, 0.3127),)), 60, 20))
    assert any(".3139 ■" in line for line in lines)
    words = " ".join(lines)
    assert " high " in words
    assert " low " in words


def test_the_guard_band_is_drawn_inside_both_limits_and_a_size_in_it_is_not_proven() -> None:
    """Limits .3128 to .3138 with bands of .0002: .3137 and .3129 lie in one, .3130 on its edge does not."""
    found = _bore(((0.3137, 0.3132, 0.3130), (0.3133, 0.3133, 0.3129)), guard=0.0002)
    lines = texts(drawn_bore(found, 78, 22))
    rows = {name: next(line for line in lines if line.startswith(name)) for name in NAMES}
    assert ".3137 ■" in rows["top"]
    assert ".3130  " in rows["bottom"]
    assert ".3129 ■" in rows["bottom"]
    below = lines[lines.index(rows["top"]) + 1]
    assert "not proven" in below
    bare = lines[2]
    assert re.search("┆·+ +·+┆", bare), "dots from each limit inwards, and room between them"
    assert "· guard band" in " ".join(lines)
    plain_limits = texts(drawn_bore(_bore(((0.3137, 0.3132, 0.3130),)), 78, 22))
    assert "·" not in " ".join(plain_limits)


@settings(deadline=None)
@given(st.integers(31270, 31390), st.integers(0, 60))
def test_a_size_is_judged_by_the_figures_limits_and_guard_band(size: int, guard: int) -> None:
    """What is shown beside a size is what the rule of proof says of the clearance that it leaves over the stem."""
    found = _bore(((size / 1e5,) * 3,), guard=guard / 1e5)
    clearance = (size / 1e5 - STEM) * INCH
    wanted = prove(clearance, clearance, 0.0010 * INCH, 0.0020 * INCH, guard / 1e5 * INCH)
    assert found.at_size(size / 1e5 * INCH).word.removeprefix("■ ").removeprefix("· ") == wanted.value


def test_limits_too_close_together_to_prove_anything_have_the_band_all_along() -> None:
    lines = texts(drawn_bore(_bore(((None, None, None),), guard=0.0006), 78, 22))
    assert re.search("┆·+┆", lines[2])
    assert not re.search("┆· +·┆", lines[2])


def test_what_a_lead_let_stand_is_conceded_and_not_red() -> None:
    found = _bore(((0.3139, 0.3132, 0.3133),))
    assert found.at_size(0.3139 * INCH) == ("■ high", "bad")
    conceded = found._replace(conceded=frozenset({"clearance"}))
    assert conceded.at_size(0.3139 * INCH) == ("~ conceded", "near")
    lines = texts(drawn_bore(conceded, 60, 20))
    assert any(".3139 ~" in line for line in lines)
    assert any(" conceded " in line for line in lines)


@pytest.mark.parametrize(("size", "sign"), [(0.4133, "«"), (0.2, "»")])
def test_a_size_far_out_points_there_and_leaves_the_others_their_shape(size: float, sign: str) -> None:
    """A slip of the pen by a tenth of an inch must not press the limits into one cell."""
    lines = texts(drawn_bore(_bore(((size, 0.3132, 0.3133),))._replace(hand=(0, 0)), 60, 20))
    row = next(line for line in lines if line.startswith("top "))
    assert sign in row
    assert not WALL.search(row)
    outer, inner, *_ = (match.start() for match in re.finditer("[LH]", lines[1]))
    assert inner - outer >= 5
    assert "further than the drawing goes" in " ".join(lines)


def test_what_was_not_read_is_not_drawn() -> None:
    lines = texts(drawn_bore(_bore(((0.3133, None, None),)), 60, 20))
    rows = {name: next(line for line in lines if line.startswith(name)) for name in NAMES}
    assert WALL.search(rows["top"])
    assert not WALL.search(rows["middle"])
    assert "·" in rows["middle"]
    assert not WALL.search(rows["bottom"])
    walls = sum(bool(WALL.search(line)) for line in lines)
    assert walls == 1, "one station alone is no line, and nothing was read beyond it"
    nothing = _bore(((None, None, None),), limits=(None, None))
    assert not WALL.search(" ".join(texts(drawn_bore(nothing, 60, 20))))


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ((0.3135, 0.3133, 0.3131), ["top wider by .0004 in: tapered"]),
        ((0.3131, 0.3133, 0.3135), ["bottom wider by .0004 in: tapered"]),
        ((0.3135, 0.3131, 0.3135), ["both ends wider, bell-mouth .0004 in"]),
        ((0.3131, 0.3134, 0.3131), ["middle wider, barrel .0003 in"]),
        ((0.3133, 0.3133, 0.3133), ["straight and round to the last digit"]),
        ((0.3133, None, 0.3133), []),
    ],
)
def test_the_shape_is_said_in_words(sizes: tuple[float | None, ...], words: list[str]) -> None:
    assert shape_words(_bore((sizes, sizes))) == words


def test_out_of_round_is_said_in_words() -> None:
    found = _bore(((0.3134, 0.3133, 0.3133), (0.3132, 0.3133, 0.3133)))
    assert shape_words(found) == ["out of round .0002 in"]


@pytest.mark.parametrize("width", [30, 36, 44, 60, 80, 120, 158])
def test_it_fits_every_width_and_is_plain_ascii_where_that_is_wanted(width: int) -> None:
    found = _bore(((0.3133, 0.3132, 0.3139), (0.3133, 0.3130, 0.3134)), before=((0.3125,) * 3, (0.3124,) * 3))
    wild = found._replace(title="\u202e" + "w" * 200, stations=("漢字漢字漢字", "e\u0301", "\u05d0" * 30))
    for height in (8, 12, 20, 40):
        for each in (found, wild):
            lines = drawn_bore(each, width, height)
            assert len(lines) <= height
            assert fits(lines, width)
            assert is_plain(lines)
            assert "cross" in " ".join(texts(lines)), "the scale is always stated"


def test_where_both_angles_do_not_fit_the_one_at_hand_is_drawn_and_the_other_named() -> None:
    found = _bore(((0.3133, 0.3132, 0.3134), (0.3133, 0.3130, 0.3134)))._replace(hand=(1, 0))
    lines = texts(drawn_bore(found, 40, 9))
    assert "0° not shown" in lines[0]
    assert "90°" in lines[1]


def test_before_is_the_attempt_before_and_else_the_size_before_sizing() -> None:
    state = state_of("1001")
    operation = state.index.operations["size"]
    again, first = facts(state, operation, "2I"), facts(state, operation, "1I")
    assert again is not None
    assert first is not None
    assert again.before_words == "attempt 1"
    driven = state.index.readings["install", "pre_size_id"]
    assert first.before_words == driven.label
    ((value, *others), *_) = first.before
    (taken,) = [t for p, t in state.attempt("install", "1I").readings.items() if p[0] == "pre_size_id"]
    assert value == taken.event.value
    assert set(others) == {value}


def test_at_an_operation_without_a_bore_the_last_one_read_there_is_shown() -> None:
    state = state_of("1001")
    found = facts(state, state.index.operations["trim"], "4E")
    assert found is not None
    assert found.operation.id == "verify"
    begun = state_of("1001", 0.02)
    assert facts(begun, begun.index.operations["trim"], "4E") is None


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("part", PARTS)
def test_every_bore_of_the_sample_jobs_can_be_drawn(job: str, part: float) -> None:
    state = state_of(job, part)
    for operation in state.plan.operations:
        for place in (state.index.positions[0].id, state.index.positions[-1].id):
            known = facts(state, operation, place)
            if known is not None:
                found = bore(known, {})
                for angle, column in enumerate(found.now):
                    for station, size in enumerate(column):
                        key = (known.reading.name, found.stations[station], found.angles[angle])
                        assert size == known.readings.get(key)
                assert fits(drawn_bore(found, 78, 18), 78)


def test_a_wall_moves_outwards_with_the_diameter() -> None:
    scale = Scale(7.9, 0.005, 12, 9)
    halves = [scale.halves(7.85 + i / 1000) for i in range(150)]
    assert halves == sorted(halves, reverse=True)
    assert halves[0] == 24
    assert halves[-1] == 0


def test_the_bored_hole_of_the_v8_is_drawn_as_the_bench_proves_it() -> None:
    """Its limits have to be proved; the drawing has the figure's own guard band and says what proves it."""
    state = state_of("1004")
    known = facts(state, state.index.operations["bore"], "L1I")
    assert known is not None
    found = bore(known, {})
    figure = Bench(state, known.operation, "L1I").figure("bored_id")
    assert figure.proof
    assert found.hole.guard == figure.guard > 0
    assert (found.hole.low, found.hole.high) == (figure.low, figure.high)
    assert found.stood == word_of(state, figure)
    words = " ".join(" ".join(texts(drawn_bore(found, 158, 40))).split())
    assert "proves the limits, by guard band." in words
    assert "guard band .0000" in words


class _Shown(Screen[None]):
    def compose(self) -> ComposeResult:
        yield ProfilePanel()


async def test_the_figure_being_typed_is_drawn_in_its_place_and_taken_away_again() -> None:
    state = state_of("1001")
    operation = state.index.operations["size"]
    point = ("finished_id", "middle", 90)
    app: ViewScreen[None] = ViewScreen(_Shown())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        panel = app.screen.query_one(ProfilePanel)
        panel.show(state, operation, "2I")
        await pilot.pause()
        before = seen(app)
        panel.show(state, operation, "2I", {point: 0.3141 * INCH}, point)
        await pilot.pause()
        (line,) = [line for line in seen(app).splitlines() if ".3141" in line]
        assert line.strip().startswith("middle")
        assert ".3141 ■" in line
        panel.show(state, operation, "2I")
        await pilot.pause()
        assert seen(app) == before


async def test_where_no_bore_was_read_it_says_so() -> None:
    state = state_of("1001", 0.02)
    app: ViewScreen[None] = ViewScreen(_Shown())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.screen.query_one(ProfilePanel).show(state, state.index.operations["trim"], "2I")
        await pilot.pause()
        assert NOTHING in seen(app)
