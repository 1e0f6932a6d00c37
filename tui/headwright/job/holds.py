"""Holds: a figure that is out and waits for a decision, and the ways out of it."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from msgspec import Struct, structs

from headwright.job.events import Disposition, Stopped
from headwright.job.figures import Figure
from headwright.job.index import place_words
from headwright.job.progress import failing_items, waiting
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Remedy, Role

if TYPE_CHECKING:
    from headwright.job.state import At, State
    from headwright.procedure.plan import Operation, Reading, Result


_AGAIN = "Clean the place and the gauge, check the zero, and take these readings again."


class WayOut(Struct, frozen=True):
    """A decision that would clear a hold.

    `disposition` is None for stopping the whole head: the hold stays and waits for the lead who resumes it.
    `undoes` maps each operation that it makes due again to the positions where it was done; `who` is the least role
    that may choose it; `needs_reason` tells that the operator's own words are wanted.
    """

    disposition: Disposition | None
    say: str
    who: Role
    redo: str = ""
    repair: str = ""
    advise: str = ""
    stop: bool = False
    undoes: dict[str, tuple[str, ...]] = {}
    needs_reason: bool = False


class Hold(Struct, frozen=True):
    """A place that waits for a decision on one of its figures; `attempt` counts the goes at it."""

    operation: str
    place: str
    figure: Figure
    attempt: int
    ways: tuple[WayOut, ...]


def is_held(state: State, operation: Operation, place: str) -> bool:
    """Tell whether the place waits for a decision in this operation."""
    over = state.attempt(operation.id, place).closed or state.index.head_of(place) in state.scrapped
    return not over and bool(failing_items(state, operation, place))


def holds(state: State) -> tuple[Hold, ...]:
    """Give every hold of the job, in route order and working order."""
    return tuple(
        Hold(*at, figure, state.attempt(*at).number, ways_out(state, at, figure))
        for at in waiting(state)
        for figure in failing_items(state, state.index.operations[at[0]], at[1])
    )


def hold_at(state: State, at: At, item: str = "") -> Hold | None:
    """Give the hold at a place of an operation, on a given item or on the first that fails."""
    operation = state.index.operations.get(at[0])
    if operation is None or at[1] not in state.index.places_of(operation) or not is_held(state, operation, at[1]):
        return None
    for figure in failing_items(state, operation, at[1]):
        if item in {"", figure.item}:
            return Hold(at[0], at[1], figure, state.attempt(*at).number, ways_out(state, at, figure))
    return None


def item_of(state: State, at: At, figure: Figure) -> Reading | Result:
    """Give the reading or result that a figure is of."""
    return state.index.readings.get((at[0], figure.item)) or state.index.results[at[0], figure.item]


def remedies(state: State, at: At, figure: Figure) -> tuple[Remedy, ...]:
    """Give the remedies that the procedure names for the verdict."""
    when = {"", side(figure) if figure.verdict is Verdict.UNPROVEN else figure.verdict.value}
    return tuple(r for r in item_of(state, at, figure).remedies if r.when in when)


def side(figure: Figure) -> str:
    """Tell which limit a figure lies nearer to: `low` or `high`."""
    below = inf if figure.low is None or figure.least is None else figure.least - figure.low
    above = inf if figure.high is None or figure.most is None else figure.high - figure.most
    return "low" if below <= above else "high"


def ways_out(state: State, at: At, figure: Figure) -> tuple[WayOut, ...]:
    """Give the ways out: what the procedure names first, then measuring again, a concession and scrapping.

    A firm limit, one of safety or law, is not conceded, and no reason to give a head up.
    """
    ways = [_from_remedy(state, at, remedy) for remedy in remedies(state, at, figure) if _open(state, at, remedy)]
    unproven = figure.verdict is Verdict.UNPROVEN
    if not any(way.disposition is Disposition.REMEASURE for way in ways):
        # What is too near to call is not worked on before it is measured better.
        ways.insert(
            0 if unproven else len(ways),
            WayOut(Disposition.REMEASURE, _better(figure) if unproven else _AGAIN, Role.MACHINIST),
        )
    questioned = _questioned(state, at, figure)
    if questioned:
        # A slip that was kept is looked at before anything is cut or driven out for it.
        again = next(way for way in ways if way.disposition is Disposition.REMEASURE)
        ways.remove(again)
        say = f"A figure that it rests on was questioned and kept ({questioned}): read it again first. {again.say}"
        ways.insert(0, structs.replace(again, say=say))
    if item_of(state, at, figure).firm:
        return tuple(ways)
    ways.append(
        WayOut(
            Disposition.CONCESSION,
            f"{'Accept it by plain limits' if unproven else 'Let it stand as it is'}. "
            "The reason and the name go on the sheet.",
            Role.LEAD,
            needs_reason=True,
        )
    )
    ways.append(
        WayOut(
            Disposition.SCRAP,
            "Give the head up. Nothing more is done on it.",
            Role.LEAD,
            needs_reason=True,
        )
    )
    return tuple(ways)


def _questioned(state: State, at: At, figure: Figure) -> str:
    """Name the slip that a figure behind a hold was taken for when it was kept; empty where there is none."""
    feeding = state.index.feeding(at[0], figure.item)
    readings = state.attempt(*at).readings
    found = (each.event.questioned for key, t in readings.items() if key[0] in feeding for each in (*t.others, t))
    return next((slip for slip in found if slip), "")


def _better(figure: Figure) -> str:
    """Say how a figure that is in its limits, and not proved to be, could be."""
    if figure.lacks:
        return f"Not proved: take {figure.lacks} again, with a gauge of known uncertainty."
    if figure.proving == (None, None):
        return "Not to be proved with these gauges: measure again with better ones."
    return "Too near to call: measure again with a better gauge."


def _open(state: State, at: At, remedy: Remedy) -> bool:
    """Tell whether a remedy leads anywhere here: what it orders again must lie on the position's path."""
    if _only_stops(remedy):
        return state.index.head_of(at[1]) not in state.stopped
    again = state.index.operations[remedy.redo or at[0]]
    return any(
        state.index.rules.applies(again, remedy.repair or state.repair_at(leaf)) for leaf in state.index.inside(at[1])
    )


