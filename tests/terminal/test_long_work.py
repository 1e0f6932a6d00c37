"""Long work on the screens: a card with a bar once it lasts, Esc gives it up, and nothing of it is kept."""

from __future__ import annotations

from threading import Event
from typing import TYPE_CHECKING

from headwright.errors import UsageError
from headwright.store import open_store
from headwright.store.sample import bring_sample
from headwright.terminal.long_work import SOON, WorkCard
from tests.terminal.cards_app import OneScreen, seen, words

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.terminal.long_work import Progress


async def test_it_shows_how_far_it_is_and_gives_what_came_of_it() -> None:
    further = Event()

    def task(progress: Progress) -> str:
        progress(30, 120)
        further.wait(20)
        return "all of it"

    app = OneScreen(WorkCard("Counting", task))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(SOON + 0.3)
        text = words(app)
        assert "Counting" in text
        assert "30 of 120" in text
        bar = next(line for line in seen(app).splitlines() if "30 of 120" in line)
        full, rest = bar.count("━"), bar.count("─")
        assert full == round((full + rest) / 4)
        further.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
    assert app.answers == ["all of it"]


async def test_work_that_is_soon_done_shows_no_card() -> None:
    further = Event()

    def task(progress: Progress) -> int:
        progress(1, 2)
        further.wait(20)
        return 3

    app = OneScreen(WorkCard("Counting", task))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Counting" not in words(app)
        further.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
    assert app.answers == [3]


async def test_escape_and_a_click_on_its_label_give_it_up_at_the_next_step() -> None:
    for by_mouse in (False, True):
        steps = Event()
        done: list[int] = []

        def task(progress: Progress, steps: Event = steps, done: list[int] = done) -> None:
            for number in range(1, 1000):
                progress(number, 1000)
                done.append(number)
                steps.wait(0.05)

        app = OneScreen(WorkCard("Counting", task))
        async with app.run_test(size=(100, 30)) as pilot:
            await pilot.pause(SOON + 0.3)
            if by_mouse:
                lines = seen(app).splitlines()
                row = next(y for y, line in enumerate(lines) if "Esc give it up" in line)
                await pilot.click(offset=(lines[row].index("Esc"), row))
            else:
                await pilot.press("escape")
            await app.workers.wait_for_complete()
            await pilot.pause()
        assert app.answers == [None]
        assert 0 < len(done) < 900


async def test_what_goes_wrong_is_given_back_to_be_told() -> None:
    def task(progress: Progress) -> None:
        progress(1, 2)
        raise UsageError("there is no sample")

    app = OneScreen(WorkCard("Counting", task))
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
    (answer,) = app.answers
    assert isinstance(answer, UsageError)


async def test_a_sample_given_up_is_not_there_at_all(tmp_path: Path) -> None:
    """The first step waits until Escape is pressed, as on a slow disk."""
    store = open_store(tmp_path / "headwright.db")
    pressed = Event()

    def task(progress: Progress) -> str:
        def slowly(done: int, of: int) -> None:
            pressed.wait(20)
            progress(done, of)

        return bring_sample(store, slowly)[0]

    app = OneScreen(WorkCard("Bringing the sample job in", task))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(SOON + 0.2)
        await pilot.press("escape")
        assert "One moment: it stops." in words(app)
        pressed.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
    assert app.answers == [None]
    assert store.jobs() == ()
    store.close()
