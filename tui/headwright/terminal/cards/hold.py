"""The hold card: a figure that is out, why it matters, and the ways out with what each undoes."""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.widgets import Static

from headwright.job.decide import Refused, decide
from headwright.job.events import Disposed, Disposition, Stopped
from headwright.job.evolve import provisional
from headwright.job.holds import item_of, stop_for
from headwright.job.index import place_words
from headwright.job.progress import failing_items
from headwright.job.signing import takes_pin, wants_only_lead
from headwright.job.uncertainty import proof_words
from headwright.terminal.cards.card import facts
from headwright.terminal.cards.choice_card import ChoiceCard
from headwright.terminal.cards.choices import Choice
from headwright.terminal.cards.figure_words import limit_words, out_words, span_words
from headwright.terminal.keys import BENCH, in_use, sign_in
from headwright.terminal.outer_keys import LEAVE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.widget import Widget

    from headwright.job.figures import Figure
    from headwright.job.holds import Hold, WayOut
    from headwright.job.state import State
    from headwright.procedure.plan import Limit

_NAMES = {
    Disposition.REMEASURE: "Remeasure",
    Disposition.REWORK: "Rework",
    Disposition.CONCESSION: "Concession",
    Disposition.SCRAP: "Scrap",
}
BY_LEAD = "a lead signs here with the PIN; you stay at the bench"
PIN_AFTER = "the PIN is asked for after it"
NO_LEAD = "No lead has a PIN yet: {leave}, then {who}, where one comes on and chooses it."
_DIGITS = {Disposition.REMEASURE: 1, Disposition.REWORK: 2, None: 7, Disposition.CONCESSION: 8, Disposition.SCRAP: 9}
"""The digit of each way out, the same on every card; reworks go on from theirs, None is to stop the head."""
_MOST_REWORKS = 5
_BRIEF = {
    Disposition.REMEASURE: "the same readings again",
    Disposition.CONCESSION: "it stands as it is",
    Disposition.SCRAP: "the head is given up",
}
_OTHERS = 3
"""Lines for the figures that fail beside the one that decides; with more, they would crowd the ways out."""

FIRM = "A limit of safety or law: nobody concedes it."


class HoldCard(ChoiceCard[Disposed | Stopped]):
    """Ask how a hold is to be decided; the answer is the event that is wanted.

    Whether it may happen is for the job to say: a way out that it would refuse to this operator is shown with why.
    `leads` tells that the shop has a lead who can sign beside whoever is at the bench.
    """

    TONE = "-bad"
    ABOUT = (
        "A figure is out, and only this place waits. Choose a way out, then give its reason: nothing is decided "
        "before. Esc leaves it held, and other places go on."
    )

    def __init__(self, state: State, hold: Hold, operator: str, advice: str = "", *, leads: bool = False) -> None:
        self._state = state
        self._hold = hold
        self._operation = state.index.operations[hold.operation]
        where = place_words(state.index.places[hold.place])
        title = f"■ {where} is held in '{self._operation.title}'"
        self._ways = sorted(hold.ways, key=_digit)
        digits = _digits(self._ways)
        choices = [
            _choice(state, hold, way, operator, advice if way.advise else "", leads=leads)._replace(number=digit)
            for way, digit in zip(self._ways, digits, strict=True)
        ]
        super().__init__(title, choices, self._decision, "decides")

    def above(self) -> Iterator[Widget]:
        """Say what failed, by how much, and why it matters."""
        hold, figure = self._hold, self._hold.figure
        item = item_of(self._state, (hold.operation, hold.place), figure)
        plan = self._state.plan
        source = _source(self._state, item.limit)
        limits = limit_words(plan, item, figure)
        ended = [a.ended for a in self._state.past.get((hold.operation, hold.place), ()) if a.ended]
        went = f"{hold.attempt}, after: {ended[-1]}" if ended else f"{hold.attempt}" if hold.attempt > 1 else ""
        with VerticalScroll(classes="card-facts elastic"):
            yield Static(
                facts(
                    (
                        ("What failed", _failing_words(self._state, figure)),
                        *self._also(),
                        ("Expected", f"{limits} ({source})" if source else limits),
                        ("Firm", FIRM if item.firm else ""),
                        ("Proof", proof_words(plan, item, figure)),
                        ("Attempt", went),
                        ("Why it matters", item.why or self._operation.why),
                    )
                )
            )

    def _also(self) -> Iterator[tuple[str, str]]:
        """Give the other figures that fail at the place, as far as there is room."""
        state, hold = self._state, self._hold
        others = [f for f in failing_items(state, self._operation, hold.place) if f.item != hold.figure.item]
        shown = others if len(others) <= _OTHERS else others[: _OTHERS - 1]
        lines = [_failing_words(state, figure) for figure in shown]
        if len(shown) < len(others):
            lines.append(f"and {len(others) - len(shown)} more")
        yield from ((" " if number else "Also out", line) for number, line in enumerate(lines))

    def _decision(self, number: int, reason: str) -> Disposed | Stopped:
        return _wanted(self._state, self._hold, self._ways[number], reason)


def _digit(way: WayOut) -> int:
    """Give the digit of a way out: what stops the head is at that of a stop, and not where a thumb expects less."""
    stops = way.stop and way.disposition is not Disposition.REWORK
    return _DIGITS[None if stops else way.disposition]


