"""The strip at the bottom of the bench: what to do now, the figure being typed in its limits, and what it comes to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from headwright.job.agenda import Now, point_words
from headwright.job.entry import Entered, Misread
from headwright.job.figures import Bench
from headwright.job.show import unit_sign
from headwright.job.sizing import BALL
from headwright.job.temperature import PART
from headwright.procedure.plan import Sort
from headwright.terminal.bench.by_results import by_results
from headwright.terminal.bench.columns import wrapped
from headwright.terminal.bench.digits import figure_text, item_of, places_of, short, taken_text, where, with_unit
from headwright.terminal.bench.flow import by_words, cells, fitted, flowed
from headwright.terminal.bench.gauging import with_words
from headwright.terminal.bench.hand import Live
from headwright.terminal.bench.repeats import repeat_words
from headwright.terminal.bench.scale import Held, axis, drawn
from headwright.terminal.bench.spots import is_tall, spot_of
from headwright.terminal.bench.verdicts import HELD, NOW, word_of
from headwright.terminal.bench.wide import CARET
from headwright.terminal.drawn import Drawn, Line, Span, clean, fit
from headwright.terminal.keys import BENCH, sign_in
from headwright.terminal.look import LookingApp

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from headwright.job.figures import Figure
    from headwright.procedure.plan import Reading, Result
    from headwright.terminal.bench.flow import Piece
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.bench.spots import Spot

LABEL = 14
LIMIT = 7
VALUE = 14
WIDEST = 64
"""Cells of the drawing: wider, and the eye no longer takes it in at once."""
WORD = 8
LEAST = 8
"""Cells below which nothing is drawn."""
SHIFT = 4
"""Cells that a figure gives up where it is said what its limits come from."""
TALK = 3
"""Lines of talk at most: what somebody else did, what that means here, and what to press."""
ROOMY = 30
"""Lines of a screen from which what to do now always has a second line."""
_UNDER = (" " * (LABEL + 2), "")
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
        entry, figures = _entry(hand, live, neighbours, width), _worth(hand, live.figures)
        room = height - 1 - len(entry) - len(talk)
        now = _now(hand, width, 2 if room > sum(figure.judged for figure in figures) else 1)
        if len(now) == 1 and height >= _least(hand, width) + 1:
            now.append(())  # what is typed stays on its line, whether what to do now takes one line or two
        at_step = hand.step is not None and not hand.typed
        # With nothing typed and nothing asked, Enter would only say so: a click tells how and why instead.
        does = "enter" if hand.typed or hand.step is not None or hand.next.now in _KEYS else "why"
        answer = "keep" if hand.doubt is not None else "tick" if at_step else does
        self._clicks = (does,) * len(now) + (answer,) * len(entry)
        offered = hand.doubt is not None and hand.doubt.offer is not None
        self._talk = height - len(talk) if offered else height
        lines = now + entry
        lines += [_figure(hand, figure, width) for figure in figures[: max(0, height - len(lines) - len(talk))]]
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


def _worth(hand: Hand, figures: Sequence[Figure]) -> list[Figure]:
    """Give the results, those that are out first, then those held to a limit; a reading's own is on its own line."""
    results = [f for f in figures if (hand.operation_id, f.item) in hand.state.index.results]
    return sorted(results, key=lambda f: (not f.verdict.fails, not f.judged))


def _talk(hand: Hand, live: Live, width: int) -> list[str]:
    say = hand.say
    if not say and isinstance(live.read, Misread):
        say = live.read.say
    elif not say and isinstance(live.read, Entered) and live.read.shown and hand.reading:
        say = f"{clean(hand.typed)} is taken as {live.read.shown} {unit_sign(live.read.unit)}."
    elif not say and isinstance(live.read, Entered) and live.read.word and not hand.passes(live.read.word):
        say = f"{live.read.word}: does not pass; Enter saves it."
    elif not say and not hand.typed:
        say = repeat_words(hand)
    return _told(say, width)


def _told(say: str, width: int) -> list[str]:
    return [fit(part, width).rstrip() for part in wrapped(clean(say), width, TALK)] if say else []


def _now(hand: Hand, width: int, most: int) -> list[Line]:
    """Say what to do now in at most so many lines; where the hand is elsewhere, what is at hand and then that."""
    found = hand.next
    here = spot_of(found)
    room = width - 2
    if hand.spot is None or (here is None and not hand.is_away):
        sign, style = (HELD, "bad") if found.now in {Now.HOLD, Now.STOP} else (NOW, "now")
        key, does = _KEYS.get(found.now, ("why", ""))
        keys = (f"  {sign_in(BENCH, key)}{does}", "now")
        words = [(clean(found.say), "strong")]
        if most == 1:
            return [((f"{sign} ", style), *fitted(words, room - len(keys[0])), keys)]
        return _signed(sign, style, flowed([*by_words(words), (keys,)], room, most))
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
    return [*sign, (f"{sign_in(BENCH, key)}: {clean(found.say)}", "near" if held else "quiet")]


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
        return [what, (f"  {clean(hand.next.blocks[0].why)}", "near"), (f"  {key} takes and zeroes it", "now")]
    gauge = with_words(hand.state, hand.operator, reading, hand.clock())
    traced: list[Span] = [(f"  {clean(gauge)}", "")] if gauge else []
    how = f"  {clean(reading.how)}" if reading.how else f"  {clean(reading.gauge)}" if reading.gauge else ""
    return [what, *traced, (how if reading.how or not gauge else "", "quiet")]


