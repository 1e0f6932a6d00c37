"""Gates broken on purpose: each of these mutants lets one thing past that must not get past."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from msgspec.structs import replace

from headwright.job import (
    blocks,
    decide,
    decide_lead,
    decide_tools,
    decide_work,
    evolve,
    figures,
    gauges,
    holds,
    known,
    verdict,
)
from headwright.job.blocks import BlockKind
from headwright.job.events import Disposition, GaugeChecked, GaugeDoubted, GaugeTaken, ReadingStruck
from headwright.job.index import PlanIndex
from headwright.job.state import State, Taken
from headwright.job.verdict import Verdict
from headwright.procedure.order import OrderRules
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from collections.abc import Callable


class Mutant(NamedTuple):
    """A broken gate: what it lets past, and the attributes that break it, as (owner, name, replacement).

    `plan` is the one of the small plans in which it shows soonest; None for any.
    """

    lets_past: str
    breaks: tuple[tuple[Any, str, Any], ...]
    plan: int | None = None


def _nothing(*_: Any, **__: Any) -> tuple[()]:
    return ()


def _no(*_: Any, **__: Any) -> bool:
    return False


def _yes(*_: Any, **__: Any) -> bool:
    return True


def _none(*_: Any, **__: Any) -> None:
    return None


def _without(function: Callable[..., Any], *kinds: BlockKind) -> Callable[..., Any]:
    """Give a function of blocks that forgets some kinds."""

    def forgetful(*args: Any, **named: Any) -> tuple[Any, ...]:
        return tuple(block for block in function(*args, **named) if block.kind not in kinds)

    return forgetful


def _only_first(function: Callable[..., Any], *dropped: type) -> Callable[..., Any]:
    """Give a rule that drops what follows from the wish."""

    def forgetful(*args: Any, **named: Any) -> Any:
        answer = function(*args, **named)
        return tuple(e for e in answer if not isinstance(e, dropped)) if isinstance(answer, tuple) else answer

    return forgetful


def _in(name: str, replacement: Any, *owners: Any) -> tuple[tuple[Any, str, Any], ...]:
    return tuple((owner, name, replacement) for owner in owners)


def _rules(*changed: tuple[type, Any]) -> tuple[tuple[Any, str, Any], ...]:
    return ((decide, "_RULES", {**decide._RULES, **dict(changed)}),)


_judge = verdict.judge


def _generous(least: float, most: float, low: float | None, high: float | None, graduation: float = 0.0) -> Verdict:
    wide = 0.005
    return _judge(least, most, None if low is None else low - wide, None if high is None else high + wide, graduation)


def _least_only(least: float, most: float, low: float | None, high: float | None, graduation: float = 0.0) -> Verdict:
    del most
    return _judge(least, least, low, high, graduation)


_ways = holds.ways_out


def _always_conceded(state: Any, at: Any, figure: Any) -> Any:
    item = holds.item_of(state, at, figure)
    loose = _ways(state, at, figure)
    if not item.firm:
        return loose
    way = holds.WayOut(Disposition.CONCESSION, "Let it stand.", Role.LEAD, needs_reason=True)
    return (*loose, way)


_rework = evolve._rework


def _rework_all(state: State, at: Any, event: Any) -> None:
    before = dict(state.held)
    _rework(state, at, event)
    lost = before[at[1]] - state.held[at[1]] if at[1] in before else frozenset()
    for leaf in state.held:
        state.held[leaf] = state.held[leaf] - lost


def _after_closing(rules: OrderRules, operation: Any, held: Any) -> Any:
    return rules.after_closing(operation, held)


_missing = OrderRules.missing


def _nothing_reread(rules: OrderRules, operation: Any, held: Any, reread: Any = frozenset()) -> Any:
    return () if operation.id in reread else _missing(rules, operation, held, reread)


def _keeps_readings(state: State, at: Any, reason: str, *, doubted: bool = False) -> None:
    del doubted
    attempt = state.attempts.get(at)
    if attempt is not None:
        state.attempts[at] = replace(attempt, closed=False, ended="")
        state.past[at] = (*state.past.get(at, ()), replace(attempt, ended=reason))


def _without_its_day(wanted: Any, state: Any, *rest: Any) -> Any:
    known = state.gauges.get(wanted.gauge)
    if known is None or wanted.due:
        return decide_tools.take_gauge(wanted, state, *rest)
    answer = decide_tools.take_gauge(replace(wanted, due=known.due), state, *rest)
    return (wanted,) if isinstance(answer, tuple) else answer


_stale = gauges._stale


def _stale_but(word: str) -> Callable[..., str]:
    """Give the look at a gauge's zero that forgives one reason, known by a word of it."""

    def forgiving(*args: Any) -> str:
        why = _stale(*args)
        return "" if word in why else why

    return forgiving


def _taken_unseen(state: Any, operation: Any, reading: Any, wanted: Any) -> Any:
    old = state.writing(operation.id, wanted.place).readings.get((wanted.reading, wanted.station, wanted.angle))
    return (
        _taken(state, operation, reading, replace(wanted, over=old.number if old else 0)) if old is None else (wanted,)
    )


def _any_check(wanted: Any, state: Any, *rest: Any) -> Any:
    return (wanted,) if wanted.gauge in state.gauges else decide_tools.check_gauge(wanted, state, *rest)


_taken = decide_work._taken


EVERYWHERE = (blocks, decide, decide_work, decide_lead)
DECIDING = (decide_work, decide_lead, decide_tools)

