"""The strip at the bottom of the bench: what to do now, the figure being typed in its limits, and what it comes to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len

from headwright.job.again import again_words, redo_words
from headwright.job.agenda import Now, point_words, waits_for_person
from headwright.job.entry import Entered, Misread
from headwright.job.show import unit_sign
from headwright.job.sizing import BALL
from headwright.job.temperature import PART
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Sort
from headwright.terminal.bench.columns import wrapped
from headwright.terminal.bench.digits import taken_text, where
from headwright.terminal.bench.flow import by_words, cells, fitted, flowed
from headwright.terminal.bench.gauging import with_words
from headwright.terminal.bench.grid import grid_of, line
from headwright.terminal.bench.repeats import repeat_words
from headwright.terminal.bench.scales import own_scale, result_scale, taken_at
from headwright.terminal.bench.spots import is_tall, spot_of
from headwright.terminal.bench.typed import Live
from headwright.terminal.bench.verdicts import HELD, NOW
from headwright.terminal.bench.wide import CARET
from headwright.terminal.drawn import Drawn, Line, Span, clean, fit
from headwright.terminal.keys import BENCH, sign_in
from headwright.terminal.look import LookingApp

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from headwright.job.figures import Figure
    from headwright.terminal.bench.flow import Piece
    from headwright.terminal.bench.hand import Hand

TALK = 3
"""Lines of talk at most: what somebody else did, what that means here, and what to press."""
ROOMY = 30
"""Lines of a screen from which what to do now always has a second line."""
BOX = 14
"""Cells of the box of what is typed, at most; it is no wider than the names of the results under it."""
_UNDER = (" " * (BOX + 2), "")
"""Before what goes on under the first line beside the box of what is typed."""

_KEYS = {
    Now.COME_ON: ("who", ""),
    Now.CAUTION: ("enter", " shows it"),
    Now.GAUGE: ("enter", " takes and zeroes it"),
    Now.TOOL: ("enter", " names it"),
    Now.FIRST: ("enter", " shows its figures"),
    Now.HOLD: ("hold", " shows the ways out"),
    Now.STOP: ("stop", ": a lead resumes it"),
    Now.CONFIRM: ("enter", ": a lead confirms it"),
    Now.RELEASE: ("enter", " signs"),
    Now.RELEASED: ("jobs", " to the list of jobs"),
    Now.SCRAPPED: ("jobs", " to the list of jobs"),
}
"""The key that answers what is to be done now, and what it does."""


class Strip(Drawn):
    """Lines: what to do now; what is typed and where it falls; what it comes to; a few lines of talk."""

    def __init__(self) -> None:
        super().__init__(id="strip")
        self._clicks: tuple[str, ...] = ()
        self._talk = 0
        self._shown: tuple[Hand, Live, Sequence[float]] | None = None

    def show(self, hand: Hand, live: Live, neighbours: Sequence[float]) -> None:
        """Draw what is at hand.

        Args:
            hand: what is at hand.
            live: what the typed text would mean and come to.
            neighbours: what other places have at the same point, in canonical units.
        """
        self._shown = (hand, live, neighbours)
        width, height = self.size
        if not width:
            return
        said = _talk(hand, live, width)
        if not said and not hand.last_saved and isinstance(self.app, LookingApp):
            said = _told(self.app.notice, width)
        talk: list[Line] = [((part, "bad" if hand.bad else "now"),) for part in said]
        figures = [f for f in live.figures if (hand.operation_id, f.item) in hand.state.index.results]
        entry, results = _drawn(hand, live, neighbours, figures, width)
        room = height - 1 - len(entry) - len(talk)
        # Which ball to push is told before it is measured, while there is nothing to show of what it comes to.
        advised = hand.reading is not None and hand.reading.role == BALL
        now = _now(hand, width, 2 if advised or room > sum(figure.judged for figure in figures) else 1)
        if len(now) == 1 and height >= _least(hand, width) + 1:
            now.append(())  # what is typed stays on its line, whether what to do now takes one line or two
        at_step = hand.step is not None and not hand.typed
        # With nothing typed and nothing asked, Enter would only say so: a click tells how and why instead.
        answers = hand.next.now in _KEYS or waits_for_person(hand.next)
        does = "enter" if hand.typed or hand.step is not None or answers else "why"
        answer = "keep" if hand.doubt is not None else "tick" if at_step else does
        self._clicks = (does,) * len(now) + (answer,) * len(entry)
        offered = hand.doubt is not None and hand.doubt.offer is not None
        self._talk = height - len(talk) if offered else height
        lines = now + entry
        lines += [results[at] for at in _worth(figures, height - len(lines) - len(talk))]
        lines += [()] * (height - len(lines) - len(talk))
        self.put([*lines[: height - len(talk)], *talk])

    def on_resize(self) -> None:
        """Draw for the lines that there are now."""
        if self._shown is not None:
            self.show(*self._shown)

    async def on_click(self, event: events.Click) -> None:
        """Do what the line under the mouse is about: save, answer what is asked for, tick the step, or tell why.

        Of a figure that is questioned, its own line keeps it, and the question takes the one that is offered.
        """
        at = event.get_content_offset(self)
        if at is not None and at.y < len(self._clicks):
            await self.screen.run_action(self._clicks[at.y])
        elif at is not None and at.y >= self._talk:
            await self.screen.run_action("tick")


def lines_wanted(hand: Hand, width: int, screen: int, *, figures: bool = True) -> int:
    """Give how many lines the strip takes for what is at hand.

    Args:
        hand: what is at hand.
        width: cells across.
        screen: lines of the screen.
        figures: whether there is to be room for every result; without, there is for one.
    """
    least = _least(hand, width)
    if not figures:
        return min(least, 3 + len(_words(hand, Live(None, ()), width, ""))) if hand.choices() else 4
    return least + (1 if screen >= ROOMY else 0)


def _least(hand: Hand, width: int) -> int:
    """Give the lines that are needed: now, what is typed, its figures or words, talk; a step has no figures."""
    figures = max(1, min(4, len(hand.operation.results))) if hand.step is None else 1
    words = len(_words(hand, Live(None, ()), width, "")) if hand.choices() else 1
    return 3 + max(figures, words)


def _worth(figures: Sequence[Figure], most: int) -> list[int]:
    """Give which results are shown where there is room for so many: those held to a limit first, as they stand.

    What is out is left out last, what has come to nothing yet first; a reading's own verdict is on its own line.
    """
    held = sorted(range(len(figures)), key=lambda at: not figures[at].judged)
    worth = sorted(held, key=lambda at: (not figures[at].verdict.fails, figures[at].verdict is Verdict.OPEN))
    wanted = worth[: max(0, most)]
    return [at for at in held if at in wanted]


def _drawn(
    hand: Hand, live: Live, neighbours: Sequence[float], figures: Sequence[Figure], width: int
) -> tuple[list[Line], list[Line]]:
    """Give the lines of what is typed, and one for each result; whatever is drawn to scale shares its columns."""
    results = [result_scale(hand.state, figure) for figure in figures]
    reading, spot = hand.reading, hand.spot
    own = None
    if spot is not None and reading is not None and reading.sort is Sort.NUMBER:
        own = own_scale(hand, reading, spot, live, neighbours)
    scales = results if own is None else [own, *results]
    if not scales:
        return _entry(hand, live, width), []
    grid = grid_of(scales, width)
    lines = [line(scale, grid, (scale.name, "" if scale.text else "quiet")) for scale in results]
    if own is None:
        return _entry(hand, live, width), lines
    taken = taken_at(hand) if not hand.typed else None
    shown = taken_text(hand.state.plan, reading, taken) if reading and taken and taken.value is not None else ""
    return [line(own, grid, _box(hand, shown, min(grid.name, BOX)))], lines


def _talk(hand: Hand, live: Live, width: int) -> list[str]:
    say = hand.say
    if not say and isinstance(live.read, Misread):
        say = live.read.say
    elif not say and isinstance(live.read, Entered) and live.read.shown and hand.reading:
        say = f"{clean(hand.typed)} is taken as {live.read.shown} {unit_sign(live.read.unit)}."
    elif not say and isinstance(live.read, Entered) and live.read.word and not hand.passes(live.read.word):
        say = f"{live.read.word}: does not pass; Enter saves it."
    elif not say:
        say = hand.in_the_way() if hand.typed else repeat_words(hand)
    return _told(say or _again(hand), width)


def _again(hand: Hand) -> str:
    """Say why the work at hand is done again, as long as nothing is there yet; empty where it is not."""
    if hand.spot is None:
        return ""
    place = hand.place_at_hand()
    return redo_words(hand.state, hand.operation, place) or again_words(hand.state, hand.operation, place)


def _told(say: str, width: int) -> list[str]:
    return [fit(part, width).rstrip() for part in wrapped(clean(say), width, TALK)] if say else []


def _now(hand: Hand, width: int, most: int) -> list[Line]:
    """Say what to do now in at most so many lines; where the hand is elsewhere, what is at hand and then that."""
    found = hand.next
    here = spot_of(found)
    room = width - 2
    if hand.spot is None or (here is None and not hand.is_away):
        sign, style = (HELD, "bad") if found.now in {Now.HOLD, Now.STOP} else (NOW, "now")
        key, does = ("who", " brings them") if waits_for_person(found) else _KEYS.get(found.now, ("why", ""))
        keys = (f"  {sign_in(BENCH, key)}{does}", "now")
        lines = flowed(by_words([(clean(found.say), "strong")]), room, most)
        if cells(lines[-1]) + cell_len(keys[0]) > room and len(lines) < most:
            return _signed(sign, style, [*lines, [(keys[0].lstrip(), keys[1])]])
        # The key that answers it is never what is cut off.
        return _signed(sign, style, [*lines[:-1], [*fitted(lines[-1], room - cell_len(keys[0])), keys]])
    at_hand = _at_hand(hand)
    if hand.is_next:
        return _signed(NOW, "now", flowed(by_words(at_hand), room, most))
    go = _elsewhere(hand)
    used, wanted = cells(at_hand), cells(go) + 2
    if most > 1 and used + wanted > room:
        return _signed(" ", "", [fitted(at_hand, room), fitted(go, room)])
    left = min(max(0, room - min(used, max(20, width // 2))), wanted)
    return _signed(" ", "", [[*fitted(at_hand, room - left), ("  ", ""), *fitted(go, left - 2)]])


def _elsewhere(hand: Hand) -> list[Span]:
    """Say what is to be done next, which is not at hand, after the key that goes there or answers it."""
    found = hand.next
    key = "next_up" if spot_of(found) is not None else _KEYS.get(found.now, ("next_up", ""))[0]
    held = found.now in {Now.HOLD, Now.STOP}
    sign: list[Span] = [(f"{HELD} ", "bad")] if held else []
    goes = " goes to" if key == "next_up" else ":"
    return [*sign, (f"{sign_in(BENCH, key)}{goes} {clean(found.say)}", "near" if held else "quiet")]


def _signed(sign: str, style: str, lines: Sequence[Sequence[Span]]) -> list[Line]:
    """Put a sign before the first line, and blanks before the others."""
    return [(("  ", "") if number else (f"{sign} ", style), *line) for number, line in enumerate(lines)]


def _at_hand(hand: Hand) -> list[Span]:
    spot, reading = hand.spot, hand.reading
    if spot is None:
        return [("", "")]
    alone = is_tall(hand.operation) and len(hand.state.index.heads) == 1
    place = "" if alone else f"{where(hand.state, spot.place)}: "
    if reading is None or spot.point is None:
        return [(f"{place}{clean(hand.step.do) if hand.step else ''}", "strong")]
    advice = hand.counsel.words(hand.state, (hand.operation_id, spot.place)) if reading.role in {BALL, PART} else ""
    if advice:
        return [(f"{place}{point_words(reading.label, spot.point)}", "strong"), (f"  {clean(advice)}", "")]
    what: Span = (f"{place}{point_words(reading.label, spot.point)}", "strong")
    if hand.is_next and hand.next.now is Now.GAUGE and hand.next.blocks:
        key = sign_in(BENCH, "enter")
        return [what, (f"  {key} takes and zeroes it", "now"), (f"  {clean(hand.next.blocks[0].why)}", "near")]
    gauge = with_words(hand.state, hand.operator, reading, hand.clock())
    traced: list[Span] = [(f"  {clean(gauge)}", "")] if gauge else []
    how = f"  {clean(reading.how)}" if reading.how else f"  {clean(reading.gauge)}" if reading.gauge else ""
    return [what, *traced, (how if reading.how or not gauge else "", "quiet")]


def _entry(hand: Hand, live: Live, width: int) -> list[Line]:
    """Give the lines of what is typed where that is no figure: the text, then the words that are to choose from."""
    reading, spot = hand.reading, hand.spot
    if spot is None:
        return [()]
    box = _box(hand, "", BOX)
    if reading is None:
        words = (hand.at_step(), "quiet")
        return [(box, ("  ", ""), words) if hand.typed else (("  ", ""), words)]
    taken = taken_at(hand)
    first, *more = _words(hand, live, width, taken.event.word if taken else "")
    return [(box, ("  ", ""), *first), *((_UNDER, *each) for each in more)]


def _box(hand: Hand, taken: str, width: int) -> Span:
    """Give the box of what is typed, or of what is on record at the cursor."""
    if not hand.typed:
        return fit(taken, width), "hand"
    shown = clean(hand.typed) + CARET
    while cell_len(shown) > width:
        shown = shown[1:]
    return fit(shown, width), "entry"


def _words(hand: Hand, live: Live, width: int, word: str) -> list[list[Span]]:
    """Give the words that may be answered, the one that the typed text means marked; none of them is ever cut off."""
    meant = live.read.word if isinstance(live.read, Entered) else ""
    choices = hand.choices()
    if not choices:
        return [fitted([(word or "text, then Enter", "quiet")], width - BOX - 2)]
    pieces: list[Piece] = []
    for number, choice in enumerate(choices, 1):
        key = choice[0] if hand.reading and hand.reading.sort is Sort.YES_NO else str(number)
        pieces.append(((f"{key} ", "now"), (f"{clean(choice)}  ", "strong" if choice in {meant, word} else "")))
    room = width - BOX - 2
    saves = _saves(hand, choices)
    if saves and cells([span for piece in pieces for span in piece]) + cell_len(saves) <= room:
        pieces.append(((saves, "quiet"),))
    return flowed(pieces, room, len(pieces))


def _saves(hand: Hand, choices: Sequence[str]) -> str:
    """Say which of yes and no is saved by its one key, and which wants Enter; empty for other words."""
    if hand.reading is None or hand.reading.sort is not Sort.YES_NO:
        return ""
    once = " or ".join(choice[0] for choice in choices if hand.passes(choice))
    asked = " or ".join(choice[0] for choice in choices if not hand.passes(choice))
    return ", ".join([f"{once} saves at once"] * bool(once) + [f"{asked} then Enter"] * bool(asked))