def _entry(hand: Hand, live: Live, neighbours: Sequence[float], width: int) -> list[Line]:
    """Give the lines of what is typed: the text, then where the figure falls in what it is held to or expected."""
    reading, spot = hand.reading, hand.spot
    if spot is None:
        return [()]
    shown = clean(hand.typed) + CARET if hand.typed else ""
    box: Span = (fit(shown[-LABEL:], LABEL), "entry" if hand.typed else "hand")
    if reading is None:
        words = (hand.at_step(), "quiet")
        return [(box, ("  ", ""), words) if hand.typed else (("  ", ""), words)]
    taken = hand.state.writing(hand.operation_id, spot.place).readings.get(spot.point) if spot.point else None
    if reading.sort is not Sort.NUMBER:
        first, *more = _words(hand, live, width, taken.event.word if taken else "")
        return [(box, ("  ", ""), *first), *((_UNDER, *line) for line in more)]
    if not hand.typed and taken is not None and taken.value is not None:
        box = (fit(taken_text(hand.state.plan, reading, taken), LABEL), "hand")
    value = live.read.value if isinstance(live.read, Entered) else taken.value if taken else None
    scale = _own_scale(hand, reading, spot, live, value)._replace(neighbours=neighbours)
    return [(box, *_scaled(hand, scale, width))]


def _own_scale(hand: Hand, reading: Reading, spot: Spot, live: Live, value: float | None) -> Scale:
    """Give the scale of the reading itself: what it is held to, else the span in which it is expected."""
    figure = Bench(hand.state, hand.operation, spot.place).reading(reading)
    both = None if value is None else (value, value)
    mine = next((f for f in live.figures if f.item == reading.name), figure)
    places = places_of(hand.state, mine)
    text = "" if value is None else with_unit(hand.state.plan, reading, value, places)
    if figure.judged and (figure.low is not None or figure.high is not None):
        word, style = word_of(hand.state, mine)
        return Scale(reading, Held(figure.low, figure.high, mine.guard), both, (), text, word, style, places)
    found = by_results(hand, reading, live, value)
    if found is not None:
        text = "" if value is None else with_unit(hand.state.plan, reading, value)
        style = found.style or "now"
        return Scale(reading, found.limits, both, (), text, found.word, style, found.places, found.by)
    window = hand.window()
    if window is None:
        return Scale(reading, Held(None, None), both, (), text, "", "quiet")
    far = value is not None and not window[0] <= value <= window[1]
    style = "near" if far else "now" if value is not None else "quiet"
    return Scale(reading, Held(*window), both, (), text, "far off" if far else "expected", style)


def _words(hand: Hand, live: Live, width: int, word: str) -> list[list[Span]]:
    """Give the words that may be answered, the one that the typed text means marked; none of them is ever cut off."""
    meant = live.read.word if isinstance(live.read, Entered) else ""
    choices = hand.choices()
    if not choices:
        return [fitted([(word or "text, then Enter", "quiet")], width - LABEL - 2)]
    pieces: list[Piece] = []
    for number, choice in enumerate(choices, 1):
        key = choice[0] if hand.reading and hand.reading.sort is Sort.YES_NO else str(number)
        pieces.append(((f"{key} ", "now"), (f"{clean(choice)}  ", "strong" if choice in {meant, word} else "")))
    room = width - LABEL - 2
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


class Scale(NamedTuple):
    """What is to be drawn on a scale: a figure, its limits and neighbours, and how it is called."""

    item: Reading | Result
    limits: Held
    figure: tuple[float, float] | None
    neighbours: Sequence[float]
    text: str
    word: str
    style: str
    places: int | None = None
    """Decimals, where they are not to be those of the item."""
    by: str = ""
    """What the limits come from, where they are not those of the item; said behind the word where there is room."""


def _scaled(hand: Hand, scale: Scale, width: int) -> list[Span]:
    """Draw a scale: low, the drawing, high, the figure and its verdict."""
    plan, item, limits = hand.state.plan, scale.item, scale.limits
    ends = axis(limits.low, limits.high, scale.figure or (), max(item.resolution, 1e-9))
    word, by = max(WORD, cell_len(scale.word)), cell_len(scale.by)  # a long one takes its room from the drawing
    room = width - LABEL - 2 * (LIMIT + 1) - VALUE - word - 2
    told = SHIFT if by and room + SHIFT - by >= LEAST else 0
    room = min(WIDEST, room + told - by if told else room)
    tail: list[Span] = [(fit(scale.text, VALUE - told), scale.style), (fit(scale.word, word), scale.style)]
    tail += [(scale.by, "quiet")] if told else []
    if ends is None or room < LEAST:
        return [(" " * max(0, room + 2 * (LIMIT + 1) + 2), ""), *tail]
    low = "" if limits.low is None else short(plan, item, limits.low, scale.places)
    high = "" if limits.high is None else short(plan, item, limits.high, scale.places)
    return [
        (fit(low, LIMIT, right=True), "quiet"),
        (" ", ""),
        *drawn(ends, limits, scale.figure, scale.neighbours, room, style=scale.style or "now"),
        (" ", ""),
        (fit(high, LIMIT), "quiet"),
        ("  ", ""),
        *tail,
    ]


def _figure(hand: Hand, figure: Figure, width: int) -> Line:
    """Give a result's line: label, limits with the figure drawn between them, value and verdict so far."""
    item = item_of(hand.state, figure.operation, figure.item)
    text = figure_text(hand.state, figure)
    both = None if figure.least is None or figure.most is None else (figure.least, figure.most)
    word, style = word_of(hand.state, figure)
    scale = Scale(
        item, Held(figure.low, figure.high, figure.guard), both, (), text, word, style, places_of(hand.state, figure)
    )
    return ((fit(clean(figure.label), LABEL), "" if text else "quiet"), *_scaled(hand, scale, width))
