"""The parts of the sheet beside the work: holds, cautions, sources, gauges, people, notes, stops and release."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    GaugeChecked,
    Released,
    Reopened,
    Resumed,
    SpecConfirmed,
    Stopped,
    ToolChosen,
)
from headwright.job.gauges import drift_words
from headwright.job.index import place_words
from headwright.job.show import show, unit_of
from headwright.sheet.layout import Row, headed, rows_of
from headwright.sheet.plain import counted
from headwright.sheet.words import cleared_words, held_words, moment, places_for, span_words, where, with_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.events import Entry
    from headwright.job.gauges import GaugeNow
    from headwright.procedure.plan import Spec, SpecEntry
    from headwright.sheet.history import History

DEFERS = (
    "Local codes, the safety data sheets, the manuals of the machines, and qualified people where the work asks "
    "for them go before anything that stands here."
)


def hold_lines(history: History) -> Iterator[str]:
    """Give every hold: what was out, by how much, at which attempt, and how it was closed."""
    yield from headed("Holds")
    index = history.state.index
    open_now = sum(held.cleared is None for held in history.holds)
    count = len(history.holds)
    yield f"  {counted(count, 'hold')}, {count - open_now} closed, {open_now} open"
    before = None
    for held in history.holds:
        hold, since = held.hold, held.since
        at = (hold.operation, hold.place, hold.attempt)
        if at != before:
            yield ""
            yield from rows_of([(f"{where(index, hold.operation, hold.place)}, attempt {hold.attempt}",)])
        before = at
        came = f"held at event {since.number}, {since.operator}, {moment(since.time)}: {held_words(held, index)}"
        yield from rows_of([(came,), (cleared_words(held, index),)], indent=6)
    yield from _more_than_one(history)


def _more_than_one(history: History) -> Iterator[str]:
    again = {at: a.number for at, a in history.state.attempts.items() if a.begun and a.number > 1}
    if again:
        yield ""
        yield "  More than one attempt:"
        yield from rows_of(((str(count), where(history.state.index, *at)) for at, count in again.items()), 4)


def caution_lines(history: History) -> Iterator[str]:
    """Give the cautions of the route, and who acknowledged each, when."""
    yield from headed("Cautions acknowledged")
    by_caution: dict[str, list[Entry]] = {}
    for entry in history.entries:
        if isinstance(entry.event, CautionAcknowledged):
            by_caution.setdefault(entry.event.caution, []).append(entry)
    rows = []
    for caution in history.state.plan.cautions:
        read = [f"{e.operator} {moment(e.time)}" for e in by_caution.get(caution.id, ())]
        rows.append((caution.title, ", ".join(read) or "not acknowledged: its operations were not begun"))
    yield from rows_of(rows)
    yield ""
    yield from rows_of([(DEFERS,)])


def spec_lines(history: History) -> Iterator[str]:
    """Give every value that the head was held to, where it comes from, and whether anybody confirmed it."""
    yield from headed("Sources of the values")
    confirmed = {e.event.spec: e for e in history.entries if isinstance(e.event, SpecConfirmed)}
    for spec in history.state.plan.specs:
        entry = confirmed.get(spec.name)
        if entry is not None and isinstance(entry.event, SpecConfirmed):
            by = f"confirmed from {entry.event.source}, {entry.operator}, {moment(entry.time)}"
        else:
            by = "confirmed in the family's data" if spec.confirmed else "DEFAULT, NOT CONFIRMED FOR THIS HEAD"
        values = "; ".join(_spec_entry(history, spec, each) for each in spec.entries)
        yield from rows_of([(spec.label, values)])
        yield from rows_of([(f"{spec.source}; {by}",)], indent=6)


def _spec_entry(history: History, spec: Spec, entry: SpecEntry) -> str:
    unit = unit_of(history.state.plan, spec.unit, spec.dimension)
    if entry.value is None:
        value = span_words(entry.low, entry.high, unit)
    else:
        value = with_unit(show(entry.value, unit, places_for(unit, None, entry.value)), spec.unit)
    repair = history.state.index.repairs.get(entry.repair)
    which = " ".join(filter(None, (entry.kind, repair.label if repair else entry.repair)))
    return f"{which}: {value}" if which else value


def people_lines(history: History) -> Iterator[str]:
    """Give who was at the bench."""
    yield from headed("At the bench")
    people: dict[str, Row] = {}
    for entry in history.entries:
        if isinstance(entry.event, CameOn):
            event = entry.event
            people.setdefault(event.operator, (event.operator, event.role.value, event.name))
    yield from rows_of(people.values())


def equipment_lines(history: History) -> Iterator[str]:
    """Give the gauges with how their zeroes held, and the tools in their order; nothing where none is on record."""
    index, rows = history.state.index, list[tuple[str, str]]()
    checks: dict[str, list[GaugeChecked]] = {}
    for event in (entry.event for entry in history.entries):
        if isinstance(event, GaugeChecked):
            checks.setdefault(event.gauge, []).append(event)
    rows.extend(
        (
            gauge.gauge,
            f"{gauge.sort or 'gauge'}{_due(gauge)}{_checked(history, gauge.sort, checks.get(gauge.gauge, []))}",
        )
        for gauge in history.state.gauges.values()
    )
    for entry in history.entries:
        if isinstance(entry.event, ToolChosen):
            chosen = entry.event
            size_words = f", {chosen.size:.4f} mm" if chosen.size is not None else ""
            said = f"{chosen.tool}, from {where(index, chosen.operation, chosen.place)} on{size_words}"
            rows.append((chosen.item, f"{said}, {moment(entry.time)}, {entry.operator}"))
    if rows:
        yield from headed("Gauges and tools")
        yield from rows_of(rows)


def _due(gauge: GaugeNow) -> str:
    return "" if gauge.due or not gauge.sort else ", no day on which it is due on record"


def _checked(history: History, sort: str, checks: list[GaugeChecked]) -> str:
    """Say how often a gauge came to its rings, and how far it was off at most when it did."""
    if not checks:
        return ""
    rings = ", ".join(dict.fromkeys(check.ring for check in checks))
    worst = max((check.before for check in checks), key=abs)
    times = "once" if len(checks) == 1 else f"{len(checks)} times"
    return f"; checked {times} on {rings}, off by {drift_words(history.state.index, worst, sort)} at most"


def note_lines(history: History) -> Iterator[str]:
    """Give the notes; nothing where there is none."""
    notes = history.state.notes
    if notes:
        yield from headed("Notes")
        index = history.state.index
        for note in notes:
            place = f", {place_words(index.places[note.place])}" if note.place else ""
            yield from rows_of([(f"{moment(note.time)} {note.operator}{place}", note.text)])


def end_lines(history: History) -> Iterator[str]:
    """Give the stops, the head given up, the release and what followed."""
    index, rows = history.state.index, []
    for entry in history.entries:
        match entry.event:
            case Stopped(place=place, reason=reason):
                what, said = "stopped", f"{place_words(index.places[place])}: {reason}"
            case Resumed(place=place, reason=reason):
                what, said = "resumed", f"{place_words(index.places[place])}: {reason}"
            case Released(note=note):
                what, said = "released", note
            case Reopened(reason=reason):
                what, said = "reopened", reason
            case _:
                continue
        rows.append((what, moment(entry.time), f"{entry.operator}{': ' if said else ''}{said}"))
    rows.extend(
        ("given up", "", f"{place_words(index.places[head])}: {why}") for head, why in history.state.scrapped.items()
    )
    yield from headed("Stops and release")
    yield from rows_of(rows or [("none so far",)])
