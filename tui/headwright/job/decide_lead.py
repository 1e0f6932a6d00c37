"""May this be decided? People, holds, stops, defaults of the family, notes, release."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from headwright.job.blocks import Block, BlockKind, job_blocks, person_blocks, release_blocks
from headwright.job.decide_tools import strikes
from headwright.job.events import Disposition, WentOff
from headwright.job.gauge_use import doubted
from headwright.job.holds import hold_at, stop_for
from headwright.job.index import place_words
from headwright.job.refusal import Answer, Refused, blocked, locate, refuse, unknown
from headwright.procedure.plan import Role

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.job.events import (
        CameOn,
        CautionAcknowledged,
        Disposed,
        HandedOver,
        Noted,
        Opened,
        Released,
        Reopened,
        Resumed,
        SpecConfirmed,
        Stopped,
        TookBench,
    )
    from headwright.job.state import State


JOB_NUMBER = re.compile(r"[^\W_](?:[\w/-]|\.(?!\.)){0,39}")
"""A job's number: it is typed in commands and read over the telephone."""


def _plain_number(number: str) -> str:
    return re.sub(r"[^\w.-]+", "-", number).strip("-._")[:40]


def open_job(wanted: Opened, state: State, operator: str, now: str) -> Answer:
    """Open a job: once, and with a number."""
    del operator, now
    if state.job:
        return refuse(BlockKind.ENTRY, f"Job {state.job}", "it is open already.", "Take another number.")
    if not wanted.job.strip():
        return refuse(BlockKind.ENTRY, "New job", "it has no number.", "Give it one.")
    if not JOB_NUMBER.fullmatch(wanted.job):
        return refuse(
            BlockKind.ENTRY,
            f"New job '{wanted.job[:40]}'",
            "a job number has letters, digits, '-', '/', '_' and '.', begins with a letter or digit, and is short.",
            f"Nearest: {_plain_number(wanted.job)}." if _plain_number(wanted.job) else "",
        )
    return (wanted,)


def come_on(wanted: CameOn, state: State, operator: str, now: str) -> Answer:
    """Come to the bench: whoever gives initials and a name."""
    del state, operator, now
    if not wanted.operator.strip() or not wanted.name.strip():
        return refuse(BlockKind.ENTRY, "Coming on", "initials and name are wanted.", "Type both.")
    return (wanted,)


def take_bench(wanted: TookBench, state: State, operator: str, now: str) -> Answer:
    """Be the one at a terminal: whoever is on, for himself and as what he came on."""
    del now
    what = "Taking the bench"
    if operator != wanted.operator:
        return refuse(BlockKind.ENTRY, what, "whoever takes it says so.", "Say who is at the bench.")
    gone = person_blocks(state, operator, Role.TRAINEE, what)
    if gone:
        return Refused(gone)
    came = state.people[operator]
    if came.role is not wanted.role:
        return refuse(BlockKind.ENTRY, what, f"{came.name} ({operator}) came on as {came.role.value}.", "Come on anew.")
    return (wanted,)


def go_off(wanted: WentOff, state: State, operator: str, now: str) -> Answer:
    """Leave the bench: whoever is on."""
    del operator, now
    return blocked(person_blocks(state, wanted.operator, Role.TRAINEE, "Going off")) or (wanted,)


def hand_over(wanted: HandedOver, state: State, operator: str, now: str) -> Answer:
    """Hand the bench over: from somebody who is on to somebody who has come on, who says so."""
    del now
    what = "Handing over"
    if wanted.by == wanted.to or operator != wanted.to:
        return refuse(BlockKind.ENTRY, what, "the bench goes from one to another, who takes it.", "Say who takes over.")
    gone = person_blocks(state, wanted.by, Role.TRAINEE, what)
    return blocked(gone, person_blocks(state, wanted.to, Role.TRAINEE, what)) or (wanted, WentOff(wanted.by))


