"""Where a place stands in an operation: a sign, a word, and the style to show it in."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.holds import is_held
from headwright.job.verdict import Verdict

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.job.figures import Figure
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

DONE, HELD, NOW, DUE, NOT_HERE, LOST = "✓", "■", "▸", "·", "◦", "×"
LEADS = "◆"
"""Before a step that leads to the figure at hand: it is followed, and not ticked."""
CONCEDED = "conceded"
NOT_NEEDED = "not needed"
"""Said where the work came in done, and nothing of it was done in this job."""
GIVEN_UP = "given up"

_STYLES = {
    Verdict.IN: "good",
    Verdict.NEAR: "near",
    Verdict.UNPROVEN: "bad",
    Verdict.LOW: "bad",
    Verdict.HIGH: "bad",
    Verdict.WRONG: "bad",
}
_SIGNS = {Verdict.IN: DONE, Verdict.NEAR: "~"}
_PASSING = (Verdict.NEAR, Verdict.IN)
"""The nearest to failing first."""


class Stand(NamedTuple):
    """A sign, a word and a style."""

    sign: str
    word: str
    style: str


def style_of(verdict: Verdict) -> str:
    """Give the style that a verdict is shown in."""
    return _STYLES.get(verdict, "")


def said(verdict: Verdict) -> str:
    """Give a verdict in a word after its sign."""
    return f"{_SIGNS.get(verdict, HELD)} {verdict.value}"


def word_of(state: State, figure: Figure) -> tuple[str, str]:
    """Give what is said beside a figure and its style: its verdict, `conceded` where a lead let it stand."""
    if not figure.judged or figure.verdict is Verdict.OPEN:
        return "", style_of(figure.verdict)
    if figure.verdict.fails and figure.item in state.attempt(figure.operation, figure.place).decided:
        return CONCEDED, "near"
    return said(figure.verdict), style_of(figure.verdict)


def is_so_far(figure: Figure) -> bool:
    """Tell whether a figure passes by what was read so far, and more is to be read: it has no tick yet."""
    return figure.judged and not figure.complete and figure.verdict in _PASSING


def look_of(figure: Figure) -> str:
    """Give the style that a figure is shown in: what is in so far is not shown as good."""
    return "" if is_so_far(figure) and figure.verdict is not Verdict.NEAR else style_of(figure.verdict)


def marked(state: State, figure: Figure) -> tuple[str, str]:
    """Give what is said beside a figure on record and its style: `word_of`, without the tick while more is wanted."""
    if is_so_far(figure) and figure.verdict is not Verdict.NEAR:
        return f"{DUE} {figure.verdict.value}", "quiet"
    return word_of(state, figure)


def worst(figures: Sequence[Figure]) -> Verdict:
    """Give the verdict that decides a row: that of the first figure that fails, else the nearest to failing.

    Args:
        figures: in the order of the plan.
    """
    failing = next((figure.verdict for figure in figures if figure.verdict.fails), None)
    if failing is not None:
        return failing
    found = {figure.verdict for figure in figures}
    return next((verdict for verdict in _PASSING if verdict in found), Verdict.OPEN)


def stand(state: State, operation: Operation, place: str, figures: Sequence[Figure]) -> Stand:
    """Tell where a place stands in an operation, given its figures."""
    nothing = _nothing_here(state, operation, place)
    if nothing is not None:
        return nothing
    decided = state.attempt(operation.id, place).decided
    waiting = [figure for figure in figures if figure.verdict.fails and figure.item not in decided]
    verdict = worst(waiting or figures)
    if is_held(state, operation, place):
        return Stand(HELD, f"{said(verdict)} held" if verdict.fails else "held", "bad")
    word = "" if verdict is Verdict.OPEN else said(verdict)
    if verdict.fails and not waiting:
        word = CONCEDED
    if not state.is_due(operation, place):
        return Stand(DONE, word or "done", "near" if word == CONCEDED else style_of(verdict) or "good")
    if state.is_done(operation, place):
        return Stand(DUE, "again", "near")
    look = style_of(verdict)
    if verdict is Verdict.IN and any(figure.judged and not figure.complete for figure in figures):
        word, look = f"{DUE} {verdict.value}", "quiet"
    if word or state.attempt(operation.id, place).begun:
        return Stand(DUE, word, look)
    locked = state.index.head_of(place) in state.stopped or bool(state.missing_needs(operation, place))
    return Stand(DUE, "locked" if locked else "", "quiet")


def _nothing_here(state: State, operation: Operation, place: str) -> Stand | None:
    """Say why nothing is to be done at a place, and nothing was; None where something is or was."""
    if state.is_given_up(operation, place):
        return Stand(LOST, GIVEN_UP, "quiet")
    if not state.applies(operation, place):
        repair = state.repair_at(place)
        known = state.index.repairs.get(repair)
        label = known.label if known else repair
        return Stand(NOT_HERE, f"{label}: not for this repair" if label else "undecided", "quiet")
    here = state.is_due(operation, place) or state.attempt(operation.id, place).begun
    return None if here else Stand(NOT_HERE, NOT_NEEDED, "quiet")
