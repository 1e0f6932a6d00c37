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
        middle = hand.operation.title.upper()
        if standing is not None and standing.applies > 1:
            middle += f"  {standing.done} of {standing.applies}" if standing.needed else f"  {NOT_NEEDED}"
        if hand.operation.batch and width >= ROOMY:
            middle += ", intakes first"
        left_room = min((width - used) // 2, max(12, width - used - len(middle) - 1 - APART))
        name = f" {clean(state.job)}  {clean(state.plan.family_title)}"
        if state.tag and width >= ROOMY:
            name += f" · {clean(state.tag)}"
        left = fit(name, left_room)
        self.put([(
            (left, "strong"),
            (fit(f" {middle}", max(0, width - used - left_room - APART)) + " " * APART, "now"),
            *right,
        )])  # fmt: skip
        person = width - used
        self._ends = (person, "map"), (person + sum(cell_len(text) for text, _ in who), "who")

    async def on_click(self, event: events.Click) -> None:
        """Show the head map, or ask who is there; the second of two clicks was meant for the list of jobs."""
        action = next((action for end, action in self._ends if event.x < end), "")
        if action and event.chain == 1:
            await self.screen.run_action(action)


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
