"""The widget that shows the figure at hand in large digits: as it is typed, and once saved until the next is begun."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.agenda import point_words
from headwright.job.entry import Misread
from headwright.job.events import ReadingTaken
from headwright.job.figures import Bench
from headwright.job.holds import is_held
from headwright.job.show import unit_sign
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Sort
from headwright.terminal.bench.digits import figure_text, limits_text, taken_text, usual_width, where
from headwright.terminal.bench.verdicts import DONE, DUE, HELD, look_of, marked
from headwright.terminal.drawn import Drawn, clean
from headwright.terminal.views.big import Big, drawn_big
from headwright.terminal.views.standing import NEAR

if TYPE_CHECKING:
    from headwright.job.events import Entry
    from headwright.job.figures import Figure
    from headwright.job.index import PointKey
    from headwright.job.state import Attempt, State
    from headwright.procedure.plan import Operation, Reading
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.bench.typed import Live

OUT = "out"
"""Said large where a figure fails that is not the one shown large."""

ASKED = "sure"
"""Said large, after a question mark, while a figure is questioned: a verdict would seem to have taken it."""

STRUCK = "struck"
"""Said large where the figure of a point was taken back and none is read since."""
AGAIN = "to be read again"
"""Stands there for the figure."""

SAVED = f"{DONE} saved"
"""Said beside the point of a figure that was recorded here a moment ago."""


class BigPanel(Drawn):
    """Lines: where, the place and the verdict large, the figure larger, and how it stands in words."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - textual's word
        super().__init__(id=id)
        self._big: Big | None = None
        self._kept: Entry | None = None

    @property
    def big(self) -> Big | None:
        """What is shown."""
        return self._big

    def keep(self, entry: Entry | None) -> None:
        """Show the figure of this entry, which was just saved, until the next one is begun; None for what is at hand.

        It goes too once its figure is no longer on record, nor struck there.
        """
        self._kept = entry

    def show(self, hand: Hand, live: Live) -> None:
        """Show what is at hand, or the figure that was just saved.

        Args:
            hand: what is at hand.
            live: what the typed text would mean and come to.
        """
        if hand.typed:
            self._kept = None
        kept = None if self._kept is None else saved_of(hand.state, self._kept)
        if kept is None:
            self._kept = None
        found = kept or big_of(hand, live)
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
    spot, reading, state = hand.spot, hand.reading, hand.state
    place = clean(where(state, spot.place)) if spot else ""
    if spot is None or reading is None or spot.point is None:
        said = clean(hand.step.do) if hand.step else clean(hand.next.say)
        typed = clean(hand.typed).strip()
        if hand.step is None or spot is None:
            return Big(place, said, typed, "", "", "", "", "")
        ticked = (DONE, "ticked", "good") if hand.is_written(spot) else ("", "", "")
        words = hand.at_step()
        return Big(place, said, typed or words, "", *ticked[:2], words if typed else "", ticked[2])
    attempt = state.writing(hand.operation_id, spot.place)
    if not hand.typed:
        figure, unit = _on_record(state, attempt, reading, spot.point)
        verdict = _struck(state, attempt, reading, spot.point)
    else:
        figure, unit, verdict = clean(hand.typed).strip(), _unit(reading), None
        unit = "" if any(c.isalpha() for c in figure) else unit
    big = Big(
        place, clean(point_words(reading.label, spot.point)), figure, unit, "", "", "", "", _usual(state, reading)
    )
    if isinstance(live.read, Misread):
        return big._replace(sign="?", by=clean(live.read.say), style="bad")
    if live.begun:
        return big
    if hand.doubt is not None:
        return big._replace(sign="?", word=ASKED, by=clean(hand.doubt.say), style="bad")
    return _judged(big, verdict or _verdict(state, hand.operation, reading, live.figures))


def saved_of(state: State, entry: Entry) -> Big | None:
    """Put together what is shown large of a figure that was just saved, with the verdict on all that is read there.

    Args:
        state: the job as it stands, which others may have written in since.
        entry: the one that recorded the figure.

    Returns:
        None where that figure is neither on record nor struck any more.
    """
    event = entry.event
    if not isinstance(event, ReadingTaken):
        return None
    operation = state.index.operations[event.operation]
    reading = state.index.readings[event.operation, event.reading]
    point = (event.reading, event.station, event.angle)
    attempt = state.attempt(operation.id, event.place)
    taken = attempt.readings.get(point)
    place = clean(where(state, event.place))
    big = Big(place, clean(point_words(reading.label, point)), "", "", "", "", "", "", _usual(state, reading))
    if taken is None:
        found = _struck(state, attempt, reading, point)
        mine = any(each.number == entry.number for each, _ in attempt.struck)
        return _judged(big, found) if found and mine else None
    if taken.number != entry.number:
        return None
    figure, unit = _on_record(state, attempt, reading, point)
    figures = Bench(state, operation, event.place).figures()
    verdict = _verdict(state, operation, reading, figures)
    points = ((each, key) for each in operation.readings for key in state.index.points(operation.id, each.name))
    if all(attempt.has(each, key) for each, key in points):
        verdict = _of_all(state, operation, verdict, figures)
    return _judged(big._replace(figure=figure, unit=unit, saved=SAVED), verdict)


