"""Where every position of a job stands in one operation: a sign, a word, and what more there is to say of it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from headwright.job.holds import is_held
from headwright.job.known import figures_known, kept_at
from headwright.job.uncertainty import proof_words
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Level
from headwright.terminal.bench.digits import figure_text, item_of, limits_text
from headwright.terminal.bench.verdicts import (
    DUE,
    GIVEN_UP,
    HELD,
    LOST,
    NOT_HERE,
    NOW,
    is_so_far,
    marked,
    stand,
    worst,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.job.figures import Figure
    from headwright.job.state import State
    from headwright.procedure.plan import Operation

NEAR = "~"
BEGUN = "begun"
SO_FAR = " so far"
"""Said behind a verdict that more readings may still change."""
WORDS = {NOW: "next", HELD: "held", NEAR: "near", "✓": "done", DUE: "not yet", NOT_HERE: "not here", LOST: GIVEN_UP}
"""What each sign means, for the legend."""

OWN = frozenset({Level.POSITION, Level.CHAMBER})
"""Where work is done that is shown at the valves; wider work is shown at the head."""


class Valve(NamedTuple):
    """One position on the map.

    `place` is its id and `spot` the place of the operation that it belongs to: itself, its chamber or its head.
    `word` is short, `figure` what its figure comes to, `far` how much of its whole path is done.
    """

    place: str
    spot: str
    name: str
    kind: str
    cylinder: str
    sign: str
    word: str
    style: str
    figure: str = ""
    far: str = ""


class Casting(NamedTuple):
    """A head: its cylinders in standing order with their valves; a sign and a word where there is one of all of it."""

    place: str
    name: str
    cylinders: tuple[tuple[str, tuple[Valve, ...]], ...]
    word: str = ""
    sign: str = ""
    style: str = ""


def castings(state: State, operation: Operation, next_place: str = "") -> tuple[Casting, ...]:
    """Give every head of the job with where its positions stand in an operation.

    Args:
        state: the job.
        operation: the operation looked at.
        next_place: the place of that operation at which the next thing is to be done, empty where it is elsewhere.
    """
    found = []
    for head in state.index.heads:
        valves: dict[str, list[Valve]] = {}
        for leaf in state.index.inside(head.id):
            valve = kept_at(state, leaf, ("valve", operation.id), partial(_valve, state, operation, leaf))
            if valve.sign == DUE and valve.spot == next_place and operation.per in OWN:
                word = WORDS[NOW] if valve.word in {BEGUN, WORDS[DUE]} else valve.word
                valve = valve._replace(sign=NOW, word=word, style=valve.style or "now")
            valves.setdefault(valve.cylinder, []).append(valve)
        cylinders = tuple((name, tuple(here)) for name, here in valves.items())
        found.append(Casting(head.id, head.name, cylinders, *_of_all(state, operation, head.id, next_place)))
    return tuple(found)


def _of_all(state: State, operation: Operation, head: str, next_place: str) -> tuple[str, str, str]:
    """Give the word, sign and style of what is to be said of the whole head."""
    if head in state.scrapped:
        return "given up", HELD, "bad"
    if head in state.stopped:
        return "stopped", HELD, "bad"
    if next_place and operation.per not in OWN and set(state.index.inside(head)) <= set(state.index.inside(next_place)):
        return WORDS[NOW], NOW, "now"
    return "", "", ""


def _valve(state: State, operation: Operation, leaf: str) -> Valve:
    """Give a position with where it stands, or the place of the operation that it belongs to."""
    spot = next(iter(state.index.around(leaf, operation.per)), leaf)
    if spot != leaf and not state.applies(operation, leaf):
        stood = (NOT_HERE, WORDS[NOT_HERE], "quiet", "")
    else:
        stood = kept_at(state, spot, ("stood", operation.id), partial(_stood, state, operation, spot))
    place, path = state.index.places[leaf], state.stand(leaf)
    kind = place.kind.value if place.kind else ""
    far = f"{len(path.done)} of {len(path.path)}"
    return Valve(leaf, spot, place.name, kind, place.cylinder, *stood, far)


def _stood(state: State, operation: Operation, place: str) -> tuple[str, str, str, str]:
    figures = figures_known(state, operation, place)
    fresh = state.writing(operation.id, place) is not state.attempt(operation.id, place)
    sign, words, style = stand(state, operation, place, () if fresh else figures)
    first = _telling(figures)
    figure = figure_text(state, first) if first is not None and not fresh else ""
    if sign in {NOT_HERE, LOST}:
        return sign, WORDS[sign], style, ""
    if is_held(state, operation, place):
        return sign, WORDS[HELD], style, figure
    word = words.removeprefix(f"{sign} ").removeprefix(f"{HELD} ").removeprefix(f"{NEAR} ").removeprefix("✓ ")
    if words.startswith(NEAR):
        sign = NEAR
    if words.startswith(f"{DUE} "):
        word += SO_FAR
    return sign, word or (BEGUN if state.attempt(operation.id, place).begun else WORDS[DUE]), style, figure


def _telling(figures: Sequence[Figure]) -> Figure | None:
    """Give the figure that says most of a place: the first that decides its verdict, else the first held to limits."""
    verdict = worst(figures)
    judged = [figure for figure in figures if figure.judged and figure.least is not None]
    return next((figure for figure in judged if figure.verdict is verdict), None) or next(iter(judged), None)


def told(state: State, operation: Operation, place: str) -> list[str]:
    """Say what there is to say of a position: kind and head, where it stands here and by which figures, its repair.

    Args:
        state: the job.
        operation: the operation looked at.
        place: the position.

    Returns:
        Sentences, the most important first.
    """
    index = state.index
    leaf = index.places[place]
    spot = next(iter(index.around(place, operation.per)), place)
    kind = f"{leaf.kind.value}, " if leaf.kind else ""
    head = f", head {index.places[index.head_of(place)].name}" if len(index.heads) > 1 else ""
    words = stand(state, operation, spot, figures_known(state, operation, spot)).word
    if words.startswith(f"{DUE} "):
        words = words.removeprefix(f"{DUE} ") + SO_FAR
    sentences = [f"{leaf.name}: {kind}cylinder {leaf.cylinder}{head}. {operation.title}: {words or 'not yet'}."]
    figures = [f for f in figures_known(state, operation, spot) if f.judged and figure_text(state, f)]
    for figure in sorted(figures, key=lambda f: not f.verdict.fails):
        limits = limits_text(state, figure)
        held_to = f", limits {limits}" if limits else ""
        so_far = is_so_far(figure)
        sign, _, verdict = marked(state, figure)[0].removeprefix(f"{DUE} ").rpartition(" ")
        if figure.verdict is Verdict.IN and verdict == figure.verdict.value:
            verdict = "passes" if figure.word else "within limits"
        word = f"{sign} {verdict}".strip() + (SO_FAR if so_far else "")
        value = "" if figure.word else f" {figure_text(state, figure)}"
        sentences.append(f"{figure.label}{value}{held_to}: {word}.")
        proof = proof_words(state.plan, item_of(state, figure.operation, figure.item), figure)
        sentences += [proof] if proof else []
    elsewhere = [
        other.title
        for other in state.plan.operations
        if other is not operation
        for around in index.around(place, other.per)
        if is_held(state, other, around)
    ]
    if elsewhere:
        sentences.insert(1, f"Held in {', '.join(elsewhere)}.")
    repair = index.repairs.get(state.repair_at(place))
    if repair is not None:
        sentences.append(f"Repair: {repair.label}.")
    if operation.per is not Level.POSITION:
        sentences.append(f"{operation.title} is done at each {operation.per.value}, not at each valve.")
    return sentences
