"""The job sheet: everything that was read and decided on a head, as plain text of 80 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.index import items_of
from headwright.job.summary import summary
from headwright.procedure.plan import plan_sha256
from headwright.sheet.doubts import doubt_lines
from headwright.sheet.layout import WIDTH, headed, rows_of, titled
from headwright.sheet.ledger import (
    caution_lines,
    end_lines,
    equipment_lines,
    hold_lines,
    note_lines,
    people_lines,
    spec_lines,
)
from headwright.sheet.operations import operation_lines
from headwright.sheet.words import moment

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.procedure.plan import Plan
    from headwright.sheet.history import History

DECISION_RULE = "plain limits: a figure on a limit is in; the uncertainty of measuring is not taken off the limits"
PROVED = (
    "but where a figure names its uncertainty U it has to be proved, by a guard band inside each limit for 95 % (1.645 "
    "standard uncertainties; ISO 14253-1); U comes from the gauges, k = 2"
)
NOT_THE_WHOLE = "not released: this sheet tells of work that is not finished"


def job_sheet(job: History) -> str:
    """Write the sheet of a job; `job` is gone through from a verified record.

    Returns:
        Lines of at most 80 columns, but for words that are longer; nothing in it is a control character.
    """
    return "\n".join(_lines(job))


def _lines(job: History) -> Iterator[str]:
    yield from _identity(job)
    yield from people_lines(job)
    yield from _positions(job)
    yield from headed("Work")
    yield from operation_lines(job)
    for part in (hold_lines, caution_lines, spec_lines, equipment_lines, note_lines, end_lines):
        yield from part(job)
    yield from _proof(job)


def _identity(job: History) -> Iterator[str]:
    state, plan = job.state, job.state.plan
    short = summary(state)
    given_up = f"{short.given_up} given up; " if short.given_up else ""
    yield from titled(f"JOB SHEET {state.job}", short.status)
    yield "=" * WIDTH
    yield from doubt_lines(job)
    rows = [
        ("Tag", state.tag or "none"),
        ("Customer", state.customer or "none named"),
        ("Engine", plan.family_title),
        ("Application", plan.application_title),
        ("Route", plan.route_title),
        ("Opened", " by ".join(filter(None, (f"{moment(job.entries[0].time)} UTC", job.entries[0].operator)))),
        ("Last event", f"{moment(state.time)} UTC; every time on this sheet is UTC"),
        ("Status", short.status if state.released else f"{short.status}; {NOT_THE_WHOLE}"),
        ("Done", f"{short.done} of {short.due} operations at their places; {given_up}{short.held} held"),
        ("Decision rule", _rule(plan)),
    ]
    yield from rows_of(rows)


def _rule(plan: Plan) -> str:
    """Say by which rule figures are held to their limits; a figure that has to be proved says so itself."""
    proved = any(item.proof and item.limit for op in plan.operations for item in items_of(op))
    return f"{DECISION_RULE}; {PROVED}" if proved else DECISION_RULE


def _positions(job: History) -> Iterator[str]:
    yield from headed("Positions, as they stand")
    index = job.state.index
    rows = []
    for place in index.positions:
        repair = index.repairs.get(job.state.repair_at(place.id))
        rows.append((place.name, place.kind or "", repair.label if repair else "repair not decided"))
    yield from rows_of(rows)


def _proof(job: History) -> Iterator[str]:
    yield from headed("Proof")
    yield from rows_of([("Plan SHA-256", plan_sha256(job.state.plan))], indent=1)
    yield from rows_of([(f"Event {job.state.number}", job.entries[-1].hash)], indent=1)
    yield ""
    chained = "Each event carries the hash of the one before it; a gap or an edit shows when the record is replayed."
    yield from rows_of([(chained,)], indent=1)
