"""What can happen to a job, and the entry in which it is recorded.

Each event is a plain value; its tag (`reading-taken` …) is its name in every record. Times are UTC, ISO 8601 with
microseconds and a trailing Z, as handed in. `signed` tells that a lead's PIN was given for the event.

An event whose fields have changed since it was first recorded carries its `version`, from 2 on; `versions` brings
older ones up.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from msgspec import Struct, field

from headwright.procedure.plan import Role


class Disposition(StrEnum):
    """What was decided on a hold."""

    REMEASURE = "remeasure"
    REWORK = "rework"
    CONCESSION = "concession"
    SCRAP = "scrap"


class _Event(Struct, frozen=True, forbid_unknown_fields=True, tag_field="what", omit_defaults=True):
    """Common shape of every event."""


class Opened(_Event, frozen=True, tag="opened"):
    """A job was opened for a head. `plan` is the SHA-256 of the plan that it is held to."""

    job: str
    plan: str
    tag: str = ""
    customer: str = ""


class CameOn(_Event, frozen=True, tag="came-on"):
    """Somebody came to the bench; their shift begins."""

    operator: str
    name: str
    role: Role
    signed: bool = False


class HandedOver(_Event, frozen=True, tag="handed-over"):
    """`by` has shown the state of the job to `to`, and both have acknowledged it; the shift of `by` ends with it."""

    by: str
    to: str


class TookBench(_Event, frozen=True, tag="took-bench"):
    """Somebody who is on already is the one at the terminal of the entry from now on, in the role that they came on in.

    `signed` tells that a lead gave the PIN for it.
    """

    operator: str
    role: Role
    signed: bool = False


class WentOff(_Event, frozen=True, tag="went-off"):
    """Somebody left the bench; their shift ends, and with it their acknowledgements."""

    operator: str


class CautionAcknowledged(_Event, frozen=True, tag="caution-acknowledged"):
    """The operator of the entry has read a caution, for this shift."""

    caution: str


class StepBegun(_Event, frozen=True, tag="step-begun"):
    """A step that has to last was begun; the time of the entry is when."""

    operation: str
    place: str
    step: str


class StepTicked(_Event, frozen=True, tag="step-ticked"):
    """A step was done. `place` is the head for a step that is ticked once."""

    operation: str
    place: str
    step: str


class ReadingTaken(_Event, frozen=True, tag="reading-taken"):
    """A reading was taken at a point.

    `typed` is the text as it was typed, `unit` the unit in which it was meant, `value` the canonical number, `word`
    the answer for readings that are no numbers. `questioned` names the slip that the figure looked like and the
    operator overruled. `over` is the number of the reading that it replaces, as whoever typed it saw it; 0 for none.
    `repeat` tells that it stands beside that one instead, as a further figure at the same point. `gauge` is the gauge
    from the kit that it was read with, where the plan asks for it.
    """

    operation: str
    place: str
    reading: str
    typed: str
    unit: str = ""
    value: float | None = None
    word: str = ""
    station: str = ""
    angle: int | None = None
    questioned: str = ""
    over: int = 0
    repeat: bool = False
    gauge: str = ""


class ReadingStruck(_Event, frozen=True, tag="reading-struck"):
    """The reading of the entry with this number does not count; it stays on record."""

    number: int
    reason: str


class GaugeTaken(_Event, frozen=True, tag="gauge-taken"):
    """The operator of the entry took a gauge from the kit in hand, for readings that ask for its `sort`.

    The rest is what the kit said of it: resolution and expanded uncertainty (k = 2) in canonical units, and the day up
    to and with which it may be used, as `2026-03-04`; empty where it has none.
    """

    gauge: str
    sort: str
    resolution: float = 0.0
    uncertainty: float = 0.0
    due: str = ""


class GaugeChecked(_Event, frozen=True, tag="gauge-checked"):
    """The operator of the entry checked a gauge on a ring or master of known `size` (mm) and set its zero there.

    `before` is what it was off by when it came to the ring, `after` what it is off by now, mm, above zero where it
    shows too much. `uncertainty` is that of the ring, mm, expanded (k = 2).
    """

    gauge: str
    ring: str
    size: float
    before: float
    after: float = 0.0
    uncertainty: float = 0.0
    # Made by a function, so that it is always written, and never left out as a default is.
    version: Literal[2] = field(default_factory=lambda: 2)


class GaugeDoubted(_Event, frozen=True, tag="gauge-doubted"):
    """A gauge that this job's readings were taken with was found off by `drift` (mm) in another job.

    `since` is the time of its last good check anywhere: what was read with it after that is in doubt.
    """

    gauge: str
    drift: float
    since: str
    job: str


class ToolChosen(_Event, frozen=True, tag="tool-chosen"):
    """A tool was put in for an operation; `place` is where the first piece is to be made.

    `tool` is its sort as the operation names it, `item` which one it is, `size` in mm, as measured.
    """

    operation: str
    place: str
    tool: str
    item: str
    size: float | None = None


class FirstPieceReleased(_Event, frozen=True, tag="first-piece-released"):
    """The first piece after a change of tool was looked at, and the others may follow."""

    operation: str
    place: str


class Disposed(_Event, frozen=True, tag="disposed"):
    """A hold was decided. `item` is the reading or result that failed; `redo` and `repair` belong to a rework."""

    operation: str
    place: str
    item: str
    disposition: Disposition
    reason: str
    redo: str = ""
    repair: str = ""
    agreed: str = ""
    signed: bool = False


class Stopped(_Event, frozen=True, tag="stopped"):
    """A whole head was stopped."""

    place: str
    reason: str


class Resumed(_Event, frozen=True, tag="resumed"):
    """A lead let a stopped head go on."""

    place: str
    reason: str
    signed: bool = False


class SpecConfirmed(_Event, frozen=True, tag="spec-confirmed"):
    """A lead confirmed a default of the family for this head, with the source used."""

    spec: str
    source: str
    signed: bool = False


class Noted(_Event, frozen=True, tag="noted"):
    """A note was written, about a place or about the job."""

    text: str
    place: str = ""


class OperationClosed(_Event, frozen=True, tag="operation-closed"):
    """An operation is complete at a place: what it breaks no longer holds there, what it makes does."""

    operation: str
    place: str


class Released(_Event, frozen=True, tag="released"):
    """A lead signed the job off; nothing blocked it."""

    note: str = ""
    signed: bool = False


class Reopened(_Event, frozen=True, tag="reopened"):
    """A lead opened a released job again."""

    reason: str
    signed: bool = False


Event = (
    Opened
    | CameOn
    | TookBench
    | HandedOver
    | WentOff
    | CautionAcknowledged
    | StepBegun
    | StepTicked
    | ReadingTaken
    | ReadingStruck
    | GaugeTaken
    | GaugeChecked
    | GaugeDoubted
    | ToolChosen
    | FirstPieceReleased
    | Disposed
    | Stopped
    | Resumed
    | SpecConfirmed
    | Noted
    | OperationClosed
    | Released
    | Reopened
)


class Entry(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One line of a job's record: an event with its number (from 1), time, operator, terminal and chained hash.

    `older` are the bytes of an event that an older version of headwright recorded, as they are chained; empty where
    the event is as this version writes it.
    """

    number: int
    time: str
    operator: str
    terminal: str
    event: Event
    hash: str
    older: bytes = b""