def acknowledge(wanted: CautionAcknowledged, state: State, operator: str, now: str) -> Answer:
    """Acknowledge a caution that the plan has."""
    del now
    caution = state.index.cautions.get(wanted.caution)
    if caution is None:
        return unknown("caution", wanted.caution, state.index.cautions)
    return blocked(person_blocks(state, operator, Role.TRAINEE, f"Caution '{caution.title}'")) or (wanted,)


def dispose(wanted: Disposed, state: State, operator: str, now: str) -> Answer:
    """Decide a hold: by a way out that it has, by whom it is for, with a reason."""
    del now
    operation = locate(state, wanted.operation, wanted.place)
    if isinstance(operation, Refused):
        return operation
    what = f"{operation.title}, {place_words(state.index.places[wanted.place])}"
    if wanted.disposition is Disposition.SCRAP:
        return _scrap(state, wanted, operator, what)
    hold = hold_at(state, (wanted.operation, wanted.place), wanted.item)
    if hold is None:
        return refuse(BlockKind.ENTRY, what, f"'{wanted.item}' is not held here.", "Only a hold can be decided.")
    way = next(
        (
            w
            for w in hold.ways
            if w.disposition is wanted.disposition
            and (wanted.disposition is not Disposition.REWORK or (w.redo, w.repair) == (wanted.redo, wanted.repair))
        ),
        None,
    )
    least = way.who if way else Role.LEAD
    blocks = [*person_blocks(state, operator, least, what), *job_blocks(state, wanted.place, what)]
    if not wanted.reason.strip():
        blocks.append(Block(BlockKind.ENTRY, what, "a decision wants its reason.", "Say why.", least))
    if way is None and wanted.disposition is Disposition.CONCESSION:
        why = f"{hold.figure.label} is a limit of safety or law: nobody concedes it."
        blocks.append(Block(BlockKind.VERDICT, what, why, "Put it right.", least))
    if wanted.disposition is Disposition.CONCESSION:
        blocks.extend(_own_blocks(state, wanted, operator, what))
    if wanted.disposition is Disposition.REWORK:
        blocks.extend(_rework_blocks(state, wanted, what))
    if blocks:
        return Refused(tuple(blocks))
    if way is not None and way.stop:
        return (wanted, stop_for(state, hold.figure, wanted.reason))
    return (wanted,)


def _own_blocks(state: State, wanted: Disposed, operator: str, what: str) -> Iterator[Block]:
    """Tell whether somebody would concede what he has read himself, where the shop does not let him."""
    if state.plan.rules.own_concession:
        return
    feeding = state.index.feeding(wanted.operation, wanted.item)
    taken = state.attempt(wanted.operation, wanted.place).readings
    if any(each.operator == operator for key, t in taken.items() if key[0] in feeding for each in (*t.others, t)):
        yield Block(
            BlockKind.PERSON,
            what,
            f"{operator} took readings that it rests on, and nobody concedes his own.",
            "Another lead concedes it, or it is put right.",
            Role.LEAD,
        )


def _rework_blocks(state: State, wanted: Disposed, what: str) -> tuple[Block, ...]:
    index = state.index
    again = index.operations.get(wanted.redo)
    if again is None:
        return unknown("operation", wanted.redo, index.operations).blocks
    if wanted.repair and wanted.repair not in index.repairs:
        return unknown("repair", wanted.repair, index.repairs).blocks
    if index.rules.index[again.id] > index.rules.index[wanted.operation]:
        return (
            Block(BlockKind.ENTRY, what, f"'{again.title}' comes later in the route.", "Choose an earlier operation."),
        )
    return ()