_Verdict = tuple[str, str, str, str]
"""Sign, word, style and reason."""


def _judged(big: Big, verdict: _Verdict) -> Big:
    sign, word, style, by = verdict
    instead = AGAIN if word == STRUCK else big.instead
    return big._replace(sign=sign, word=word, style=style, by=by, instead=instead)


def _unit(reading: Reading) -> str:
    return unit_sign(reading.unit) if reading.sort is Sort.NUMBER else ""


def _usual(state: State, reading: Reading) -> int:
    return usual_width(state.plan, reading) if reading.sort is Sort.NUMBER else 0


def _on_record(state: State, attempt: Attempt, reading: Reading, point: PointKey) -> tuple[str, str]:
    """Give digits and unit as they stand on record at a point; both empty where nothing does."""
    taken = attempt.readings.get(point)
    return (clean(taken_text(state.plan, reading, taken)), _unit(reading)) if taken else ("", "")


def _struck(state: State, attempt: Attempt, reading: Reading, point: PointKey) -> _Verdict | None:
    """Tell of the figure of a point that was struck last, where none is read since; None where there is none."""
    if point in attempt.readings:
        return None
    for taken, reason in reversed(attempt.struck):
        event = taken.event
        if (event.reading, event.station, event.angle) == point:
            text = f"{taken_text(state.plan, reading, taken)} {_unit(reading)}".strip()
            return "", STRUCK, "near", clean(f"{text} does not count: {reason}")
    return None


def _verdict(state: State, operation: Operation, reading: Reading, figures: tuple[Figure, ...]) -> _Verdict:
    """Give the verdict of the reading itself or of the first result that rests on it.

    Where another result fails, the word is `out`: `high` beside a size would be read as the size.
    """
    judged = [f for f in figures if f.judged and marked(state, f)[0]]
    judged.sort(key=lambda f: f.item != reading.name)
    resting = [f for f in judged if reading.name in state.index.feeding(f.operation, f.item)]
    main = next(iter(resting), None)
    first = next((f for f in judged if f.verdict.fails), main)
    if first is None:
        return "", "", "", ""
    said, style = _said(state, first)
    sign, word = _parted(said)
    by = _words_of(state, first)
    if is_held(state, operation, first.place):
        by = f"held: {by}"
    if first is not main and first.verdict.fails and sign == HELD:
        return sign, OUT, style, clean(f"{by}: {said}")
    return sign, word, style, clean(by)


def _of_all(state: State, operation: Operation, verdict: _Verdict, figures: tuple[Figure, ...]) -> _Verdict:
    """Widen a verdict to all that is read at a place: what is near in any result, and each result in words."""
    judged = [f for f in figures if f.judged and marked(state, f)[0]]
    if not judged or any(f.verdict.fails for f in judged):
        return verdict
    near = next((f for f in judged if f.verdict is Verdict.NEAR), judged[0])
    said, style = _said(state, near)
    results = [f for f in judged if (operation.id, f.item) in state.index.results] or judged
    told = "; ".join(_words_of(state, f) for f in sorted(results, key=lambda f: f is not near))
    return *_parted(said), style, clean(f"all read: {told}")


def _said(state: State, figure: Figure) -> tuple[str, str]:
    """Give what is said of a figure, and the style in which it is read from afar."""
    said, style = marked(state, figure)
    return said, style if figure.verdict.fails or look_of(figure) else ""


def _parted(said: str) -> tuple[str, str]:
    """Part a verdict into its sign, where it has one, and its word."""
    sign = next((s for s in (DONE, DUE, HELD, NEAR) if said.startswith(f"{s} ")), "")
    return sign, said.removeprefix(f"{sign} ") if sign else said


def _words_of(state: State, figure: Figure) -> str:
    """Give a figure in words: `Clearance so far .0015, limits .0010 to .0020 in`."""
    so_far = "" if figure.complete else " so far"
    limits = limits_text(state, figure)
    return f"{figure.label}{so_far} {figure_text(state, figure)}" + (f", limits {limits}" if limits else "")
