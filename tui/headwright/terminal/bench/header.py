"""The line at the top of the bench: which head, which operation and how far, who is there, and whether it is saved."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from rich.cells import cell_len

from headwright.terminal.bench.verdicts import LOST, NOT_NEEDED
from headwright.terminal.drawn import Drawn, Span, clean, fit

if TYPE_CHECKING:
    from textual import events

    from headwright.job.progress import Standing
    from headwright.terminal.bench.hand import Hand


ROOMY = 100
"""Columns from which the line has room for more than the least."""
LEAST = 14
"""Cells that the number of the job keeps, however long it is."""
FAMILY = 6
"""Cells below which so little of the family would show that it is left out."""
APART = 2
"""Cells between the operation and the person."""
OLD = timedelta(hours=48)
"""What is older is told in days."""


class Header(Drawn):
    """Job and family to the left, the operation in the middle, the person and the state of the record to the right.

    A click on the job or the operation shows the head map, one on the person asks who is there.
    """

    def __init__(self) -> None:
        super().__init__(id="head")
        self._ends: tuple[tuple[int, str], ...] = ()

    def show(self, hand: Hand, standing: Standing | None) -> None:
        """Draw the line."""
        width = self.width
        if not width:
            return
        state = hand.state
        who = _who(hand)
        right = who + _saved(hand, width)
        used = sum(len(text) for text, _ in right)
        middles = _operation(hand, standing, width)
        job = f" {clean(state.job)}  "
        least = min(LEAST, cell_len(job))
        left_room = min((width - used) // 2, max(least, width - used - cell_len(middles[0]) - 1 - APART))
        room = max(0, width - used - left_room - APART)
        middle = next((text for text in middles if cell_len(text) < room), middles[-1])
        name = f"{job}{clean(state.plan.family_title)}"
        if state.tag and width >= ROOMY:
            name += f" · {clean(state.tag)}"
        left = fit(name if left_room - cell_len(job) >= FAMILY else job.rstrip(), left_room)
        self.put([(
            (left, "strong"),
            (fit(f" {middle}", room) + " " * APART, "now"),
            *right,
        )])  # fmt: skip
        person = width - used
        self._ends = (person, "map"), (person + sum(cell_len(text) for text, _ in who), "who")

    async def on_click(self, event: events.Click) -> None:
        """Show the head map, or ask who is there; the second of two clicks was meant for the list of jobs."""
        action = next((action for end, action in self._ends if event.x < end), "")
        if action and event.chain == 1:
            await self.screen.run_action(action)


def _operation(hand: Hand, standing: Standing | None, width: int) -> tuple[str, ...]:
    """Give the operation and how far it is, in as many words as there may be room for, and in ever fewer."""
    title = hand.operation.title.upper()
    if standing is None or standing.applies <= 1:
        return (title,)
    if not standing.needed:
        return (f"{title}  {NOT_NEEDED}", title)
    return labels_of(title, standing.done, standing.applies, order=bool(hand.operation.batch) and width >= ROOMY)


def labels_of(title: str, done: int, places: int, *, order: bool) -> tuple[str, ...]:
    """Give an operation with its count, the longest first; `order` tells that its working order is said too."""
    count = f"{title}  {done} of {places}"
    return (*([f"{count}, intakes first"] * order), count, f"{title}  {done}/{places}", title)


def _who(hand: Hand) -> list[Span]:
    person = hand.state.people.get(hand.operator)
    if person is None:
        return [("nobody at the bench", "near"), (" · ", "quiet")]
    others = sum(p.on for p in hand.state.people.values()) - 1
    more = f" +{others}" if others else ""
    return [(f"{clean(person.operator)[:12]} {clean(person.name)[:14]}{more}", ""), (" · ", "quiet")]


def _saved(hand: Hand, width: int) -> list[Span]:
    if hand.typed:
        return [("not saved yet ", "near")]
    if all(head.id in hand.state.scrapped for head in hand.state.index.heads):
        return [(f"{LOST} scrapped ", "bad")]
    if hand.state.stopped:
        return [("■ stopped ", "bad")]
    return [(f"saved {local(hand.last_saved or hand.state.time, datetime.now().astimezone(), width)} ", "good")]


def local(time: str, now: datetime, width: int) -> str:
    """Give a recorded time as the clock on the wall has it, with the date when it is not today, or how old it is.

    Args:
        time: UTC, ISO 8601.
        now: the time of the clock on the wall.
        width: columns of the screen; where they are few, the date stands alone.
    """
    try:
        then = datetime.fromisoformat(time).astimezone(now.tzinfo)
    except ValueError:
        return ""
    if now - then >= OLD:
        return f"{(now - then).days} days ago"
    if then.date() == now.date():
        return then.strftime("%H:%M")
    return then.strftime("%Y-%m-%d %H:%M" if width >= ROOMY else "%Y-%m-%d")
