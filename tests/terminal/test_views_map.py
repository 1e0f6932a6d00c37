"""The head map: every valve in its place, its state in sign and word, picked by arrows and mouse."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from headwright.job.agenda import next_up
from headwright.job.events import StepTicked
from headwright.job.evolve import fold
from headwright.job.holds import is_held
from headwright.job.state import begin
from headwright.procedure.library import load
from headwright.procedure.plan import Kind, Level, Place
from headwright.procedure.resolve import build_plan
from headwright.terminal.views.head_map import (
    BOXED,
    LOOKS,
    PICKED,
    ROUND,
    SQUARE,
    MapDrawing,
    drawn_map,
    has_rows,
    legend,
)
from headwright.terminal.views.map_panel import MapPanel, MapScreen
from headwright.terminal.views.standing import WORDS, Casting, Valve, castings, told
from tests.stories.write import ROOT
from tests.terminal.cards_app import SIZES, seen
from tests.terminal.views_jobs import (
    HOSTILE_NAMES,
    JOBS,
    PARTS,
    ViewScreen,
    fits,
    is_plain,
    plain,
    record,
    state_of,
    texts,
)

if TYPE_CHECKING:
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

WIDTHS = (24, 30, 40, 57, 78, 98, 158)


def _operations(state: State) -> list[Operation]:
    """Give an operation of every level, and those that a position is at."""
    per = {operation.per: operation for operation in state.plan.operations}
    busy = [op for op in state.plan.operations if any(key[0] == op.id for key in state.attempts)]
    return [*per.values(), *busy[-3:]]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("width", WIDTHS)
def test_every_position_stands_once_where_the_drawing_says_that_it_does(job: str, width: int) -> None:
    state = state_of(job)
    heads = castings(state, state.plan.operations[-1])
    for height in (6, 18, 40):
        drawing = drawn_map(heads, width, height)
        assert fits(drawing.lines, width)
        assert sorted(drawing.cells) == sorted(p.id for p in state.index.positions)
        lines = texts(drawing.lines)
        for place in state.index.positions:
            cell = drawing.cells[place.id]
            part = [line[cell.x : cell.x + cell.wide] for line in lines[cell.y : cell.y + cell.high]]
            assert sum(place.name in line for line in part) == 1
            for x, y in ((cell.x, cell.y), (cell.x + cell.wide - 1, cell.y + cell.high - 1)):
                assert drawing.at(x, y) == place.id
        assert drawing.at(0, 0) == ""


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("width", WIDTHS)
def test_cylinders_follow_one_another_as_they_stand_and_intakes_lie_above_exhausts(job: str, width: int) -> None:
    state = state_of(job)
    heads = castings(state, state.plan.operations[-1])
    drawing = drawn_map(heads, width, 40)
    for head in heads:
        firsts = [drawing.cells[valves[0].place] for _, valves in head.cylinders]
        assert all((a.y, a.x) < (b.y, b.x) for a, b in pairwise(firsts))
        for _, valves in head.cylinders:
            cells = {valve: drawing.cells[valve.place] for valve in valves}
            if not has_rows(head):
                assert all((cells[a].y, cells[a].x) < (cells[b].y, cells[b].x) for a, b in pairwise(valves))
                continue
            for kind in ("intake", "exhaust"):
                row = [valve for valve in valves if valve.kind == kind]
                assert all((cells[a].y, cells[a].x) < (cells[b].y, cells[b].x) for a, b in pairwise(row))
            intakes, exhausts = ([cells[v].y for v in valves if v.kind == kind] for kind in ("intake", "exhaust"))
            assert max(intakes) < min(exhausts)


def test_a_head_is_shown_whole_in_one_row_where_the_width_allows_it() -> None:
    for job, width in (("1001", 60), ("1004", 80), ("1003", 100)):
        heads = castings(state_of(job), state_of(job).plan.operations[0])
        drawing = drawn_map(heads, width, 24)
        for head in heads:
            assert len({drawing.cells[valves[0].place].y for _, valves in head.cylinders}) == 1


def test_two_banks_lie_under_one_another_and_heads_of_one_cylinder_beside_one_another() -> None:
    banks = drawn_map(castings(state_of("1004"), state_of("1004").plan.operations[-1]), 100, 30)
    assert banks.cells["L1I"].x == banks.cells["R2I"].x
    assert banks.cells["L1I"].y < banks.cells["R2I"].y
    state = state_of("1005")
    single = drawn_map(castings(state, state.plan.operations[-1]), 100, 30)
    first, second = (single.cells[state.index.inside(head.id)[0]] for head in state.index.heads)
    assert first.y == second.y
    assert first.x < second.x


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("part", PARTS)
def test_sign_and_word_say_what_the_job_says(job: str, part: float) -> None:
    state = state_of(job, part)
    for operation in _operations(state):
        for head in castings(state, operation):
            for _, valves in head.cylinders:
                for valve in valves:
                    leaf = state.index.places[valve.place]
                    assert (valve.name, valve.kind, valve.cylinder) == (leaf.name, leaf.kind, leaf.cylinder)
                    lost = state.is_given_up(operation, valve.spot)
                    begun = state.attempt(operation.id, valve.spot).begun
                    here = lost or begun or state.is_due(operation, valve.spot)
                    applies = state.applies(operation, valve.place) and here
                    assert (valve.sign == "◦") is not applies, "not on this repair, or not needed"
                    if applies and is_held(state, operation, valve.spot):
                        assert (valve.sign, valve.word) == ("■", "held")
                    elif applies and state.is_due(operation, valve.spot):
                        assert valve.sign in {"·", "~", "▸", "■"}
                    elif applies and not state.is_done(operation, valve.spot):
                        assert state.scrapped
                        assert (valve.sign, valve.word) == ("×", "given up")
                    elif applies:
                        assert valve.sign in {"✓", "~"}
                    assert valve.sign in WORDS
                    assert valve.word


def test_what_comes_next_is_marked_and_a_stopped_head_says_so() -> None:
    state = state_of("1004", 0.5)
    found = next_up(state, next(p.operator for p in state.people.values() if p.on))
    operation = state.index.operations[found.operation]
    marked = [
        valve.spot
        for head in castings(state, operation, found.place)
        for _, valves in head.cylinders
        for valve in valves
        if valve.sign == "▸"
    ]
    assert set(marked) <= {found.place}
    given_up = state_of("1003")
    assert given_up.scrapped
    heads = castings(given_up, given_up.plan.operations[0])
    assert "■ given up" in texts(drawn_map(heads, 60, 30).lines)[0]


@pytest.mark.parametrize("job", JOBS)
def test_work_done_at_a_whole_head_is_next_at_the_head_and_at_none_of_its_valves(job: str) -> None:
    state = begin(record(job).plan)
    operation = next(o for o in state.plan.operations if o.per is Level.HEAD)
    first, *others = castings(state, operation, state.index.heads[0].id)
    lines = texts(drawn_map((first, *others), 78, 60).lines)
    assert sum("▸" in line for line in lines) == 1
    assert "▸ next" in lines[0]
    valves = [valve for head in (first, *others) for _, here in head.cylinders for valve in here]
    assert not [valve.name for valve in valves if valve.sign == "▸" or valve.word == "next"]


@pytest.mark.parametrize("job", JOBS)
def test_the_legend_names_every_sign_on_the_map(job: str) -> None:
    state = state_of(job, 0.5)
    for operation in _operations(state):
        heads = castings(state, operation)
        signs = {valve.sign for head in heads for _, valves in head.cylinders for valve in valves}
        for look in LOOKS:
            lines = legend(heads, look, 78)
            assert fits(lines, 78)
            words = " ".join(texts(lines))
            assert all(f"{sign} {WORDS[sign]}" in words for sign in signs)
            assert "intake" in words
            assert "exhaust" in words


def test_without_room_for_the_word_the_sign_stays() -> None:
    state = state_of("1003")
    heads = castings(state, state.plan.operations[0])
    drawing = drawn_map(heads, 30, 10)
    assert drawing.look == "bare"
    lines = texts(drawing.lines)
    for head in heads:
        for _, valves in head.cylinders:
            for valve in valves:
                cell = drawing.cells[valve.place]
                assert valve.sign in lines[cell.y][cell.x : cell.x + cell.wide]


def _wild() -> tuple[Casting, ...]:
    """Give heads with names of every hostile sort, seven valves to a cylinder, and kinds out of order."""
    kinds = ("exhaust", "intake", "intake", "", "exhaust", "intake", "exhaust")
    valves = tuple(
        Valve(f"p{i}", f"p{i}", name, kind, "1", "■", "w" * 20, "bad", "9" * 40)
        for i, (name, kind) in enumerate(zip(HOSTILE_NAMES, kinds, strict=True))
    )
    again = tuple(valve._replace(place=f"q{valve.place}") for valve in valves)
    return Casting("h", "w" * 50, (("w" * 30, valves), ("漢字", again)), "given up"), Casting(
        "g", "\u202e", (("1", ()),)
    )


def test_every_box_of_a_valve_has_all_of_its_corners() -> None:
    state = state_of("1001", 0.5)
    heads = castings(state, state.plan.operations[0])
    boxed = [each for width in range(60, 160) if (each := drawn_map(heads, width, 30)).look in BOXED]
    assert len({each.look for each in boxed}) > 1, "boxes of more than one width are drawn"
    for drawing in boxed:
        lines = texts(drawing.lines)
        for cell in drawing.cells.values():
            edge = lines[cell.y][cell.x : cell.x + cell.wide]
            assert (edge[0], edge[-1]) in {("╭", "╮"), ("┌", "┐")}, edge


@pytest.mark.parametrize("width", range(24, 100, 7))
def test_names_of_any_script_and_length_stay_in_their_width(width: int) -> None:
    for height in (5, 30, 90):
        drawing = drawn_map(_wild(), width, height, picked="p2")
        assert fits(drawing.lines, width)
        assert len(drawing.cells) == 2 * len(HOSTILE_NAMES)
        assert fits(legend(_wild(), drawing.look, width), width)


@pytest.mark.parametrize("job", JOBS)
def test_the_map_keeps_its_shape_in_plain_ascii(job: str) -> None:
    heads = castings(state_of(job), state_of(job).plan.operations[-1])
    for width in WIDTHS:
        for height in (8, 40):
            assert is_plain(drawn_map(heads, width, height).lines)
    assert is_plain(drawn_map(_wild(), 60, 30).lines)
    assert is_plain(legend(heads, "full", 60))


def test_no_two_states_look_alike_in_plain_ascii() -> None:
    twins = [plain([((sign, ""),)])[0] for sign in WORDS]
    assert len(set(twins)) == len(WORDS)
    frames = [plain([((frame, ""),)])[0] for frame in (ROUND, SQUARE, PICKED)]
    assert len(set(frames)) == 3


def _reached(drawing: MapDrawing, begin: str) -> set[str]:
    waiting, found = [begin], {begin}
    while waiting:
        place = waiting.pop()
        for right, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            beside = drawing.beside(place, right, down)
            if beside not in found:
                found.add(beside)
                waiting.append(beside)
    return found


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("width", WIDTHS)
def test_arrows_reach_every_valve_and_go_where_they_point(job: str, width: int) -> None:
    heads = castings(state_of(job), state_of(job).plan.operations[-1])
    drawing = drawn_map(heads, width, 30)
    assert _reached(drawing, next(iter(drawing.cells))) == set(drawing.cells)
    for place, cell in drawing.cells.items():
        below, above = drawing.beside(place, 0, 1), drawing.beside(place, 0, -1)
        assert below == place or drawing.cells[below].y > cell.y
        assert above == place or drawing.cells[above].y < cell.y
        right = drawing.cells[drawing.beside(place, 1, 0)]
        assert (right.y, right.x) >= (cell.y, cell.x)
    assert drawing.beside("no such place", 1, 0) in drawing.cells


def test_what_is_told_of_a_valve_has_its_figures_and_limits() -> None:
    state = state_of("1001")
    operation = state.index.operations["size"]
    said = " ".join(told(state, operation, "2I"))
    assert said.startswith("2I: intake, cylinder 2. Size the liner: ✓ ok.")
    assert "Clearance .0014–.0015, limits .0010 to .0020 in: ✓ within limits." in said
    wide = next(op for op in state.plan.operations if op.per is Level.HEAD)
    assert "is done at each head, not at each valve." in told(state, wide, "2I")[-1]


def test_what_has_to_be_proved_says_what_proves_it() -> None:
    """The bored holes of the V8 are proved; limits and gauge stand on its record."""
    state = state_of("1004")
    said = " ".join(told(state, state.index.operations["bore"], "L1I"))
    assert "✓ within limits." in said
    assert re.search(r"U 0\.\d+ in \(k = 2\): 0\.\d+ to 0\.\d+ in proves the limits, by guard band\.", said), said


async def test_arrows_pick_and_enter_goes_to_the_valve_that_is_picked() -> None:
    app: ViewScreen[MapPanel.Picked | None] = ViewScreen(MapScreen(state_of("1001"), "size", "1E"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "1E: exhaust, cylinder 1." in seen(app)
        await pilot.press("right", "right")
        assert "2I: intake, cylinder 2." in seen(app)
        await pilot.press("enter")
        await pilot.pause()
    (answer,) = app.answers
    assert answer is not None
    assert (answer.position, answer.place) == ("2I", "2I")


async def test_home_picks_what_is_next_and_esc_leaves_everything_as_it_is() -> None:
    app: ViewScreen[MapPanel.Picked | None] = ViewScreen(MapScreen(state_of("1001"), "size", "1E", "4I"))
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await pilot.press("home")
        assert app.screen.query_one(MapPanel).picked == "4I"
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


def _long(cylinders: int) -> State:
    """Give a head of many cylinders, at its beginning."""
    plan = build_plan(load(ROOT / "procedures"), "liner", "alder-107", "durability")
    head = next(place for place in plan.places if place.level is Level.HEAD)
    wide = [place for place in plan.places if place.level in {Level.JOB, Level.HEAD}]
    stand = []
    for number in range(1, cylinders + 1):
        within = (f"chamber:{number}", head.id, wide[0].id)
        stand.append(Place(f"chamber:{number}", Level.CHAMBER, str(number), within[1:], cylinder=str(number)))
        for kind in (Kind.EXHAUST, Kind.INTAKE):
            name = f"{number}{kind.value[0].upper()}"
            stand.append(Place(name, Level.POSITION, name, within, kind, str(number)))
    return begin(replace(plan, places=(*wide, *stand)))


def _at_the_shield() -> State:
    """Give the first job where the shield is put on, once for all of the head, before its liners are sized."""
    known = record("1001")
    state = begin(known.plan)
    for entry in known.entries:
        if isinstance(entry.event, StepTicked) and entry.event.operation == "size":
            return state
        state = fold(state, (entry,))
    raise AssertionError("the job has no such step")


async def test_at_a_step_ticked_once_for_all_the_map_picks_and_marks_where_the_work_goes_on() -> None:
    """Intakes first: 1I, although 1E stands before it."""
    app: ViewScreen[MapPanel.Picked | None] = ViewScreen(MapScreen(_at_the_shield(), "size", "head:A", "head:A"))
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        panel = app.screen.query_one(MapPanel)
        assert panel.picked == "1I"
        assert "1I: intake, cylinder 1." in seen(app)
        assert "▸ 1I" in seen(app)
        await pilot.press("right", "home")
        assert panel.picked == "1I"
        await pilot.press("enter")
        await pilot.pause()
    assert app.answers[0] is not None
    assert app.answers[0].place == "1I"


def test_a_folded_head_shares_the_line_between_two_rows_of_cylinders() -> None:
    """A frame of four lines round each row of one would take twelve lines of the sixteen that three rows fill so."""
    heads = castings(state_of("1003"), state_of("1003").plan.operations[0])
    for height in (9, 14, 40):
        drawing = drawn_map(heads, 40, height)
        lines = texts(drawing.lines)
        tops = [y for y, line in enumerate(lines) if "━" in line]
        assert len(tops) == len({cell.y for cell in drawing.cells.values()}) // 2 + 1
        for cell in drawing.cells.values():
            assert not {cell.y, cell.y + cell.high - 1} & set(tops)


@pytest.mark.parametrize("size", [(80, 12), (60, 16), (60, 23)])
async def test_a_map_that_goes_on_beyond_what_is_shown_says_so(size: tuple[int, int]) -> None:
    app: ViewScreen[MapPanel.Picked | None] = ViewScreen(MapScreen(_long(32), "survey-guides", "1I"))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert "↓ " in seen(app)
        assert "↑ " not in seen(app)
        for _ in range(40):
            await pilot.press("down")
        assert "↑ " in seen(app)
        assert "↓ " not in seen(app)
        panel = app.screen.query_one(MapPanel)
        assert panel.picked.startswith(("29", "30", "31", "32"))
        assert f"{panel.picked}: " in seen(app)


def test_all_of_a_head_of_32_cylinders_is_in_sight_on_the_least_terminal() -> None:
    state = _long(32)
    drawing = drawn_map(castings(state, state.plan.operations[0]), 78, 18)
    assert len(drawing.lines) <= 18
    assert len(drawing.cells) == 64


def test_a_head_is_folded_sooner_than_it_loses_the_words_of_its_valves() -> None:
    heads = castings(state_of("1001"), state_of("1001").plan.operations[0])
    for width in (44, 54, 58, 78):
        lines = texts(drawn_map(heads, width, 24).lines)
        assert sum(line.count("ok") for line in lines) == 8, width


async def test_what_is_told_of_a_valve_ends_with_dots_where_there_is_no_room_for_all_of_it() -> None:
    app: ViewScreen[MapPanel.Picked | None] = ViewScreen(MapScreen(state_of("1001"), "size", "2I"))
    async with app.run_test(size=(44, 16)) as pilot:
        await pilot.pause()
        whole = told(state_of("1001"), state_of("1001").index.operations["size"], "2I")
        lines = [line.rstrip() for line in seen(app).splitlines()]
        assert whole[-1] not in " ".join(lines)
        assert any(line.endswith("…") for line in lines)


@pytest.mark.parametrize("size", [*SIZES, (60, 18)])
@pytest.mark.parametrize("job", JOBS)
async def test_a_click_on_any_valve_goes_to_that_valve(job: str, size: tuple[int, int]) -> None:
    state = state_of(job)
    place = state.index.positions[-1]
    operation = next(op for op in state.plan.operations if op.per is Level.HEAD)
    app: ViewScreen[MapPanel.Picked | None] = ViewScreen(MapScreen(state, operation.id, place.id))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        lines = seen(app).splitlines()
        y = next(y for y, line in enumerate(lines[2:], 2) if place.name in line)
        x = lines[y].index(place.name)
        await pilot.click(offset=(x, y))
        await pilot.pause()
    (answer,) = app.answers
    assert answer is not None
    assert answer.position == place.id
    assert answer.place == state.index.head_of(place.id)


def test_the_legend_explains_the_count_at_a_valve_by_one_that_is_on_the_map() -> None:
    """At the end of a job a valve has done what its own route asks for, and that is what the count is of."""
    state = state_of("1001")
    heads = castings(state, state.plan.operations[0])
    first = heads[0].cylinders[0][1][0]
    route = state.stand(first.place)
    assert first.far == f"{len(route.done)} of {len(route.path)}"
    words = " ".join(texts(legend(heads, "full", 120)))
    assert f"{first.far} operations of its route are done" in words
    assert "operations" not in " ".join(texts(legend(heads, "word", 120)))