def _scrap(state: State, wanted: Disposed, operator: str, what: str) -> Answer:
    blocks = list(person_blocks(state, operator, Role.LEAD, what))
    blocks.extend(
        b for b in job_blocks(state, wanted.place, what) if b.kind in {BlockKind.RELEASED, BlockKind.SCRAPPED}
    )
    if not wanted.reason.strip():
        blocks.append(Block(BlockKind.ENTRY, what, "giving a head up wants its reason.", "Say why.", Role.LEAD))
    return Refused(tuple(blocks)) if blocks else (wanted,)


def stop(wanted: Stopped, state: State, operator: str, now: str) -> Answer:
    """Stop a head: anybody, at once, with a reason."""
    del now
    if wanted.place not in state.index.places:
        return unknown("place", wanted.place, state.index.places)
    if not wanted.reason.strip():
        return refuse(BlockKind.ENTRY, "Stop", "a reason is expected.", "Say why the head must stop.")
    if state.released:
        return Refused(job_blocks(state, wanted.place, "Stop"))
    if {state.index.head_of(leaf) for leaf in state.index.inside(wanted.place)} <= set(state.stopped):
        return refuse(BlockKind.STOP, "Stop", "it is stopped already.", "A lead resumes it.", Role.LEAD)
    return blocked(person_blocks(state, operator, Role.TRAINEE, "Stop")) or (wanted,)


def resume(wanted: Resumed, state: State, operator: str, now: str) -> Answer:
    """Let a stopped head go on: a lead, with a reason."""
    del now
    if wanted.place not in state.index.places:
        return unknown("place", wanted.place, state.index.places)
    heads = {state.index.head_of(leaf) for leaf in state.index.inside(wanted.place)}
    if not heads & set(state.stopped):
        return refuse(BlockKind.ENTRY, "Resume", "it is not stopped.", "")
    if not wanted.reason.strip():
        return refuse(BlockKind.ENTRY, "Resume", "a reason is expected.", "Say what was found and done.", Role.LEAD)
    return blocked(person_blocks(state, operator, Role.LEAD, "Resume")) or (wanted,)


def confirm(wanted: SpecConfirmed, state: State, operator: str, now: str) -> Answer:
    """Confirm a default of the family: a lead, with the source used."""
    del now
    if wanted.spec not in state.index.specs:
        return unknown("spec", wanted.spec, state.index.specs)
    if not wanted.source.strip():
        return refuse(BlockKind.ENTRY, "Confirming", "the source is expected.", "Name what you looked it up in.")
    what = f"Confirming '{state.index.specs[wanted.spec].label}'"
    return blocked(person_blocks(state, operator, Role.LEAD, what)) or (wanted,)


def note(wanted: Noted, state: State, operator: str, now: str) -> Answer:
    """Write a note."""
    del now
    if wanted.place and wanted.place not in state.index.places:
        return unknown("place", wanted.place, state.index.places)
    if not wanted.text.strip():
        return refuse(BlockKind.ENTRY, "Note", "there is nothing in it.", "Type the note.")
    return blocked(person_blocks(state, operator, Role.TRAINEE, "Note")) or (wanted,)


def release(wanted: Released, state: State, operator: str, now: str) -> Answer:
    """Release the job: a lead, when nothing blocks it."""
    del now
    if state.released:
        return refuse(BlockKind.RELEASED, "Release", "the job is released already.", "")
    return blocked(person_blocks(state, operator, Role.LEAD, "Release"), release_blocks(state)) or (wanted,)


def reopen(wanted: Reopened, state: State, operator: str, now: str) -> Answer:
    """Open a released job again: a lead, with a reason; readings that came into doubt meanwhile are struck."""
    del now
    if not state.released:
        return refuse(BlockKind.ENTRY, "Reopen", "the job is not released.", "")
    if not wanted.reason.strip():
        return refuse(BlockKind.ENTRY, "Reopen", "a reason is expected.", "Say why it comes back.", Role.LEAD)
    doubts = strikes(doubted(state), "in doubt: its gauge was found off after the release")
    return blocked(person_blocks(state, operator, Role.LEAD, "Reopen")) or (wanted, *doubts)
