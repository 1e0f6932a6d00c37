"""The widget that shows the figure at hand in large digits, as it is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.agenda import point_words
from headwright.job.entry import Misread
from headwright.job.holds import is_held
from headwright.job.show import unit_sign
from headwright.procedure.plan import Sort
from headwright.terminal.bench.digits import figure_text, limits_text, taken_text, usual_width, where
from headwright.terminal.bench.verdicts import DONE, HELD, word_of
from headwright.terminal.drawn import Drawn, clean
from headwright.terminal.views.big import Big, drawn_big
from headwright.terminal.views.standing import NEAR

if TYPE_CHECKING:
    from headwright.job.figures import Figure
    from headwright.procedure.plan import Reading
    from headwright.terminal.bench.hand import Hand, Live

OUT = "out"
"""Said large where a figure fails that is not the one shown large."""

ASKED = "sure"
"""Said large, after a question mark, while a figure is questioned: a verdict would seem to have taken it."""


class BigPanel(Drawn):
    """Lines: where, the place and the verdict large, the figure larger, and how it stands in words."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id)
        self._big: Big | None = None

    @property
    def big(self) -> Big | None:
        """What is shown."""
        return self._big

    def show(self, hand: Hand, live: Live) -> None:
        """Show what is at hand.

        Args:
            hand: what is at hand.
            live: what the typed text would mean and come to.
        """
        found = big_of(hand, live)
        if found != self._big:
            self._big = found
            self._draw()

    def _draw(self) -> None:
        if self._big is not None and self.size.width and self.size.height:
            self.put(drawn_big(self._big, *self.size))

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._draw()


def big_of(hand: Hand, live: Live) -> Big:
    """Put together what is shown large: the typed text or the figure on record, and the verdict that tells most."""
    spot, reading = hand.spot, hand.reading
    place = clean(where(hand.state, spot.place)) if spot else ""
    if spot is None or reading is None or spot.point is None:
        said = clean(hand.step.do) if hand.step else clean(hand.next.say)
        typed = clean(hand.typed).strip()
        if hand.step is None or spot is None:
            return Big(place, said, typed, "", "", "", "", "")
        ticked = (DONE, "ticked", "good") if hand.is_written(spot) else ("", "", "")
        words = hand.at_step()
        return Big(place, said, typed or words, "", *ticked[:2], words if typed else "", ticked[2])
    figure, unit = _figure(hand, reading)
    point = clean(point_words(reading.label, spot.point))
    usual = usual_width(hand.state.plan, reading) if reading.sort is Sort.NUMBER else 0
    if isinstance(live.read, Misread):
        return Big(place, point, figure, unit, "?", "", clean(live.read.say), "bad", usual)
    if hand.doubt is not None:
        return Big(place, point, figure, unit, "?", ASKED, clean(hand.doubt.say), "bad", usual)
    sign, word, style, by = _verdict(hand, reading, live.figures)
    return Big(place, point, figure, unit, sign, word, by, style, usual)


def _figure(hand: Hand, reading: Reading) -> tuple[str, str]:
    """Give the digits and the unit: as typed, else as they stand on record at the point."""
    unit = unit_sign(reading.unit) if reading.sort is Sort.NUMBER else ""
    spot = hand.spot
    if hand.typed or spot is None or spot.point is None:
        typed = clean(hand.typed).strip()
        return typed, "" if any(c.isalpha() for c in typed) else unit
    taken = hand.state.writing(hand.operation_id, spot.place).readings.get(spot.point)
    return (clean(taken_text(hand.state.plan, reading, taken)), unit) if taken else ("", "")


def _verdict(hand: Hand, reading: Reading, figures: tuple[Figure, ...]) -> tuple[str, str, str, str]:
    """Give sign, word, style and reason: of the reading itself or the first result that rests on it.

    Where another result fails, the word is `out`: `high` beside a size would be read as the size.
    """
    state = hand.state
    judged = [f for f in figures if f.judged and word_of(state, f)[0]]
    judged.sort(key=lambda f: f.item != reading.name)
    resting = [f for f in judged if reading.name in state.index.feeding(f.operation, f.item)]
    main = next(iter(resting), None)
    first = next((f for f in judged if f.verdict.fails), main)
    if first is None:
        return "", "", "", ""
    said, style = word_of(state, first)
    sign = next((s for s in (DONE, HELD, NEAR) if said.startswith(f"{s} ")), "")
    so_far = "" if first.complete else " so far"
    limits = limits_text(state, first)
    by = f"{first.label}{so_far} {figure_text(state, first)}" + (f", limits {limits}" if limits else "")
    if is_held(state, hand.operation, first.place):
        by = f"held: {by}"
    if first is not main and first.verdict.fails and sign == HELD:
        return sign, OUT, style, clean(f"{by}: {said}")
    return sign, said.removeprefix(f"{sign} ") if sign else said, style, clean(by)