MUTANTS = (
    Mutant("a caution that nobody acknowledged", _in("caution_blocks", _nothing, blocks, decide_work)),
    Mutant("a caution acknowledged in an earlier shift", _in("_end_shift", _none, evolve)),
    Mutant("work out of order", ((State, "missing_needs", lambda *_: {}),)),
    Mutant("work on another path", ((State, "applies", _yes),), plan=0),
    Mutant(
        "writing into what is done", _in("entry_blocks", _without(blocks.entry_blocks, BlockKind.DONE), decide_work)
    ),
    Mutant("somebody who is not there", ((State, "is_on", _yes), *_in("person_blocks", _nothing, *DECIDING, blocks))),
    Mutant("a trainee who decides", _in("may", _yes, blocks)),
    Mutant("a lead's word without PIN", _in("takes_pin", _no, decide)),
    Mutant("a concession of one's own", _in("_own_blocks", _nothing, decide_lead), plan=1),
    Mutant("a concession on a limit of safety", _in("ways_out", _always_conceded, holds), plan=3),
    Mutant("a figure out of its limits", _in("judge", _generous, figures), plan=0),
    Mutant("a span judged by its lower end", _in("judge", _least_only, figures)),
    Mutant("a word that does not pass", _in("_verdict_blocks", _nothing, blocks)),
    Mutant(
        "a figure that is not proved", ((Verdict, "fails", property(lambda v: v.value in {"low", "high", "wrong"})),)
    ),
    Mutant("a missing reading", _in("closing_blocks", _without(blocks.closing_blocks, BlockKind.READING), decide)),
    Mutant("a missing step", _in("missing_steps", _nothing, blocks), plan=0),
    Mutant("figures that do not agree", ((Taken, "is_settled", _yes),)),
    Mutant(
        "a figure that is no number", (*_in("_bad_value", _none, decide_work), *_in("doubt_of", _none, decide_work))
    ),
    Mutant("a figure far off, unquestioned", _in("doubt_of", _none, decide_work)),
    Mutant("a figure over one that nobody struck", _in("_taken", _taken_unseen, decide_work)),
    Mutant("work at a stopped head", _in("job_blocks", _without(blocks.job_blocks, BlockKind.STOP), *EVERYWHERE)),
    Mutant(
        "work at a head given up",
        _in("job_blocks", _without(blocks.job_blocks, BlockKind.SCRAPPED), *EVERYWHERE),
        plan=0,
    ),
    Mutant(
        "writing into a released job", _in("job_blocks", _without(blocks.job_blocks, BlockKind.RELEASED), *EVERYWHERE)
    ),
    Mutant("a strike that leaves the closing", _in("_take_back", _none, evolve)),
    Mutant("work done again as if it were only read again", _in("_lost", _none, evolve)),
    Mutant("reading again that leaves what doing again would", ((OrderRules, "after_reading", _after_closing),)),
    Mutant("reading again that wants nothing", _in("missing", _nothing_reread, OrderRules)),
    Mutant("a strike that leaves what rests on it", ((PlanIndex, "_resting", lambda _: {}),)),
    Mutant("a rework that spoils other positions", _in("_rework", _rework_all, evolve)),
    Mutant("a rework that keeps spoilt work", ((OrderRules, "lost_by_rework", lambda *_: frozenset()),)),
    Mutant("a rework that keeps spoilt readings", _in("_set_aside", _keeps_readings, evolve)),
    Mutant(
        "a release with work open", _in("release_blocks", _without(blocks.release_blocks, BlockKind.OPEN), decide_lead)
    ),
    Mutant(
        "a release on values that nobody confirmed",
        _in("release_blocks", _without(blocks.release_blocks, BlockKind.SPEC), decide_lead),
        plan=3,
    ),
    Mutant(
        "a release with a gauge not back at its ring",
        _in("release_blocks", _without(blocks.release_blocks, BlockKind.GAUGE), decide_lead),
        plan=3,
    ),
    Mutant(
        "a reading without a gauge",
        (*_in("gauge_blocks", _nothing, decide_work), *_in("_bad_gauge", _none, decide_work)),
    ),
    Mutant("an overdue gauge", ((gauges.GaugeNow, "is_overdue", _no),)),
    Mutant("a gauge named by hand to be rid of its day", _rules((GaugeTaken, _without_its_day))),
    Mutant("a zero set by somebody else", _in("_stale", _stale_but("zeroed by"), gauges)),
    Mutant("a zero that is too old", _in("_stale", _stale_but("minutes ago"), gauges), plan=2),
    Mutant("a zero with too many readings on it", _in("_stale", _stale_but("readings since"), gauges)),
    Mutant("a gauge never zeroed", _in("_stale", _stale_but("is not zeroed"), gauges)),
    Mutant(
        "a drift that leaves its readings",
        _rules((GaugeChecked, _only_first(decide_tools.check_gauge, ReadingStruck))),
        plan=1,
    ),
    Mutant(
        "a drift elsewhere that leaves its readings",
        _rules((GaugeDoubted, _only_first(decide_tools.doubt_gauge, ReadingStruck))),
    ),
    Mutant("a gauge left off its ring", _rules((GaugeChecked, _any_check)), plan=1),
    Mutant("figures that outlive what they rest on", _in("_changed", _nothing, known)),
    Mutant("a count that outlives what it counts", ((known.Known, "_reached", lambda *_: set()),)),
    Mutant("a count that outlives a change at a place around", ((known.Known, "_reached", lambda _, p: set(p)),)),
    Mutant("a tool that nobody named", _in("tool_blocks", _without(blocks.tool_blocks, BlockKind.TOOL), blocks)),
    Mutant(
        "others before the first piece is released",
        _in("tool_blocks", _without(blocks.tool_blocks, BlockKind.FIRST), blocks),
        plan=1,
    ),
)