def _digits(ways: Sequence[WayOut]) -> list[int]:
    """Give the digit of each way out, 0 for a rework that there is none left for."""
    reworks = count()
    found = []
    for way in ways:
        digit = 0 if _digit(way) in found else _digit(way)
        if way.disposition is Disposition.REWORK:
            digit = _digit(way)
            number = next(reworks)
            digit = digit + number if number < _MOST_REWORKS else 0
        found.append(digit)
    return found


def _failing_words(state: State, figure: Figure) -> str:
    """Give a figure that fails, and by how much."""
    item = item_of(state, (figure.operation, figure.place), figure)
    out = out_words(state.plan, item, figure)
    verdict = f"{figure.verdict.value} by {out}" if out else figure.verdict.value
    return f"{figure.label}: {span_words(state.plan, item, figure)}, {verdict}"


def _wanted(state: State, hold: Hold, way: WayOut, reason: str, *, signed: bool = False) -> Disposed | Stopped:
    """Give the event that a way out wants to happen; whether it is signed is not for this card to ask."""
    if way.disposition is None:
        return stop_for(state, hold.figure, reason)
    return Disposed(
        hold.operation,
        hold.place,
        hold.figure.item,
        way.disposition,
        reason,
        redo=way.redo,
        repair=way.repair,
        signed=signed,
    )


def set_aside(state: State, wanted: Disposed | Stopped) -> int:
    """Count the readings that would no longer count if a hold were decided so."""
    if isinstance(wanted, Stopped) or wanted.disposition in {Disposition.CONCESSION, Disposition.SCRAP}:
        return 0
    after = provisional(state, wanted, "", "")
    return sum(len(a.readings) for a in state.attempts.values()) - sum(len(a.readings) for a in after.attempts.values())


def _choice(state: State, hold: Hold, way: WayOut, operator: str, advice: str, *, leads: bool) -> Choice:
    wanted = _wanted(state, hold, way, way.say, signed=True)
    answer = decide(state, wanted, operator, "")
    only_lead = isinstance(answer, Refused) and wants_only_lead(state, wanted, answer)
    by_lead = leads and only_lead
    barred = answer.blocks[0].why if isinstance(answer, Refused) and not by_lead else ""
    if only_lead and not leads:
        barred = f"{barred} {NO_LEAD.format(leave=in_use(LEAVE).sign, who=sign_in(BENCH, 'who'))}"
    return Choice(
        "Stop" if way.stop or way.disposition is None else _NAMES[way.disposition],
        _brief(state, hold, way),
        reason="" if way.needs_reason else way.say,
        barred=barred,
        then=PIN_AFTER if takes_pin(state, wanted) else "",
        details=(
            ("What to do", way.say),
            *_consequences(state, hold, way),
            ("Next ball", advice),
            ("Who", BY_LEAD if by_lead else ""),
        ),
    )


def _brief(state: State, hold: Hold, way: WayOut) -> str:
    """Say in a few words what a way out is, so that two of one name are told apart."""
    index = state.index
    if way.stop:
        back = f", then back to '{index.operations[way.redo].title}'" if way.redo else ", then this is taken again"
        then = back if way.disposition else ""
        return f"{place_words(index.places[index.head_of(hold.place)])} waits for a lead{then}"
    if way.disposition is Disposition.REWORK:
        title = index.operations[way.redo].title
        repair = index.repairs.get(way.repair) if way.repair != state.repair_at(hold.place) else None
        again = f"'{title}' again" if way.redo == hold.operation else f"back to '{title}'"
        return f"{again}, as {repair.label}" if repair else again
    return _BRIEF[way.disposition] if way.disposition else ""


def _consequences(state: State, hold: Hold, way: WayOut) -> Iterator[tuple[str, str]]:
    index = state.index
    if way.stop:
        yield "Stops", f"{place_words(index.places[index.head_of(hold.place)])}, until a lead resumes it"
    if way.redo and way.redo != hold.operation:
        yield "Goes back to", index.operations[way.redo].title
    if way.repair and way.repair != state.repair_at(hold.place):
        repair = index.repairs.get(way.repair)
        yield "Repair becomes", repair.label if repair else way.repair
    aside = set_aside(state, _wanted(state, hold, way, way.say))
    if aside:
        yield "Sets aside", f"{aside} {'reading' if aside == 1 else 'readings'}; they stay on record"
    if way.undoes:
        yield "Undoes", undoes_words(state, way.undoes)
    elif way.redo:
        yield "Undoes", "nothing else that is done"


def undoes_words(state: State, undoes: dict[str, tuple[str, ...]]) -> str:
    """Give what a way out undoes: the operations in route order, together where they lose the same positions."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for operation, places in undoes.items():
        groups.setdefault(places, []).append(state.index.operations[operation].title)
    return "; ".join(
        f"{', '.join(titles)} at {', '.join(place_words(state.index.places[p]) for p in places)}"
        for places, titles in groups.items()
    )


def _source(state: State, limit: Limit | None) -> str:
    if limit is None:
        return ""
    return limit.source or (state.index.specs[limit.spec].source if limit.spec else "")