def stops_at_once(state: State, at: At, figure: Figure) -> Remedy | None:
    """Give the remedy that stops the head the moment the figure is known: the procedure names no other way out.

    A figure that is in its limits stops nothing by itself, though they are not proved.
    """
    if figure.verdict is Verdict.UNPROVEN:
        return None
    named = remedies(state, at, figure)
    return named[0] if named and all(_only_stops(remedy) for remedy in named) else None


def stop_for(state: State, figure: Figure, why: str) -> Stopped:
    """Give the stop of a head for a figure: its reason says which figure and where, for nothing may be held there then.

    Args:
        state: the job.
        figure: what the head is stopped for.
        why: the reason, in somebody's words or the procedure's.
    """
    where = place_words(state.index.places[figure.place])
    return Stopped(state.index.head_of(figure.place), f"{figure.label}, {where}: {why}")


def _only_stops(remedy: Remedy) -> bool:
    return remedy.stop and not remedy.redo and not remedy.remeasure


def _from_remedy(state: State, at: At, remedy: Remedy) -> WayOut:
    if _only_stops(remedy):
        return WayOut(None, remedy.say, Role.TRAINEE, stop=True)
    if remedy.remeasure:
        return WayOut(Disposition.REMEASURE, remedy.say, Role.MACHINIST, advise=remedy.advise, stop=remedy.stop)
    redo = remedy.redo or at[0]
    return WayOut(
        Disposition.REWORK,
        remedy.say,
        Role.MACHINIST,
        redo=redo,
        repair=remedy.repair,
        advise=remedy.advise,
        stop=remedy.stop,
        undoes=undone(state, at[1], redo),
    )


def undone(state: State, place: str, redo: str) -> dict[str, tuple[str, ...]]:
    """Tell what ordering an operation again would undo: operation → the positions where it would be due again."""
    index = state.index
    again = index.operations[redo]
    found: dict[str, dict[str, None]] = {}
    for wide in index.around(place, again.per):
        for leaf in index.inside(wide):
            for operation in index.rules.undone_by(again, state.held[leaf], state.repair_at(leaf)):
                found.setdefault(operation.id, {})[leaf] = None
    order = index.rules.index
    return {op: tuple(found[op]) for op in sorted(found, key=lambda name: order[name])}
